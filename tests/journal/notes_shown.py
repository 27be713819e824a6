"""Notes as short lines of text, to compare with what a case file expects."""

from __future__ import annotations

from datetime import date, time
from typing import Any

from reefjournal.journal import Notes

PLAIN = {"source", "kind", "day", "at", "vessel"}


def shown(notes: Notes) -> list[str]:
    """Every event with its line, day, time and water, then every problem with its place, severity and message."""
    events = [
        " ".join((f"{event.source.line}:{event.source.column}", moment(event.day, event.at), event.vessel, event.kind, *fields(event)))
        for event in notes.events
    ]
    problems = [f"{found.line}:{found.column} {found.severity}: {found.message} {found.suggestion}".rstrip() for found in notes.problems]
    return events + problems


def fields(event: Any) -> list[str]:
    """What an event says beyond its defaults, with four significant digits."""
    given = event.model_dump(exclude_defaults=True)
    return [f"{name}={value_shown(value)}" for name, value in given.items() if name not in PLAIN]


def value_shown(value: Any) -> str:
    """A number, range, date, reader or text in few letters."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return f"{value:.4g}"
    if isinstance(value, dict):
        return str(value["written"])
    if isinstance(value, tuple | list):
        return "[" + ", ".join(map(value_shown, value)) + "]"
    return repr(value) if isinstance(value, str) else str(value)


def moment(day: date | None, at: time | None) -> str:
    """Day and time as ISO 8601 writes them, "undated" without a day."""
    return f"{day or 'undated'}{f'T{at:%H:%M}' if at else ''}"
