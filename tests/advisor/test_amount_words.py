"""Where the volume is not known an amount of water is told as a share, and nothing else is reckoned."""

from __future__ import annotations

from datetime import date

import reefjournal
from reefjournal.advisor.advice import Action

NOTES = """## 2026-03-01
- vessel: display, 120 x 55 x 50 cm
- water: filled at 35 ppt
- stock: added 2 gobies
## 2026-04-01
- test: salinity 38 ppt, alkalinity 6 dKH, temperature 25 C
"""


def actions(notes: str = NOTES) -> dict[str, Action]:
    advice = reefjournal.read_text(notes).advise(date(2026, 4, 1), forecast=False)
    return {action.rule: action for action in advice.actions}


def test_water_is_told_as_a_share_of_the_volume() -> None:
    """By hand, for a fall of 2 g/kg at once: 2 of 38 are 5.26 %, rounded down to two figures."""
    found = actions()["salinity-too-high"]
    assert found.amount is None
    assert "5.2 % of its volume in pure water" in found.do


def test_the_share_is_the_amount_of_a_known_volume() -> None:
    """By hand: 2 of 38 of 200 L are 10.5 L, rounded down to two figures."""
    known = actions(NOTES.replace("50 cm", "50 cm, 200 L water"))["salinity-too-high"]
    assert known.amount is not None
    assert known.amount.value == 10.0


def test_grams_wait_for_the_volume_and_the_text_says_how_to_find_it() -> None:
    found = actions()["alkalinity-low"]
    assert found.amount is None
    assert "not known yet" in found.do
    assert "vessel: display, 290 L water" in found.do


def test_no_share_of_ammonia_is_ever_told() -> None:
    notes = NOTES.replace("- stock: added 2 gobies", "- stock: none")
    assert not any("ammonium" in action.do for action in actions(notes).values())
