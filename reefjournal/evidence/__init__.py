"""From the state of a day to its facts: what is stated for all rules, and the answers to their windows."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING

from reefjournal import events as ev
from reefjournal.evidence import (
    balance,
    bench,
    calendar,
    changes,
    disease,
    drift,
    emergency,
    errands,
    harm,
    lids,
    life,
    limits,
    looks,
    nitrogen,
    quarantine,
    standstill,
    stocking,
    threads,
    top_up,
    trust,
    water,
    works,
)
from reefjournal.evidence.scene import Scene, reading_id
from reefjournal.evidence.windows import WINDOWS
from reefjournal.facts import Fact, Query
from reefjournal.timeline import State

if TYPE_CHECKING:
    from reefjournal.evidence.outlook import Outlook

TOPICS: dict[str, Callable[[Scene], list[Fact]]] = {
    "system": water.system,
    "level": water.levels,
    "dilution": water.dilution,
    "gear": water.gear,
    "vessel": water.vessels,
    "source-water": water.source_waters,
    "animals": life.animals,
    "load": life.load,
    "planned": life.plans,
    "ledger": nitrogen.ledger,
    "free-ammonia": harm.harm,
    "sign": looks.signs,
    "grazing": looks.grazing,
    "light": looks.light,
    "addition": stocking.last_addition,
    "health": stocking.health,
    "arrival": stocking.arrivals,
    "kit": trust.kits,
    "off-card": standstill.off_card,
    "job": errands.jobs,
    "unread": errands.unread,
    "undated": errands.undated,
    "criteria": limits.criteria,
    "oxygen": limits.oxygen,
    "balance": balance.balance,
    "panels": bench.panels,
    "floor-load": bench.load_on_floor,
    "build": works.things,
    "bench": works.bench,
    "build-job": works.jobs,
    "out-of-level": works.level,
    "mass": works.masses,
    "drain-down": works.falls,
    "lid": lids.lids,
    "illness": disease.illness,
    "course": disease.course,
    "fallow": disease.fallow,
    "watched": quarantine.watched,
    "foam": quarantine.foam,
    "lime": quarantine.lime,
    "crossing": quarantine.crossing,
    "crossed": quarantine.crossed,
    "drift": drift.drift,
    "new-water": drift.new_water,
    "nitrate-from-food": drift.nitrate_from_food,
    "dose-pair": changes.dose_pairs,
    "light-step": changes.light_steps,
    "evaporation": top_up.evaporation,
    "reservoir": top_up.reservoirs,
    "turnover": top_up.turnover,
    "upkeep": calendar.upkeep,
    "outage": emergency.outage,
    "deaths": emergency.deaths,
    "oxygen-risk": emergency.oxygen_risk,
    "scare": emergency.scare,
    "silence": emergency.silence,
    "thread": threads.threads,
    "contradiction": threads.contradictions,
    "correction": threads.corrections,
    "misplaced": threads.misplaced,
}
# What the stage of a day can rest on: days without any of these need no replay.
_TELLING = (
    "reading", "dose", "water", "stock", "fed", "discard", "check", "vessel", "mention", "unread", "kit", "treat",
    "build", "measure", "job",
)  # fmt: skip


@dataclass(frozen=True)
class Witness:
    """Says what is so in one vessel at one moment.

    What was rejected long before a past day is ``settled``: a later look has judged it with the same neighbours. With
    ``fits`` it also says what the model makes of the readings; the other vessels and days that it leads to never do.
    """

    state: State
    vessel: str
    where: str = "here"
    settled: tuple[ev.Reading, ...] | None = None
    fits: bool = False
    _rejected: list[frozenset[str]] = field(default_factory=list, repr=False, compare=False)
    _outlooks: dict[tuple[str, frozenset[str]], Outlook | None] = field(
        default_factory=dict, repr=False, compare=False
    )

    @property
    def on(self) -> datetime:
        """The moment that is asked about."""
        return self.state.moment

    @cached_property
    def _plain(self) -> Scene:
        return Scene(self.state, self.state.vessel(self.vessel), where=self.where)

    def trust(self) -> list[Fact]:
        """The facts on single readings and their kits, from which the trust rules take out what cannot be."""
        days = None if self.settled is None else trust.SETTLED_DAYS
        return [*trust.readings(self._plain, days), *self._plain.once(trust.kits)]

    def facts(
        self, queries: frozenset[Query], rejected: frozenset[str], kinds: frozenset[str] | None = None
    ) -> list[Fact]:
        """The stated facts of the day (of some ``kinds``) and the answers to windows, without the rejected readings."""
        rejected |= self.settled_by_now
        self._rejected.append(rejected)
        scene = Scene(self.state, self.state.vessel(self.vessel), rejected, self.where) if rejected else self._plain
        topics = (topic for kind, topic in TOPICS.items() if kinds is None or kind in kinds)
        stated = [fact for topic in topics for fact in scene.once(topic)]
        asked = sorted(queries, key=lambda query: (query.kind, str(query.parameters)))
        return stated + [fact for query in asked for fact in WINDOWS[query.kind](scene, query)]

    def fitted(self, stage: str) -> list[Fact]:
        """What the model makes of the readings in a stage, after the trust rules have spoken; nothing without a fit."""
        found = self.outlook(stage) if self.fits else None
        if found is None:
            return []
        from reefjournal.evidence.fitted import fitted

        return fitted(self._plain, found)

    def outlook(self, stage: str) -> Outlook | None:
        """What lies ahead in a stage, after the trust rules have spoken; ``None`` where nothing can be forecast."""
        from reefjournal.evidence.outlook import outlook

        rejected = self._rejected[-1] if self._rejected else frozenset()
        if (stage, rejected) not in self._outlooks:
            scene = Scene(self.state, self.state.vessel(self.vessel), rejected, self.where)
            self._outlooks[stage, rejected] = outlook(scene, stage)
        return self._outlooks[stage, rejected]

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
            if moment <= self.on
        }
        settled = self._read(self._rejected[-1]) if self._rejected else self.settled
        for day in sorted(days, reverse=True):
            if day == today:
                yield self
            else:
                moment = datetime.combine(day, datetime.max.time())
                yield Witness(self.state.at(moment), self.vessel, self.where, settled)

    @property
    def settled_by_now(self) -> frozenset[str]:
        """Of what is settled, the readings that are too old for this day's own trust rules."""
        old = (one for one in self.settled or () if self._plain.age_days(one) > trust.SETTLED_DAYS)
        return frozenset(map(reading_id, old))

    def _read(self, ids: frozenset[str]) -> tuple[ev.Reading, ...]:
        """The readings with these names."""
        return tuple(one for one in self._plain.vessel.readings if reading_id(one) in ids) if ids else ()
