"""Where things land in a chart, against sums done here by hand."""

from __future__ import annotations

import re
from datetime import date, datetime
from itertools import pairwise
from typing import Literal

import pytest
from html_page import HtmlPage
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.diary.charts import (
    NARROW,
    WIDE,
    Band,
    Chart,
    Drop,
    Frame,
    Mark,
    Panel,
    round_up,
    stage_class,
    svg,
    ticks,
)

FIRST, LAST = date(2026, 3, 1), date(2026, 3, 10)
NOON = datetime(2026, 3, 6, 12)


def chart(*marks: Mark, bands: tuple[Band, ...] = (), drops: tuple[Drop, ...] = ()) -> Chart:
    return Chart("c", "A title", "A summary", FIRST, LAST, (Panel("ammonia", "mg/L as N", marks),), bands, drops)


def shapes(drawn: str, kind: str) -> list[dict[str, str | None]]:
    return [found for _, found in HtmlPage(drawn).tags if kind in (found.get("class") or "").split()]


def numbers(shape: dict[str, str | None], *names: str) -> list[float]:
    return [float(shape[name] or "nan") for name in names]


def scale(drawn: str) -> tuple[float, float]:
    """The heights of zero and of the panel's top value, read off the drawing's own grid."""
    grid = [numbers(line, "y1")[0] for line in shapes(drawn, "grid")]
    return numbers(shapes(drawn, "zero")[0], "y1")[0], min(grid)


def test_a_bar_runs_from_the_low_to_the_high_end_of_the_reading() -> None:
    drawn = svg(chart(Mark(NOON, 0.5, 1.5), Mark(NOON, 2.0, 2.0)))
    zero, top = scale(drawn)  # the panel's top value is 2
    y, height = numbers(shapes(drawn, "reading")[0], "y", "height")
    assert y + height == pytest.approx(zero - (zero - top) * 0.5 / 2, abs=0.11)
    assert y == pytest.approx(zero - (zero - top) * 1.5 / 2, abs=0.11)


def test_a_reading_of_one_number_is_a_dot_at_its_height() -> None:
    drawn = svg(chart(Mark(NOON, 0.6, 0.6), Mark(NOON, 2.0, 2.0)))
    zero, top = scale(drawn)
    dots = [numbers(dot, "cy")[0] for dot in shapes(drawn, "reading")]
    assert dots == pytest.approx([zero - (zero - top) * 0.3, top], abs=0.11)


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_time_runs_evenly_from_the_first_days_start_to_the_last_days_end(width: float) -> None:
    drawn = svg(chart(Mark(NOON, 1.0, 1.0)), width)
    left, right = numbers(shapes(drawn, "axis")[0], "x1", "x2")
    # 6 March, noon, is 5.5 of the 10 days after the start of 1 March.
    assert numbers(shapes(drawn, "reading")[0], "cx")[0] == pytest.approx(left + (right - left) * 0.55, abs=0.11)


def test_a_reading_that_is_open_upwards_reaches_the_top_and_has_an_arrow() -> None:
    drawn = svg(chart(Mark(NOON, 1.0, None), Mark(NOON, 0.0, 2.0)))
    assert numbers(shapes(drawn, "reading")[0], "y")[0] == pytest.approx(scale(drawn)[1], abs=0.11)
    assert len(shapes(drawn, "arrow")) == 1


@pytest.mark.parametrize(("standing", "readable", "kinds"), [
    ("kept", True, (1, 0, 0)), ("discarded", True, (1, 0, 1)), ("unreadable", False, (0, 1, 0)),
    ("discarded", False, (0, 1, 1)),
])
def test_unreadable_and_withdrawn_readings_have_marks_of_their_own(
        standing: Literal["kept", "discarded", "unreadable"], readable: bool, kinds: tuple[int, int, int]) -> None:
    drawn = svg(chart(Mark(NOON, 0.5, 1.0, standing, readable)))
    assert tuple(len(shapes(drawn, kind)) for kind in ("reading", "unreadable", "strike")) == kinds


def test_a_withdrawn_reading_does_not_stretch_the_scale() -> None:
    assert Panel("ammonia", "", (Mark(NOON, 0.5, 1.9), Mark(NOON, 40.0, 60.0, "discarded"))).top == 2.0


def test_bands_cover_their_days_without_gap_and_doses_stand_at_their_time() -> None:
    bands = (Band(FIRST, date(2026, 3, 4), "dry", "dry", 1), Band(date(2026, 3, 5), LAST, "filled", "filled", 2))
    drawn = svg(chart(Mark(NOON, 1.0, 1.0), bands=bands, drops=(Drop(NOON, True), Drop(NOON, False))))
    left, right = numbers(shapes(drawn, "axis")[0], "x1", "x2")
    (x1, w1), (x2, w2) = (numbers(band, "x", "width") for band in shapes(drawn, "band"))
    assert [x1, x1 + w1, x2 + w2] == pytest.approx([left, x2, right], abs=0.11)
    assert w1 == pytest.approx((right - left) * 0.4, abs=0.11)
    assert numbers(shapes(drawn, "thread")[0], "x1")[0] == numbers(shapes(drawn, "reading")[0], "cx")[0]
    assert (len(shapes(drawn, "drop")), len(shapes(drawn, "other"))) == (2, 1)


@given(st.floats(1e-3, 1e6))
def test_the_scale_ends_at_a_round_number_at_most_twice_the_highest_reading(value: float) -> None:
    top = round_up(value)
    assert value * (1 - 1e-8) <= top <= 2 * value
    assert re.fullmatch(r"[1-68]\.?0*e[+-]\d+", f"{top:e}")


@pytest.mark.parametrize(("mark", "top"), [(None, 1.0), (Mark(NOON, 0.0, 0.05), 1.0), (Mark(NOON, 1.95, None), 3.0)])
def test_traces_stay_low_and_an_open_reading_has_room_above_it(mark: Mark | None, top: float) -> None:
    assert Panel("nitrite", "mg/L as N", (mark,) if mark else ()).top == top


@given(st.dates(date(2000, 1, 1), date(2030, 1, 1)), st.integers(0, 364), st.sampled_from([WIDE, NARROW]))
def test_labelled_days_lie_on_the_axis_in_order_and_leave_each_other_room(first: date, span: int, width: float) -> None:
    last = date.fromordinal(first.toordinal() + span)
    frame = Frame(Chart("c", "", "", first, last, (Panel("ammonia", "", ()),)), width)
    labelled = ticks(frame)
    assert labelled == sorted(labelled)
    assert all(first <= day <= last for day in labelled)
    places = [frame.dawn(day) for day in labelled]
    # "30 Mar" in letters of 11 units takes about 40.
    assert all(after - before >= 40 for before, after in pairwise(places))
    assert labelled or span > 300


@given(st.text(max_size=12))
def test_a_stage_class_is_one_plain_word(stage: str) -> None:
    assert re.fullmatch(r"stage-[a-z][a-z0-9-]*", stage_class(stage))
