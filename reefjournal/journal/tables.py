"""Pipe tables whose columns are analytes: one row a sample."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from reefjournal.events import AnyEvent
from reefjournal.journal.amounts import unit_at
from reefjournal.journal.dates import day_at, time_at
from reefjournal.journal.pieces import Misread, Piece
from reefjournal.journal.readings import BASIS, Sample, analyte_at, basis_name, reading, values_at
from reefjournal.journal.record import Fact, Place, Record, unknown_water
from reefjournal.journal.vocabulary import Analyte
from reefjournal.journal.words import fold

CELL = re.compile(r"(?:\\.|[^|\\])*")
EMPTY = frozenset({"", "-", "--", "---", "n/a", "?", "not tested"})
LEADS = frozenset({"date", "day", "time", "when", "vessel", "water", "tank", "where", "sample", "hour", ""})
REMARKS = frozenset({"remark", "remarks", "note", "notes", "comment", "comments"})


class Column(NamedTuple):
    """A column: an analyte with what its header says of unit or basis, or "lead" (when, where), "remark", "unknown"."""

    kind: str
    analyte: Analyte | None = None
    hint: str = ""


def cells(line: str) -> list[Piece]:
    """The cells of a row, without the pipes around it; a pipe behind a backslash belongs to its cell."""
    row = Piece(line, fold(line)).cut(0)
    start, stop = (1 if row.plain.startswith("|") else 0), len(row.plain)
    parts = []
    while start <= stop:
        match = CELL.match(row.plain, start)
        end = match.end() if match else stop
        parts.append(row.cut(start, end))
        start = end + 1
    return parts[:-1] if len(parts) > 1 and not parts[-1].plain and row.plain.endswith("|") else parts


def is_tests(record: Record, header: str) -> bool:
    """Whether some column of a table is an analyte."""
    return any(column(record, cell).kind == "analyte" for cell in cells(header) if cell.plain)


def has_slips(record: Record, header: str) -> bool:
    """Whether some column of a table is nearly an analyte."""
    return any(record.words.analytes.near(cell.plain) for cell in cells(header) if cell.plain)


def has_dates(header: str) -> bool:
    """Whether a table has a column of dates."""
    return any(cell.plain in ("date", "day") for cell in cells(header))


def column(record: Record, cell: Piece) -> Column:
    """What a header cell says."""
    if cell.plain in LEADS or cell.plain in REMARKS:
        return Column("lead" if cell.plain in LEADS else "remark")
    try:
        analyte, end, hint = analyte_at(record.words, cell)
        tail = cell.plain[end:].strip(" ()")
        tail = tail.removeprefix("in ").strip()
        if match := BASIS.fullmatch(tail):
            return Column("analyte", analyte, basis_name(analyte, match, cell.at))
        unit, stop = unit_at(tail, 0)
        if tail and (not unit or stop < len(tail)):
            return Column("unknown")
        return Column("analyte", analyte, unit or hint)
    except Misread:
        return Column("unknown")


def read_table(record: Record, lines: list[tuple[int, str]]) -> Iterator[AnyEvent]:
    """The readings of a table's source lines, each with its line number; the second line is the ruler."""
    head = _row(record, *lines[0])
    titles = cells(lines[0][1])
    columns = [column(head, cell) for cell in titles]
    for title, kind in zip(titles, columns, strict=True):
        if kind.kind == "unknown":
            near = record.words.analytes.near(title.plain)
            hint = f'Write "{near[0]}" if that is meant.' if near else "Write an analyte, date, time, vessel or remark."
            yield head.unread(f'The column "{title.written}" is not read.', hint, title.at, title.plain)
    for number, line in lines[2:]:
        yield from read_row(_row(record, number, line), columns, cells(line))


def _row(record: Record, number: int, line: str) -> Record:
    """A record that stands for one row."""
    text = line.strip()
    place = Place(record.place.file, number, [line], [text], entry=record.place.entry)
    return record._replace(place=place, text=text, piece=Piece(text, fold(text)))


def read_row(row: Record, columns: list[Column], parts: list[Piece]) -> Iterator[AnyEvent]:
    """The readings of one row."""
    for surplus in parts[len(columns) :]:
        if surplus.plain:
            yield row.unread(
                "This row has more cells than the table has columns.",
                "Add a column, or join the cells.",
                surplus.at,
                row.piece.plain,
            )
    pairs = [(kind, cell) for kind, cell in zip(columns, parts, strict=False) if cell.plain not in EMPTY]
    try:
        for _, cell in (pair for pair in pairs if pair[0].kind == "lead"):
            row = led(row, cell)
    except Misread as wrong:
        yield row.unread(wrong.message, wrong.suggestion, wrong.at or 0, row.piece.plain)
        return
    remark = "; ".join(cell.written for kind, cell in pairs if kind.kind == "remark")
    for kind, cell in pairs:
        if kind.analyte:
            yield from row.each([[Fact(cell, remark)]], lambda row, group, kind=kind: [_reading(row, group[0], kind)])  # type: ignore[misc]


def led(row: Record, cell: Piece) -> Record:
    """The row with the day, time or vessel that a cell names.

    Raises:
        Misread: it names none.
    """
    day = day_at(cell.plain)
    start = day.end if day else 0
    clock = time_at(cell.plain, start + len(cell.plain[start:]) - len(cell.plain[start:].lstrip(" ,t")))
    if day or clock:
        rest = cell.plain[clock[1] if clock else start :]
        if rest.strip():
            raise Misread(f'"{cell.written}" is no day and time.', "Write 2026-03-14 19:30.", cell.at)
        return row._replace(day=day.day if day else row.day, at=clock[0] if clock else None if day else row.at)
    if name := row.standing.water(cell.plain):
        return row._replace(vessel=name)
    if re.search(r"\d", cell.plain):
        raise Misread(f'"{cell.written}" is no date or time.', "Write 2026-03-14 or 19:30.", cell.at)
    raise unknown_water(cell, row.standing)


def _reading(row: Record, fact: Fact, kind: Column) -> AnyEvent:
    """The reading in one cell."""
    assert kind.analyte is not None
    says, end = values_at(fact.piece, 0)
    return reading(row, [fact], kind.analyte, Sample(tuple(says), kind.hint), [fact.piece.cut(end)])
