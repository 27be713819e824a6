"""The stage of past days, and since when the present one has held, without concluding everything again for each day.

Only the trust, evidence and stage layers are replayed, each moment once, and only on days on which something was noted.
Ten years of notes cost some thirty moments, not thousands: see ``oldest_alike``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import partial

from reefjournal import cache
from reefjournal.advisor import chainer
from reefjournal.advisor.conclude import Witness, observe
from reefjournal.advisor.rules import Rulebook, Stage

NEAR = 8
"""So many noted days are looked at one by one; further back the steps double."""
KEPT_AS = "stages"
MOST_MOMENTS = 2000
"""So many moments of all journals together are kept from run to run."""

Stages = Mapping[str, Stage]


@dataclass(frozen=True)
class Memory:
    """The stages of moments that were replayed before, kept for other days and pages that look at the same book.

    With a ``mark``, which tells what a moment rests on, they are kept from one run of the program to the next: what is
    noted today changes nothing of last week.
    """

    mark: Callable[[Witness], str] | None = None
    known: dict[tuple[str, datetime], Stages] = field(default_factory=dict)
    kept: dict[str, dict[str, str]] = field(default_factory=dict)
    fresh: dict[str, dict[str, str]] = field(default_factory=dict)

    def stages(self, book: Rulebook, witness: Witness) -> Stages:
        """The stage of each track at one moment."""
        moment = (witness.vessel, witness.on)
        if moment not in self.known:
            mark = self.mark(witness) if self.mark else ""
            names = self.kept.get(mark)
            if names is None or not book.stages.keys() >= {*names.values()}:
                self.known[moment] = observe(book.grounds, witness, chainer.find).stages
                self.fresh[mark] = {track: stage.id for track, stage in self.known[moment].items()}
            else:
                self.known[moment] = {track: book.stages[name] for track, name in names.items()}
        return self.known[moment]

    @classmethod
    def of(cls, book: Rulebook, mark: Callable[[Witness], str]) -> Memory:
        """A memory that begins with what earlier runs have kept for this book."""
        memory = cls(mark)
        with suppress(OSError, ValueError):
            memory.kept.update(cache.found(KEPT_AS, book.mark))
        return memory

    def keep(self, book: Rulebook) -> None:
        """Keeps what is new for later runs, and the newest of what was kept before."""
        if self.fresh:
            self.kept.update(self.fresh)
            self.fresh.clear()
            cache.keep(KEPT_AS, book.mark, dict([*self.kept.items()][-MOST_MOMENTS:]))


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
