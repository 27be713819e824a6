"""Marks of what was noted by a day: the same for the same notes and program, however the notes go on after it."""

from __future__ import annotations

import hashlib
from bisect import bisect_right
from collections.abc import Iterable
from datetime import date
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any

from reefjournal import __version__
from reefjournal.events import AnyEvent


class Marks:
    """The marks of a journal's days."""

    def __init__(self, events: Iterable[AnyEvent]) -> None:
        """One mark for each day of the events; those without a day count for every day."""
        self.days: list[date] = []
        self.marks: list[str] = []
        total = hashlib.sha256(program().encode())
        ordered = sorted(events, key=lambda event: event.earliest)
        for day, own in groupby(ordered, key=lambda event: event.earliest.date()):
            total.update(repr([told(one) for one in own]).encode())
            self.days.append(day)
            self.marks.append(total.hexdigest())

    def by(self, day: date) -> str:
        """The mark of everything that was noted by the end of a day."""
        place = bisect_right(self.days, day)
        return self.marks[place - 1] if place else program()


def mark(*parts: object) -> str:
    """One short mark of several things."""
    return hashlib.sha256(repr(parts).encode()).hexdigest()[:32]


def told(event: AnyEvent) -> tuple[Any, ...]:
    """All that an event says, and where it stands among its neighbours."""
    source = event.source
    rest = (getattr(event, name) for name in _fields(type(event)))
    return (source.file, source.line, source.column, source.entry, source.text, *rest)


@cache
def _fields(kind: type[AnyEvent]) -> tuple[str, ...]:
    return tuple(name for name in kind.model_fields if name != "source")


@cache
def program() -> str:
    """The program as it is installed: a source that is worked on changes it as a new version does."""
    stats = ((path.name, path.stat()) for path in sorted(Path(__file__).parent.rglob("*.py")))
    return repr((__version__, [(name, one.st_size, one.st_mtime_ns) for name, one in stats]))
