"""The examples of the built-in rules: each with its rule, its witness, and the facts that the rule sees there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cache, cached_property, lru_cache

import reefjournal
from reefjournal.advisor.chainer import by_kind, find
from reefjournal.advisor.conclude import (
    UPPER,
    Conclusions,
    believed,
    fire,
    judged,
    looked_around,
    settled,
    step,
    with_fit,
)
from reefjournal.advisor.rulebook import load
from reefjournal.advisor.rules import Example, Layer, Rule, Rulebook
from reefjournal.evidence import Witness
from reefjournal.facts import FITTED, WINDOWS, Fact, Line, Query

Outcome = frozenset[tuple[tuple[Line, ...], ...]]
"""Which note lines the patterns of a rule rest on, once for each way in which the rule fires."""


@cache
def book() -> Rulebook:
    return load()


@cache
def answered() -> frozenset[Query]:
    """The questions that the book asks by itself."""
    return book().queries("evidence", "stage", *UPPER)


@dataclass(frozen=True)
class View:
    """What the rules of one layer see: the facts of ``lower`` layers, and these with the layer's own conclusions."""

    lower: tuple[Fact, ...]
    facts: tuple[Fact, ...]


@dataclass(frozen=True)
class Day:
    """One journal on one day, read and looked at once however many rules use it."""

    witness: Witness

    @cached_property
    def layers(self) -> tuple[Conclusions, ...]:
        """What is known after each layer, in the order of ``conclude``, gates between diagnosis and advice."""
        begun = believed(book(), self.witness, find, *UPPER)
        evidence = step(book().layer("evidence"), begun, find)
        stage = settled(book(), step(book().layer("stage"), evidence, find))
        around = looked_around(book(), self.witness, with_fit(self.witness, stage), find)
        diagnosis = step(book().layer("diagnosis"), around, find)
        gates = judged(book(), diagnosis, find)
        return begun, evidence, around, diagnosis, gates, step(book().layer("advice"), gates, find)

    @property
    def conclusions(self) -> Conclusions:
        """The same as ``conclude`` draws them, which a test holds."""
        return self.layers[-1]

    @cached_property
    def views(self) -> dict[Layer, View]:
        """What the rules of each layer see."""
        begun, evidence, around, diagnosis, gates, _ = self.layers
        trust = tuple(self.witness.trust())
        return {
            "trust": View(trust, trust),
            "evidence": View(begun.facts, evidence.facts),
            "stage": View(evidence.facts, evidence.facts),
            "diagnosis": View(around.facts, diagnosis.facts),
            "advice": View(gates.facts, gates.facts),
        }

    @cached_property
    def rejected(self) -> frozenset[str]:
        doubts = [fact.properties for fact in self.views["evidence"].lower if fact.kind == "doubt"]
        return frozenset(str(one["id"]) for one in doubts if one["verdict"] == "reject")

    def answers(self, query: Query) -> tuple[Fact, ...]:
        """The answers to a question that the book does not ask, each asked once."""
        if query not in self._asked:
            facts = self.witness.facts(frozenset([query]), self.rejected)
            self._asked[query] = tuple(fact for fact in facts if fact.kind in WINDOWS)
        return self._asked[query]

    @cached_property
    def _asked(self) -> dict[Query, tuple[Fact, ...]]:
        return {}


@dataclass(frozen=True)
class Trial:
    """One example of one rule; ``place`` counts the examples of a rule from 1."""

    rule: Rule
    place: int
    example: Example

    def __str__(self) -> str:
        return f"{self.rule.id}-{self.place}-{'fires' if self.example.fires else 'rests'}"

    @property
    def day(self) -> Day:
        looked_at = {pattern.kind for pattern in (*self.rule.when, *self.rule.unless)}
        return day_of(self.example.journal, self.example.on, self.example.vessel, fits=not looked_at.isdisjoint(FITTED))

    def outcome(self, rule: Rule, told: frozenset[str]) -> Outcome:
        """How the rule, or a changed one in its place, fires here, as far as the patterns ``told`` go."""
        view = self.day.views[rule.layer]
        asked = {pattern.query for pattern in (*rule.when, *rule.unless) if pattern.query}
        fresh = [fact for query in asked - answered() for fact in self.day.answers(query)]
        firings = fire([rule], (*view.facts, *fresh), find, by_kind((*view.lower, *fresh)))
        return frozenset(tuple(f.events for a, f in firing.named.items() if a in told) for firing in firings)


# The tests of one rule follow each other (see conftest.py), so that the days of a few rules are all that is kept.
@lru_cache(maxsize=48)
def day_of(journal: str, on: date | datetime, vessel: str, *, fits: bool = False) -> Day:
    """A day; only rules that look at what the model makes of the readings pay for a fit."""
    return Day(replace(reefjournal.read_text(journal).witness(on, vessel or None), fits=fits))


def trials_of(rule: Rule) -> list[Trial]:
    """The examples of a rule."""
    return [Trial(rule, place, one) for place, one in enumerate(rule.examples, 1)]
