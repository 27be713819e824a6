"""What of the notes may be shown: everything but what stands between ``[[`` and ``]]``.

A private part may run over several lines. One that is never closed hides the rest of its entry, heading included, since
a slip of the pen must not publish what was meant to stay at home.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from reefjournal import events as ev
from reefjournal.diary.source import Entry

HIDDEN = "\0"
WORD = re.compile(r"\w")
_MARKS = re.compile(r"\[\[|\]\]")
_DANGLING = re.compile(r"\s*(?:--|—|–|[,;:])\s*$")


def mask(text: str) -> str:
    """The text with each private character replaced by ``HIDDEN``; line ends stay, so that places do not move."""
    text = text.replace(HIDDEN, "\N{REPLACEMENT CHARACTER}")
    pieces, at, depth = [], 0, 0
    for found in _MARKS.finditer(text):
        before, depth = depth, max(depth + (1 if found[0] == "[[" else -1), 0)
        pieces.append(_hide(text[at : found.start()], before > 0))
        pieces.append(_hide(found[0], before + depth > 0))
        at = found.end()
    return "".join([*pieces, _hide(text[at:], depth > 0)])


def _hide(text: str, private: bool) -> str:
    return re.sub(r"[^\n]", HIDDEN, text) if private else text


def unmask(masked: str) -> str:
    """Masked words without what is hidden in them, nor a separator left dangling by it."""
    if HIDDEN not in masked:
        return masked
    return _DANGLING.sub("", " ".join(masked.replace(HIDDEN, "").split()))


def public(text: str) -> str:
    """Words without their private parts."""
    return unmask(mask(text))


@dataclass(frozen=True)
class Page:
    """The lines of one entry with their private parts masked: ``title``, and the ``lines`` below the heading."""

    title: str
    lines: tuple[str, ...]
    first: int

    @classmethod
    def of(cls, entry: Entry) -> Page:
        """The masked lines of an entry; a private part that opens in the title may close below."""
        title, *lines = mask(f"{entry.title}\n{entry.text}").split("\n")
        while lines and not lines[-1].strip():
            lines.pop()
        return cls(title, tuple(lines), entry.text_line)

    def line(self, number: int) -> str:
        """The masked line of that number in the file; "" where the entry has none."""
        place = number - self.first
        return self.lines[place] if 0 <= place < len(self.lines) else ""


class Shown:
    """All lines of a journal by file and number, private parts masked: made once, asked for every quoted line."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self._lines: dict[tuple[str, int], str] = {}
        for entry in entries:
            page = Page.of(entry)
            for place, line in enumerate(page.lines):
                self._lines[entry.file, page.first + place] = line

    def quote(self, file: str, line: int, text: str) -> str:
        """The words ``text`` from that line, without what is private on it; "" where no word of it is public."""
        masked = self._lines.get((file, line), "")
        words = public(text) if HIDDEN not in masked or text in masked else unmask(masked).strip()
        return words if WORD.search(words) else ""

    def hides(self, source: ev.Source, *words: str) -> bool:
        """Whether the words an event came from begin in a private part, or one of ``words`` stands in one only."""
        masked = self._lines.get((source.file, source.line))
        piece = mask(source.text) if masked is None else masked[source.column - 1 :]
        return piece.startswith(HIDDEN) or (HIDDEN in piece and any(word not in piece for word in words))

    def is_private(self, file: str, line: int, column: int) -> bool:
        """Whether a place in the notes lies in a private part."""
        return self._lines.get((file, line), "")[column - 1 :].startswith(HIDDEN)
