"""One entry of the notes as the diary shows it: runs of prose and runs of records, in the order they were written."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from textwrap import dedent
from typing import Literal

from reefjournal import events as ev
from reefjournal.diary.shown import HIDDEN, WORD, Page, public, unmask
from reefjournal.diary.source import Entry
from reefjournal.timeline import State

_BULLET = re.compile(r"\s*(?:[-*+]|\d{1,9}[.)])\s+")
_BOX = re.compile(r"\[([ xX])\]\s*")
_HEAD = re.compile(r"([^:]{1,30}(?::\d\d[^:]{0,26})?):\s+(.*)", re.DOTALL)

Fate = Literal["read", "unread", "withdrawn"]

@dataclass(frozen=True)
class Prose:
    """Markdown in the keeper's words, without its private parts."""

    markdown: str


@dataclass(frozen=True)
class Record:
    """A record: the word it begins with, the rest, and what became of it."""

    word: str
    text: str
    fate: Fate = "read"
    reason: str = ""


@dataclass(frozen=True)
class Ledger:
    """Records written one below the other."""

    records: tuple[Record, ...]


Part = Prose | Ledger


@dataclass(frozen=True)
class Splitter:
    """Sets records apart from prose: by the events of each line, and by what the state says was withdrawn."""

    events: Mapping[tuple[str, int], Sequence[ev.AnyEvent]]
    state: State

    @classmethod
    def of(cls, events: Sequence[ev.AnyEvent], state: State) -> Splitter:
        """A splitter for a journal; a mention of an animal is prose and no record."""
        at: dict[tuple[str, int], list[ev.AnyEvent]] = {}
        for one in events:
            if not isinstance(one, ev.Mention):
                at.setdefault((one.source.file, one.source.line), []).append(one)
        return cls(at, state)

    def parts(self, entry: Entry) -> tuple[Part, ...]:
        """The parts of an entry, private words left out."""
        page = Page.of(entry)
        pieces: list[Prose | Record] = []
        for item, run in groupby(self._owned(entry, page), key=lambda owned: owned[0]):
            lines = [line for _, line in run]
            found = self._record(entry.file, item, lines) if item else _prose(lines)
            if found:
                pieces.append(found)
        return tuple(_ledgers(pieces))

    def _owned(self, entry: Entry, page: Page) -> Iterator[tuple[tuple[int, int] | None, str]]:
        """Each line with the record that it belongs to, ``None`` for prose, tables included."""
        owner: dict[int, tuple[int, int]] = {}
        for item in entry.items:
            lines = range(item.line, item.last_line + 1)
            if _BULLET.match(page.line(item.line)) and any((entry.file, line) in self.events for line in lines):
                owner.update(dict.fromkeys(lines, (item.line, item.last_line)))
        for place, line in enumerate(page.lines):
            yield owner.get(page.first + place), line

    def _record(self, file: str, item: tuple[int, int], lines: list[str]) -> Record | None:
        text = unmask(" ".join(line.strip() for line in lines)).strip()
        text = _BULLET.sub("", text, count=1)
        if not WORD.search(text):
            return None
        events = [one for line in range(item[0], item[1] + 1) for one in self.events.get((file, line), ())]
        fate, reason = self._fate(events)
        box = _BOX.match(text)
        if box:
            return Record("to do" if box[1] == " " else "done", text[box.end() :], fate, reason)
        head = _HEAD.fullmatch(text)
        return Record(head[1], head[2], fate, reason) if head else Record(_kind(events), text, fate, reason)

    def _fate(self, events: Sequence[ev.AnyEvent]) -> tuple[Fate, str]:
        for one in events:
            if isinstance(one, ev.Unread):
                return "unread", public(one.why)
        readings = [one for one in events if isinstance(one, ev.Reading)]
        discards = [(one, self.state.vessel(one.vessel).discarded(one)) for one in readings]
        withdrawn = [f"{one.analyte} withdrawn: {public(by.reason)}".removesuffix(": ") for one, by in discards if by]
        whole = bool(withdrawn) and len(withdrawn) == len(events)
        return "withdrawn" if whole else "read", "; ".join(withdrawn)


def _kind(events: Sequence[ev.AnyEvent]) -> str:
    """The word for a record that was written without one."""
    kind = events[0].kind if events else ""
    return {"reading": "test", "unread": "unclear"}.get(kind, kind)


def _prose(lines: list[str]) -> Prose | None:
    """Lines of prose; one of which nothing but its marks is left is dropped."""
    kept = [line.replace(HIDDEN, "") for line in lines
            if HIDDEN not in line or WORD.search(line.replace(HIDDEN, ""))]
    text = dedent("\n".join(kept)).strip("\n")
    return Prose(text) if text.strip() else None


def _ledgers(pieces: Sequence[Prose | Record]) -> Iterator[Part]:
    for is_record, run in groupby(pieces, key=lambda piece: isinstance(piece, Record)):
        if is_record:
            yield Ledger(tuple(one for one in run if isinstance(one, Record)))
        else:
            yield from (one for one in run if isinstance(one, Prose))
