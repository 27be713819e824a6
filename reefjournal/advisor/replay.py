"""The stage of past days, and since when the present one has held, without concluding everything again for each day.

Only the trust, evidence and stage layers are replayed, each moment once, and only on days on which something was noted.
Ten years of notes cost some thirty moments, not thousands: see ``oldest_alike``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import partial

from reefjournal.advisor import chainer
from reefjournal.advisor.conclude import Witness, observe
from reefjournal.advisor.rules import Rulebook, Stage

NEAR = 8
"""So many noted days are looked at one by one; further back the steps double."""

Stages = Mapping[str, Stage]


@dataclass(frozen=True)
class Memory:
    """The stages of moments that were replayed before, kept for other days and pages that look at the same book."""

    known: dict[tuple[str, datetime], Stages] = field(default_factory=dict)

    def stages(self, book: Rulebook, witness: Witness) -> Stages:
        """The stage of each track at one moment."""
        moment = (witness.vessel, witness.on)
        if moment not in self.known:
            self.known[moment] = observe(book.grounds, witness, chainer.find).stages
        return self.known[moment]


def since(book: Rulebook, witness: Witness, stages: Stages, memory: Memory) -> dict[str, date | None]:
    """The first of the noted days in a row on which each track was in its present stage.

    ``None`` where the stage came between the last noted day and now, by mere lapse of time.
    """
    past = list(witness.earlier())

    def in_stage(track: str, place: int) -> bool:
        then = past[place]
        return then.on.date() == witness.on.date() or memory.stages(book, then).get(track) == stages[track]

    oldest = {track: oldest_alike(len(past), partial(in_stage, track)) for track in stages}
    return {track: None if place is None else past[place].on.date() for track, place in oldest.items()}


def oldest_alike(count: int, alike: Callable[[int], bool]) -> int | None:
    """The last place of the run of places from 0 on that are ``alike``, ``None`` where not even the first one is.

    The first places are looked at one by one. Then the steps double until one is not alike, and the edge is found by
    halving; a place that differs and lies between two looks far back is not seen.
    """
    last, step = -1, 1
    while last + step < count and alike(last + step):
        last += step
        step = 1 if last < NEAR else 2 * step
    edge = min(last + step, count)
    while edge - last > 1:
        middle = (last + edge) // 2
        last, edge = (middle, edge) if alike(middle) else (last, middle)
    return last if last >= 0 else None
