"""From the state of a day to its facts: what is stated for all rules, and the answers to their windows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from reefjournal.evidence import errands, harm, life, looks, nitrogen, trust, water
from reefjournal.evidence.scene import Scene
from reefjournal.evidence.windows import WINDOWS
from reefjournal.facts import Fact, Query
from reefjournal.timeline import State

_TOPICS = (
    water.system,
    water.levels,
    water.dilution,
    water.gear,
    water.vessels,
    water.source_waters,
    life.animals,
    life.load,
    life.plans,
    nitrogen.ledger,
    harm.harm,
    looks.signs,
    trust.kits,
    errands.jobs,
    errands.unread,
)
# What the stage of a day can rest on: days without any of these need no replay.
_TELLING = (
    "reading", "dose", "water", "stock", "fed", "discard", "check", "vessel", "mention", "unread", "kit", "treat",
)  # fmt: skip


@dataclass(frozen=True)
class Witness:
    """Says what is so in one vessel at one moment."""

    state: State
    vessel: str
    where: str = "here"

    @property
    def on(self) -> datetime:
        """The moment that is asked about."""
        return self.state.moment

    @cached_property
    def _plain(self) -> Scene:
        return Scene(self.state, self.state.vessel(self.vessel), where=self.where)

    def trust(self) -> list[Fact]:
        """The facts on single readings and their kits, from which the trust rules take out what cannot be."""
        return [*trust.readings(self._plain), *trust.kits(self._plain)]

    def facts(self, queries: frozenset[Query], rejected: frozenset[str]) -> list[Fact]:
        """Every stated fact of the day and the answers to the windows, without the rejected readings."""
        scene = Scene(self.state, self.state.vessel(self.vessel), rejected, self.where) if rejected else self._plain
        stated = [fact for topic in _TOPICS for fact in topic(scene)]
        asked = sorted(queries, key=lambda query: (query.kind, str(query.parameters)))
        return stated + [fact for query in asked for fact in WINDOWS[query.kind](scene, query)]

    def of(self, vessel: str) -> Witness:
        """The same moment in another vessel."""
        return Witness(self.state, vessel)

    def vessels(self, role: str) -> tuple[str, ...]:
        """The vessels with a role, in the order of their definition."""
        return tuple(name for name, one in self.state.vessels.items() if one.role == role)

    def earlier(self) -> Iterator[Witness]:
        """The days before this one on which something was noted that a stage can rest on, newest first."""
        today = self.on.date()
        days = {
            moment.date()
            for (name, kind), log in self.state.logs.items()
            if kind in _TELLING and name == self.vessel
            for moment in log.moments
            if moment.date() < today
        }
        for day in sorted(days, reverse=True):
            yield Witness(self.state.at(datetime.combine(day, datetime.max.time())), self.vessel, self.where)
