"""Days and numbers in words."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.diary.wording import in_short, in_words, interval, moment_in_words, number, weekday


def test_days_are_written_in_full_or_short() -> None:
    # 14 March 2026 is a Saturday: ISO 8601 week date 2026-W11-6.
    day = date.fromisocalendar(2026, 11, 6)
    assert (in_words(day), in_short(day), weekday(day)) == ("14 March 2026", "14 Mar", "Saturday")


@pytest.mark.parametrize(("written", "words"), [
    ("2026-03-14", "14 March 2026"), ("2026-03-14T19:30:00", "14 March 2026, 19:30"), ("in a week", "in a week"),
    ("", ""),
])
def test_iso_days_and_moments_are_put_in_words_and_other_text_is_left(written: str, words: str) -> None:
    assert moment_in_words(written) == words


@pytest.mark.parametrize(("value", "words"), [
    (0, "0"), (0.5, "0.5"), (1.95, "1.95"), (0.04166, "0.0417"), (1350, "1350"), (12345, "12300"), (2e-7, "0.0000002"),
])
def test_numbers_have_three_digits_and_no_exponent(value: float, words: str) -> None:
    assert number(value) == words


@pytest.mark.parametrize(("low", "high", "words"), [
    (0.35, 0.95, "0.35 to 0.95"), (0, 0.1, "below 0.1"), (4, None, "above 4"), (2, 2, "2"), (0, 0, "0"),
])
def test_an_interval_is_said_as_a_keeper_would(low: float, high: float | None, words: str) -> None:
    assert interval(low, high) == words


@given(st.dates(date(1900, 1, 1), date(2100, 1, 1)))
def test_weekdays_follow_each_other(day: date) -> None:
    assert weekday(day) == weekday(day + timedelta(days=7)) != weekday(day + timedelta(days=1))
