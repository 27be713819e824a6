"""What advisor and reader say, as the diary may repeat it: without private words, each quoted line with its place."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from operator import itemgetter
from typing import Any

from reefjournal import events as ev
from reefjournal.diary.shown import Shown, public
from reefjournal.diary.source import Entry
from reefjournal.problems import Problem


@dataclass(frozen=True)
class Said:
    """What may be shown: for each file the first and last lines of its entries with their links, and private words."""

    shown: Shown
    places: Mapping[str, Sequence[tuple[int, int, str]]]
    secrets: tuple[str, ...]

    @classmethod
    def of(cls, shown: Shown, events: Iterable[ev.AnyEvent], entries: Iterable[tuple[Entry, str]]) -> Said:
        """From all events, and the entries with the link to each."""
        places: dict[str, list[tuple[int, int, str]]] = {}
        for entry, href in entries:
            places.setdefault(entry.file, []).append((entry.line, entry.last_line, href))
        private = {words for one in events if shown.hides(one.source) for words in _own_words(one)}
        longest_first = tuple(sorted(private, key=lambda words: (-len(words), words)))
        return cls(shown, {file: sorted(lines) for file, lines in places.items()}, longest_first)

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
        return replace(one, message=self.words(one.message), suggestion=self.words(one.suggestion)), href

    def words(self, text: str) -> str:
        """Words without what is private in them, be it without its brackets."""
        for secret in self.secrets:
            text = text.replace(secret, "…")
        return public(text)

    def advice(self, value: Any) -> Any:
        """Advice as plain data, or any part of it; each quoted line gets an ``href``."""
        if isinstance(value, str):
            return self.words(value)
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


def _own_words(event: ev.AnyEvent) -> Iterator[str]:
    """What an event repeats of the keeper's own sentences; single words of the trade give nothing away."""
    for name in ("text", "words", "reason", "remark"):
        words = getattr(event, name, "")
        if " " in words.strip():
            yield words.strip()
