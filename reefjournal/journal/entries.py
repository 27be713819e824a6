"""Dated entries: where they begin and end, and what a heading says of day, time, water and title."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time
from typing import NamedTuple

from reefjournal.journal.dates import date_inside, day_at, looks_like_date, time_at, write_date
from reefjournal.journal.pieces import Misread, Piece
from reefjournal.journal.record import SAMPLE_POINTS, Standing, unknown_water
from reefjournal.journal.words import fold
from reefjournal.markdown import Block, blocks
from reefjournal.problems import Problem, Severity

# What stands in front of a date that was meant as a heading, and what shows that it was.
MARKS = re.compile(r"[\s#*_>|\\=-]*")
LOST_HEADING = re.compile(r"\s{0,3}(?:#{1,7}(?=\S)|\*\*|__)")
MAYBE_DATED = re.compile(
    r"^[ \t]*(?:[#*_>\d]|mon|tue|wed|thu|fri|sat|sun|ja|fe|ma|ap|ju|au|se|oc|no|de)", re.MULTILINE | re.IGNORECASE
)
AFTER_DATE = re.compile(r"(?:\s*[,:;.]?\s+|t)(?:at\s+)?")
BRACKETS = re.compile(r"\(([^()]*)\)\s*[:,-]?\s*")
COLON = re.compile(r"([^:\d]{1,30}?)\s*:(?:\s|$)")
BRACKET_COLON = re.compile(r"\(([^()]*)\)\s*:")
# What makes another date, or another word, of what seemed a date.
FEW_WORDS = re.compile(r".{1,24}(?!\S)")
RUNS_ON = re.compile(r"[a-su-z0-9/]|t(?!\d)|\s*(?:to|until|-)\s*\d")
NOTHING = Piece("", "")


class ItemRead(NamedTuple):
    """Lines of an entry that hold records or doubts, with the places of their events among all events."""

    line: int
    last_line: int
    events: tuple[int, ...]


@dataclass(frozen=True)
class Entry:
    """A dated entry, or text without a day (``day`` is ``None``: a preamble, or below a heading with a mistake).

    ``text`` is the raw Markdown below the heading, private parts still in, and begins on ``text_line``; lines count
    from 1 and include ``last_line``.
    """

    file: str
    line: int
    last_line: int
    day: date | None
    at: time | None = None
    vessel: str = ""
    title: str = ""
    text: str = ""
    items: tuple[ItemRead, ...] = ()
    preamble: bool = False
    text_line: int = 0


class Section(NamedTuple):
    """An entry while it is read: its blocks, the source lines of its file, and what its heading says.

    ``rest`` is the heading behind day and time. ``vessel`` is ``None`` where the heading names one that is not known.
    """

    file: str
    lines: list[str]
    blocks: list[Block]
    line: int = 1
    level: int = 0
    day: date | None = None
    at: time | None = None
    rest: Piece = NOTHING
    preamble: bool = False
    last_line: int = 0
    vessel: str | None = ""
    title: str = ""

    @property
    def text(self) -> str:
        """The raw text below the heading."""
        return "\n".join(self.lines[self.text_line - 1 : self.last_line]).rstrip("\n")

    @property
    def text_line(self) -> int:
        """The first line below the heading that is not blank."""
        first = self.blocks[0].last if self.level else self.line - 1
        written = (place for place in range(first, self.last_line) if self.lines[place])
        return next(written, self.last_line) + 1


def sections(file: str, text: str, problems: list[Problem]) -> Iterator[Section]:
    """The entries of a file in the order of its lines, with its preamble and what belongs to no entry."""
    lines = text.split("\n")
    current = Section(file, lines, [], preamble=True)
    for block in (part for whole in blocks(text) for part in with_lost_headings(whole)):
        opened = opened_by(current, block, problems) if block.kind == "heading" else None
        if opened:
            if current.blocks:
                yield current._replace(last_line=block.line - 1)
            current = opened
        current.blocks.append(block)
    if current.blocks:
        yield current._replace(last_line=len(lines))


def with_lost_headings(block: Block) -> Iterator[Block]:
    """The block, or its parts where a line inside it was meant as a dated heading: such a line has level 0."""
    if block.kind not in ("item", "paragraph") or not MAYBE_DATED.search(block.text):
        yield block
        return
    texts, first = block.text.split("\n"), 0
    for index, line in enumerate(texts):
        most = 80 if index or len(texts) == 1 else 50
        if (index or block.kind == "paragraph") and is_lost_heading(line, most):
            if index > first:
                before = "\n".join(texts[first:index])
                yield block._replace(line=block.line + first, last=block.line + index - 1, text=before)
            yield Block("heading", block.line + index, block.line + index, line, 0)
            first = index + 1
    if first == 0:
        yield block
    elif first < len(texts):
        yield Block("paragraph", block.line + first, block.last, "\n".join(texts[first:]), block.level)


def is_lost_heading(line: str, most: int) -> bool:
    """Whether a line was meant as a dated heading: no space behind its marks, bold, or a short one without marks."""
    marks = MARKS.match(line)
    date_part = fold(line[marks.end() if marks else 0 :][:40])
    if not looks_like_date(date_part):
        return False
    short = len(line) < most and not line.rstrip().endswith((".", ","))
    return bool(LOST_HEADING.match(line)) or (short and is_date(date_part))


def is_date(plain: str) -> bool:
    """Whether a folded text begins with a date."""
    try:
        return day_at(plain) is not None
    except Misread:
        return False


def opened_by(current: Section, block: Block, problems: list[Problem]) -> Section | None:
    """The section that a heading opens; ``None`` for a sub-heading."""
    piece, column = heading(current.lines[block.line - 1], block)
    new = Section(current.file, current.lines, [], block.line, max(block.level, 1), rest=piece, title=piece.written)
    try:
        found = day_at(piece.plain)
        if found is None and not looks_like_date(piece.plain):
            if date_inside(piece.plain):
                says = "A date that does not stand first in its heading opens no entry."
                problems.append(Problem(new.file, block.line, column, "warning", says, "Write the date first."))
            return new._replace(preamble=True) if block.level <= current.level or current.preamble else None
        if block.level == 0:
            raise Misread(
                "This is no heading, so what follows has no day.", 'Write "##", a space, and the date in front.'
            )
        if found is None or RUNS_ON.match(piece.plain, found.end):
            words = FEW_WORDS.match(piece.plain)
            says = f'"{piece.cut(0, words.end() if words else 20).written}" is no date, so what follows has no day.'
            raise Misread(says, write_date(piece.plain))
        after = AFTER_DATE.match(piece.plain, found.end)
        start = after.end() if after else found.end
        clock = time_at(piece.plain, start)
    except Misread as wrong:
        problems.append(Problem(new.file, block.line, column, "error", wrong.message, wrong.suggestion))
        return new
    if found.truly:
        says = f"This day is a {found.truly}."
        problems.append(Problem(new.file, block.line, column, "warning", says, "Mend the weekday or the date."))
    rest = piece.cut(clock[1] if clock else start)
    return new._replace(day=found.day, at=clock[0] if clock else None, rest=rest._replace(at=rest.at + column - 1))


def heading(line: str, block: Block) -> tuple[Piece, int]:
    """The words of a heading without marks, and the column where they begin."""
    written = block.text.replace("\n", " ")
    marks = MARKS.match(written) if block.level == 0 else None
    piece = Piece(written, fold(written)).cut(marks.end() if marks else 0)._replace(at=0)
    return piece, max(line.find(piece.written[:40]), 0) + 1


def with_water(section: Section, standing: Standing, problems: list[Problem]) -> Section:
    """The section with the vessel and title that its heading names; a vessel that is not known is told."""
    if section.preamble:
        return section
    if section.day is None:
        return section._replace(vessel=standing.default)
    rest = section.rest
    try:
        name, end = water_in(rest, standing)
    except Misread as wrong:
        sure: Severity = "error" if rest.plain.startswith("(") else "warning"
        problems.append(Problem(section.file, section.line, rest.at + 1, sure, wrong.message, wrong.suggestion))
        return section._replace(vessel=None if sure == "error" else standing.default, title=rest.written)
    return section._replace(vessel=name or standing.default, title=rest.written[end:].lstrip(":-–, "))


def water_in(rest: Piece, standing: Standing) -> tuple[str, int]:
    """The vessel that a heading names in brackets, in front of a colon or of the title, and where its name ends.

    Raises:
        Misread: a name stands in that place, and it is no vessel's.
    """
    plain = rest.plain
    if match := BRACKETS.match(plain):
        if name := standing.water(match[1]):
            return name, match.end()
        raise unknown_water(rest.cut(*match.span(1)), standing)
    found = standing.names.find(plain)
    if found and (found.meaning not in SAMPLE_POINTS or plain[found.end :].lstrip().startswith(":")):
        return found.meaning, found.end
    if not found and (slip := standing.names.near(plain)):
        raise unknown_water(rest.cut(0, slip[1]), standing)
    colon = COLON.match(plain) if ":" in plain else None
    if colon and not found and colon[1].count(" ") < 2:
        raise unknown_water(rest.cut(*colon.span(1)), standing)
    bracket = BRACKET_COLON.search(plain) if "(" in plain else None
    if bracket and standing.water(bracket[1]) is None:
        raise unknown_water(rest.cut(*bracket.span(1)), standing)
    return "", 0
