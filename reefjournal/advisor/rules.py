"""What a rulebook holds once it is read and checked: plain frozen data, no behaviour but looking things up."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from typing import Literal, NamedTuple, get_args

from reefjournal.advisor.toml_places import Place
from reefjournal.advisor.values import number, text
from reefjournal.facts import Property, Query
from reefjournal.problems import Problem

Layer = Literal["trust", "evidence", "stage", "diagnosis", "gate", "advice"]
Op = Literal["=", "!=", "<", "<=", ">", ">=", "known", "unknown"]

Urgency = Literal["now", "today", "soon", "wait", "plan"]
Sureness = Literal["shown", "likely", "possible"]

LAYERS: tuple[Layer, ...] = get_args(Layer)
PRECEDENCE = ("people", "leak", "emergency", "doubt", "stop", "cycle", "running", "build", "looks")
URGENCY: tuple[Urgency, ...] = get_args(Urgency)
SURENESS: tuple[Sureness, ...] = get_args(Sureness)
SOURCE_KINDS = ("published", "common practice", "from memory")
NITROGEN = "nitrogen"


@dataclass(frozen=True)
class Source:
    """Where a number or a belief comes from."""

    id: str
    who: str
    title: str
    kind: str
    year: int | None = None
    where: str = ""

    @property
    def cited(self) -> str:
        """The source in one line, with its kind in brackets."""
        parts = (self.who, self.title, str(self.year or ""), self.where)
        return f"{', '.join(part for part in parts if part)} ({self.kind})"


@dataclass(frozen=True)
class Threshold:
    """A number that rules hold facts against, in the unit of the property it is held against."""

    id: str
    value: float
    unit: str
    means: str
    source: str
    spread: str = ""

    @property
    def written(self) -> str:
        """Value and unit as a reader sees them."""
        return f"{self.value:g} {self.unit}".rstrip()


@dataclass(frozen=True)
class Caution:
    """A warning where work can hurt people or animals, and what calls for it."""

    id: str
    says: str
    when: str
    source: str


@dataclass(frozen=True)
class Stage:
    """A stage of a track; of several that fit, the one listed last holds.

    With a ``role`` the track is judged in the first vessel of that role, where there is one, whichever is asked about.
    """

    id: str
    name: str
    track: str
    means: str
    role: str = ""


class Reference(NamedTuple):
    """A property of the fact that fills another pattern of the same rule (or of the same fact)."""

    alias: str
    name: str


@dataclass(frozen=True)
class Condition:
    """A test on one property: against a plain value, a threshold's value, or another property."""

    name: str
    op: Op
    right: Property | Reference = ""
    threshold: str = ""

    def __post_init__(self) -> None:
        if not isinstance(self.right, Reference):
            seen = text(self.right) if isinstance(self.right, str) else number(self.right)
            object.__setattr__(self, "right", seen)


@dataclass(frozen=True)
class Pattern:
    """What one fact must be like. ``query`` is the question that a window asks."""

    alias: str
    kind: str
    conditions: tuple[Condition, ...]
    query: Query | None = None
    thresholds: tuple[str, ...] = ()

    @cached_property
    def alone(self) -> Pattern:
        """What of it can be told from one fact: without a name, and without the tests that compare facts."""
        return Pattern("", self.kind, tuple(one for one in self.conditions if not isinstance(one.right, Reference)))


Clause = tuple[Pattern, ...]
HERE = Condition("where", "=", "here")


@dataclass(frozen=True)
class Template:
    """Text with places to fill: plain text and ``Slot`` parts in turn."""

    text: str
    parts: tuple[str | Slot, ...] = ()


class Slot(NamedTuple):
    """One place in a text: ``alias.name``, or ``@threshold``, or ``amount``, with an optional number format."""

    alias: str
    name: str
    spec: str = ""


@dataclass(frozen=True)
class Concluded:
    """The fact that a rule adds: its kind, and each property as a plain value or taken from a matched fact."""

    kind: str
    properties: Mapping[str, Property | Reference]


def may_be(pattern: Pattern, one: Concluded) -> bool:
    """Whether a concluded fact could fit a pattern, as far as plain values tell."""
    if pattern.kind != one.kind:
        return False
    for condition in pattern.conditions:
        if condition.op == "=" and not isinstance(condition.right, Reference):
            value = one.properties.get(condition.name, condition.right)
            if not isinstance(value, Reference) and value != condition.right:
                return False
    return True


@dataclass(frozen=True)
class AmountCall:
    """A named amount function and what it is called with."""

    function: str
    arguments: Mapping[str, Property]
    thresholds: tuple[str, ...] = ()


@dataclass(frozen=True)
class Step:
    """What an advice rule asks for. ``before`` holds every rule that it outranks, directly or through others.

    ``by_from`` names the pattern from the day of which ``by_days`` are counted; without one they are from today.
    ``covers`` names the rules that need not be told after it, since it says the same or takes their place.
    """

    do: Template
    why: Template
    urgency: Urgency
    precedence: str
    by_days: float | None = None
    by_threshold: str = ""
    by_fact: Reference | None = None
    by_from: str = ""
    before: frozenset[str] = frozenset()
    covers: frozenset[str] = frozenset()
    cautions: tuple[str, ...] = ()
    due: str = ""
    gives: str = ""
    amount: AmountCall | None = None


@dataclass(frozen=True)
class Example:
    """A small journal on which a rule must fire, or must not."""

    journal: str
    on: date | datetime
    fires: bool
    vessel: str = ""


@dataclass(frozen=True)
class Rule:
    """One rule: what must be so, what must not, and what follows."""

    id: str
    layer: Layer
    title: str
    says: Template
    when: Clause
    unless: Clause = ()
    concludes: Concluded | None = None
    step: Step | None = None
    sureness: Sureness = "likely"
    wrong_if: str = ""
    sources: tuple[str, ...] = ()
    examples: tuple[Example, ...] = ()

    @property
    def patterns(self) -> Clause:
        """What must be so, then what must not."""
        return (*self.when, *self.unless)

    @property
    def thresholds(self) -> tuple[str, ...]:
        """The thresholds that the rule names in its patterns, its texts and its step, each once."""
        named = [name for pattern in (*self.when, *self.unless) for name in pattern.thresholds]
        texts = (self.says, self.step.do, self.step.why) if self.step else (self.says,)
        named += [part.name for text in texts for part in text.parts if isinstance(part, Slot) and part.alias == "@"]
        if self.step:
            named += [*(self.step.amount.thresholds if self.step.amount else ()), self.step.by_threshold]
        return tuple(dict.fromkeys(name for name in named if name))


@dataclass(frozen=True)
class Check:
    """One condition of a gate: ``met`` and ``unmet`` are roads, of which one must match as a whole.

    A check that could not be read has no roads, so it stays unknown and its gate stays shut. ``test`` names the one
    reading that settles it, so that it is asked for beside what another check waits for.
    """

    id: str
    says: Template
    settle: Template
    met: tuple[Clause, ...] = ()
    unmet: tuple[Clause, ...] = ()
    test: str = ""


@dataclass(frozen=True)
class Gate:
    """What must all be shown before a step is taken, in the vessel asked about or in the one of a ``role``.

    ``behind`` are roads of which any one shows that the step was taken: the gate need not be spoken of any more.
    """

    id: str
    name: str
    checks: tuple[Check, ...]
    role: str = ""
    behind: tuple[Clause, ...] = ()

    @property
    def patterns(self) -> tuple[Pattern, ...]:
        """All patterns of its checks and of what puts it behind."""
        roads = [road for check in self.checks for road in (*check.met, *check.unmet)]
        return tuple(pattern for road in (*roads, *self.behind) for pattern in road)


@dataclass(frozen=True)
class Rulebook:
    """Everything the advisor believes, by id, in the order of files and lines.

    ``places`` says where each table stands, by its name and id ("rule", "feed-the-filter"); ``problems`` what could
    not be used; ``replaced`` which ids a later folder has replaced.
    """

    sources: Mapping[str, Source] = field(default_factory=dict)
    thresholds: Mapping[str, Threshold] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    stages: Mapping[str, Stage] = field(default_factory=dict)
    rules: Mapping[str, Rule] = field(default_factory=dict)
    gates: Mapping[str, Gate] = field(default_factory=dict)
    places: Mapping[tuple[str, str], Place] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    replaced: tuple[Problem, ...] = ()

    @cached_property
    def roles(self) -> tuple[str, ...]:
        """The roles of vessels in which gates and tracks are judged, whichever vessel is asked about."""
        named = [gate.role for gate in self.gates.values()] + [stage.role for stage in self.stages.values()]
        return tuple(dict.fromkeys(role for role in named if role))

    def layer(self, name: Layer) -> tuple[Rule, ...]:
        """The rules of one layer."""
        return self._layers[name]

    @cached_property
    def _layers(self) -> Mapping[Layer, tuple[Rule, ...]]:
        return {name: tuple(rule for rule in self.rules.values() if rule.layer == name) for name in LAYERS}

    def queries(self, *layers: Layer) -> frozenset[Query]:
        """The windows that the rules of these layers ask for (``gate``: the checks)."""
        return frozenset[Query]().union(*(self._queries[name] for name in layers))

    @cached_property
    def _queries(self) -> Mapping[Layer, frozenset[Query]]:
        asked = {name: [pattern for rule in self.layer(name) for pattern in rule.patterns] for name in LAYERS}
        asked["gate"] = [pattern for gate in self.gates.values() for pattern in gate.patterns]
        return {name: frozenset(one.query for one in patterns if one.query) for name, patterns in asked.items()}

    @cached_property
    def checks_asked(self) -> frozenset[tuple[str, str]]:
        """The checks that some rule asks for, by gate and check."""
        asked = [p for rule in self.rules.values() for p in rule.patterns if p.kind == "gate-check"]
        named = ((gate.id, check.id) for gate in self.gates.values() for check in gate.checks)
        return frozenset(
            (gate, check) for gate, check in named
            if any(may_be(one, Concluded("gate-check", {"gate": gate, "id": check})) for one in asked)
        )  # fmt: skip

    @cached_property
    def mark(self) -> bytes:
        """The same for the same files: what was concluded by this book is kept under it."""
        files = dict.fromkeys(place.file for place in self.places.values())
        return hashlib.sha256("\0".join(file.text for file in files).encode()).digest()

    @cached_property
    def grounds(self) -> Rulebook:
        """The book with nothing in it but what a stage rests on: trust, stages, and the evidence that leads to them."""
        kept = {rule.id: rule for rule in (*self.layer("trust"), *self.layer("stage"))}
        fresh = list(kept.values())
        while fresh:
            looked_for = [pattern for rule in fresh for pattern in rule.patterns if pattern.kind == "process"]
            fresh = [
                rule
                for rule in self.layer("evidence")
                if rule.id not in kept and rule.concludes and any(may_be(one, rule.concludes) for one in looked_for)
            ]
            kept |= {rule.id: rule for rule in fresh}
        return replace(self, rules={name: rule for name, rule in self.rules.items() if name in kept}, gates={})

    @cached_property
    def kinds_below(self) -> frozenset[str]:
        """The kinds of fact that the evidence and stage rules look at: all that the stage of a day can rest on."""
        rules = (*self.layer("evidence"), *self.layer("stage"))
        return frozenset(one.kind for rule in rules for one in rule.patterns)

    @cached_property
    def kinds_elsewhere(self) -> frozenset[str]:
        """The kinds of fact that some rule looks for in other vessels too."""
        patterns = (one for name in LAYERS for rule in self.layer(name) for one in rule.patterns)
        return frozenset(one.kind for one in patterns if not one.query and HERE not in one.conditions)
