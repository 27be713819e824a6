"""An event as one line of text: how a line of the notes was understood."""

from __future__ import annotations

from datetime import time
from typing import Any

from reefjournal.events import AnyEvent

COMMON = {"source", "kind", "day", "at", "vessel"}


def told(event: AnyEvent) -> str:
    """``file:line:column: day time vessel: kind, and what it says beyond its defaults``; numbers to four digits."""
    place = f"{event.source.file}:{event.source.line}:{event.source.column}"
    moment = " ".join((str(event.day or "undated"), *([f"{event.at:%H:%M}"] if event.at else []), event.vessel))
    given = event.model_dump(exclude_defaults=True, exclude=COMMON)
    says = (f"{name.replace('_', ' ')} {_value(value)}" for name, value in given.items() if value != "")
    return f"{place}: {moment}: {event.kind}: {', '.join(says)}".rstrip(": ")


def _value(value: Any) -> str:
    """A number, a range, a reader's words, a date, a time or a text, as short as can be."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.4g}"
    if isinstance(value, dict):
        return str(value["written"])
    if isinstance(value, tuple) and len(value) == 2 and value[0] == value[1]:
        return _value(value[0])
    if isinstance(value, tuple | list):
        return " / ".join(map(_value, value))
    text = f"{value:%H:%M}" if isinstance(value, time) else str(value)
    return f'"{text}"' if isinstance(value, str) else text
