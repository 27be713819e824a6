"""The conditions of a rule or a gate in plain words, and the texts with their places named."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reefjournal.advisor.rules import Clause, Concluded, Condition, Op, Pattern, Reference, Slot, Template, Threshold
from reefjournal.facts import KINDS

Thresholds = Mapping[str, Threshold]
OPS: Mapping[Op, str] = {
    "=": "is", "!=": "is not", "<": "is below", "<=": "is at most", ">": "is above", ">=": "is at least",
    "known": "is known", "unknown": "is not known",
}  # fmt: skip


def clause(patterns: Clause, thresholds: Thresholds) -> tuple[str, ...]:
    """Each pattern in a line."""
    return tuple(pattern(one, thresholds) for one in patterns)


def roads(found: Sequence[Clause], thresholds: Thresholds) -> tuple[str, ...]:
    """Each road in a line, its patterns joined."""
    return tuple(" and ".join(clause(one, thresholds)) for one in found)


def pattern(one: Pattern, thresholds: Thresholds) -> str:
    """Which fact, by what name, and what it must be like."""
    name = one.kind if one.alias == one.kind else f"{one.alias} ({one.kind})"
    tests = [condition(test, one, thresholds) for test in one.conditions if says_something(test, one)]
    return f"{name}: {', '.join(tests)}" if tests else name


def says_something(test: Condition, one: Pattern) -> bool:
    """Whether a reader needs a test: not where it looks at the vessel itself, nor a parameter that was left out."""
    left_out = test.name in KINDS[one.kind].optional and (test.op == "unknown" or test.right == "")
    return (test.name, test.right) != ("where", "here") and not left_out


def condition(test: Condition, one: Pattern, thresholds: Thresholds) -> str:
    """One test."""
    name = plain(test.name)
    if test.op in {"known", "unknown"}:
        return f"{name} {OPS[test.op]}"
    return f"{name} {OPS[test.op]} {right(test, one, thresholds)}"


def right(test: Condition, one: Pattern, thresholds: Thresholds) -> str:
    """What a property is held against."""
    if test.threshold:
        return f"{thresholds[test.threshold].written} ({test.threshold})"
    if isinstance(test.right, Reference):
        name = plain(test.right.name)
        return name if test.right.alias == one.alias else f"the {name} of {test.right.alias}"
    return (test.right or "blank") if isinstance(test.right, str) else f"{test.right:g}"


def concluded(one: Concluded) -> str:
    """The fact that a rule adds."""
    said = [
        f"{plain(name)} {f'as in {value.alias}' if isinstance(value, Reference) else value}"
        for name, value in one.properties.items()
    ]
    return f"{one.kind}: {', '.join(said)}"


def text(words: Template, thresholds: Thresholds) -> str:
    """A text with its thresholds filled in and its other places named."""
    return "".join(part if isinstance(part, str) else place(part, thresholds) for part in words.parts)


def place(part: Slot, thresholds: Thresholds) -> str:
    """One place."""
    if part.alias == "@":
        return thresholds[part.name].written
    return f"[{part.alias}]" if not part.name else f"[{part.alias}: {plain(part.name)}]"


def kinds(patterns: Sequence[Pattern]) -> Iterator[tuple[str, str]]:
    """What the kinds of fact mean that patterns look at, each once."""
    for name in dict.fromkeys(one.kind for one in patterns):
        yield name, KINDS[name].says.replace("`", "")


def plain(name: str) -> str:
    """The name of a property as words."""
    return name.replace("_", " ")
