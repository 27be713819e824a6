"""The compiled engine, behind this one file: the same matches as the plain chainer, found by durable_rules.

Only what was measured to be right is used. A pattern is an ``$and`` of single tests: the kind first, equalities,
thresholds, joins last, and the last join written twice. No denial, no alternatives, no retraction. Facts go in one by
one under our own ids with floats only; one dispatch; actions only append; a witness rule must fire once, last, and then
the ruleset is deleted. A ruleset stays small, since the engine loses facts where more than 64 tests hold side by side.
"""

from __future__ import annotations

import math
import os
import sys
import warnings
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cache
from types import ModuleType
from typing import Any

from reefjournal.advisor.chainer import Match, by_kind, fits
from reefjournal.advisor.rules import Clause, Condition, Op, Pattern, Reference
from reefjournal.advisor.values import value
from reefjournal.facts import KINDS, Fact, Property

MOST_PATTERNS = 48
"""In one ruleset: each pattern is at most one test that holds beside others, and 64 are the engine's wall."""
UNKNOWN = 1e14
KNOWN_BELOW = 5e13
WITNESS = "witness"
KIND = "kind"
OPS: Mapping[Op, str] = {"!=": "$neq", "<": "$lt", "<=": "$lte", ">": "$gt", ">=": "$gte"}

Term = dict[str, Any]


class EngineError(Exception):
    """The compiled engine is missing, or did not do what it does when it is right."""


@cache
def modules() -> tuple[ModuleType, ModuleType]:
    """durable_rules and its compiled part, imported with lazy binding: one symbol that is never called may be missing.

    Raises:
        EngineError: it is not installed, or cannot be loaded here.
    """
    flags = sys.getdlopenflags() if hasattr(sys, "getdlopenflags") else None
    if flags is not None:
        sys.setdlopenflags(os.RTLD_LAZY)
    try:
        import durable.engine
        import durable_rules_engine
    except ImportError as reason:
        raise EngineError(f"the compiled engine cannot be loaded: {reason}") from None
    finally:
        if flags is not None:
            sys.setdlopenflags(flags)
    return durable.engine, durable_rules_engine


def find(clauses: Sequence[Clause], facts: Sequence[Fact]) -> list[Match]:
    """Every match of every clause, sorted.

    Raises:
        EngineError: the engine is missing or misbehaved.
    """
    modules()
    return sorted(match for batch in batches(possible(clauses, facts)) for match in run(batch, facts))


def possible(clauses: Sequence[Clause], facts: Sequence[Fact]) -> Iterator[tuple[int, Clause]]:
    """The clauses, with their numbers, each of whose patterns finds a fact by itself: few do on one day.

    The engine takes far longer to be told of a rule than to find its matches, so it hears of these alone.
    """
    known = by_kind(facts)
    for place, clause in enumerate(clauses):
        if all(any(fits(one.alone, fact, {}) for _, fact in known.get(one.kind, ())) for one in clause):
            yield place, clause


def batches(clauses: Iterable[tuple[int, Clause]]) -> Iterator[list[tuple[int, Clause]]]:
    """The clauses in rulesets of so many patterns."""
    batch: list[tuple[int, Clause]] = []
    for place, clause in clauses:
        if batch and sum(len(one) for _, one in batch) + len(clause) > MOST_PATTERNS:
            yield batch
            batch = []
        batch.append((place, clause))
    if batch:
        yield batch


def run(batch: Sequence[tuple[int, Clause]], facts: Sequence[Fact]) -> list[Match]:
    """One ruleset from its birth to its deletion."""
    engine, compiled = modules()
    log: list[Match] = []
    wanted, asked = properties(batch), alone(batch)
    rules: dict[str, Term] = {
        f"r{place}": {"all": [*patterns(clause)], "run": noting(log, place, len(clause))} for place, clause in batch
    }
    rules[WITNESS] = {"all": [{"p0": {"$and": [{KIND: WITNESS}]}}], "pri": 60000, "run": noting(log, -1, 1)}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        try:
            ruleset = engine.Ruleset("facts", None, rules)
            for place, fact in enumerate(facts):
                if could_fill(fact, asked):
                    put(engine, ruleset, place, {KIND: f".{fact.kind}"} | encoded(fact, wanted[fact.kind]))
            put(engine, ruleset, len(facts), {KIND: WITNESS})
            ruleset.dispatch()
        except Exception as reason:
            raise EngineError(str(reason)) from reason
        if log.count(Match(-1, (len(facts),))) != 1 or log[-1].clause != -1 or "exception" in ruleset.get_state(None):
            raise EngineError("the compiled engine did not run to its end")
        ruleset.delete_state("0")
        compiled.delete_ruleset(ruleset._handle)
    return [match for match in log[:-1] if len(set(match.facts)) == len(match.facts)]


def put(engine: ModuleType, ruleset: Any, place: int, fact: Term) -> None:
    """Assert one fact; that no rule wants it is normal."""
    with suppress(engine.MessageNotHandledException):
        ruleset.assert_fact({"id": f"{place:06d}"} | fact)


def noting(log: list[Match], clause: int, length: int) -> Callable[[Any], None]:
    """An action that writes down which facts filled a clause."""

    def note(c: Any) -> None:
        log.append(Match(clause, tuple(int(getattr(c, f"p{place}").id) for place in range(length))))

    return note


def properties(batch: Iterable[tuple[int, Clause]]) -> dict[str, set[str]]:
    """The properties of each kind that some test reads."""
    wanted: dict[str, set[str]] = {}
    for _, clause in batch:
        kinds = {pattern.alias: pattern.kind for pattern in clause}
        for pattern in clause:
            wanted.setdefault(pattern.kind, set()).update(one.name for one in pattern.conditions)
            for one in pattern.conditions:
                if isinstance(one.right, Reference):
                    wanted.setdefault(kinds[one.right.alias], set()).add(one.right.name)
    return wanted


def alone(batch: Iterable[tuple[int, Clause]]) -> dict[str, list[Pattern]]:
    """The patterns of each kind, each once, without the tests that look at other facts."""
    wanted: dict[str, dict[Pattern, None]] = {}
    for pattern in (pattern for _, clause in batch for pattern in clause):
        wanted.setdefault(pattern.kind, {})[pattern.alone] = None
    return {kind: list(patterns) for kind, patterns in wanted.items()}


def could_fill(fact: Fact, wanted: Mapping[str, list[Pattern]]) -> bool:
    """Whether a fact could fill some pattern by itself: of ten years of readings few could, the rest is not told."""
    return any(fits(pattern, fact, {}) for pattern in wanted.get(fact.kind, ()))


def encoded(fact: Fact, names: Iterable[str]) -> Term:
    """The properties as the engine gets them: floats, and texts that are never empty."""
    return {f"v_{name}": code(value(fact, name)) for name in names}


def code(given: Property) -> Property:
    """One value: an unknown number is one that no test for a known one lets pass."""
    if isinstance(given, str):
        return f".{given}"
    return UNKNOWN if math.isnan(given) else given


def patterns(clause: Clause) -> Iterator[Term]:
    """The patterns of a clause, called p0, p1, ... so that no name that a keeper chose reaches the engine."""
    names = {pattern.alias: f"p{place}" for place, pattern in enumerate(clause)}
    references = [one.right for pattern in clause for one in pattern.conditions if isinstance(one.right, Reference)]
    for place, pattern in enumerate(clause):
        looked_at = {one.name for one in references if one.alias == pattern.alias}
        yield {f"p{place}": {"$and": terms(pattern, names | {pattern.alias: "$m"}, looked_at)}}


def terms(pattern: Pattern, names: Mapping[str, str], looked_at: set[str]) -> list[Term]:
    """The tests of one pattern in the order that is safe; ``looked_at`` is what other tests compare with."""
    joins = [one for one in pattern.conditions if isinstance(one.right, Reference) and one.right.alias != pattern.alias]
    alone = [one for one in pattern.conditions if one not in joins]
    compared = looked_at | {one.name for one in pattern.conditions if one.op != "unknown"}
    ordered = sorted(alone, key=lambda one: (one.op != "=", isinstance(one.right, Reference)))
    known = [{"$lt": {f"v_{name}": KNOWN_BELOW}} for name in sorted(compared & {*KINDS[pattern.kind].number})]
    joined = [term(one, names) for one in sorted(joins, key=lambda one: one.op != "=")]
    return [{KIND: f".{pattern.kind}"}, *(term(one, names) for one in ordered), *known, *joined, *joined[-1:]]


def term(condition: Condition, names: Mapping[str, str]) -> Term:
    """One test."""
    left = f"v_{condition.name}"
    if condition.op in {"known", "unknown"}:
        return {"$lt" if condition.op == "known" else "$gte": {left: KNOWN_BELOW}}
    right = condition.right
    if isinstance(right, Reference):
        test: Term = {left: {names[right.alias]: f"v_{right.name}"}}
    else:
        test = {left: code(right)}
    return test if condition.op == "=" else {OPS[condition.op]: test}
