"""A step may take the day by which it should be done from a fact."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from test_rule_problems import ADVICE, told

import reefjournal

WITH_ALIAS = ADVICE.replace('{ fact = "system"', '{ as = "tank", fact = "system"')


def test_a_step_is_due_in_as_many_days_as_its_fact_says() -> None:
    notes = """## 2026-03-01
- vessel: display, 290 L water
- kit: alkalinity, resolution 0.1, expires 2026-06-15
- water: filled at 35 ppt
## 2026-05-25
- alkalinity 8
"""
    advice = reefjournal.read_text(notes).advise(date(2026, 5, 25), forecast=False)
    assert ("new reagents", date(2026, 6, 15)) in [(row.what, row.by) for row in advice.due]


def test_the_day_of_the_next_test_does_not_slide_with_the_day_on_which_one_asks() -> None:
    notes = """## 2026-03-02
- vessel: display, 290 L water
- dose: ammonium chloride 2.2 g
## 2026-03-05
- ammonia 2 as N, nitrite 0 as N
"""
    journal = reefjournal.read_text(notes)
    days = {day: journal.advise(date(2026, 3, day), forecast=False).due for day in (5, 6, 7, 8)}
    tests = {day: [row.by for row in rows if "ammonia" in row.what] for day, rows in days.items()}
    assert tests == {5: [date(2026, 3, 7)], 6: [date(2026, 3, 7)], 7: [date(2026, 3, 7)], 8: [date(2026, 3, 8)]}


def test_days_are_counted_from_a_pattern_that_tells_its_age(tmp_path: Path) -> None:
    (problem,) = told(tmp_path, f'{WITH_ALIAS}by_days = 2\nby_from = "tank"\n')
    assert 'there is no property of "tank" "age_days"' in problem


def test_a_number_of_a_fact_is_taken_as_days(tmp_path: Path) -> None:
    assert told(tmp_path, f'{WITH_ALIAS}by_days = "tank.filled_days"\n') == []


@pytest.mark.parametrize(
    ("days", "says"),
    [
        ("bin.filled_days", 'there is no pattern called "bin"'),
        ("tank.days", 'there is no property of "tank" "days"'),
        ("tank.water", '"water" is a text'),
    ],
)
def test_a_day_that_no_fact_can_give_is_a_problem(days: str, says: str, tmp_path: Path) -> None:
    (problem,) = told(tmp_path, f'{WITH_ALIAS}by_days = "{days}"\n')
    assert says in problem
