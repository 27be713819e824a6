"""From the entries of all files to events in time order: waters and kits first, since they hold for all of them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from functools import partial
from itertools import accumulate, combinations, pairwise, starmap

from reefjournal.events import (
    SHOWN_BY,
    AnyEvent,
    Check,
    Discard,
    Job,
    KitDefined,
    Mention,
    Reading,
    Seen,
    Source,
    Unread,
    VesselDefined,
    waters,
)
from reefjournal.journal.cards import Kit
from reefjournal.journal.entries import Entry, ItemRead, Section, with_water
from reefjournal.journal.items import WORDS, is_record_like, read_item, read_stray
from reefjournal.journal.pieces import Piece, listed
from reefjournal.journal.record import Place, Record, Standing, animals_in, mention
from reefjournal.journal.tables import has_dates, has_slips, is_tests, read_table
from reefjournal.journal.vocabulary import Vocabulary
from reefjournal.journal.waters import waters_by_name
from reefjournal.journal.words import fold, key
from reefjournal.markdown import Block
from reefjournal.problems import Problem
from reefjournal.quantities import BASES

DEFINITION = re.compile(r"(?:\[\[)?\s*(?:\d\S*\s+(?:[ap]m\s+)?)?(vessel|kit)s?\b[^:]{0,40}:")
TELLING = re.compile(
    r"[\s>#*+|_<!`\"'-]*(?:[\[(\d☐☑✓✔]|[^.,]{1,40}[:=;]|\S{1,20} (?:\S{1,20} )?[~<>]?[\d.,]*\d|(?P<first>[a-z0-9+/]+))"
)
OUTSIDE = "it stands outside any dated entry"
GLUED = "it hangs on the item above"
PARAGRAPH = "it stands in a paragraph"
HIDDEN = "it stands in code, a quote or a comment"
TITLE = "it stands in a heading"
NAMED = {"dose": ("dose",), "fed": ("dose",), "water": ("water",)}
AHEAD = "its day lies after those of the entries below it"

Row = tuple[tuple[date, time, int, int], int, Block, AnyEvent]


@dataclass(frozen=True)
class Notes:
    """All that was read: events in time order, problems in order of place, entries in time order."""

    events: tuple[AnyEvent, ...]
    problems: tuple[Problem, ...]
    entries: tuple[Entry, ...]


def read_sections(sections: Sequence[Section], words: Vocabulary, problems: list[Problem], today: date | None) -> Notes:
    """The notes of all files' sections; ``today`` is the day after which a date is in the future."""
    ordered = sorted(sections, key=lambda section: (*moment(section), section.rest.plain, section.text))
    standing = standing_of(ordered, words)
    dated = [with_water(section, standing, problems) for section in ordered]
    rows: list[Row] = []
    for rank, section in enumerate(dated):
        animals = bool(animals_in(fold(f"{section.title} {section.text}"), words))
        rows.extend(_rows(rank, section, Reader(section, standing, words, problems, animals)))
    rows.extend(_doubts(dated, rows, {(one.file, one.line): next_ for one, next_ in ahead(sections)}, problems))
    rows.sort(key=lambda row: row[0])
    rows = [*_with_days_done(rows)]
    problems.extend((*_unlikely_days(dated, rows, today), *_unknown_bases(rows), *_nothing_withdrawn(rows)))
    return Notes(tuple(row[3] for row in rows), tuple(sorted(set(problems))), _entries(dated, rows))


def moment(section: Section) -> tuple[date, time]:
    """The order of entries in time: those without a day first, then by day, those without a time first."""
    return section.day or date.min, section.at or time.min


def _rows(rank: int, section: Section, reader: Reader) -> Iterator[Row]:
    """A section's events with what sorts them: day, the last time written above them, entry, order in it."""
    clock, sequence = section.at, 0
    for block in section.blocks:
        for event in reader.block(block):
            clock = event.at or clock
            same_day = event.day == section.day
            order = (event.day or date.min, (clock if same_day else event.at) or time.min, rank, sequence)
            yield order, rank, block, event
            sequence += 1


def ahead(sections: Sequence[Section]) -> Iterator[tuple[Section, Section]]:
    """Entries that lie in time after three of the next five of their file, which go on from those before: each, and
    the first that it overtakes.

    A day that was mistyped into the future lies so; of notes that were written down late there are seldom so many.
    """
    files: dict[str, list[Section]] = {}
    for section in sections:
        if section.day and not section.preamble:
            files.setdefault(section.file, []).append(section)
    for own in files.values():
        last: Section | None = None
        for place, one in enumerate(own):
            overtaken = [other for other in own[place + 1 : place + 6] if is_later(one, other)]
            first = next((run[0] for run in combinations(overtaken, 3) if goes_on(last, run)), None)
            if first is not None:
                yield one, first
            else:
                last = one


def goes_on(last: Section | None, run: Sequence[Section]) -> bool:
    """Whether some entries go on in time from the last one, over more than a day of their own."""
    rising = not any(starmap(is_later, pairwise([last, *run] if last else run)))
    return rising and run[0].day != run[-1].day


def is_later(one: Section, other: Section) -> bool:
    """Whether an entry surely lies after another in time."""
    if one.day != other.day:
        return (one.day or date.min) > (other.day or date.min)
    return one.at is not None and other.at is not None and one.at > other.at


def _doubts(
    sections: Sequence[Section], rows: Sequence[Row], overtaken: Mapping[tuple[str, int], Section],
    problems: list[Problem],
) -> Iterator[Row]:
    """For each entry whose day can hardly be right a line without a day: what it tells may be so on any day."""
    for rank, section in enumerate(sections):
        other = overtaken.get((section.file, section.line))
        if other is None:
            continue
        says = f"This entry lies in time after those below it, the next of {other.day}; its day may be a slip."
        hint = "Mend the date or, if it is right, move the entry to its place in time."
        problems.append(Problem(section.file, section.line, 1, "error", says, hint))
        named: dict[str, list[str]] = {section.vessel or "": []}
        for _, of, _, event in rows:
            for vessel in waters(event) if of == rank else ():
                named.setdefault(vessel, []).extend(_named_by(event))
        text = section.lines[section.line - 1].strip("# ")
        source = Source(file=section.file, line=section.line, column=1, text=text, entry=section.line)
        for vessel, names in named.items():
            may_name = tuple(dict.fromkeys(names))
            doubt = Unread(source=source, day=None, vessel=vessel, text=text, may_name=may_name, why=AHEAD)
            yield (date.min, time.min, rank, 0), rank, section.blocks[0], doubt


def _named_by(event: AnyEvent) -> tuple[str, ...]:
    """What a line that holds an event may name, as a line that is not understood tells it."""
    if isinstance(event, Unread):
        return event.may_name
    if isinstance(event, Reading):
        return (event.analyte,)
    shown = isinstance(event, Seen) and event.sign in SHOWN_BY
    withdrawn = isinstance(event, Discard) and event.what == "stock"
    alive = shown or withdrawn or event.kind in ("stock", "mention", "treat")
    return ("animal",) if alive else NAMED.get(event.kind, ())


def _with_days_done(rows: Sequence[Row]) -> Iterator[Row]:
    """A job written anew as done was done that day; one ticked where it first stands was done on a day unknown."""
    opened: dict[str, int] = {}
    for order, rank, block, event in rows:
        done = event
        if isinstance(event, Job):
            first = opened.setdefault(key(event.text), rank)
            if event.done and event.done_on is None and first != rank:
                done = event.model_copy(update={"done_on": event.day})
        yield order, rank, block, done


def standing_of(sections: Sequence[Section], words: Vocabulary) -> Standing:
    """The waters and kits that the records of all entries define; those without a day only lend their names."""
    texts = [(section, block) for section in sections if not section.preamble for block in section.blocks]
    found: list[AnyEvent] = []
    for section, block in texts:
        if block.kind == "item" and DEFINITION.match(fold(block.text[:80])):
            found.extend(Reader(section, Standing(), words, []).block(block))
    vessels = [event for event in found if isinstance(event, VesselDefined)]
    names = list(dict.fromkeys(event.vessel for event in sorted(vessels, key=lambda event: event.day is None)))
    kits = [event for event in found if isinstance(event, KitDefined) and event.day]
    return Standing(
        waters_by_name(names),
        next((event.vessel for event in vessels if event.day), "display"),
        {name: tuple(_dated(kit) for kit in kits if kit.analyte == name) for name in {kit.analyte for kit in kits}},
    )


def _dated(kit: KitDefined) -> tuple[date, Kit]:
    return kit.day or date.max, Kit(kit.name, kit.basis, kit.unit, kit.steps, kit.resolution)


def _unlikely_days(sections: Sequence[Section], rows: Sequence[Row], today: date | None) -> Iterator[Problem]:
    """Warnings for entries in the future, or more than a year before the first vessel."""
    first = next((row[3].day for row in rows if isinstance(row[3], VesselDefined) and row[3].day), None)
    for section in sections:
        if section.day is None:
            continue
        if today and section.day > today:
            yield Problem(
                section.file, section.line, 1, "warning", "This day is in the future.", "Mend the date, or leave it."
            )
        if first and first.toordinal() - section.day.toordinal() > 366:
            says = f"This is more than a year before the first vessel ({first})."
            yield Problem(section.file, section.line, 1, "warning", says, "Mend the year, or leave it.")


def _unknown_bases(rows: Sequence[Row]) -> Iterator[Problem]:
    """A warning where the basis of a kit's numbers first widens a reading."""
    told = set()
    for *_, event in rows:
        if (
            isinstance(event, Reading)
            and event.day
            and event.basis == "unknown"
            and (event.analyte, event.kit, event.by) not in told
        ):
            told.add((event.analyte, event.kit, event.by))
            bases = listed([*BASES[event.analyte]])
            says = f"Does this {event.analyte} count as {bases}? All are reckoned with."
            hint = f'Write it once: "kit: {event.analyte}, as {[*BASES[event.analyte]][-1]}".'
            yield Problem(event.source.file, event.source.line, event.source.column, "warning", says, hint)


def _nothing_withdrawn(rows: Sequence[Row]) -> Iterator[Problem]:
    """An error for each record that withdraws the readings of a time at which there was none before it."""
    times: dict[tuple[str, str, date | None], set[time | None]] = {}
    for *_, event in rows:
        if isinstance(event, Reading) or (isinstance(event, Check) and event.method == "dilution"):
            times.setdefault((event.vessel, event.analyte, event.day), set()).add(event.at)
    for *_, event in rows:
        if not isinstance(event, Discard) or event.clock is None or event.what == "stock" or event.day is None:
            continue
        read = times.get((event.vessel, event.what, event.first), set())
        later = datetime.combine(event.first, event.clock) > event.latest
        if event.clock in read and not later:
            continue
        says = f"No {event.what} was read in the {event.vessel} at {event.clock:%H:%M} on {event.first}."
        known = listed([f"{one:%H:%M}" for one in sorted(filter(None, read))][:5])
        hint = f"Noted that day: {known}." if known else "Leave the time out, or mend the day or the vessel."
        hint = "A record can only withdraw what was read before it." if later else hint
        yield Problem(event.source.file, event.source.line, event.source.column, "error", says, hint)


def _entries(sections: Sequence[Section], rows: Sequence[Row]) -> tuple[Entry, ...]:
    """The entries in time order, each with the lines that hold its events."""
    places: list[dict[tuple[int, int], list[int]]] = [{} for _ in sections]
    for index, (_, rank, block, event) in enumerate(rows):
        if not isinstance(event, Mention):
            places[rank].setdefault((block.line, block.last), []).append(index)
    return tuple(
        Entry(
            section.file, section.line, section.last_line, section.day, section.at, section.vessel or "", section.title,
            section.text, tuple(ItemRead(*lines, tuple(indexes)) for lines, indexes in sorted(place.items())),
            section.preamble, section.text_line,
        )
        for section, place in zip(sections, places, strict=True)
    )  # fmt: skip


@dataclass(frozen=True)
class Reader:
    """Reads the blocks of one section."""

    section: Section
    standing: Standing
    words: Vocabulary
    problems: list[Problem]
    animals: bool = True

    def record(self, first: int, texts: list[str]) -> Record:
        """Text of the section's lines as one record to be read."""
        section, text = self.section, " ".join(texts)
        vessel = section.vessel or self.standing.default
        starts = (0, *accumulate(len(line) + 1 for line in texts[:-1]))
        lines = section.lines[first - 1 : first - 1 + len(texts)]
        place = Place(section.file, first, lines, texts, starts, section.line)
        piece = Piece(text, fold(text)).cut(0)
        return Record(
            place,
            text,
            piece,
            section.day,
            section.at,
            vessel,
            self.words,
            self.standing,
            self.problems,
            animals=self.animals,
        )

    def block(self, block: Block) -> Iterator[AnyEvent]:
        """The events of one block."""
        section = self.section
        if block.kind == "table":
            yield from self.table(block)
        elif block.kind == "heading" and block.line == section.line and not section.preamble:
            if self.animals:
                record = self.record(block.line, block.text.split("\n"))
                yield from mention(record, record.piece.plain)
        elif block.kind == "heading":
            # The title of a file names what the notes are about, not what lives there now.
            titled = replace(self, animals=False) if section.preamble else self
            yield from titled.lines(block.line, block.text.split("\n"), TITLE)
        elif block.kind == "hidden":
            yield from self.lines(block.line, section.lines[block.line - 1 : block.last], HIDDEN)
        elif section.preamble:
            yield from self.lines(block.line, block.text.split("\n"), OUTSIDE)
        elif block.kind == "item":
            yield from self.item(block)
        elif "|" in block.text and is_tests(self.record(block.line, []), block.text.split("\n")[0]):
            record = self.record(block.line, block.text.split("\n"))
            hint = "Write a line of |---|---| under its header, with as many columns."
            yield record.unread("This looks like a table without its ruler.", hint, 0, record.piece.plain)
        else:
            yield from self.lines(block.line, block.text.split("\n"), PARAGRAPH)

    def item(self, block: Block) -> Iterator[AnyEvent]:
        """The events of an item, and of lines glued to it that look like records of their own."""
        texts = block.text.split("\n")
        more = range(1, len(texts))
        glued = next((i for i in more if self.is_glued(texts[i - 1], texts[i], block.line + i)), len(texts))
        start = len(self.problems)
        events = [*read_item(self.record(block.line, texts[:glued]))]
        self.problems[start:] = map(partial(self.with_blank_line, block.line), self.problems[start:])
        yield from events if self.section.vessel is not None else map(self.waterless, events)
        if glued < len(texts):
            yield from self.lines(block.line + glued, texts[glued:], GLUED)

    def with_blank_line(self, first: int, problem: Problem) -> Problem:
        """An error of an item with prose glued to it says how prose is set apart."""
        below = self.section.lines[first : first + 1]
        if problem.severity != "error" or not below or not below[0][:1].isalpha():
            return problem
        hint = f"{problem.suggestion} Prose below an item needs a blank line above it."
        return replace(problem, suggestion=hint.strip())

    def is_glued(self, before: str, text: str, line: int) -> bool:
        """Whether a wrapped line looks like a record of its own; one that goes on behind a comma does not."""
        goes_on = before.rstrip().endswith((",", ";", ":"))
        return not goes_on and self.is_telling(text) and is_record_like(self.record(line, [text]))

    def is_telling(self, text: str) -> bool:
        """Whether a line of prose may look like a record, by its first words."""
        match = TELLING.match(fold(text[:80]))
        if match is None:
            return False
        first = match["first"]
        return first is None or first in WORDS.starting or first in self.words.analytes.starting

    def lines(self, first: int, texts: Sequence[str], why: str) -> Iterator[AnyEvent]:
        """Lines on which records are not read."""
        for number, text in enumerate(texts, first):
            if self.is_telling(text) or (self.animals and animals_in(fold(text), self.words)):
                yield from read_stray(self.record(number, [text.strip()]), why)

    def table(self, block: Block) -> Iterator[AnyEvent]:
        """A pipe table, read where its columns are analytes and its rows have a day."""
        rows = list(enumerate(self.section.lines[block.line - 1 : block.last], block.line))
        record = self.record(block.line, [rows[0][1].strip()])
        if not is_tests(record, rows[0][1]) and not has_slips(record, rows[0][1]):
            yield from self.lines(block.line, [row for _, row in rows], "no column of this table is something to test")
        elif self.section.preamble and not has_dates(rows[0][1]):
            message = "This table stands outside any dated entry and has no column of dates."
            yield record.unread(message, 'Add a column "date", or move it into an entry.', 0, record.piece.plain)
        else:
            yield from read_table(record, rows)

    def waterless(self, event: AnyEvent) -> AnyEvent:
        """What is written under a heading with an unknown vessel is not evidence in any other."""
        if isinstance(event, (Mention, Unread)):
            return event
        given = {name: getattr(event, name) for name in ("source", "day", "at", "vessel", "remark")}
        why = "the vessel in the heading is not known"
        return Unread(**given, text=event.source.text, why=why, may_name=_named_by(event))
