"""Runs the examples that stand inside the rules, and finds conditions that no example needs."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from datetime import date, datetime

from reefjournal.advisor.rules import Clause, Pattern, Rule, Rulebook
from reefjournal.facts import Query

Consult = Callable[[Rulebook, str, date | datetime, str], Collection[str]]
"""Given a book, a journal, a moment and a vessel ("" for the default one): the ids of the rules that fired."""


def misfires(book: Rulebook, consult: Consult) -> Iterator[str]:
    """The examples that do not do what they say, and the rules that lack one that fires or a near miss."""
    for rule in book.rules.values():
        if {example.fires for example in rule.examples} != {True, False}:
            yield f"{rule.id} lacks an example that fires, or a near miss"
        for place, outcome in enumerate(outcomes(book, rule, consult), 1):
            if outcome != rule.examples[place - 1].fires:
                yield f"{rule.id}, example {place}: {'fires' if outcome else 'does not fire'}"


def outcomes(book: Rulebook, rule: Rule, consult: Consult) -> Iterator[bool]:
    """Whether a rule fires on each of its examples, in a book that holds it as it is given here."""
    changed = replace(book, rules={**book.rules, rule.id: rule})
    for example in rule.examples:
        yield rule.id in consult(changed, example.journal, example.on, example.vessel)


def dead_weight(book: Rulebook, consult: Consult) -> Iterator[str]:
    """The denials and conditions that can be left out, and the thresholds that can be moved, and no example changes."""
    for rule in book.rules.values():
        for what, variant in (*variants(rule), *moved(rule, 0.5), *moved(rule, 2.0)):
            if all(now == one.fires for now, one in zip(outcomes(book, variant, consult), rule.examples, strict=True)):
                yield f"{rule.id}: {what}"


def variants(rule: Rule) -> Iterator[tuple[str, Rule]]:
    """The rule without each denial and each condition in turn.

    A pattern itself is never dropped, since the texts of the rule may speak of it.
    """
    for place, pattern in enumerate(rule.unless):
        without = (*rule.unless[:place], *rule.unless[place + 1 :])
        yield f"without unless {pattern.kind}", replace(rule, unless=without)
    for key in ("when", "unless"):
        clause: Clause = getattr(rule, key)
        for place, pattern in enumerate(clause):
            for what, changed in weakened(pattern):
                patterns = (*clause[:place], changed, *clause[place + 1 :])
                yield f"{key} {pattern.alias} {what}", replace(rule, **{key: patterns})


def weakened(pattern: Pattern) -> Iterator[tuple[str, Pattern]]:
    """A pattern without each of its conditions that is not part of a question."""
    asked = {name for name, _ in pattern.query.parameters} if pattern.query else set()
    for place, condition in enumerate(pattern.conditions):
        if condition.name not in {*asked, "where"} and condition.op != "unknown":
            conditions = (*pattern.conditions[:place], *pattern.conditions[place + 1 :])
            yield f"without {condition.name}", replace(pattern, conditions=conditions)


def moved(rule: Rule, factor: float) -> Iterator[tuple[str, Rule]]:
    """The rule with each of its thresholds multiplied in turn, in conditions and questions alike."""
    for name in dict.fromkeys(name for pattern in (*rule.when, *rule.unless) for name in pattern.thresholds):
        when, unless = (tuple(moved_in(one, name, factor) for one in clause) for clause in (rule.when, rule.unless))
        yield f"{name} times {factor:g}", replace(rule, when=when, unless=unless)


def moved_in(pattern: Pattern, name: str, factor: float) -> Pattern:
    """A pattern with one threshold multiplied."""
    conditions = tuple(
        replace(one, right=one.right * factor) if one.threshold == name and isinstance(one.right, float) else one
        for one in pattern.conditions
    )
    if pattern.query is None:
        return replace(pattern, conditions=conditions)
    values = {one.name: one.right for one in conditions if one.op == "="}
    parameters = tuple((key, values.get(key, value)) for key, value in pattern.query.parameters)
    return replace(pattern, conditions=conditions, query=Query(pattern.kind, parameters))  # type: ignore[arg-type]
