"""What advisor and reader say, as the diary may repeat it: without private words, each quoted line with its place."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from operator import itemgetter
from typing import Any

from reefjournal.diary.shown import Shown, public
from reefjournal.diary.source import Entry
from reefjournal.problems import Problem


@dataclass(frozen=True)
class Said:
    """What may be shown, and for each file the first and last lines of its entries with their links, in order."""

    shown: Shown
    places: Mapping[str, Sequence[tuple[int, int, str]]]

    @classmethod
    def of(cls, shown: Shown, entries: Iterable[tuple[Entry, str]]) -> Said:
        """From the entries and the link to each."""
        places: dict[str, list[tuple[int, int, str]]] = {}
        for entry, href in entries:
            places.setdefault(entry.file, []).append((entry.line, entry.last_line, href))
        return cls(shown, {file: sorted(lines) for file, lines in places.items()})

    def href(self, file: str, line: int) -> str:
        """The link to the entry that holds a line; "" where none does."""
        lines = self.places.get(file, ())
        at = bisect_right(lines, line, key=itemgetter(0)) - 1
        return lines[at][2] if at >= 0 and line <= lines[at][1] else ""

    def problem(self, one: Problem) -> tuple[Problem, str]:
        """A problem and its link; what is wrong inside a private part is not for the diary to say."""
        href = self.href(one.file, one.line)
        if self.shown.is_private(one.file, one.line, one.column):
            return replace(one, message="A private part has a problem.", suggestion=""), href
        return replace(one, message=public(one.message), suggestion=public(one.suggestion)), href

    def advice(self, value: Any) -> Any:
        """Advice as plain data, or any part of it; each quoted line gets an ``href``."""
        if isinstance(value, str):
            return public(value)
        if isinstance(value, list):
            return [self.advice(one) for one in value if not self._is_private(one)]
        if not isinstance(value, dict):
            return value
        if {"file", "line", "text"} <= value.keys():
            file, line = value["file"], value["line"]
            return value | {"text": self.shown.quote(file, line, value["text"]), "href": self.href(file, line)}
        return {key: self.advice(one) for key, one in value.items()}

    def _is_private(self, row: Any) -> bool:
        """Whether a row only repeats private lines: one that was not understood, or something to be done."""
        if not isinstance(row, dict):
            return False
        lines = [row] if "may_name" in row else row["because"]["events"] if "what" in row else []
        return bool(lines) and not any(self.shown.quote(one["file"], one["line"], one["text"]) for one in lines)
