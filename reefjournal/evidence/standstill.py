"""What hides a movement, or may hold a cycle back unseen: tests at their top colour, and what was not tested at all."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import takewhile

from reefjournal import events as ev
from reefjournal.evidence.scene import OPEN, Scene
from reefjournal.facts import UNKNOWN, Fact, Query

_CARDS = ("ammonia", "nitrite")
_HOLD_BACK = ("alkalinity", "pH", "temperature", "phosphate")
"""What a cycle needs beside time, in the order in which it fails."""


def off_card(scene: Scene) -> list[Fact]:
    """For each analyte of the cycle the newest readings in a row that are open upwards."""
    return [fact for analyte in _CARDS for fact in _off_card(scene, analyte)]


def _off_card(scene: Scene, analyte: str) -> Iterator[Fact]:
    row = list(takewhile(lambda sample: sample.high >= OPEN, reversed(scene.usable(analyte))))
    if row:
        last, first = row[0], row[-1]
        diluted = [one for one in scene.vessel.log(ev.Check) if (one.analyte, one.method) == (analyte, "dilution")]
        yield scene.fact(
            "off-card",
            dict.fromkeys([first.reading, last.reading, *diluted[-1:]]),
            analyte=analyte,
            day=last.day,
            written=last.written,
            first_day=first.day,
            low=last.low,
            times=float(len(row)),
            days=scene.age_days(first.reading),
            age_days=scene.age_days(last.reading),
            diluted_days=scene.age_days(diluted[-1]) if diluted else UNKNOWN,
        )


def untested(scene: Scene, query: Query) -> Iterator[Fact]:
    """What holds a cycle back where it is short, and has no usable reading of the last days."""
    tested = {
        name for name in _HOLD_BACK for one in scene.usable(name)[-1:] if scene.within(one.reading, query["days"])
    }
    names = [name for name in _HOLD_BACK if name not in tested]
    if names:
        words = " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
        yield scene.fact("untested", [], **dict(query.parameters), names=words, count=float(len(names)))
