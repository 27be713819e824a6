"""The rulebook as text: what it holds by topic and layer, and one entry in full."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from itertools import groupby
from typing import Any

from reefjournal.advisor.rules import Rulebook
from reefjournal.advisor.shelf import Entry, Full, entries
from reefjournal.advisor.text import BLANK, URGENCY, Line, laid_out


def listed_as_json(book: Rulebook) -> str:
    """Every entry in a row."""
    return json.dumps([asdict(one) for one in entries(book)], indent=2, ensure_ascii=False)


def listed(book: Rulebook) -> str:
    """Every entry in a line, below its topic and layer."""
    return laid_out((*_listed(book), Line(f"{len(entries(book))} in all; `reefjournal rules ID` shows one in full.")))


def _listed(book: Rulebook) -> Iterator[Line]:
    for topic, of_topic in groupby(entries(book), lambda one: one.topic):
        yield Line(topic, style="strong")
        for layer, of_layer in groupby(of_topic, lambda one: one.layer):
            yield Line(layer, 2)
            yield from (Line(_entry(one), 4, "- ") for one in of_layer)
        yield BLANK


def _entry(one: Entry) -> str:
    told = ", ".join(word for word in (one.track, one.sureness) if word)
    return f"{one.id}: {one.title}" + (f" ({told})" if told else "")


def in_full_as_json(found: Sequence[Full]) -> str:
    """The rule, the gate and the stage of one id."""
    rows = [{**asdict(one.entry), "place": one.place, **one.more} for one in found]
    return json.dumps(rows, indent=2, ensure_ascii=False)


def in_full(found: Sequence[Full], *, examples: bool) -> str:
    """The rule, the gate and the stage of one id, each with everything that belongs to it."""
    return laid_out(line for one in found for line in _in_full(one, examples=examples))


def _in_full(one: Full, *, examples: bool) -> Iterator[Line]:
    entry, more = one.entry, one.more
    yield Line(_entry(entry), style="strong")
    yield Line(f"{entry.sort}, {entry.layer}; {one.place}" if entry.sort == "rule" else f"{entry.sort}; {one.place}")
    yield from (Line(f"{title}: {more[key]}") for key, title in SENTENCES.items() if more.get(key))
    if "urgency" in more:
        yield Line(f"When: {URGENCY[more['urgency']]}; rank: {more['precedence']}.")
    yield from _rows("It comes before", more.get("before", ()))
    yield from _rows("It takes the place of", more.get("covers", ()))
    yield from _rows("All of this must be so", more.get("when", ()))
    yield from _rows("Unless any of this is so", more.get("unless", ()))
    yield from _rows("Rules that lead to it", more.get("rules", ()))
    yield from _checks(more.get("checks", ()))
    yield from _rows("It is no longer spoken of once", more.get("behind", ()))
    yield from _rows("Numbers", [_number(row) for row in more.get("numbers", ())])
    yield from _rows("Sources", more.get("sources", ()))
    yield from _rows("Cautions", [f"{row['says']} {row['source']}" for row in more.get("cautions", ())])
    yield from _rows("What these look at", [f"{name}: {says}" for name, says in more.get("looks_at", {}).items()])
    yield from _examples(more.get("examples", ()), in_full=examples)
    yield BLANK


SENTENCES = {
    "means": "What it means", "says": "It says", "do": "Do", "why": "Why", "by": "By", "role": "Judged in the",
    "concludes": "It concludes", "wrong_if": "It is wrong if",
}  # fmt: skip


def _rows(title: str, rows: Sequence[str]) -> Iterator[Line]:
    if rows:
        yield from (BLANK, Line(title, style="strong"), *(Line(row, 2, "- ") for row in rows))


def _number(row: dict[str, Any]) -> str:
    spread = f" Experts differ: {row['spread']}." if row["spread"] else ""
    return f"{row['value']:g} {row['unit']}".rstrip() + f", {row['id']}: {row['means']}.{spread} {row['source']}"


def _checks(checks: Sequence[dict[str, Any]]) -> Iterator[Line]:
    """The checks of a gate, each with what meets it and what settles it."""
    for one in checks:
        yield from (BLANK, Line(f"{one['id']}: {one['says']}", style="strong"))
        yield from (Line(road, 2, "met by ") for road in one["met"])
        yield from (Line(road, 2, "unmet by ") for road in one["unmet"])
        yield Line(one["settle"], 2, "to settle it: ")


def _examples(found: Sequence[dict[str, Any]], *, in_full: bool) -> Iterator[Line]:
    if not found:
        return
    fires = sum(one["fires"] for one in found)
    yield from (BLANK, Line(f"Examples: it fires in {fires} and rests in {len(found) - fires}", style="strong"))
    if not in_full:
        yield Line("--examples shows them.", 2)
        return
    for one in found:
        yield Line(f"{'fires' if one['fires'] else 'rests'} on {one['on']}", 2, "- ")
        yield from (Line(row, 4, "| ") for row in one["journal"].splitlines() if row.strip())
