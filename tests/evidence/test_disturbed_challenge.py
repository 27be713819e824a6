"""A challenge is answered only where nothing but the filter can have taken the ammonia away, by a test that can see."""

from __future__ import annotations

from datetime import date

import pytest
import statements

import reefjournal

BEFORE = """
## 2026-05-01
- vessel: display, 100 L water
- vessel: bin, 60 L water
- kit: ammonia, as N, card 0 0.2 0.5 1 2
- kit: nitrite, as N, card 0 0.1 0.5 1
- water: filled 100 L at 35 ppt
- stock: none
## 2026-05-10
- 09:00 test: ammonia 2, nitrite 0.5
## 2026-05-15
- 09:00 test: ammonia 0, nitrite 0
- 10:00 dose: ammonium chloride 0.4 g
"""
AFTER = "## 2026-05-16\n- 09:00 test: ammonia 0, nitrite 0\n"
BLUE = "- kit: ammonia (blue), as N, card 0 0.2 0.5 1 2\n"


def stage(between: str) -> str:
    return statements.stage(f"{BEFORE}{between}{AFTER}", date(2026, 5, 16))


@pytest.mark.parametrize(
    "water",
    ["changed 40 L at 35 ppt", "40 L from bin", "moved 40 L bin -> display", "moved 40 L display -> bin",
     "topped up 40 L at 35 ppt"],
)  # fmt: skip
def test_new_water_between_the_dose_and_the_test_leaves_a_challenge_unanswered(water: str) -> None:
    assert stage(f"- 20:00 water: {water}\n") == "cycle-unproven"


@pytest.mark.parametrize("water", ["topped up 2 L", "mixed 40 L at 35 ppt"])
def test_water_that_dilutes_nothing_leaves_a_challenge_cleared(water: str) -> None:
    assert stage(f"- 20:00 water: {water}\n") == "cycled"


def test_a_kit_that_never_showed_ammonia_answers_no_challenge() -> None:
    assert stage(f"- 20:00 {BLUE[2:]}") == "cycle-unproven"


def test_a_new_kit_that_a_standard_bears_out_answers_a_challenge() -> None:
    assert stage(f"{BLUE}- check: ammonia standard 1.0 as N read 1.0\n") == "cycled"


FISH = "## 2026-05-17\n- stock: added 2 gobies\n"
SHOWN = "## 2026-05-20\n- ammonia 0.5\n## 2026-05-22\n- water: changed 50 L at 35 ppt\n- ammonia 0, nitrite 0\n"


def held(notes: str) -> set[str]:
    """What the book says of the proof on the last day."""
    journal = reefjournal.read_text(f"{BEFORE}{AFTER}{notes}")
    assert journal.problems == ()
    advice = journal.advise(date(2026, 5, 22), forecast=False, engine="plain")
    return {one.rule for one in advice.findings if one.rule in ("proof-held", "proof-overtaken")}


def days_after(notes: str) -> str:
    return statements.stage(f"{BEFORE}{AFTER}{notes}", date(2026, 5, 22))


def test_a_proof_holds_while_animals_live_in_clear_water() -> None:
    assert held(FISH) == {"proof-held"}


def test_a_proof_lapses_once_ammonia_showed_with_animals_in_though_a_change_took_it_down() -> None:
    assert held(FISH + SHOWN) == {"proof-overtaken"}


def test_the_answer_of_a_challenge_does_not_take_its_own_proof_on_the_day_on_which_animals_come() -> None:
    notes = f"{BEFORE}## 2026-05-16\n- 09:00 test: ammonia 0.2, nitrite 0\n- stock: added 2 gobies\n"
    journal = reefjournal.read_text(notes)
    found = journal.advise(date(2026, 5, 16), forecast=False, engine="plain").findings
    assert "proof-held" in {one.rule for one in found}


@pytest.mark.parametrize("before", ["", FISH + "## 2026-05-18\n- stock: none\n", FISH + "- stock: removed 2 gobies\n"])
def test_ammonia_where_nothing_lives_takes_no_proof(before: str) -> None:
    assert days_after(before + SHOWN) == "cycled"


def test_a_tank_that_was_disinfected_has_no_proof_any_more() -> None:
    again = "## 2026-05-18\n- build: disinfected and dried\n## 2026-05-20\n- water: filled 100 L at 35 ppt\n"
    assert days_after(again) == "filled"


@pytest.mark.parametrize("what", ["net disinfected and dried", "lid dried"])
def test_a_net_that_was_disinfected_leaves_the_proof(what: str) -> None:
    assert days_after(f"## 2026-05-18\n- build: {what}\n") == "cycled"
