"""The gate for the next fish opens on one made-up journal, and every change that an expert would mind shuts it."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest

import reefjournal
from reefjournal.advisor.advice import GateRow

ON = date(2026, 5, 10)
READY = """## 2026-03-02
- vessel: display, 290 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2
- kit: nitrite, as N, card 0 0.1 0.5 1
- water: filled 290 L at 35 ppt
- dose: ammonium chloride 1.1 g
## 2026-03-03
- ammonia 1, nitrite 0
## 2026-03-12
- ammonia 0, nitrite 0.5
## 2026-03-20
- ammonia 0, nitrite 0
## 2026-04-01
- stock: added 2 gobies
- fed: 0.4 g pellets 45 % protein every day
## 2026-05-02
- plan: 1 firefish 2026-05-24
- plan: food 0.6 g pellets 45 % protein every day
- fed: 0.6 g pellets 45 % protein every day
## 2026-05-03
- ammonia 0, nitrite 0
## 2026-05-06
- ammonia 0, nitrite 0
## 2026-05-10
- ammonia 0, nitrite 0, salinity 35 ppt, temperature 25 C
- seen: all well
"""
CHANGES = {
    "fish-live-here": ("- stock: added 2 gobies", "- stock: added 6 turban snails"),
    "days-between": ("## 2026-05-03\n", "## 2026-05-01\n- stock: added 1 blenny\n## 2026-05-03\n"),
    "no-overstep": ("## 2026-05-02\n", "## 2026-04-20\n- nitrite 0.5\n## 2026-05-02\n"),
    "ammonia-clear": ("## 2026-05-06\n- ammonia 0, ", "## 2026-05-06\n- "),
    "nitrite-clear": ("- ammonia 0, nitrite 0, salinity", "- ammonia 0, salinity"),
    "ammonia-test-trusted": ("card 0 0.25 0.5 1 2", "card 0 0.25 0.5 1 2, expires 2026-04"),
    "nitrite-test-trusted": ("card 0 0.1 0.5 1", "card 0 0.1 0.5 1, expires 2026-04"),
    "animals-well": ("- seen: all well\n", ""),
    "no-alarm": ("## 2026-05-06\n", "## 2026-05-06\n- seen: water on the floor\n"),
    "no-loss": ("## 2026-05-06\n", "## 2026-05-06\n- stock: lost 1 goby\n"),
    "no-illness": ("## 2026-05-06\n", "## 2026-05-06\n- seen: rubbing\n"),
    "salinity": ("salinity 35 ppt", "salinity 31 ppt"),
    "temperature": ("temperature 25 C", "temperature 29 C"),
    "notes-understood": ("## 2026-05-06\n", "## 2026-05-06\n- stok: aded 1 blenny\n"),
    "nothing-amiss": ("## 2026-05-06\n", "## 2026-05-06\n- treat: praziquantel, start\n"),
}
RATIONS = {
    "no plan of food": ("- plan: food 0.6 g pellets 45 % protein every day\n", ""),
    "a plan from before the last fish": ("- plan: food 0.6", "- seen: haze gone\n## 2026-03-31\n- plan: food 0.6"),
    "a plan of no more than the fish get": ("- plan: food 0.6", "- plan: food 0.4"),
    "a plan of more than is fed": ("- plan: food 0.6", "- plan: food 0.7"),
    "a plan on top of what is fed": ("- plan: 1 firefish 2026-05-24\n- plan: food ", "- plan: 1 firefish 2026-05-24, "),
    "a ration that is younger than a week": ("- fed: 0.6", "## 2026-05-04\n- fed: 0.6"),
    "no ration in the notes": ("- fed: 0.6 g pellets 45 % protein every day", "- fed: stop"),
}


def gate(journal: str, name: str = "next-fish") -> GateRow:
    advice = reefjournal.read_text(journal).advise(on=ON, forecast=False)
    return next(row for row in advice.gates if row.id == name)


@cache
def ready() -> GateRow:
    return gate(READY)


def not_met(row: GateRow) -> set[str]:
    return {check.id for check in row.checks if check.state != "met"}


def test_it_opens_when_all_was_measured_and_written() -> None:
    assert not_met(ready()) == set()
    assert ready().open


def test_every_check_has_a_change_that_shuts_it() -> None:
    assert {check.id for check in ready().checks} == {*CHANGES, "capacity"}


@pytest.mark.parametrize("check", CHANGES)
def test_a_change_shuts_the_check_that_it_is_about(check: str) -> None:
    before, after = CHANGES[check]
    assert READY.count(before) == 1
    shut = gate(READY.replace(before, after))
    assert not shut.open
    assert check in not_met(shut)


@pytest.mark.parametrize("why", RATIONS)
def test_the_ration_with_the_next_fish_must_be_planned_and_proven(why: str) -> None:
    before, after = RATIONS[why]
    assert READY.count(before) == 1
    assert "capacity" in not_met(gate(READY.replace(before, after)))


def test_a_challenge_of_long_ago_proves_nothing_for_the_next_fish() -> None:
    passed = "## 2026-03-21\n- 09:00 dose: ammonium chloride 1.1 g\n## 2026-03-22\n- 08:00 ammonia 0, nitrite 0\n"
    old = READY.replace("## 2026-04-01\n", f"{passed}## 2026-04-01\n")
    untested = old.replace("## 2026-05-06\n- ammonia 0, nitrite 0\n", "")
    assert "capacity" not in not_met(gate(old))
    assert "capacity" in not_met(gate(untested))


def test_animals_of_another_tank_do_not_count() -> None:
    held = READY + "- vessel: quarantine, 55 L\n- stock (quarantine): added 3 cardinalfish\n"
    assert gate(held).open
