"""A rule with one condition taken away, or one number moved by a step: what the dead-weight test tries.

A number moves by a tenth of its value, up and down: that is as near as a near miss can be asked to lie, for a day
counts in whole numbers and a colour card in steps. A number that is zero moves by one.

Left alone are the parameters without which a question is none, and a word of a conclusion that its other words already
tell: so long as every "held" process is a proof, its name is there for the reader and for a keeper's own rules.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from typing import NamedTuple

from trials import book

from reefjournal.advisor.rules import LAYERS, Concluded, Condition, Pattern, Reference, Rule, may_be
from reefjournal.facts import KINDS, Query

STEP = 0.1
NAMES = {"process": ("name", "state"), "stage": ("track", "id")}
"""The words by which a conclusion is called."""


class Mutant(NamedTuple):
    """A changed rule, or the two that a moved number makes: some example must tell one of them from the rule."""

    says: str
    rules: tuple[Rule, ...]


def mutants(rule: Rule) -> Iterator[Mutant]:
    """Every rule that differs from this one by one condition or one number."""
    for place, pattern in enumerate(rule.when):
        for condition in pattern.conditions:
            shorter = without(pattern, condition)
            if droppable(pattern, condition) and not called_the_same(pattern, shorter, rule):
                fewer = exchange(rule.when, place, shorter)
                yield Mutant(f"{pattern.alias}.{worded(condition)} dropped", (replace(rule, when=fewer),))
        if len(rule.when) > 1 and not looked_at(rule, pattern):
            yield Mutant(f"{pattern.alias} dropped", (replace(rule, when=exchange(rule.when, place)),))
    for place, pattern in enumerate(rule.unless):
        yield Mutant(f"unless {place + 1} dropped", (replace(rule, unless=exchange(rule.unless, place)),))
        for condition in pattern.conditions:
            shorter = without(pattern, condition)
            if droppable(pattern, condition) and not called_the_same(pattern, shorter, rule):
                fewer = exchange(rule.unless, place, shorter)
                yield Mutant(f"unless {place + 1} {worded(condition)} dropped", (replace(rule, unless=fewer),))
    for name in dict.fromkeys(one.threshold for one in tests(rule) if one.threshold):
        yield Mutant(f"@{name} moved", moved(rule, [one for one in tests(rule) if one.threshold == name]))
    for number in dict.fromkeys(one for one in tests(rule) if not one.threshold and isinstance(one.right, float)):
        yield Mutant(f"{worded(number)} moved", moved(rule, [number]))


def worded(condition: Condition) -> str:
    """A test as a short text."""
    return f"{condition.name} {condition.op} {condition.threshold or condition.right}"


def tests(rule: Rule) -> Iterator[Condition]:
    """Every test that a rule makes."""
    return (one for pattern in (*rule.when, *rule.unless) for one in pattern.conditions)


def droppable(pattern: Pattern, condition: Condition) -> bool:
    """Whether a test is the rule's own: not where it looks, not a blank parameter, not what makes its question one."""
    kind = KINDS[pattern.kind]
    blank = condition.name in kind.optional and (condition.op == "unknown" or condition.right == "")
    return condition.name != "where" and not blank and condition.name not in kind.asks


def called_the_same(pattern: Pattern, shorter: Pattern, rule: Rule) -> bool:
    """Whether a pattern that lost a word still calls the same conclusions, of all that the rule can see."""
    lost = {one.name for one in pattern.conditions} - {one.name for one in shorter.conditions}
    height = LAYERS.index(rule.layer) + (pattern in rule.when)
    called = [[one for one in drawn_below(height) if calls(p, one)] for p in (pattern, shorter)]
    return lost <= set(NAMES.get(pattern.kind, ())) and called[0] == called[1]


def calls(pattern: Pattern, one: Concluded) -> bool:
    """Whether a conclusion may be meant; one that takes its name from a kit or reading is called like an analyte."""
    taken = {name for name, value in one.properties.items() if isinstance(value, Reference) and value.name == "analyte"}
    return may_be(pattern, one) and all(c.right in analytes() for c in pattern.conditions if c.name in taken)


@cache
def analytes() -> frozenset[object]:
    """Every analyte that a test of some rule names."""
    return frozenset(c.right for rule in book().rules.values() for c in tests(rule) if c.name == "analyte")


@cache
def drawn_below(height: int) -> tuple[Concluded, ...]:
    """Everything that the rules of the first layers conclude."""
    rules = book().rules.values()
    return tuple(one.concludes for one in rules if one.concludes and one.layer in LAYERS[:height])


def looked_at(rule: Rule, pattern: Pattern) -> bool:
    """Whether another test compares with a pattern."""
    others = (one.right for one in tests(rule) if one not in pattern.conditions)
    return any(isinstance(one, Reference) and one.alias == pattern.alias for one in others)


def exchange(patterns: tuple[Pattern, ...], place: int, *new: Pattern) -> tuple[Pattern, ...]:
    """The patterns with ``new`` in one place, or with none there."""
    return (*patterns[:place], *new, *patterns[place + 1 :])


def without(pattern: Pattern, condition: Condition) -> Pattern:
    """A pattern without one test; a parameter that goes is no part of the question any more."""
    kind = KINDS[pattern.kind]
    blank = Condition(condition.name, "=", "") if condition.name in kind.text else Condition(condition.name, "unknown")
    instead = [blank] if condition.name in kind.optional else []
    return asking(replace(pattern, conditions=(*(c for c in pattern.conditions if c != condition), *instead)))


def asking(pattern: Pattern) -> Pattern:
    """A pattern with the question that its tests now put."""
    if pattern.query is None:
        return pattern
    kind = KINDS[pattern.kind]
    given = {c.name: c.right for c in pattern.conditions if c.name in {*kind.asks, *kind.optional} and c.op == "="}
    asked = ((name, right) for name, right in given.items() if isinstance(right, (str, float)) and right != "")
    return replace(pattern, query=Query(pattern.kind, tuple(sorted(asked))))


def moved(rule: Rule, chosen: Sequence[Condition]) -> tuple[Rule, ...]:
    """The rule with the numbers of some tests a step higher, and a step lower."""
    return tuple(
        replace(rule, when=shifted(rule.when, chosen, sign), unless=shifted(rule.unless, chosen, sign))
        for sign in (1, -1)
    )


def shifted(patterns: tuple[Pattern, ...], chosen: Sequence[Condition], sign: int) -> tuple[Pattern, ...]:
    """Patterns with the numbers of some tests moved by a step."""
    return tuple(
        asking(replace(one, conditions=tuple(stepped(c, sign) if c in chosen else c for c in one.conditions)))
        for one in patterns
    )


def stepped(condition: Condition, sign: int) -> Condition:
    """A test with its number a step higher or lower."""
    assert isinstance(condition.right, float)
    step = abs(condition.right) * STEP or 1.0
    return replace(condition, right=round(condition.right + sign * step, 4))
