"""Reading one rule: its patterns, its texts, what it concludes or asks for, and its examples."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from reefjournal.advisor.known import Known
from reefjournal.advisor.patterns import Conditions, clause, identifier
from reefjournal.advisor.rules import (
    LAYERS,
    SURENESS,
    Clause,
    Concluded,
    Example,
    Layer,
    Pattern,
    Reference,
    Rule,
)
from reefjournal.advisor.step_reader import STEP, step
from reefjournal.advisor.tables import Table
from reefjournal.advisor.texts import Texts, without_orders
from reefjournal.facts import KINDS, Property

RULE_LAYERS = tuple(layer for layer in LAYERS if layer != "gate")
CONCLUSIONS: Mapping[str, tuple[str, ...]] = {
    "trust": ("doubt",), "evidence": ("process",), "stage": ("stage",), "diagnosis": ("process",), "advice": (),
}  # fmt: skip
REQUIRED: Mapping[str, tuple[str, ...]] = {"doubt": ("verdict",), "process": ("name", "state"), "stage": ("id",)}
COMMON = ("id", "layer", "title", "says", "when", "unless", "sureness", "source", "wrong_if", "example")


def rule(table: Table, known: Known) -> Rule | None:
    """One rule, ``None`` where anything in it is wrong."""
    name = identifier(table, "id")
    layer = table.choice("layer", RULE_LAYERS)
    if layer not in RULE_LAYERS:
        return None
    table.allow(*COMMON, *(STEP if layer == "advice" else ("concludes",)))
    when = clause(table.tables("when"), layer, known.thresholds)
    if not when and not table.broken:
        table.wrong("", f"{table.called} has no [[rule.when]].", "A rule looks at one fact at least.")
    texts = Texts(table, known.thresholds, {pattern.alias: pattern.kind for pattern in when})
    found = Rule(
        id=name,
        layer=layer,
        title=table.text("title"),
        says=texts.read("says", required=layer in {"trust", "diagnosis"}),
        when=when,
        unless=denials(table, layer, known, when),
        concludes=concluded(table, layer, known, when),
        step=step(texts, known) if layer == "advice" else None,
        sureness=table.choice("sureness", SURENESS, "likely"),
        wrong_if=table.text("wrong_if", ""),
        sources=sources(table, known),
        examples=tuple(example(inner) for inner in table.tables("example")),
    )
    without_orders(table, "title", "says", "why", owned=found.step.gives if found.step else "")
    return None if table.broken else found


def sources(table: Table, known: Known) -> tuple[str, ...]:
    """The sources of a rule, one at least."""
    found = table.references("source", "source", known.sources)
    if not found and not table.broken:
        table.wrong("", f"{table.called} has no source.", 'Write source = ["…"] with ids from sources.toml.')
    return found


def denials(table: Table, layer: Layer, known: Known, when: Clause) -> Clause:
    """The ``unless`` patterns: each stands alone, and may look at the facts that fill ``when``."""
    aliases = {pattern.alias: pattern.kind for pattern in when}
    found: list[Pattern] = []
    for inner in table.tables("unless"):
        found += clause(iter([inner]), layer, known.thresholds, aliases)
    return tuple(found)


def concluded(table: Table, layer: Layer, known: Known, when: Clause) -> Concluded | None:
    """The fact that a rule adds. A doubt is about the first reading; a stage knows its track; both know their rule."""
    allowed = CONCLUSIONS[layer]
    if "concludes" not in table.data or not allowed:
        if layer in {"trust", "evidence", "stage"}:
            table.wrong("", f"{table.called} has no [rule.concludes].", f'Its fact is "{allowed[0]}".')
        return None
    inner = table.inner(("concludes",), table.data["concludes"], "concludes")
    kind = inner.choice("fact", allowed)
    if kind not in allowed:
        return None
    given = read_properties(inner, kind, known, when)
    for key in REQUIRED[kind]:
        if key not in inner.data:
            inner.wrong("", f'{inner.called}: "{key}" is missing.')
    if kind == "doubt":
        given = of_reading(inner, when) | given
    if kind == "stage" and "id" in given and inner.choice("id", known.stages) in known.stages:
        given["track"] = known.stages[inner.text("id")].track
    if "rule" in KINDS[kind].properties:
        given["rule"] = table.text("id")
    return Concluded(kind, given)


def read_properties(inner: Table, kind: str, known: Known, when: Clause) -> dict[str, Property | Reference]:
    """The properties that a rule concludes: plain values, thresholds, or ``same_as`` a matched fact's."""
    inner.allow("fact", *KINDS[kind].properties)
    aliases = {pattern.alias: pattern.kind for pattern in when} | {"": kind}
    reader = Conditions(inner, known.thresholds, aliases, "")
    read = [one for key in inner.data if key in KINDS[kind].properties for one in reader.read(key)]
    for one in read:
        if one.op != "=":
            inner.wrong(one.name, f'{inner.called}: "{one.name}" must be a value, or same_as.', key=one.name)
    return {one.name: one.right for one in read}


def of_reading(inner: Table, when: Clause) -> dict[str, Property | Reference]:
    """What a doubt takes over from the reading that it is about, the first pattern of the rule."""
    if not when or when[0].kind != "reading":
        inner.wrong("", f"{inner.called}: a doubt is about a reading.", 'The first [[rule.when]] asks for "reading".')
        return {}
    return {name: Reference(when[0].alias, name) for name in ("id", "analyte", "day", "written", "age_days")}


def example(table: Table) -> Example:
    """A small journal on which the rule must fire, or must not."""
    table.allow("journal", "on", "fires", "vessel")
    fires = table.data.get("fires")
    if not isinstance(fires, bool):
        table.wrong("fires", f'{table.called}: "fires" must be true or false.', key="fires")
    on = table.value("on", date, "a date", None) or date.min
    if isinstance(on, datetime) and on.tzinfo is not None:
        table.wrong("on", f'{table.called}: "on" names a time zone; notes are in local time, leave it out.', key="on")
    return Example(table.text("journal"), on, bool(fires), table.text("vessel", ""))
