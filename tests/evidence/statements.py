"""What small made-up notes state of a day, by kind of fact."""

from __future__ import annotations

from datetime import date

import reefjournal
from reefjournal.facts import Fact, Property

TANK = """## 2026-03-01
- vessel: display, 120 x 55 x 50 cm, 290 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4 8
- kit: nitrite, as N, card 0 0.05 0.2 0.5 1 2
- kit: nitrate, as N, resolution 0.1
- water: filled at 35 ppt
"""
ON = date(2026, 4, 10)


def facts(kind: str, notes: str, on: date = ON) -> list[Fact]:
    """The facts of a kind about the display, with a tank before the notes where they define none."""
    journal = reefjournal.read_text(notes if "vessel:" in notes else TANK + notes)
    assert journal.problems == ()
    return [fact for fact in journal.witness(on).facts(frozenset(), frozenset()) if fact.kind == kind]


def stated(kind: str, notes: str, on: date = ON) -> dict[str, Property]:
    """The properties of the only fact of a kind."""
    (fact,) = facts(kind, notes, on)
    return dict(fact.properties)


def stage(notes: str, on: date) -> str:
    """The stage of the cycle in the display on a day, by notes that are all understood."""
    journal = reefjournal.read_text(notes)
    assert journal.problems == ()
    row = journal.stage_on(on)
    assert row is not None
    return row.id
