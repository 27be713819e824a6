"""Salt and pure water that correct the salinity: the least that will do, and a day's step where something lives."""

from __future__ import annotations

from datetime import date

import pytest

import reefjournal
from reefjournal.advisor.advice import Amount

NOTES = "## 2026-03-01\n- vessel: display, 300 L water\n- water: filled at 35 ppt\n"
GOBIES = "- stock: added 2 gobies\n"


def amount(rule: str, test: str, life: str = "", notes: str = NOTES) -> Amount | None:
    journal = reefjournal.read_text(f"{notes}{life}## 2026-04-01\n- test: salinity {test}\n")
    advice = journal.advise(date(2026, 4, 1), forecast=False)
    (action,) = [one for one in advice.actions if one.rule == rule]
    return action.amount


def grams(test: str, life: str = "") -> float:
    found = amount("salinity-too-low", test, life)
    assert found is not None
    assert (found.unit, found.substance) == ("g", "salt mix")
    return found.value


def litres(test: str, life: str = "") -> float:
    found = amount("salinity-too-high", test, life)
    assert found is not None
    assert (found.unit, found.substance) == ("L", "pure water")
    return found.value


def test_salt_is_the_least_that_lifts_the_highest_the_reading_may_be() -> None:
    # 300 L from 31.25 at most to 35: 3.75 x 300 x 1.03 g dry sea salt = 1159 g, less only by rounding down.
    # Source (published): Millero and others 2008: 35.165 g/kg at salinity 35; density at 25 degrees C EOS-80.
    assert grams("31 ppt") <= 4.0 * 300 * 1.03
    assert grams("31 ppt") >= 3.5 * 300 * 1.03 * 0.9


def test_where_something_lives_salinity_rises_by_one_a_day() -> None:
    assert 0.9 * 300 * 1.03 <= grams("31 ppt", GOBIES) <= 300 * 1.03


def test_pure_water_takes_the_place_of_the_share_that_the_salt_is_too_much() -> None:
    # 300 L x (1 - 35 / 40) = 37.5 L. Source: the conservation of mass.
    assert 0.85 * 37.5 <= litres("40 ppt") <= 37.5


def test_where_something_lives_salinity_falls_by_two_a_day() -> None:
    # 300 L x 2 / 40 = 15 L. Source: the conservation of mass.
    assert 0.9 * 15 <= litres("40 ppt", GOBIES) <= 15.2


@pytest.mark.parametrize(("rule", "test"), [("salinity-too-low", "31 ppt"), ("salinity-too-high", "40 ppt")])
def test_no_amount_is_given_where_the_volume_is_not_known(rule: str, test: str) -> None:
    assert amount(rule, test, notes=NOTES.replace(", 300 L water", "")) is None
