"""Tests at their top colour, and what was not tested of all that may hold a cycle back."""

from __future__ import annotations

import math
from datetime import date

import reefjournal
from reefjournal.evidence.scene import Scene
from reefjournal.evidence.standstill import off_card, untested
from reefjournal.facts import Query

TANK = """## 2026-03-01
- vessel: display, 290 L water
- kit: nitrite, as N, card 0 0.5 1 2
## 2026-03-04
- nitrite >2
## 2026-03-08
- nitrite 1
## 2026-03-10
- nitrite >2
## 2026-03-14
- nitrite >2
"""


def scene(text: str, day: date) -> Scene:
    state = reefjournal.read_text(text).state(day)
    return Scene(state, state.vessel("display"))


def test_only_the_newest_row_at_the_top_of_the_card_counts() -> None:
    (fact,) = off_card(scene(TANK, date(2026, 3, 15)))
    told = [fact.properties[name] for name in ("analyte", "first_day", "day", "times", "days", "age_days")]
    assert told == ["nitrite", "2026-03-10", "2026-03-14", 2.0, 5.0, 1.0]
    assert math.isnan(fact.properties["diluted_days"])  # type: ignore[arg-type]


def test_a_diluted_sample_is_told_with_its_age() -> None:
    (fact,) = off_card(scene(TANK + "- check: nitrite 1:4 diluted read 1\n", date(2026, 3, 16)))
    assert fact.properties["diluted_days"] == 2.0


def test_a_reading_on_the_card_ends_the_row() -> None:
    assert off_card(scene(TANK + "## 2026-03-15\n- nitrite 1\n", date(2026, 3, 15))) == []


def names(text: str) -> list[str]:
    query = Query("untested", (("days", 14.0),))
    return [str(fact.properties["names"]) for fact in untested(scene(text, date(2026, 3, 20)), query)]


def test_what_was_not_tested_of_late_is_named_in_words() -> None:
    assert names(TANK) == ["alkalinity, pH, temperature and phosphate"]
    assert names(TANK + "- pH 8, temperature 25 C\n") == ["alkalinity and phosphate"]
    assert names(TANK + "- alkalinity 8 dKH, pH 8, temperature 25 C, phosphate 0.1 as PO4\n") == []
