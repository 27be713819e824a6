"""Dates and times against the standard library's reading of ISO 8601, and what is refused."""

from __future__ import annotations

from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.journal.dates import day_at, looks_like_date, month_end, relative, time_at
from reefjournal.journal.pieces import Misread

DAYS = st.dates(min_value=date(1950, 1, 1), max_value=date(2199, 12, 31))


@given(DAYS)
def test_iso_dates_are_those_of_the_standard_library(day: date) -> None:
    """Source: ISO 8601-1:2019, calendar date, extended format, as `datetime.date.fromisoformat` reads it."""
    found = day_at(day.isoformat())
    assert found is not None
    assert found.day == date.fromisoformat(day.isoformat())


@given(DAYS)
def test_dates_in_words_are_the_same_day(day: date) -> None:
    """The month in words, in either order, with a weekday in front, as `strftime` writes them."""
    for form in ("%d %B %Y", "%d %b %Y", "%B %d, %Y", "%a %d %B %Y", "%A, %B %d %Y", "%dth %b %Y"):
        found = day_at(day.strftime(form).lower())
        assert found is not None
        assert (found.day, found.truly) == (day, "")


@given(st.from_regex(r"\A[0-9]{4}-[0-9]{2}-[0-9]{2}\Z"))
def test_what_the_standard_library_refuses_is_refused(text: str) -> None:
    """No day is made of a date that ISO 8601 does not have; years outside 1950 to 2199 are slips."""
    try:
        expected = date.fromisoformat(text)
    except ValueError:
        expected = date.min
    if 1950 <= expected.year <= 2199:
        assert day_at(text).day == expected  # type: ignore[union-attr]
    else:
        with pytest.raises(Misread):
            day_at(text)


@given(st.times())
def test_iso_times_are_those_of_the_standard_library(at: time) -> None:
    """Source: ISO 8601-1:2019, time of day, extended format, to the minute."""
    written = at.strftime("%H:%M")
    assert time_at(written) == (time.fromisoformat(written), 5)


@pytest.mark.parametrize(
    ("written", "at"), [("7:30 pm", time(19, 30)), ("12:05 am", time(0, 5)), ("12 pm", time(12)), ("7pm", time(19))]
)
def test_twelve_hour_times(written: str, at: time) -> None:
    """am and pm as in NIST's note on the times of day: 12 pm is noon, 12 am midnight (from memory)."""
    found = time_at(written)
    assert found is not None
    assert found[0] == at


@pytest.mark.parametrize("written", ["25:00", "19:60", "13 pm", "0:30 am"])
def test_times_that_do_not_exist_are_refused(written: str) -> None:
    """There is no such time of day."""
    with pytest.raises(Misread):
        time_at(written)


def test_a_wrong_weekday_is_seen() -> None:
    """14 March 2026 is a Saturday (proleptic Gregorian calendar, as `date.weekday` reckons)."""
    found = day_at("sunday 14 march 2026")
    assert found is not None
    assert found.truly == "Saturday"


@pytest.mark.parametrize("written", ["2026-3-14", "14.3.2026", "03/04/2026", "april", "20260314", "2026-w11-6", "sat"])
def test_what_begins_like_a_date_is_told_from_a_title(written: str) -> None:
    """A heading with one of these is an error, not a title."""
    assert looks_like_date(written)


@pytest.mark.parametrize("written", ["first fish", "12 snails", "haze", "may be the pump", "0.5 ppm", "day 12"])
def test_a_title_does_not_look_like_a_date(written: str) -> None:
    """A heading with one of these is a title."""
    assert not looks_like_date(written)


@pytest.mark.parametrize(
    ("written", "first", "last"),
    [
        ("yesterday", date(2026, 3, 17), date(2026, 3, 17)),
        ("sunday", date(2026, 3, 15), date(2026, 3, 15)),
        ("wednesday", date(2026, 3, 11), date(2026, 3, 18)),
        ("3 days ago", date(2026, 3, 15), date(2026, 3, 15)),
        ("2 weeks ago", date(2026, 3, 1), date(2026, 3, 7)),
        ("2026-03-02", date(2026, 3, 2), date(2026, 3, 2)),
    ],
)
def test_days_by_their_distance(written: str, first: date, last: date) -> None:
    """Seen from Wednesday 18 March 2026; a weekday of the same name may be today or a week ago."""
    assert relative(written, date(2026, 3, 18)) == (first, last)


def test_a_month_lasts_to_its_end() -> None:
    """A reagent that expires in February is good through the 28th, in a leap year the 29th."""
    assert (month_end("2027-02"), month_end("feb 2028")) == (date(2027, 2, 28), date(2028, 2, 29))
