"""What can only be checked on the whole book: denial, order, what can be concluded at all, and whether all is used."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

from reefjournal.advisor.patterns import CONCLUDED_IN
from reefjournal.advisor.rules import (
    LAYERS,
    PRECEDENCE,
    Concluded,
    Rule,
    Rulebook,
    Slot,
    Template,
    may_be,
)
from reefjournal.advisor.tables import choices
from reefjournal.facts import FITTED
from reefjournal.problems import Problem, Severity


def checked(book: Rulebook, former: Mapping[str, Rule], *, unread: Path | None = None) -> Rulebook:
    """The book in order, with all its problems sorted and each once; of the folder ``unread`` no examples were read.

    A rule that must not stand makes way for the ``former`` one that it replaced, where there is one.
    """
    bad = dict(misfits(book))
    standing = {name: former.get(name) if name in bad else rule for name, rule in book.rules.items()}
    good = replace(book, rules={name: rule for name, rule in standing.items() if rule})
    rules, circles = outranking(good)
    found = [*bad.values(), *circles, *never_concluded(book), *unreachable(book), *unused(book)]
    found += untried(book, unread)
    return replace(good, rules=rules, problems=tuple(sorted({*book.problems, *found})))


def told(book: Rulebook, which: tuple[str, str], message: str, hint: str = "", severity: Severity = "error") -> Problem:
    """A problem at the heading of a table, which is named by its word and its id."""
    place = book.places[which]
    return Problem(place.file.name, place.line, 1, severity, f'{which[0]} "{which[1]}" {message}', hint)


def misfits(book: Rulebook) -> Iterator[tuple[str, Problem]]:
    """The rules that deny what may still be concluded, or that outrank what must come first."""
    concluded = [(LAYERS.index(rule.layer), rule.concludes) for rule in book.rules.values() if rule.concludes]
    for name, rule in book.rules.items():
        if rule.concludes and any(pattern.kind in FITTED for pattern in (*rule.when, *rule.unless)):
            said = "looks at what the model makes of the readings, so it cannot conclude anything."
            yield name, told(book, ("rule", name), said, "Let it say what is likely: gates and stages rest on tests.")
        height = LAYERS.index(rule.layer)
        for pattern in rule.unless:
            drawn = concluded if pattern.kind in CONCLUDED_IN else ()
            if any(at >= height and may_be(pattern, one) for at, one in drawn):
                said = f"denies a {pattern.kind} that a rule of the same or a higher layer concludes."
                yield name, told(book, ("rule", name), said, "Deny facts of lower layers only.")
        for other in before(rule):
            if reason := cannot_outrank(rule, book.rules.get(other)):
                yield name, told(book, ("rule", name), f'cannot come before "{other}": {reason}.')
        for other in covers(rule):
            if reason := cannot_outrank(rule, book.rules.get(other)):
                yield name, told(book, ("rule", name), f'cannot cover "{other}": {reason}.')


def before(rule: Rule) -> list[str]:
    """The rules that a rule outranks by its own word."""
    return sorted(rule.step.before) if rule.step else []


def covers(rule: Rule) -> list[str]:
    """The rules that need not be told after a rule."""
    return sorted(rule.step.covers) if rule.step else []


def cannot_outrank(rule: Rule, other: Rule | None) -> str:
    """Why a rule cannot come before another; "" where it can, or where the other was not read."""
    if other is None or rule.step is None:
        return ""
    if other.step is None:
        return "that is not an advice rule"
    higher = PRECEDENCE.index(other.step.precedence) < PRECEDENCE.index(rule.step.precedence)
    return f'"{other.step.precedence}" always comes before "{rule.step.precedence}"' if higher else ""


def outranking(book: Rulebook) -> tuple[dict[str, Rule], list[Problem]]:
    """The rules, each with everything that it outranks through others too. Circles are told, and left out of it."""
    direct = {name: {other for other in before(rule) if other in book.rules} for name, rule in book.rules.items()}
    problems: list[Problem] = []
    while circle := a_circle(direct):
        problems.append(told(book, ("rule", min(circle)), f"is in a circle of before: {', '.join(sorted(circle))}."))
        direct.update((name, direct[name] - circle) for name in circle)
    below: dict[str, frozenset[str]] = {}
    for name in TopologicalSorter(direct).static_order():
        below[name] = frozenset(direct[name]).union(*(below[other] for other in direct[name]))
    rules = dict(book.rules)
    for name, rule in book.rules.items():
        if rule.step and rule.step.before:
            rules[name] = replace(rule, step=replace(rule.step, before=below[name]))
    return rules, problems


def a_circle(direct: dict[str, set[str]]) -> set[str]:
    """One circle of rules that order each other, empty where there is none."""
    try:
        TopologicalSorter(direct).prepare()
    except CycleError as error:
        return set(error.args[1])
    return set()


def never_concluded(book: Rulebook) -> Iterator[Problem]:
    """Patterns that ask for a conclusion that nothing draws."""
    checks = [(gate.id, check.id) for gate in book.gates.values() for check in gate.checks]
    drawn = {
        "gate": [Concluded("gate", {"id": name}) for name in book.gates],
        "gate-check": [Concluded("gate-check", {"gate": gate, "id": name}) for gate, name in checks],
    }
    for rule in book.rules.values():
        if rule.concludes:
            drawn.setdefault(rule.concludes.kind, []).append(rule.concludes)
    for name, rule in book.rules.items():
        for pattern in (*rule.when, *rule.unless):
            alike = drawn.get(pattern.kind, [])
            if pattern.kind in CONCLUDED_IN and not any(may_be(pattern, one) for one in alike):
                words = [str(c.right) for c in pattern.conditions if c.name in {"id", "name"} and c.op == "="]
                names = [one.properties.get("name", one.properties.get("id")) for one in alike]
                known = {name for name in names if isinstance(name, str)}
                said = f"asks for a {pattern.kind}{''.join(f' {word!r}' for word in words)} that nothing concludes."
                yield told(book, ("rule", name), said.replace("'", '"'), choices("".join(words), known))


def unreachable(book: Rulebook) -> Iterator[Problem]:
    """Stages that no rule concludes."""
    reached = {str(rule.concludes.properties["id"]) for rule in book.layer("stage") if rule.concludes}
    for name in book.stages:
        if name not in reached:
            yield told(book, ("stage", name), "cannot be reached: no stage rule concludes it.")


def unused(book: Rulebook) -> Iterator[Problem]:
    """Thresholds, sources and cautions that nothing names."""
    rules = book.rules.values()
    checks = [check for gate in book.gates.values() for check in gate.checks]
    of_checks = [pattern for check in checks for clause in (*check.met, *check.unmet) for pattern in clause]
    thresholds = {name for rule in rules for name in rule.thresholds}
    thresholds |= {name for pattern in of_checks for name in pattern.thresholds}
    thresholds |= {name for check in checks for name in slots(check.says, check.settle)}
    cautions = {name for rule in rules if rule.step for name in rule.step.cautions}
    sources = {name for rule in rules for name in rule.sources}
    sources |= {one.source for one in book.thresholds.values()} | {one.source for one in book.cautions.values()}
    idle = [("threshold", name) for name in book.thresholds if name not in thresholds]
    idle += [("caution", name) for name in book.cautions if name not in cautions]
    idle += [("source", name) for name in book.sources if name not in sources]
    yield from (told(book, which, "is not used by anything.", severity="warning") for which in idle)


def slots(*texts: Template) -> Iterable[str]:
    """The thresholds that texts name."""
    return (part.name for text in texts for part in text.parts if isinstance(part, Slot) and part.alias == "@")


def untried(book: Rulebook, unread: Path | None) -> Iterator[Problem]:
    """Rules without an example that fires and one that does not, where examples were read."""
    for name, rule in book.rules.items():
        read = book.places["rule", name].file.folder != unread
        if read and {example.fires for example in rule.examples} != {True, False}:
            hint = "Write one with fires = true, and a near miss with fires = false."
            yield told(book, ("rule", name), "lacks examples.", hint, severity="warning")
