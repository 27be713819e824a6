"""A witness that says what a test tells it to, and the small rulebook that the tests of the advisor share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time
from functools import cache
from pathlib import Path

from reefjournal.advisor.rulebook import load_only
from reefjournal.advisor.rules import Rulebook
from reefjournal.facts import WINDOWS, Fact, Line, Property, Query, make

BOOK = Path(__file__).parent / "book"
TANK = "display"


@cache
def small_book() -> Rulebook:
    """The rulebook beside this file."""
    return load_only([BOOK])


def say(kind: str, *lines: Line, **given: Property) -> Fact:
    """A fact about the tank."""
    return make(kind, vessel=TANK, events=lines, **given)


@dataclass(frozen=True)
class Speaker:
    """A witness with fixed facts: what was said on its day, single readings, the days before, and what a fit says."""

    said: Sequence[Fact] = ()
    readings: Sequence[Fact] = ()
    day: str = "2026-03-12"
    past: Sequence[Speaker] = ()
    vessel: str = TANK
    likely: Sequence[Fact] = ()

    @property
    def on(self) -> datetime:
        return datetime.combine(datetime.fromisoformat(self.day), time.max)

    def trust(self) -> list[Fact]:
        return list(self.readings)

    def facts(
        self, queries: frozenset[Query], rejected: frozenset[str], kinds: frozenset[str] | None = None
    ) -> list[Fact]:
        """Windows are answered only where they were asked for; readings that were rejected answer none."""
        asked = {query.kind for query in queries}
        return [
            fact
            for fact in self.said
            if (fact.kind not in WINDOWS or fact.kind in asked) and fact.properties.get("written") not in rejected
        ]

    def fitted(self, stage: str) -> list[Fact]:
        return list(self.likely) if stage else []

    def earlier(self) -> Iterator[Speaker]:
        return iter(self.past)


def filled(**given: Property) -> Fact:
    """A filled tank of 290 to 300 L in which nothing feeds bacteria yet."""
    usual: dict[str, Property] = {
        "water": "filled", "source": "no", "volume_known": "yes", "volume_low": 290.0, "volume_high": 300.0,
    }  # fmt: skip
    return say("system", Line("notes.md", 2, "- vessel: display, 290 L"), **usual | given)


def lives(present: str, group: str = "any") -> Fact:
    """Whether anything of a group lives there."""
    return say("animals", Line("notes.md", 3, "- stock: none"), group=group, present=present)


def ledger(unoxidised: float = 0.0, room: float = 4.0) -> Fact:
    """What was given before."""
    return say("ledger", known="yes", unoxidised_high=unoxidised, room=room)
