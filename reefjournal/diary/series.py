"""From a vessel's readings, doses and stages to a chart and the table that says the same in words."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from heapq import merge
from typing import TypeVar

from reefjournal import events as ev
from reefjournal.diary.charts import Band, Chart, Drop, Mark, Panel, Standing
from reefjournal.diary.shown import Shown, public
from reefjournal.diary.wording import in_words, interval
from reefjournal.timeline import Vessel

ANALYTES = ("ammonia", "nitrite", "nitrate")
UNIT = "mg/L as N"
E = TypeVar("E", bound=ev.Base)


@dataclass(frozen=True)
class Cell:
    """A reading in words: as written, the interval it means in mg/L as N, and its standing."""

    written: str
    means: str
    standing: Standing


@dataclass(frozen=True)
class Row:
    """The readings of one moment, a tuple an analyte, and what was given, in words."""

    day: date
    at: time | None
    cells: tuple[tuple[Cell, ...], ...]
    doses: tuple[str, ...]


@dataclass(frozen=True)
class Figure:
    """A chart, and the same in rows."""

    chart: Chart
    rows: tuple[Row, ...]

    @property
    def stages(self) -> tuple[Band, ...]:
        """The first band of each stage of the chart, in the order of their numbers."""
        first = {band.id: band for band in reversed(self.chart.bands)}
        return tuple(sorted(first.values(), key=lambda band: band.number))


@dataclass(frozen=True)
class Series:
    """All that can be drawn of one vessel, private records left out."""

    vessel: Vessel
    readings: tuple[ev.Reading, ...]
    doses: tuple[ev.Dose, ...]

    @classmethod
    def of(cls, vessel: Vessel, shown: Shown) -> Series:
        """What a vessel's notes hold of the three nitrogen readings and of doses."""
        diluted = [one.reading for one in vessel.log(ev.Check) if one.reading is not None]
        readings = tuple(one for one in merge(vessel.log(ev.Reading), diluted, key=lambda one: one.earliest)
                         if one.analyte in ANALYTES and not shown.hides(one.source, *(r.written for r in one.readers)))
        doses = tuple(one for one in vessel.log(ev.Dose) if not one.stop and not shown.hides(one.source))
        return cls(vessel, readings, doses)

    def figure(self, name: str, first: date, last: date, bands: Iterable[Band] = ()) -> Figure | None:
        """The chart of some days; ``None`` where no reading falls on them."""
        own = Series(self.vessel, _within(self.readings, first, last), _within(self.doses, first, last))
        if not own.readings:
            return None
        panels = tuple(Panel(analyte, UNIT, tuple(own.marks(analyte))) for analyte in ANALYTES)
        title = f"Ammonia, nitrite and nitrate in the {public(self.vessel.name)}, {in_words(first)} to {in_words(last)}"
        chart = Chart(name, title, " ".join(own.summary()), first, last, panels, tuple(clip(bands, first, last)),
                      tuple(_drop(one) for one in own.doses))
        return Figure(chart, tuple(own.rows()))

    def standing(self, reading: ev.Reading) -> Standing:
        """Whether a reading counts, was withdrawn, or said nothing."""
        if self.vessel.discarded(reading) is not None:
            return "discarded"
        return "kept" if reading.readable else "unreadable"

    def marks(self, analyte: str) -> Iterator[Mark]:
        """The readings of an analyte as they are drawn."""
        for one in self.readings:
            if one.analyte == analyte:
                yield Mark(_moment(one), one.low, one.high, self.standing(one), one.readable)

    def summary(self) -> Iterator[str]:
        """A sentence an analyte: how many tests, the highest, the newest."""
        for analyte in ANALYTES:
            own = [one for one in self.readings if one.analyte == analyte]
            kept = [one for one in own if self.standing(one) == "kept"]
            tests = f"{len(own)} test" + ("" if len(own) == 1 else "s")
            if kept:
                peak = max(kept, key=lambda one: one.low)
                yield f"{analyte.capitalize()}: {tests}, highest {_level(peak)}, newest {_level(kept[-1])}."
            else:
                yield f"{analyte.capitalize()}: {tests}, none to go by."

    def rows(self) -> Iterator[Row]:
        """The same as the chart in words, a row a moment."""
        moments: dict[tuple[date, time | None], list[ev.Reading | ev.Dose]] = {}
        noted: list[ev.Reading | ev.Dose] = [*self.readings, *self.doses]
        for one in noted:
            moments.setdefault((_day(one), one.at), []).append(one)
        for (day, at), found in sorted(moments.items(), key=lambda item: (item[0][0], item[0][1] or time.min)):
            cells = tuple(tuple(self._cell(one) for one in found if isinstance(one, ev.Reading) and one.analyte == name)
                          for name in ANALYTES)
            yield Row(day, at, cells, tuple(_given(one) for one in found if isinstance(one, ev.Dose)))

    def _cell(self, reading: ev.Reading) -> Cell:
        written = " / ".join(one.written for one in reading.readers)
        return Cell(written, interval(reading.low, reading.high) if reading.readable else "", self.standing(reading))


def _within(found: tuple[E, ...], first: date, last: date) -> tuple[E, ...]:
    """Those of some days, out of events in time order."""
    return found[bisect_left(found, first, key=_day) : bisect_right(found, last, key=_day)]


def _day(one: ev.Base) -> date:
    return one.day or date.min


def clip(bands: Iterable[Band], first: date, last: date) -> Iterator[Band]:
    """The bands that touch some days, cut to them."""
    for band in bands:
        if band.first <= last and band.last >= first:
            yield replace(band, first=max(band.first, first), last=min(band.last, last))


def _moment(one: ev.Base) -> datetime:
    """Where a note is drawn: at its time, or at the middle of its day where none was written."""
    return datetime.combine(_day(one), one.at or time(12))


def _drop(dose: ev.Dose) -> Drop:
    return Drop(_moment(dose), nitrogen=dose.nitrogen is not None and dose.nitrogen.high > 0)


def _level(reading: ev.Reading) -> str:
    return f"{interval(reading.low, reading.high)} {UNIT} on {in_words(_day(reading))}"


def _given(dose: ev.Dose) -> str:
    amount = f" {interval(*dose.amount)} {dose.unit}".rstrip() if dose.amount else ""
    return f"{dose.substance}{amount}" + (" every day" if dose.every_day else "")
