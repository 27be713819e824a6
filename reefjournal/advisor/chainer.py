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

from reefjournal.advisor.rules import Clause, Condition, Pattern, Reference
from reefjournal.advisor.values import Values, number, seen, text
from reefjournal.facts import Fact, Property


class Match(NamedTuple):
    """A clause and the facts that fill its patterns, in the order of the patterns."""

    clause: int
    facts: tuple[int, ...]


Find = Callable[[Sequence[Clause], Sequence[Fact]], list[Match]]
Bound = Mapping[str, Values]
ByKind = Mapping[str, list[tuple[int, Values]]]

ORDER: Mapping[str, Callable[[Property, Property], bool]] = {
    "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge, "=": operator.eq, "!=": operator.ne,
}  # fmt: skip


def find(clauses: Sequence[Clause], facts: Sequence[Fact]) -> list[Match]:
    """Every match of every clause, sorted."""
    known = by_kind(facts)
    return sorted(
        Match(place, chosen) for place, clause in enumerate(clauses) for chosen in fillings(clause, known, {}, ())
    )


def by_kind(facts: Sequence[Fact]) -> ByKind:
    """The facts of each kind: their places, and their values as tests see them."""
    known: dict[str, list[tuple[int, Values]]] = defaultdict(list)
    for place, fact in enumerate(facts):
        known[fact.kind].append((place, seen(fact)))
    return known


def fillings(
    clause: Clause, known: ByKind, bound: Bound, chosen: tuple[int, ...]
) -> Iterator[tuple[int, ...]]:
    """Every way to fill the patterns that are left, given the facts ``chosen`` for those before."""
    if len(chosen) == len(clause):
        yield chosen
        return
    pattern = clause[len(chosen)]
    for place, values in known.get(pattern.kind, ()):
        if place not in chosen and fits(pattern, values, bound):
            yield from fillings(clause, known, {**bound, pattern.alias: values}, (*chosen, place))


def fits(pattern: Pattern, values: Values, bound: Bound) -> bool:
    """Whether a fact of the pattern's kind passes all its tests, beside the facts already bound."""
    return all(holds(test, values, bound, pattern.alias) for test in pattern.conditions)


def holds(test: Condition, values: Values, bound: Bound, alias: str) -> bool:
    """Whether one test holds. An unknown number fails every test but ``unknown``."""
    left = values[test.name]
    if test.op in {"known", "unknown"}:
        return is_known(left) == (test.op == "known")
    right = test.right
    if isinstance(right, Reference):
        right = (values if right.alias == alias else bound[right.alias])[right.name]
    else:
        right = text(right) if isinstance(right, str) else number(right)
    return is_known(left) and is_known(right) and ORDER[test.op](left, right)


def is_known(value: Property) -> bool:
    """Whether a value is not NaN; a text is always known."""
    return value == value  # noqa: PLR0124 only NaN differs from itself
