"""The plain matcher: which facts fill the patterns of a clause. It is the oracle of the tests, and what runs where the
compiled engine cannot be had.

A *clause* is a list of patterns that must be filled together, each by another fact; a *match* names the clause and
the facts that fill it, by their places in the lists that were given.
"""

from __future__ import annotations

import operator
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from reefjournal.advisor.rules import Clause, Pattern, Reference
from reefjournal.advisor.values import value
from reefjournal.facts import Fact, Key, Property


class Match(NamedTuple):
    """A clause and the facts that fill its patterns, in the order of the patterns."""

    clause: int
    facts: tuple[int, ...]


Find = Callable[[Sequence[Clause], Sequence[Fact]], list[Match]]
Bound = Mapping[str, Fact]
ByKind = Mapping[str, list[tuple[int, Fact]]]

# An unknown number is NaN: it differs from itself, and no order or equality holds with it.
TESTS: Mapping[str, Callable[[Property, Property], bool]] = {
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge, "=": operator.eq,
    "!=": lambda left, right: left == left and right == right and left != right,  # noqa: PLR0124
    "known": lambda left, _: left == left,  # noqa: PLR0124
    "unknown": lambda left, _: left != left,  # noqa: PLR0124
}  # fmt: skip


def find(clauses: Sequence[Clause], facts: Sequence[Fact]) -> list[Match]:
    """Every match of every clause, sorted."""
    known = by_kind(facts)
    return sorted(
        Match(place, chosen) for place, clause in enumerate(clauses) for chosen in fillings(clause, known, {}, ())
    )


def filled(find: Find, clauses: Sequence[Clause], facts: Sequence[Fact]) -> list[tuple[int, tuple[Fact, ...]]]:
    """Every match with its facts, each once, in an order that depends on nothing but the clauses and the facts."""
    found: dict[tuple[int, tuple[Key, ...]], tuple[Fact, ...]] = {}
    for match in find(clauses, facts):
        chosen = tuple(facts[place] for place in match.facts)
        found.setdefault((match.clause, tuple(fact.key for fact in chosen)), chosen)
    return [(place, chosen) for (place, _), chosen in sorted(found.items())]


def by_kind(facts: Sequence[Fact]) -> ByKind:
    """The facts of each kind, with their places."""
    known: dict[str, list[tuple[int, Fact]]] = defaultdict(list)
    for place, fact in enumerate(facts):
        known[fact.kind].append((place, fact))
    return known


def fillings(clause: Clause, known: ByKind, bound: Bound, chosen: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Every way to fill the patterns that are left, given the facts ``chosen`` for those before."""
    if len(chosen) == len(clause):
        yield chosen
        return
    pattern = clause[len(chosen)]
    for place, fact in known.get(pattern.kind, ()):
        if place not in chosen and fits(pattern, fact, bound):
            yield from fillings(clause, known, {**bound, pattern.alias: fact}, (*chosen, place))


def fits(pattern: Pattern, fact: Fact, bound: Bound) -> bool:
    """Whether a fact of the pattern's kind passes all its tests, beside the facts already bound."""
    seen = fact.seen
    for one in pattern.conditions:  # a plain loop that calls no more than it must: this is the hot spot
        name, right = one.name, one.right
        if isinstance(right, Reference):
            right = value(fact if right.alias == pattern.alias else bound[right.alias], right.name)
        if not TESTS[one.op](seen[name] if name in seen else value(fact, name), right):
            return False
    return True
