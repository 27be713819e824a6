"""A chart of readings over the stages, drawn as inline SVG by plain sums.

One panel an analyte, all on one time axis. A reading is a bar from its low to its high end, since a colour card says no
more than that; a dot where both ends are one number; an arrow where it is open upwards. Colours come from the page's
style sheet through classes, so that a chart follows light, dark and print.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from html import escape
from typing import Literal

from reefjournal.diary.wording import in_short, number

LEFT, RIGHT, STRIP, DOSES, PANEL, GAP, LANE, AXIS = 40.0, 14.0, 22.0, 20.0, 104.0, 26.0, 20.0, 30.0
WIDE, NARROW = 880.0, 350.0
_LETTER = 6.6  # mean width of a letter in the labels, units of the drawing
_TICK_ROOM = 62.0
_LEAST, _ABOVE = 1.0, 1.25  # least value at a panel's top; room above a reading that is open upwards
_SLUG = re.compile(r"[a-z][a-z0-9-]*")

Standing = Literal["kept", "discarded", "unreadable"]


@dataclass(frozen=True)
class Mark:
    """One reading: its moment, its interval in the panel's unit (``high`` ``None``: open upwards), and its standing."""

    at: datetime
    low: float
    high: float | None
    standing: Standing = "kept"
    readable: bool = True


@dataclass(frozen=True)
class Panel:
    """The readings of one analyte, in time order."""

    analyte: str
    unit: str
    marks: tuple[Mark, ...]

    @cached_property
    def top(self) -> float:
        """The value at the top: a round number above all kept readings, and never so small that traces look tall."""
        kept = (mark for mark in self.marks if mark.standing == "kept")
        return round_up(max([_LEAST, *(m.low * _ABOVE if m.high is None else m.high for m in kept)]))


@dataclass(frozen=True)
class Drop:
    """A dose: its moment, and whether it is known to bring nitrogen."""

    at: datetime
    nitrogen: bool


@dataclass(frozen=True)
class Band:
    """A stretch of days in one stage, both ends included; ``number`` is the stage's own on every page."""

    first: date
    last: date
    id: str
    name: str
    number: int


@dataclass(frozen=True)
class Chart:
    """What is drawn: days from ``first`` to ``last``, both included."""

    name: str
    title: str
    summary: str
    first: date
    last: date
    panels: tuple[Panel, ...]
    bands: tuple[Band, ...] = ()
    drops: tuple[Drop, ...] = ()


def round_up(value: float) -> float:
    """The smallest of 1, 2, 3, 4, 5, 6, 8 times a power of ten that is not below ``value``, which is above zero."""
    power = math.floor(math.log10(value))
    steps = (step * 10.0**p for p in (power - 1, power, power + 1) for step in (1, 2, 3, 4, 5, 6, 8))
    return next(step for step in steps if step >= value * (1 - 1e-9))


def stage_class(stage: str) -> str:
    """The style class of a stage; an id that is no plain word has none of its own."""
    return f"stage-{stage}" if _SLUG.fullmatch(stage) else "stage-other"


@dataclass(frozen=True)
class Frame:
    """Where days and values lie in a drawing of some width."""

    chart: Chart
    width: float

    @property
    def height(self) -> float:
        """Height of the drawing."""
        return self.floor(len(self.chart.panels) - 1) + LANE + AXIS

    def x(self, at: datetime) -> float:
        """Left to right: the moment's place between the start of the first day and the end of the last."""
        start = datetime.combine(self.chart.first, datetime.min.time())
        whole = (self.chart.last - self.chart.first + timedelta(days=1)).total_seconds()
        return LEFT + (self.width - LEFT - RIGHT) * (at - start).total_seconds() / whole

    def dawn(self, day: date) -> float:
        """Where a day begins."""
        return self.x(datetime.combine(day, datetime.min.time()))

    def floor(self, panel: int) -> float:
        """The height of zero in a panel."""
        return STRIP + DOSES + (panel + 1) * (GAP + PANEL) + panel * LANE

    def y(self, panel: int, value: float) -> float:
        """The height of a value in a panel, held between its zero and its top."""
        share = min(max(value / self.chart.panels[panel].top, 0.0), 1.0)
        return self.floor(panel) - PANEL * share


def svg(chart: Chart, width: float = WIDE) -> str:
    """The chart as an ``<svg>`` element, ``width`` units wide, with title and description."""
    frame = Frame(chart, width)
    name = f"{chart.name}-{width:.0f}"
    parts = [
        f'<svg class="chart" viewBox="0 0 {_n(width)} {_n(frame.height)}" role="img" '
        f'aria-labelledby="{name}-title {name}-desc" xmlns="http://www.w3.org/2000/svg">',
        f'<title id="{name}-title">{escape(chart.title)}</title>',
        f'<desc id="{name}-desc">{escape(chart.summary)}</desc>',
        *_bands(frame),
        *_days(frame),
        *_drops(frame),
    ]
    for index in range(len(chart.panels)):
        parts += _panel(frame, index)
    return "\n".join([*parts, "</svg>"])


def _n(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _line(x1: float, y1: float, x2: float, y2: float, kind: str) -> str:
    return f'<line class="{kind}" x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"/>'


def _text(x: float, y: float, words: str, kind: str, anchor: str = "start") -> str:
    return f'<text class="{kind}" x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}">{escape(words)}</text>'


def _bands(frame: Frame) -> Iterator[str]:
    """Stages: tinted behind everything, named on top where the name fits, else numbered as in the list below."""
    bottom = frame.floor(len(frame.chart.panels) - 1) + LANE
    for band in frame.chart.bands:
        left, right = frame.dawn(band.first), frame.dawn(band.last + timedelta(days=1))
        yield (f'<rect class="band {stage_class(band.id)}" x="{_n(left)}" y="0" '
               f'width="{_n(right - left)}" height="{_n(bottom)}"/>')
        yield _line(left, 0, left, bottom, "edge")
        label = f"{band.number} {band.name}"
        if len(label) * _LETTER > right - left - 8:
            label = str(band.number)
        if len(label) * _LETTER <= right - left - 4:
            yield _text((left + right) / 2, STRIP - 7, label, "stage-name", "middle")


def _days(frame: Frame) -> Iterator[str]:
    floor = frame.floor(len(frame.chart.panels) - 1) + LANE
    yield _line(LEFT, floor, frame.width - RIGHT, floor, "axis")
    for day in ticks(frame):
        x, words = frame.dawn(day), in_short(day)
        yield _line(x, floor, x, floor + 5, "axis")
        yield _text(min(x, frame.width - len(words) * _LETTER / 2), floor + 20, words, "tick", "middle")


def ticks(frame: Frame) -> list[date]:
    """Days to label: every first, second, fourth, seventh or fourteenth day, else firsts of months, as many as fit."""
    first, last = frame.chart.first, frame.chart.last
    span, most = (last - first).days, (frame.width - LEFT - RIGHT) / _TICK_ROOM
    for step in (1, 2, 4, 7, 14):
        if span / step <= most:
            return [first + timedelta(days=step * k) for k in range(span // step + 1)]
    every = next((n for n in (1, 2, 3, 6) if span / 30.4 / n <= most), 12)
    firsts = (date(first.year + (first.month - 1 + k) // 12, (first.month - 1 + k) % 12 + 1, 1)
              for k in range(1, span // 28 + 1))
    return [day for day in firsts if day <= last and (day.month - 1) % every == 0]


def _drops(frame: Frame) -> Iterator[str]:
    """A drop on top for each dose, full where it brings nitrogen, with a thread down through the panels."""
    top = STRIP + 3.0
    bottom = frame.floor(len(frame.chart.panels) - 1)
    for drop in frame.chart.drops:
        x, kind = frame.x(drop.at), "drop" if drop.nitrogen else "drop other"
        yield _line(x, top + 14, x, bottom, "thread")
        yield (f'<path class="{kind}" d="M{_n(x)} {_n(top)}c2.6 4.4 4.4 6.6 4.4 9.2a4.4 4.4 0 0 1-8.8 0'
               f'c0-2.6 1.8-4.8 4.4-9.2z"/>')


def _panel(frame: Frame, index: int) -> Iterator[str]:
    panel, floor = frame.chart.panels[index], frame.floor(index)
    yield f'<g class="panel {panel.analyte}">'
    yield _text(LEFT + 6, floor - PANEL - 9, f"{panel.analyte}, {panel.unit}", "panel-name")
    for share in (0.0, 0.5, 1.0):
        y = floor - PANEL * share
        yield _line(LEFT, y, frame.width - RIGHT, y, "zero" if share == 0 else "grid")
        yield _text(LEFT - 6, y + 4, number(panel.top * share), "tick", "end")
    for mark in panel.marks:
        yield from _mark(frame, index, mark)
    yield "</g>"


def _mark(frame: Frame, index: int, mark: Mark) -> Iterator[str]:
    x = frame.x(mark.at)
    if not mark.readable:
        middle = frame.floor(index) + LANE / 2
        yield f'<circle class="unreadable" cx="{_n(x)}" cy="{_n(middle)}" r="6.5"/>'
        yield _text(x, middle + 4, "?", "query", "middle")
    else:
        top = frame.chart.panels[index].top
        low, high = frame.y(index, mark.low), frame.y(index, top if mark.high is None else mark.high)
        middle = (low + high) / 2
        yield _point(x, low, mark.standing) if mark.low == mark.high else _bar(x, low, high, mark.standing)
        if mark.high is None or mark.high > top:
            yield f'<path class="arrow {mark.standing}" d="M{_n(x - 4)} {_n(high + 1)}l4 -7l4 7z"/>'
    if mark.standing == "discarded":
        yield _line(x - 6, middle + 6, x + 6, middle - 6, "strike")


def _point(x: float, y: float, standing: Standing) -> str:
    return f'<circle class="reading {standing}" cx="{_n(x)}" cy="{_n(y)}" r="3.5"/>'


def _bar(x: float, low: float, high: float, standing: Standing) -> str:
    """A bar from the low end up to the high end, never thinner than the eye can find."""
    height = max(low - high, 3.0)
    return (f'<rect class="reading {standing}" x="{_n(x - 2.5)}" y="{_n(low - height)}" '
            f'width="5" height="{_n(height)}" rx="1.5"/>')
