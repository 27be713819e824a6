"""The rulebook to look things up in: everything with an id that stands in it, in a line and in full."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import PurePath
from typing import Any, Literal

from reefjournal.advisor import in_words
from reefjournal.advisor.rules import LAYERS, Gate, Rule, Rulebook, Stage, Step

Sort = Literal["rule", "gate", "stage"]


@dataclass(frozen=True)
class Entry:
    """A rule, gate or stage in a line: ``topic`` is its file, ``track`` that of a stage and of the rules to it."""

    id: str
    sort: Sort
    topic: str
    layer: str
    title: str
    sureness: str = ""
    track: str = ""


@dataclass(frozen=True)
class Full:
    """An entry with everything that belongs to it, as plain data; what does not apply is left out of ``more``."""

    entry: Entry
    place: str
    more: dict[str, Any] = field(default_factory=dict)


def entries(book: Rulebook) -> tuple[Entry, ...]:
    """Everything, by topic and layer, in the order of the files."""
    found = [entry for name in dict.fromkeys((*book.stages, *book.rules, *book.gates)) for entry in called(book, name)]
    order = (*LAYERS, "stage of a track")
    return tuple(sorted(found, key=lambda one: (one.topic, order.index(one.layer))))


def called(book: Rulebook, name: str) -> Iterator[Entry]:
    """The stage, the rule and the gate of an id, as far as there are: a stage may be called like the rule to it."""
    if stage := book.stages.get(name):
        yield Entry(name, "stage", _topic(book, "stage", name), "stage of a track", stage.name, track=stage.track)
    if rule := book.rules.get(name):
        yield Entry(name, "rule", _topic(book, "rule", name), rule.layer, rule.title, rule.sureness, _track(book, rule))
    if gate := book.gates.get(name):
        yield Entry(name, "gate", _topic(book, "gate", name), "gate", gate.name)


def _topic(book: Rulebook, sort: Sort, name: str) -> str:
    return PurePath(book.places[sort, name].file.name).stem


def _track(book: Rulebook, rule: Rule) -> str:
    named = str(rule.concludes.properties["id"]) if rule.concludes and rule.layer == "stage" else ""
    return book.stages[named].track if named in book.stages else ""


def nearest(book: Rulebook, name: str) -> list[str]:
    """The ids that are most like a name that is none."""
    ids = [*book.rules, *book.gates, *book.stages]
    return get_close_matches(name, ids, 3, 0.5) or [one for one in ids if name in one][:3]


def in_full(book: Rulebook, name: str) -> tuple[Full, ...]:
    """Everything that an id calls, with all that belongs to it; empty where it calls nothing."""
    return tuple(Full(one, str(book.places[one.sort, name]), _more(book, one)) for one in called(book, name))


def _more(book: Rulebook, one: Entry) -> dict[str, Any]:
    if one.sort == "rule":
        return _rule(book, book.rules[one.id])
    return _gate(book, book.gates[one.id]) if one.sort == "gate" else _stage(book, book.stages[one.id])


def _rule(book: Rulebook, rule: Rule) -> dict[str, Any]:
    return {
        "says": in_words.text(rule.says, book.thresholds),
        **(_step(book, rule.step) if rule.step else {}),
        "when": in_words.clause(rule.when, book.thresholds),
        "unless": in_words.clause(rule.unless, book.thresholds),
        "concludes": in_words.concluded(rule.concludes) if rule.concludes else "",
        "wrong_if": rule.wrong_if,
        "numbers": _numbers(book, rule.thresholds),
        "sources": [book.sources[name].cited for name in rule.sources],
        "cautions": _cautions(book, rule.step.cautions if rule.step else ()),
        "looks_at": dict(in_words.kinds((*rule.when, *rule.unless))),
        "examples": [
            {"on": str(one.on), "vessel": one.vessel, "fires": one.fires, "journal": one.journal.strip()}
            for one in rule.examples
        ],
    }


def _step(book: Rulebook, step: Step) -> dict[str, Any]:
    by = f"{step.by_days:g} days" if step.by_days is not None else ""
    by += f" from [{step.by_from}]" if step.by_from else ""
    return {
        "do": in_words.text(step.do, book.thresholds),
        "why": in_words.text(step.why, book.thresholds),
        "urgency": step.urgency,
        "precedence": step.precedence,
        "by": f"[{step.by_fact.alias}: {step.by_fact.name}]" if step.by_fact else by,
        "before": sorted(step.before),
        "covers": sorted(step.covers),
    }


def _gate(book: Rulebook, gate: Gate) -> dict[str, Any]:
    checks = [
        {
            "id": one.id,
            "says": in_words.text(one.says, book.thresholds),
            "met": in_words.roads(one.met, book.thresholds),
            "unmet": in_words.roads(one.unmet, book.thresholds),
            "settle": in_words.text(one.settle, book.thresholds),
        }
        for one in gate.checks
    ]
    patterns = [one for check in gate.checks for clause in (*check.met, *check.unmet) for one in clause]
    return {
        "role": gate.role,
        "checks": checks,
        "behind": in_words.roads(gate.behind, book.thresholds),
        "numbers": _numbers(book, tuple(dict.fromkeys(name for one in patterns for name in one.thresholds))),
        "looks_at": dict(in_words.kinds(patterns)),
    }


def _stage(book: Rulebook, stage: Stage) -> dict[str, Any]:
    led = [rule.id for rule in book.layer("stage") if rule.concludes and rule.concludes.properties["id"] == stage.id]
    return {"means": stage.means, "rules": led}


def _numbers(book: Rulebook, names: tuple[str, ...]) -> list[dict[str, Any]]:
    limits = [book.thresholds[name] for name in names]
    return [
        {"id": one.id, "value": one.value, "unit": one.unit, "means": one.means, "spread": one.spread,
         "source": book.sources[one.source].cited}
        for one in limits
    ]  # fmt: skip


def _cautions(book: Rulebook, names: tuple[str, ...]) -> list[dict[str, str]]:
    return [{"id": name, "says": book.cautions[name].says, "source": book.sources[book.cautions[name].source].cited}
            for name in names]  # fmt: skip
