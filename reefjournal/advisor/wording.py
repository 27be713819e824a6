"""Texts with places to fill: ``{alias.property}``, ``{@threshold}`` and ``{amount}``, each with an optional format."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping

from reefjournal.advisor.rules import Slot, Template, Threshold
from reefjournal.facts import Fact, Property

THRESHOLD = "@"
AMOUNT = "amount"
OPEN_UPWARDS = 1e9
SLOT = re.compile(r"\{(?P<name>@?[\w-]+(?:\.[\w-]+)?)(?::(?P<spec>[^{}]*))?\}|[{}]")


def template(text: str) -> Template:
    """``text`` taken apart.

    Raises:
        ValueError: a brace that opens no place, or a format that no number has; the message shows the words.
    """
    return Template(text, tuple(part for part in pieces(text) if part))


def pieces(text: str) -> Iterator[str | Slot]:
    """The plain parts and the places of ``text``, in turn."""
    end = 0
    for found in SLOT.finditer(text):
        yield text[end : found.start()]
        end = found.end()
        if found["name"] is None:
            raise ValueError(f'"{found[0]}" stands alone; a place to fill is written {{alias.property}}')
        yield slot(found["name"], found["spec"] or "")
    yield text[end:]


def slot(name: str, spec: str) -> Slot:
    """One place; its format is tried on a number at once."""
    try:
        format(1.0, spec)
    except ValueError:
        raise ValueError(f'"{spec}" is no number format; write for example .2g or .1f') from None
    if name.startswith(THRESHOLD):
        return Slot(THRESHOLD, name[1:], spec)
    alias, _, prop = name.partition(".")
    return Slot(alias, prop, spec)


def fill(
    words: Template, facts: Mapping[str, Fact], thresholds: Mapping[str, Threshold], amount: str = ""
) -> str:
    """The text with every place filled. What is not known is called unknown."""
    return "".join(part if isinstance(part, str) else filled(part, facts, thresholds, amount) for part in words.parts)


def filled(part: Slot, facts: Mapping[str, Fact], thresholds: Mapping[str, Threshold], amount: str) -> str:
    """What stands in one place."""
    if part.alias == THRESHOLD:
        limit = thresholds[part.name]
        return f"{limit.value:{part.spec}} {limit.unit}".rstrip() if part.spec else limit.written
    if part.alias == AMOUNT:
        return amount
    return shown(facts[part.alias].properties.get(part.name, ""), part.spec)


def shown(value: Property, spec: str = "") -> str:
    """A property as a reader sees it."""
    if isinstance(value, str):
        return value or "unknown"
    if value >= OPEN_UPWARDS:
        return "no known limit"
    return format(value, spec or ".3g") if math.isfinite(value) else "unknown"
