"""The layers: each rule of a layer that fits the facts fires, what it concludes becomes a fact, and so on upwards.

A rule sees the facts of its own and of lower layers; what it denies is looked for in lower layers only.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import NamedTuple, Protocol

from reefjournal.advisor.chainer import ByKind, Find, by_kind, filled, fits
from reefjournal.advisor.gates import JudgedCheck, JudgedGate, in_a_row, judge
from reefjournal.advisor.rules import NITROGEN, Layer, Reference, Rule, Rulebook, Stage
from reefjournal.advisor.wording import fill
from reefjournal.facts import Fact, Key, Property, Query, make

UPPER: tuple[Layer, ...] = ("diagnosis", "gate", "advice")


class Witness(Protocol):
    """Says what is so in one vessel at one moment."""

    @property
    def on(self) -> datetime:
        """The moment that is asked about."""
        ...

    @property
    def vessel(self) -> str:
        """The vessel that is asked about."""
        ...

    def trust(self) -> list[Fact]:
        """What the trust rules see: single readings with their neighbours, and the kits."""
        ...

    def facts(
        self, queries: frozenset[Query], rejected: frozenset[str], kinds: frozenset[str] | None = None
    ) -> list[Fact]:
        """The stated facts of the day (of some ``kinds``) and the answers to windows, without the rejected readings."""
        ...

    def fitted(self, stage: str) -> list[Fact]:
        """What the model makes of the readings in a stage of the cycle; nothing where no fit is wanted or needed."""
        ...

    def of(self, vessel: str) -> Witness:
        """The same moment in another vessel."""
        ...

    def vessels(self, role: str) -> tuple[str, ...]:
        """The names of the vessels with a role."""
        ...

    def earlier(self) -> Iterator[Witness]:
        """The days up to this one on which something was noted that a stage can rest on, newest first."""
        ...


@dataclass(frozen=True)
class Firing:
    """A rule that fits, and the facts that fill its patterns, in their order."""

    rule: Rule
    facts: tuple[Fact, ...]

    @property
    def named(self) -> dict[str, Fact]:
        """The facts by the names of the patterns that they fill."""
        return {pattern.alias: fact for pattern, fact in zip(self.rule.when, self.facts, strict=True)}


@dataclass(frozen=True)
class Conclusions:
    """What follows from the facts of one moment, up to some layer.

    ``facts`` are all that were seen; ``stated`` those that the witness stated; ``origins`` tells, for the key of a
    concluded fact, the facts that it rests on; ``gates`` come between diagnosis and advice. ``abroad`` holds what
    follows in the first vessel of each other role that a gate or a track is judged in.
    """

    vessel: str
    facts: tuple[Fact, ...] = ()
    stated: tuple[Fact, ...] = ()
    firings: tuple[Firing, ...] = ()
    stages: Mapping[str, Stage] = field(default_factory=dict)
    origins: Mapping[Key, tuple[Fact, ...]] = field(default_factory=dict)
    gates: tuple[JudgedGate, ...] = ()
    abroad: Mapping[str, Conclusions] = field(default_factory=dict)

    @property
    def roles(self) -> frozenset[str]:
        """The roles of the vessel itself."""
        return frozenset(str(fact.properties["role"]) for fact in self.stated if fact.kind == "system")

    def of(self, *layers: Layer) -> list[Firing]:
        """The firings of these layers."""
        return [firing for firing in self.firings if firing.rule.layer in layers]


def observe(book: Rulebook, witness: Witness, find: Find, *further: Layer) -> Conclusions:
    """Trust, evidence and stage: which readings are not believed, and what stage each track is in.

    The windows of ``further`` layers are asked for as well, so that these can go on from here.
    """
    return staged(book, believed(book, witness, find, *further), find)


def believed(book: Rulebook, witness: Witness, find: Find, *further: Layer) -> Conclusions:
    """The facts of the moment without the readings that the trust rules reject, and their doubts as facts."""
    trust = step(book.layer("trust"), Conclusions(witness.vessel, tuple(witness.trust())), find)
    doubts = [fact for fact in trust.facts if fact.kind == "doubt"]
    rejected = frozenset(str(fact.properties["id"]) for fact in doubts if fact.properties["verdict"] == "reject")
    kinds = None if further else book.kinds_below
    stated = tuple(witness.facts(book.queries("evidence", "stage", *further), rejected, kinds))
    return replace(trust, facts=(*stated, *doubts), stated=stated)


def staged(book: Rulebook, begun: Conclusions, find: Find) -> Conclusions:
    """The evidence and stage layers on the facts of the moment."""
    return settled(book, step(book.layer("stage"), step(book.layer("evidence"), begun, find), find))


def conclude(book: Rulebook, witness: Witness, find: Find) -> Conclusions:
    """All layers, from single readings to advice."""
    found = looked_around(book, witness, with_fit(witness, observe(book, witness, find, *UPPER)), find)
    return step(book.layer("advice"), judged(book, step(book.layer("diagnosis"), found, find), find), find)


def with_fit(witness: Witness, found: Conclusions) -> Conclusions:
    """With what the model makes of the readings, now that the stage is known: no stage or gate ever looks at that."""
    stage = found.stages.get(NITROGEN)
    facts = witness.fitted(stage.id) if stage else []
    return replace(found, facts=(*found.facts, *facts), stated=(*found.stated, *facts))


def looked_around(book: Rulebook, witness: Witness, found: Conclusions, find: Find) -> Conclusions:
    """With what is concluded of the other vessels that matter, and with their facts, marked as lying elsewhere."""
    names = {role: witness.vessels(role) for role in book.roles if role not in found.roles}
    others = {role: witness.of(name[0]) for role, name in names.items() if name and witness.vessel not in name}
    abroad = {
        role: step(book.layer("diagnosis"), observe(book, other, find, *UPPER), find)
        for role, other in others.items()
    }  # fmt: skip
    facts = [
        replace(fact, properties={**fact.properties, "where": "elsewhere"})
        for other in abroad.values()
        for fact in other.facts
        if fact.kind in book.kinds_elsewhere
    ]
    return replace(found, facts=(*found.facts, *facts), abroad=abroad)


def judged(book: Rulebook, found: Conclusions, find: Find) -> Conclusions:
    """The conclusions with every gate judged where it stands, and a fact for each and for what rules ask of it."""
    by_role = {gate.role: facts_where(found, gate.role) for gate in book.gates.values()}
    rows = (judge((g for g in book.gates.values() if g.role == role), facts, find) for role, facts in by_role.items())
    by_id = {gate.gate.id: gate for row in rows for gate in row}
    gates = tuple(by_id[name] for name in book.gates)
    told = [(gate_fact(book, found.vessel, gate), gate.grounds) for gate in gates]
    told += [
        (check_fact(found.vessel, gate, one), one.facts)
        for gate in gates for one in gate.checks if (gate.gate.id, one.check.id) in book.checks_asked
    ]  # fmt: skip
    facts = [fact for fact, _ in told]
    origins = {fact.key: grounds for fact, grounds in told}
    return replace(found, gates=gates, facts=(*found.facts, *facts), origins={**found.origins, **origins})


def facts_where(found: Conclusions, role: str) -> tuple[Fact, ...]:
    """What a gate is judged on: the vessel asked about, or the first one of the gate's role; none, nothing known."""
    if not role or role in found.roles:
        return found.facts
    return found.abroad[role].facts if role in found.abroad else ()


def gate_fact(book: Rulebook, vessel: str, judged: JudgedGate) -> Fact:
    """A gate as a fact: open or not, the first check that is not met, and how that and others are settled."""
    first = judged.first
    texts = {"first": first.says, "settle": first.settle} if first else {}
    said = {name: fill(text, {}, book.thresholds) for name, text in texts.items()}
    if judged.also:
        said["settle"] += f" Test {in_a_row(judged.also)} as well."
    how = {"open": judged.open, "behind": judged.behind, "by_test": judged.by_test}
    given = {"vessel": vessel, "id": judged.gate.id, **{name: yes(so) for name, so in how.items()}, **said}
    return complete("gate", given, judged.grounds, Basis(judged.gate.id))


def check_fact(vessel: str, gate: JudgedGate, judged: JudgedCheck) -> Fact:
    """A check of a gate as a fact."""
    given = {"vessel": vessel, "gate": gate.gate.id, "id": judged.check.id, "state": judged.state}
    return complete("gate-check", given, judged.facts, Basis(gate.gate.id))


def yes(so: bool) -> str:
    """Yes or no, as facts say it."""
    return "yes" if so else "no"


def step(rules: Sequence[Rule], before: Conclusions, find: Find) -> Conclusions:
    """One layer: fire, conclude, and look again as long as that brings a fact that the layer looks at."""
    lower = by_kind(before.facts)
    facts, origins, wanted = before.facts, dict(before.origins), looked_at(rules)
    while True:
        firings = fire(rules, facts, find, lower)
        drawn = {fact.key: (fact, firing.facts) for firing in firings for fact in concluded(firing, before.vessel)}
        added = {fact.kind for fact, _ in drawn.values()}
        known = {fact.key for fact in facts if fact.kind in added}
        fresh = {key: pair for key, pair in drawn.items() if key not in known}
        origins |= {key: grounds for key, (_, grounds) in fresh.items()}
        facts = (*facts, *(fact for fact, _ in fresh.values()))
        if not any(fact.kind in wanted for fact, _ in fresh.values()):
            return replace(before, facts=facts, firings=(*before.firings, *firings), origins=origins)


def looked_at(rules: Sequence[Rule]) -> frozenset[str]:
    """The kinds of fact that some rule needs."""
    return frozenset(pattern.kind for rule in rules for pattern in rule.when)


def fire(rules: Sequence[Rule], facts: Sequence[Fact], find: Find, lower: ByKind) -> list[Firing]:
    """Every rule with every set of facts that fills it and that nothing of the lower layers denies."""
    firings = [Firing(rules[place], chosen) for place, chosen in filled(find, [rule.when for rule in rules], facts)]
    return [firing for firing in firings if not (firing.rule.unless and denied(firing, lower))]


def denied(firing: Firing, lower: ByKind) -> bool:
    """Whether a fact of the lower layers fits one of the rule's ``unless`` patterns."""
    bound = firing.named
    return any(fits(pattern, fact, bound) for pattern in firing.rule.unless for _, fact in lower.get(pattern.kind, ()))


def concluded(firing: Firing, vessel: str) -> Iterator[Fact]:
    """The fact that a firing adds, with the note lines, thresholds and rules that it rests on."""
    conclusion = firing.rule.concludes
    if conclusion is None:
        return
    given: dict[str, Property] = {
        name: firing.named[value.alias].properties[value.name] if isinstance(value, Reference) else value
        for name, value in conclusion.properties.items()
    }
    basis = Basis(firing.rule.id, firing.rule.thresholds)
    yield complete(conclusion.kind, {"vessel": vessel} | given, firing.facts, basis)


class Basis(NamedTuple):
    """What a fact was concluded by: a rule or gate, and the thresholds that it names."""

    rule: str
    thresholds: tuple[str, ...] = ()


def complete(kind: str, given: Mapping[str, Property], grounds: Sequence[Fact], basis: Basis) -> Fact:
    """A concluded fact with the note lines, thresholds and rules of everything that it rests on."""
    thresholds = [*basis.thresholds, *(name for one in grounds for name in one.thresholds)]
    rules = [*(name for one in grounds for name in one.rules), basis.rule]
    return Fact(
        kind,
        {**make(kind, vessel="").properties, **given},
        events=tuple(dict.fromkeys(line for one in grounds for line in one.events)),
        thresholds=tuple(dict.fromkeys(thresholds)),
        rules=tuple(dict.fromkeys(rules)),
    )


def settled(book: Rulebook, found: Conclusions) -> Conclusions:
    """One stage a track: of those that fit, the one listed last. The others are dropped, with what led to them."""
    fitting = {fact.properties["id"] for fact in found.facts if fact.kind == "stage"}
    stages = {stage.track: stage for stage in book.stages.values() if stage.id in fitting}
    standing = {stage.id for stage in stages.values()}
    return replace(
        found,
        stages=stages,
        facts=tuple(one for one in found.facts if one.kind != "stage" or one.properties["id"] in standing),
        firings=tuple(one for one in found.firings if one.rule.layer != "stage" or stage_of(one.rule) in standing),
    )


def stage_of(rule: Rule) -> str:
    """The stage that a stage rule concludes."""
    return str(rule.concludes.properties["id"]) if rule.concludes else ""
