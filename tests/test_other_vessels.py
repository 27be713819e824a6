"""What is so in another vessel is told where it matters: its track, and what must be looked at."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

import reefjournal

NOTES = """
## 2026-03-01
- vessel: display, 300 L water
- vessel: quarantine, 60 L water
- water (quarantine): filled 60 L at 35 ppt

## 2026-03-04
- stock (quarantine): added 2 gobies
- seen (quarantine): gasping
"""
RULES = """
[[stage]]
id = "guests-in"
name = "guests in"
track = "guests"
means = "Animals live in quarantine."
role = "quarantine"

[[rule]]
id = "stage-guests-in"
layer = "stage"
title = "Guests"
says = "Animals live in quarantine."
source = ["custom"]
when = [{ fact = "animals", group = "any", present = "yes" }]
concludes = { fact = "stage", id = "guests-in" }

[[rule]]
id = "look-over-there"
layer = "advice"
title = "Look over there"
says = "In {sign.vessel} there is {sign.name}."
do = "Go and look."
urgency = "now"
precedence = "people"
source = ["custom"]
when = [{ fact = "sign", name = "gasping", state = "visible", where = "elsewhere" }]
"""


@pytest.fixture
def rules(tmp_path: Path) -> tuple[Path]:
    (tmp_path / "guests.toml").write_text(RULES, encoding="utf-8")
    return (tmp_path,)


@pytest.mark.parametrize("vessel", ["display", "quarantine"])
def test_a_track_with_a_role_stands_where_it_is_judged_whichever_vessel_is_asked_about(
    vessel: str, rules: tuple[Path]
) -> None:
    advice = reefjournal.read_text(NOTES).advise(on=date(2026, 3, 6), vessel=vessel, rules=rules)
    (guests,) = [row for row in advice.tracks if row.track == "guests"]
    assert (guests.id, guests.since) == ("guests-in", date(2026, 3, 4))


def test_a_track_with_a_role_has_not_begun_where_the_vessel_of_that_role_shows_nothing_of_it(
    rules: tuple[Path],
) -> None:
    notes = NOTES.replace("stock (quarantine)", "stock (display)")
    advice = reefjournal.read_text(notes).advise(on=date(2026, 3, 6), rules=rules)
    assert "guests" not in {row.track for row in advice.tracks}


def test_a_rule_may_look_at_another_vessel(rules: tuple[Path]) -> None:
    journal = reefjournal.read_text(NOTES)
    here = journal.advise(on=date(2026, 3, 6), vessel="display", rules=rules)
    assert here.actions[0].rule == "look-over-there"
    assert here.actions[0].because.facts[0].vessel == "quarantine"
    there = journal.advise(on=date(2026, 3, 6), vessel="quarantine", rules=rules)
    assert "look-over-there" not in {action.rule for action in there.actions}
