"""Dated entries: where they begin and end, and what a heading says of day, time, water and title."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, time
from typing import NamedTuple

from reefjournal.journal.dates import WRITE, day_at, looks_like_date, time_at
from reefjournal.journal.pieces import Misread, Piece
from reefjournal.journal.record import SAMPLE_POINTS, Standing, unknown_water
from reefjournal.journal.words import fold, key, one_slip
from reefjournal.markdown import Block, blocks
from reefjournal.problems import Problem, Severity

# What stands in front of a date that was meant as a heading.
MARKS = re.compile(r"^[\s#*_>|\\=-]*")
LOST_HEADING = re.compile(r"^\s{0,3}(?:#{1,7}(?=\S)|\*\*|__)")
AFTER_DATE = re.compile(r"(?:\s*[,:;.]?\s+|t)(?:at\s+)?")
BRACKETS = re.compile(r"\(([^()]*)\)\s*[:,-]?\s*")
COLON = re.compile(r"([^:\d]{1,30}?)\s*:\s+")


class ItemRead(NamedTuple):
    """Lines of an entry that hold records or doubts, with the places of their events among all events."""

    line: int
    last_line: int
    events: tuple[int, ...]


@dataclass(frozen=True)
class Entry:
    """A dated entry, or text without a day (``day`` is ``None``: a preamble, or below a heading with a mistake).

    ``text`` is the raw Markdown below the heading, private parts still in, and begins on ``text_line``; lines count from
    1 and include ``last_line``.
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


@dataclass(frozen=True)
class Section:
    """An entry while it is read: its blocks, the source lines of its file, and its heading behind day and time.

    ``lost`` says that its heading is wrong: its records have no day, or (``vessel`` is then ``None``) no water.
    """

    file: str
    lines: list[str]
    line: int
    level: int = 0
    day: date | None = None
    at: time | None = None
    rest: Piece = Piece("", "")
    preamble: bool = False
    last_line: int = 0
    vessel: str | None = ""
    title: str = ""
    blocks: list[Block] = field(default_factory=list)

    @property
    def text(self) -> str:
        """The raw text below the heading."""
        return "\n".join(self.lines[self.text_line - 1 : self.last_line]).rstrip("\n")

    @property
    def text_line(self) -> int:
        """The first line below the heading that is not blank."""
        first = self.line - 1 if self.preamble and not self.level else self.blocks[0].last if self.level else self.line
        written = (place for place in range(first, self.last_line) if self.lines[place])
        return next(written, self.last_line) + 1


def sections(file: str, text: str, problems: list[Problem]) -> Iterator[Section]:
    """The entries of a file in the order of its lines, with its preamble and what belongs to no entry."""
    lines = text.split("\n")
    current = Section(file, lines, 1, preamble=True)
    for block in (part for whole in blocks(text) for part in _split_at_lost_headings(whole, lines)):
        opened = _opened(current, block, problems)
        if opened is not current:
            yield replace(current, last_line=block.line - 1)
            current = opened
        current.blocks.append(block)
    yield replace(current, last_line=len(lines))


def _split_at_lost_headings(block: Block, lines: list[str]) -> Iterator[Block]:
    """The block, or its parts where a line inside it was meant as a dated heading."""
    if block.kind not in ("item", "paragraph") or not any(map(str.isdigit, block.text)):
        yield block
        return
    texts, first = block.text.split("\n"), 0
    for index, line in enumerate(texts):
        if _lost_heading(line, alone=len(texts) == 1, inside=bool(index), item=block.kind == "item"):
            if index > first:
                yield block._replace(line=block.line + first, last=block.line + index - 1, text="\n".join(texts[first:index]))
            yield Block("heading", block.line + index, block.line + index, line, 9)
            first = index + 1
    if first == 0:
        yield block
    elif first < len(texts):
        yield Block("paragraph", block.line + first, block.last, "\n".join(texts[first:]), block.level)


def _lost_heading(line: str, *, alone: bool, inside: bool, item: bool) -> bool:
    """Whether a line that is no heading was meant as a dated one: no space behind the marks, bold, or no marks at all."""
    marks = MARKS.match(line)
    start = marks.end() if marks else 0
    if not looks_like_date(fold(line[start : start + 40])):
        return False
    if LOST_HEADING.match(line):
        return not item or inside
    return (alone or inside) and not item and bool(day_or_none(fold(line))) and len(line) < 80 and not line.rstrip().endswith((".", ","))


def day_or_none(plain: str) -> date | None:
    """The date that a folded text begins with, if there is one."""
    try:
        found = day_at(plain)
    except Misread:
        return None
    return found.day if found else None


def _opened(current: Section, block: Block, problems: list[Problem]) -> Section:
    """The section that a block belongs to: a new one where it is a heading that begins or ends an entry."""
    if block.kind != "heading":
        return current
    line = current.lines[block.line - 1]
    written = " ".join(block.text.split("\n"))
    piece = Piece(written, fold(written)).cut(0)
    piece = piece.cut(marks.end() if (marks := MARKS.match(piece.written)) and block.level == 9 else 0)
    column = max(line.find(piece.written[:40]), 0)
    new = Section(current.file, current.lines, block.line, block.level)
    try:
        found = day_at(piece.plain)
        if block.level == 9 or (found is None and looks_like_date(piece.plain)) or (found and _runs_on(piece.plain, found.end)):
            lost = f'"{piece.cut(0, 20).written}" is no date in a heading' if block.level != 9 or found is None else "This is no heading"
            raise Misread(f"{lost}: what follows has no day.", WRITE.replace("a date as", '"##", a space, and a date:' if block.level == 9 else "a date as"))
        if found is None:
            ends = block.level <= current.level or current.preamble
            return replace(new, preamble=True, rest=piece, title=written) if ends else current
        if found.truly:
            problems.append(Problem(new.file, block.line, column + 1, "warning", f"This day is a {found.truly}.", "Mend the weekday or the date."))
        start = after.end() if (after := AFTER_DATE.match(piece.plain, found.end)) else found.end
        clock = time_at(piece.plain, start)
        rest = piece.cut(clock[1] if clock else start)
    except Misread as wrong:
        problems.append(Problem(new.file, block.line, column + 1, "error", wrong.message, wrong.suggestion))
        return replace(new, rest=piece, title=written)
    return replace(new, day=found.day, at=clock[0] if clock else None, rest=rest._replace(at=rest.at + column))


def _runs_on(plain: str, end: int) -> bool:
    """Whether what follows a date makes another date of it, or another word."""
    return bool(re.match(r"[a-su-z0-9/]|t(?!\d)|\s*(?:to|until|-|–)\s*\d", plain[end:]))


def with_water(section: Section, standing: Standing, problems: list[Problem]) -> Section:
    """The section with the vessel and title that its heading names; a vessel that is not known is told."""
    if section.preamble or section.day is None:
        return section if section.preamble else replace(section, vessel=standing.default)
    rest = section.rest
    try:
        name, end = _water_of(rest, standing)
    except Misread as wrong:
        severity: Severity = "error" if rest.plain.startswith("(") else "warning"
        problems.append(Problem(section.file, section.line, rest.at + 1, severity, wrong.message, wrong.suggestion))
        return replace(section, vessel=None if severity == "error" else standing.default, title=rest.written)
    title = rest.cut(end).written.lstrip(":-–, ")
    return replace(section, vessel=name or standing.default, title=title)


def _water_of(rest: Piece, standing: Standing) -> tuple[str, int]:
    """The vessel that a heading names in brackets, in front of a colon or of the title, and where its name ends.

    Raises:
        Misread: a name stands in that place, and it is no vessel's.
    """
    if match := BRACKETS.match(rest.plain):
        if name := standing.water(match[1]):
            return name, match.end()
        raise unknown_water(rest.cut(*match.span(1)), standing)
    colon = COLON.match(rest.plain + " ")
    if colon and (name := standing.water(colon[1])):
        return name, min(colon.end(), len(rest.plain))
    words = list(re.finditer(r"[^\s:,]+", rest.plain))[:4]
    for match in reversed(words):
        name = standing.water(rest.plain[: match.end()])
        if name and name not in SAMPLE_POINTS:
            return name, match.end()
        if not name and any(one_slip(key(rest.plain[: match.end()]), known) for known in standing.waters if len(known) > 3):
            raise unknown_water(rest.cut(0, match.end()), standing)
    if colon and colon[1].count(" ") < 2:
        raise unknown_water(rest.cut(*colon.span(1)), standing)
    bracket = re.search(r"\(([^()]*)\)\s*:", rest.plain)
    if bracket and standing.water(bracket[1]) is None:
        raise unknown_water(rest.cut(*bracket.span(1)), standing)
    return "", 0
