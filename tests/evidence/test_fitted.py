"""What the model makes of the readings, as facts for the rules: with their note lines, and only with a fit."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import reefjournal
from reefjournal.facts import FITTED, Fact

STUCK = """## 2026-03-02
- vessel: display, 290 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4 8
- kit: nitrite, as N, card 0 0.05 0.2 0.5 1 2
- dose: ammonium chloride 2.2 g
## 2026-03-09
- ammonia 2, nitrite 0
## 2026-03-14
- ammonia 2
- nitrite 0
## 2026-03-17
- ammonia 1, nitrite 0
## 2026-03-20
- ammonia 0.25, nitrite 0
## 2026-03-24
- ammonia 0, nitrite 0
"""
MISREAD = STUCK.partition("## 2026-03-14")[0] + "## 2026-03-10\n- ammonia 2\n## 2026-03-11\n- ammonia 8, nitrite 0\n"


def said(text: str, day: date, *, fits: bool = True) -> list[Fact]:
    return replace(reefjournal.read_text(text).witness(day), fits=fits).fitted("ammonia-falling")


def the(kind: str, found: list[Fact], **wanted: str) -> Any:
    """The properties of the one fact of a kind with these texts."""
    (fact,) = (one for one in found if one.kind == kind and wanted.items() <= dict(one.properties).items())
    return fact


def test_every_fitted_kind_is_stated_of_a_running_cycle_and_no_other() -> None:
    kinds = {fact.kind for text in (STUCK, MISREAD) for fact in said(text, date(2026, 3, 24))}
    assert kinds == set(FITTED)


def test_without_a_fit_nothing_is_said() -> None:
    assert said(STUCK, date(2026, 3, 24), fits=False) == []


def test_of_a_kit_the_likelier_fault_is_told_with_the_lines_of_its_tests() -> None:
    """Ammonia fell from 2 to nothing, so nitrite was made; a nitrite kit that shows none of it is stuck."""
    fact = the("kit-finding", said(STUCK, date(2026, 3, 25)), analyte="nitrite")
    assert fact.properties["fault"] == "stuck"
    assert fact.properties["probability"] > 0.9
    assert (fact.properties["tests"], fact.properties["last_days"]) == (5.0, 1.0)
    assert [line.line for line in fact.events] == [7, 10, 12, 14, 16]


def test_a_misreading_is_told_with_what_the_others_say() -> None:
    fact = the("misread", said(MISREAD, date(2026, 3, 12)), analyte="ammonia", day="2026-03-11")
    assert fact.properties["written"] == "8"
    assert fact.properties["probability"] > 0.5
    assert fact.properties["expected_low"] < 2 < fact.properties["expected_high"] < 4
    assert fact.properties["age_days"] == 1.0


def test_the_most_telling_test_lies_in_the_week_ahead() -> None:
    fact = the("telling-test", said(MISREAD, date(2026, 3, 12)))
    assert 1 <= fact.properties["days_ahead"] <= 7
    assert date.fromisoformat(fact.properties["day"]) > date(2026, 3, 12)
