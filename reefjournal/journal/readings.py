"""Tests: what a number on a kit's card means, with its unit, its basis and its interval."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any, Literal, NamedTuple

from reefjournal.events import AnyEvent, Reading
from reefjournal.journal.amounts import Amount, amount, unit_at
from reefjournal.journal.cards import Kit, Said, value
from reefjournal.journal.pieces import Misread, Piece, listed
from reefjournal.journal.record import Fact, Record
from reefjournal.journal.vocabulary import Analyte, Vocabulary
from reefjournal.journal.words import fold
from reefjournal.quantities import BASES, CANONICAL, UNITS, Unit

Place = Literal["home", "shop", "lab"]
HOME: Place = "home"
ZERO = re.compile(r"(?:none|zero|nil|nothing|undetectable|not detect(?:able|ed)|nd|bdl|below detection)\b")
TRACE = re.compile(r"traces?\b")
UNREADABLE = re.compile(
    r"(?:(?:was |goes |went |is |are |turned |turns )?"
    r"(?:unreadable|cloudy|no match|unclear|not readable|no colou?r match"
    r"|(?:can't|cannot|could not|couldn't) (?:read|be read)))\b"
)
ABOVE = re.compile(r"(?:off|above|over) the (?:card|chart|scale)\b|maxed out\b|off scale\b")
VALUE_WORDS = (("zero", ZERO), ("trace", TRACE), ("unreadable", UNREADABLE), ("above", ABOVE))
SAYS = re.compile(r"\s*(?:[:=]|(?:is|was|now|at|reads?|still)\b(?! the))?\s*")
READERS = re.compile(r"\s+/\s+")
BASIS_WORDS = {"n": "N", "nitrogen": "N", "p": "P", "phosphorus": "P", "caco3": "CaCO3"}
BASIS = re.compile(
    r"\s*\(?as (?:(?:nh3|nh4|no2|no3|po4)-(?P<element>[np])|(?P<ion>nh3|nh4|no2|no3|po4|nitrogen|phosphorus|n|p))"
    r"(?:[+-]|\b)\)?(?![\w-])"
)
BY = re.compile(r"\s*\(?(?:(?:by|at|from) (?:the |a )?)?(?P<by>shop|lab|laboratory)\)?(?!\w)")
WITH = re.compile(r"\s*\(?(?:(?:with|by|on) (?:the )?)?(?P<kit>[^()]+?)(?: kit)?\)?\s*$")


class Sample(NamedTuple):
    """What the readers of one sample saw, and the unit or basis that the analyte's word implies."""

    readers: tuple[Said, ...]
    hint: str = ""


def read_tests(record: Record) -> Iterator[AnyEvent]:
    """The readings of a record, one a fact."""
    starts = record.words.analytes
    yield from record.each(record.groups(lambda fact: bool(starts.find(fact.plain)) or not detail(fact)), read_test)


def detail(fact: Fact) -> bool:
    """Whether a fact says more of the reading before it."""
    return bool(BASIS.fullmatch(fact.plain) or BY.fullmatch(fact.plain))


def read_test(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One analyte and the value of one to many readers."""
    piece = group[0].piece
    try:
        analyte, said, end = test_in(record.words, piece.written)
    except Misread as wrong:
        raise Misread(wrong.message, wrong.suggestion, (wrong.at or 0) + piece.at) from None
    yield reading(record, group, analyte, said, [piece.cut(end), *(fact.piece for fact in group[1:])])


@lru_cache(maxsize=8192)
def test_in(words: Vocabulary, written: str) -> tuple[Analyte, Sample, int]:
    """The analyte and values of one fact, and their end: kept, since a diary says the same few things over and over.

    Raises:
        Misread: there is none; its place counts from the start of the fact.
    """
    piece = Piece(written, fold(written))
    analyte, start, hint = analyte_at(words, piece)
    says = SAYS.match(piece.plain, start)
    readers, end = values_at(piece, says.end() if says else start)
    return analyte, Sample(tuple(readers), hint), end


def analyte_at(words: Vocabulary, piece: Piece) -> tuple[Analyte, int, str]:
    """The analyte that a piece begins with, where it ends, and the unit or basis that the word implies.

    Raises:
        Misread: no analyte stands there.
    """
    found = words.analytes.find(piece.plain)
    if found is None:
        word = re.split(r"\s*[\d<>~:=]", piece.plain, maxsplit=1)[0] or piece.plain
        near = words.analytes.near(piece.plain)
        offer = [near[0]] if near else words.analytes.nearest(word)
        hint = f'Write "{offer[0]}" if that is meant.' if offer else 'Write an analyte and its value: "ammonia 0.5".'
        raise Misread(f'"{piece.cut(0, len(word)).written}" is not known as something to test.', hint, piece.at)
    return found.meaning, found.end, found.meaning.means.get(found.phrase, "")


def values_at(piece: Piece, start: int) -> tuple[list[Said], int]:
    """What each reader of one sample saw, from ``start`` on, and where that ends."""
    says, end = [], start
    while True:
        said, end = value_at(piece, end)
        says.append(said)
        another = READERS.match(piece.plain, end)
        if another is None:
            return says, end
        end = another.end()


def value_at(piece: Piece, start: int) -> tuple[Said, int]:
    """What one reader saw, and where that ends.

    Raises:
        Misread: no value stands there.
    """
    plain = piece.plain
    for word, form in VALUE_WORDS:
        if match := form.match(plain, start):
            if word in ("unreadable", "above"):
                return Said(match[0], None, readable=word == "above"), match.end()
            unit, end = unit_at(plain, match.end())
            return Said(piece.written[start:end].strip(), Amount(0, 0, unit, end), trace=word == "trace"), end
    found = amount(plain, start)
    if found is None:
        rest = piece.cut(start)
        says = f'"{rest.written}" is no value' if rest.plain else "There is no value"
        raise Misread(f"{says}.", 'Write a number, or "none", "trace", "unreadable", "off the card".', piece.at + start)
    return Said(piece.written[start : found.end].strip(), found), found.end


def reading(
    record: Record, group: Sequence[Fact], analyte: Analyte, said: Sample, tails: Sequence[Piece] = ()
) -> Reading:
    """The event of one sample's readers; ``tails`` are the words behind their values."""
    basis, by, kit = qualifiers(record, analyte, tails)
    kit = kit or (record.standing.kit(analyte.name, record.day) if by == "home" else None)
    return Reading(**record.common(group), **measured(analyte, said, basis, by, kit))


@lru_cache(maxsize=8192)
def measured(analyte: Analyte, said: Sample, basis: str, by: Place, kit: Kit | None) -> dict[str, Any]:
    """What the readers' words mean on a kit, as the fields of a reading: kept, since values repeat."""
    basis = basis or (said.hint if said.hint in BASES.get(analyte.name, {}) else "")
    unit = unit_of(analyte, said.readers, said.hint, kit)
    readers = tuple(value(analyte, one, unit, kit, basis) for one in said.readers)
    readable = [reader for reader in readers if reader.readable]
    highs = [reader.high for reader in readable if reader.high is not None]
    known = basis or (kit.basis if kit else "") or "unknown"
    return {
        "analyte": analyte.name, "unit": CANONICAL[unit.measures], "readers": readers, "readable": bool(readable),
        "low": min((reader.low for reader in readable), default=0.0),
        "high": max(highs) if highs and len(highs) == len(readable) else None,
        "rank": max((reader.rank for reader in readable), default=2),
        "basis": known if analyte.name in BASES else "", "kit": kit.name if kit else "", "by": by,
    }  # fmt: skip


def qualifiers(record: Record, analyte: Analyte, tails: Sequence[Piece]) -> tuple[str, Place, Kit | None]:
    """The basis, the place and the kit that the words behind a value name.

    Raises:
        Misread: the words are none of these.
    """
    basis, kit = "", None
    by: Place = HOME
    for tail in tails:
        rest = tail
        while rest.plain:
            if match := BASIS.match(rest.plain):
                basis = basis_name(analyte, match, rest.at)
            elif match := BY.match(rest.plain):
                by = "shop" if match["by"] == "shop" else "lab"
            elif (match := WITH.match(rest.plain)) and (
                kit := record.standing.kit(analyte.name, record.day, match["kit"])
            ):
                pass
            else:
                known = record.words.analytes.find(rest.plain)
                hint = "Put a comma in front." if known else 'Put a remark behind " -- ".'
                raise Misread(f'"{rest.written}" is not understood here.', hint, rest.at)
            rest = rest.cut(match.end())
    return basis, by, kit


def basis_name(analyte: Analyte, match: re.Match[str], at: int) -> str:
    """The basis of this analyte that "as ..." names.

    Raises:
        Misread: it is a basis of something else.
    """
    word = match["element"] or match["ion"]
    name = BASIS_WORDS.get(word, word.upper())
    known = BASES.get(analyte.name, {})
    if name not in known:
        offer = f"Write as {listed([*known])}." if known else f"{analyte.name.capitalize()} needs none."
        raise Misread(f"{name} is no basis of {analyte.name}.", offer, at)
    return name


def unit_of(analyte: Analyte, says: Sequence[Said], hint: str, kit: Kit | None) -> Unit:
    """The unit of a sample's values: as written, as the word or the kit says, or the usual one that they fit.

    Raises:
        Misread: none or several fit.
    """
    amounts = [said.amount for said in says if said.amount]
    written = next((found.unit for found in amounts if found.unit), "") or (hint if hint in UNITS else "")
    name = written or (kit.unit if kit else "")
    if name == "mg/L" and "mg/L CaCO3" in analyte.usual:
        name = "mg/L CaCO3"
    fitting = [unit for unit in analyte.usual if all(fits(analyte, unit, found) for found in amounts)]
    if not name:
        if len(fitting) > 1 and amounts and all(found.high == 0 for found in amounts):
            fitting = fitting[:1]
        if len(fitting) != 1 and amounts:
            raise unfitting(analyte, fitting, says)
        return UNITS[fitting[0]]
    unit = UNITS.get(name)
    measures = {UNITS[usual].measures for usual in analyte.usual}
    if unit is None or unit.measures not in measures:
        raise Misread(f"{name} is no unit of {analyte.name}.", f"Write it in {listed([*analyte.usual])}.")
    if not all(possible(analyte, unit, found) for found in amounts):
        raise unfitting(analyte, [], says)
    return unit


def unfitting(analyte: Analyte, fitting: Sequence[str], says: Sequence[Said]) -> Misread:
    """The mistake of a value that no unit fits, or several do."""
    written = says[0].written
    if fitting:
        forms = [f'"{analyte.name} {written} {unit}"' for unit in fitting]
        return Misread(f"{analyte.name} {written} may be in {listed([*fitting])}.", f"Write {listed(forms)}.")
    spans = [f"{low:g} to {high:g} {unit}" for unit, (low, high) in analyte.usual.items()]
    return Misread(f"{analyte.name} {written} is outside what can be.", f"Usual is {listed(spans)}.")


def fits(analyte: Analyte, unit: str, found: Amount) -> bool:
    """Whether a value without a unit is one that is usual in this unit."""
    ends = [end for end in ((found.low if not found.bound else None), found.high) if end is not None] or [found.low]
    spans = [analyte.usual[unit], *([analyte.also[unit]] if unit in analyte.also else [])]
    return any(all(low <= end <= high for end in ends) for low, high in spans)


def possible(analyte: Analyte, unit: Unit, found: Amount) -> bool:
    """Whether a value with its unit lies in the whole span of usual ones."""
    same = [name for name in analyte.usual if UNITS[name].measures == unit.measures]
    spans = [UNITS[name].canonical(end) for name in same for end in (*analyte.usual[name], *analyte.also.get(name, ()))]
    low, high = unit.canonical(found.low), unit.canonical(found.low if found.high is None else found.high)
    return (found.bound or low >= min(spans) - 1e-9) and high <= max(spans) * 1.0001
