"""Two slips in one line do not make it prose: what was given, came in or treats is never lost."""

from __future__ import annotations

from datetime import date

import pytest

import reefjournal

TANK = "## 2026-05-01\n- vessel: display, 210 L water\n- water: filled 210 L at 35 ppt\n- stock: none\n"


@pytest.mark.parametrize("line", ["dose amonium chloride 1.6 g", "dosed 1.6 g amonium chloride", "stock 2 gobys"])
def test_a_lost_colon_and_a_misspelt_word_are_told_and_hold_every_dose_back(line: str) -> None:
    journal = reefjournal.read_text(f"{TANK}- {line}\n")
    assert [problem.severity for problem in journal.problems] == ["error"]
    advice = journal.advise(date(2026, 5, 2), forecast=False)
    assert not [one for one in advice.actions if one.amount and "ammonium" in one.amount.substance]


def test_a_treatment_with_two_slips_is_told() -> None:
    (problem,) = reefjournal.read_text(f"{TANK}- treat coper 0.2 mg/L\n").problems
    assert problem.severity == "error"


@pytest.mark.parametrize("line", ["dose tomorrow", "treat the wood with oil", "stock up on salt"])
def test_words_without_an_amount_stay_prose(line: str) -> None:
    assert reefjournal.read_text(f"{TANK}- {line}\n").problems == ()
