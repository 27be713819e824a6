"""One item of the notes while it is read: its words and place, its day and water, and what the journal knows."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, time
from functools import cached_property
from typing import Any, NamedTuple

from reefjournal.events import AnyEvent, Mention, Source, Unread
from reefjournal.journal.cards import Kit
from reefjournal.journal.pieces import Misread, Piece, bracket_at_end, divided
from reefjournal.journal.vocabulary import Animal, Vocabulary
from reefjournal.journal.words import Lexicon, fold, key
from reefjournal.problems import Problem, Severity

PUNCTUATION = str.maketrans(dict.fromkeys("-_'\"().,;:!?/*#[]{}<>|+&`~", " "))
WORD = re.compile(r"\S+")
ARTICLE = re.compile(r"^\s*(?:the|my|our)\s+")
# Brackets that hold one of these are part of the fact; any others are a remark.
DETAIL = re.compile(
    r"(?:as|from|to|since|until|every|expires|named|target|by (?:the )?(?:shop|lab))\b|shop$|lab$|stop$"
    r"|[\d.,~<>]+ ?\S+$"
)
# Names under which the same water goes, and what it is where no `vessel` says more.
SAME_WATER = (
    ("display", "display tank", "main tank", "main", "big tank", "dt"),
    ("quarantine", "qt", "quarantine tank", "hospital", "hospital tank"),
    ("mixing bin", "mixing tub", "mixing bucket", "mixing barrel", "salt bin", "mix bin"),
    ("rock bin", "curing bin", "rock tub"),
    ("top-up", "top-off", "top up", "top off", "reservoir", "top-up reservoir", "top-off reservoir", "ato"),
    ("tap", "tap water", "mains water"),
    ("ro", "rodi", "ro/di", "ro water", "rodi water", "pure water", "fresh water"),
    ("shop", "shop water"),
)
# What an unread record of some word is about, whatever else stands in it.
ABOUT = {"stock": "animal", "dose": "dose", "fed": "dose", "water": "water", "water change": "water"}
SAMPLE_POINTS = frozenset({"mixing bin", "top-up", "tap", "ro", "shop"})


@dataclass(frozen=True)
class Standing:
    """What holds for the whole journal: the waters by every name, the default one, and the kits in order of time."""

    waters: dict[str, str] = field(default_factory=dict)
    default: str = "display"
    kits: dict[str, tuple[tuple[date, Kit], ...]] = field(default_factory=dict)

    @cached_property
    def names(self) -> Lexicon[str]:
        """The waters, to look for in a text."""
        return Lexicon(self.waters)

    def water(self, name: str) -> str | None:
        """The vessel or sample point of that name."""
        return self.waters.get(name) or self.waters.get(key(ARTICLE.sub("", fold(name))))

    def kit(self, analyte: str, day: date | None, name: str = "") -> Kit | None:
        """The kit in force: the latest of that day or before."""
        for since, kit in reversed(self.kits.get(analyte, ())):
            if day and since <= day and (not name or key(kit.name) == key(name)):
                return kit
        return None


class Fact(NamedTuple):
    """A fact of a record, with the remark or the vessel in brackets that ends it."""

    piece: Piece
    remark: str = ""
    vessel: str = ""

    @property
    def plain(self) -> str:
        """The folded words."""
        return self.piece.plain


class Place(NamedTuple):
    """Where an item stands: its file, its first line, the source lines from there on, its text line by line.

    The lines of the text are joined by single spaces; ``starts`` is where each begins in the whole.
    """

    file: str
    line: int
    source: Sequence[str]
    texts: Sequence[str]
    starts: Sequence[int] = (0,)
    entry: int = 0

    def of(self, offset: int) -> tuple[int, int]:
        """Line and column, both from 1, of an offset in the item's text."""
        index = bisect_right(self.starts, max(offset, 0)) - 1
        column = max(self.source[index].find(self.texts[index]), 0) + 1
        return self.line + index, column + max(offset, 0) - self.starts[index]


class Record(NamedTuple):
    """An item with all that its words rest on. ``piece`` is what follows the record word.

    A ``trial`` only asks whether words can be read in some way: its first mistake ends it. Where ``animals`` is false
    nothing in its whole entry names an animal.
    """

    place: Place
    text: str
    piece: Piece
    day: date | None
    at: time | None
    vessel: str
    words: Vocabulary
    standing: Standing
    problems: list[Problem]
    remark: str = ""
    name: str = ""
    trial: bool = False
    animals: bool = True

    def facts(self) -> list[Fact]:
        """The facts of the record in order, brackets that are remarks taken off."""
        return [fact for part in divided(self.piece) for fact in self._fact(part)]

    def _fact(self, part: Piece) -> Iterator[Fact]:
        before, inside = bracket_at_end(part)
        if inside is None or not before.plain:
            yield Fact(part)
        elif vessel := self.standing.water(inside.plain):
            yield Fact(before, vessel=vessel)
        elif DETAIL.match(inside.plain) or self.is_kit(inside.plain):
            yield from (Fact(before), Fact(inside))
        else:
            yield Fact(before, inside.written)

    def is_kit(self, name: str) -> bool:
        """Whether some kit of the journal has that name."""
        return any(kit.name and key(kit.name) == key(name) for kits in self.standing.kits.values() for _, kit in kits)

    def groups(self, begins: Callable[[Fact], bool]) -> list[list[Fact]]:
        """Facts that begin something new, each with the facts after it that say more of it."""
        grouped: list[list[Fact]] = []
        for fact in self.facts():
            if grouped and not begins(fact):
                grouped[-1].append(fact)
            else:
                grouped.append([fact])
        return grouped

    def each(
        self, groups: Iterable[Sequence[Fact]], read: Callable[[Record, Sequence[Fact]], Iterable[AnyEvent]]
    ) -> Iterator[AnyEvent]:
        """What each group says; a group that is misread becomes a problem and an `Unread`, and the others go on."""
        for group in groups:
            try:
                yield from [*read(self, group)]
            except Misread as wrong:
                if self.trial:
                    raise
                at = wrong.at if wrong.at is not None else group[0].piece.at
                yield self.unread(wrong.message, wrong.suggestion, at, " ".join(fact.plain for fact in group))

    def common(self, group: Sequence[Fact] = (), vessel: str = "") -> dict[str, Any]:
        """What every event carries."""
        remarks = "; ".join(filter(None, (*(fact.remark for fact in group), self.remark)))
        source = self.source(group[0].piece.at if group else self.piece.at)
        water = vessel or next((fact.vessel for fact in group if fact.vessel), self.vessel)
        return {"source": source, "day": self.day, "at": self.at, "vessel": water, "remark": remarks}

    def source(self, at: int) -> Source:
        """The item's words, and the place of one of them."""
        line, column = self.place.of(at)
        return Source(file=self.place.file, line=line, column=column, text=self.text, entry=self.place.entry)

    def unread(self, message: str, suggestion: str, at: int, words: str) -> Unread:
        """An event for words that were not understood; the problem is told too.

        Raises:
            Misread: this is a trial.
        """
        if self.trial:
            raise Misread(message, suggestion, at)
        self.tell("error", message, suggestion, at)
        names = may_name(words, self.words, self.name)
        return Unread(**self.common() | {"source": self.source(at)}, text=self.text, why=message, may_name=names)

    def tell(self, severity: Severity, message: str, suggestion: str = "", at: int | None = None) -> None:
        """Note a problem at an offset of the item."""
        line, column = self.place.of(self.piece.at if at is None else at)
        self.problems.append(Problem(self.place.file, line, column, severity, message, suggestion))

    def quietly(self) -> Record:
        """The same record as a trial, whose problems are told to nobody."""
        return self._replace(problems=[], trial=True)

    def water(self, piece: Piece) -> str:
        """The vessel that a piece names.

        Raises:
            Misread: no vessel has that name.
        """
        found = self.standing.water(piece.plain)
        if found is None:
            raise unknown_water(piece, self.standing)
        return found


def unknown_water(piece: Piece, standing: Standing) -> Misread:
    """The mistake of a vessel that no `vessel` record names."""
    names = sorted(set(standing.waters.values()) - SAMPLE_POINTS) or ["display"]
    hint = f'Write one of {", ".join(names)}, or define it: "vessel: {piece.written}, 40 L".'
    return Misread(f'No vessel is called "{piece.written}".', hint, piece.at)


def animals_in(plain: str, words: Vocabulary) -> list[Animal]:
    """The animals that a folded text names."""
    text = plain.translate(PUNCTUATION)
    if words.animals.starting.keys().isdisjoint(text.split()):
        return []
    found, end = [], 0
    for match in WORD.finditer(text):
        start = match.start()
        if start >= end and match[0] in words.animals.starting and (hit := words.animals.find(text, start)):
            end = hit.end
            found.append(hit.meaning)
    return [animal for animal in found if animal.group != "none"]


def animal_slip(words: Vocabulary, plain: str, start: int) -> str:
    """An animal's name that the words at ``start`` are a slip of, if they are no other word that is known."""
    if any(lexicon.find(plain, start) for lexicon in (words.animals, words.nouns, words.devices, words.signs)):
        return ""
    found = words.animals.near(plain, start)
    return found[0] if found else ""


def may_name(plain: str, words: Vocabulary, record_word: str = "") -> tuple[str, ...]:
    """What a text that was not understood may be about: "animal", "dose", "water", analytes."""
    text = plain.translate(PUNCTUATION)[:2000]
    names, end = [ABOUT[record_word]] if record_word in ABOUT else [], 0
    for match in WORD.finditer(text):
        start = match.start()
        if start < end:
            continue
        animal, analyte = words.animals.find(text, start), words.analytes.find(text, start)
        substance = words.substances.find(text, start)
        end = max((found.end for found in (substance, analyte, animal) if found), default=0)
        if (animal and animal.meaning.group != "none") or (not end and animal_slip(words, text, start)):
            names.append("animal")
        if substance and not analyte and substance.meaning.role in ("ammonia", "tissue", "food"):
            names.append("dose")
        if analyte and (len(analyte.phrase) > 2 or analyte.phrase in ("ph", "kh")):
            names.append(analyte.meaning.name)
        elif not end and (slip := words.analytes.near(text, start)):
            names.append(words.analytes.meanings[slip[0]].name)
    return tuple(dict.fromkeys(names))


def mention(record: Record, plain: str, at: int = 0) -> Iterator[Mention]:
    """An event for words outside the grammar that name an animal."""
    if record.animals and (found := animals_in(plain, record.words)):
        groups = {animal.group for animal in found}
        group = found[0].group if len(groups) == 1 else "unknown"
        names = ", ".join(dict.fromkeys(animal.name for animal in found))
        given = record.common() | {"source": record.source(at), "remark": "", "group": group}
        yield Mention(**given, words=names)
