"""The stage of past days, and since when the present one has held, without concluding everything again for each day.

Only the trust, evidence and stage layers are replayed, and only on days on which something was noted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from reefjournal.advisor import chainer
from reefjournal.advisor.conclude import Witness, observe
from reefjournal.advisor.rules import Rulebook, Stage

Stages = Mapping[str, Stage]


@dataclass(frozen=True)
class Memory:
    """The stages of moments that were replayed before, kept for other days and pages that look at the same book."""

    known: dict[tuple[str, datetime], Stages] = field(default_factory=dict)

    def stages(self, book: Rulebook, witness: Witness) -> Stages:
        """The stage of each track at one moment."""
        moment = (witness.vessel, witness.on)
        if moment not in self.known:
            self.known[moment] = observe(book, witness, chainer.find).stages
        return self.known[moment]


def since(book: Rulebook, witness: Witness, stages: Stages, memory: Memory) -> dict[str, date | None]:
    """The first of the noted days in a row on which each track was in its present stage.

    ``None`` where the stage came between the last noted day and now, by mere lapse of time.
    """
    begun: dict[str, date | None] = dict.fromkeys(stages)
    holding = dict(stages)
    for past in witness.earlier():
        day = past.on.date()
        then = stages if day == witness.on.date() else memory.stages(book, past)
        holding = {track: stage for track, stage in holding.items() if then.get(track) == stage}
        begun |= dict.fromkeys(holding, day)
        if not holding:
            break
    return begun
