"""Tests: what a number on a kit's card means, with its unit, its basis and its interval."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import sqrt
from typing import Literal, NamedTuple

from reefjournal.events import AnyEvent, KitDefined, Reading, Value
from reefjournal.journal.amounts import Amount, amount, unit_at
from reefjournal.journal.pieces import Misread, Piece, listed
from reefjournal.journal.record import Fact, Record
from reefjournal.journal.vocabulary import Analyte
from reefjournal.quantities import BASES, CANONICAL, UNITS, Interval, Unit, basis_factor

Rank = Literal[0, 1, 2]
ZERO = re.compile(r"(?:none|zero|nil|nothing|undetectable|not detect(?:able|ed)|nd|bdl|below detection)\b")
TRACE = re.compile(r"traces?\b")
UNREADABLE = re.compile(
    r"(?:(?:was |goes |went |is |are |turned |turns )?(?:unreadable|cloudy|no match|unclear|not readable|no colou?r match"
    r"|(?:can't|cannot|could not|couldn't) (?:read|be read)))\b"
)
ABOVE = re.compile(r"(?:off|above|over) the (?:card|chart|scale)\b|maxed out\b|off scale\b")
SAYS = re.compile(r"\s*(?:[:=]|(?:is|was|now|at|reads?|still)\b(?! the))?\s*")
READERS = re.compile(r"\s+/\s+")
BASIS_WORDS = {"n": "N", "nitrogen": "N", "p": "P", "phosphorus": "P", "caco3": "CaCO3"}
BASIS = re.compile(
    r"\s*\(?as (?:(?:nh3|nh4|no2|no3|po4)-(?P<element>[np])|(?P<ion>nh3|nh4|no2|no3|po4|nitrogen|phosphorus|n|p))"
    r"(?:[+-]|\b)\)?(?![\w-])"
)
BY = re.compile(r"\s*\(?(?:(?:by|at|from) (?:the |a )?)?(?P<by>shop|lab|laboratory)\)?(?!\w)")
WITH = re.compile(r"\s*\(?(?:(?:with|by|on) (?:the )?)?(?P<kit>[^()]+?)(?: kit)?\)?\s*$")


class Said(NamedTuple):
    """One reader's words: a number in the unit written, or none; ``readable`` with no number is "off the card"."""

    written: str
    amount: Amount | None
    readable: bool = True
    trace: bool = False


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
    analyte, start, hint = analyte_at(record, piece)
    start = SAYS.match(piece.plain, start).end()  # type: ignore[union-attr]
    says, end = values_at(piece, start)
    tail = " ".join((piece.plain[end:], *(f" {fact.plain}" for fact in group[1:])))
    yield reading(record, group, analyte, says, hint, tail)


def analyte_at(record: Record, piece: Piece) -> tuple[Analyte, int, str]:
    """The analyte that a piece begins with, where it ends, and the unit or basis that the word implies.

    Raises:
        Misread: no analyte stands there.
    """
    found = record.words.analytes.find(piece.plain)
    if found is None:
        word = re.split(r"\s*[\d<>~:=]", piece.plain, maxsplit=1)[0] or piece.plain
        near = record.words.analytes.near(piece.plain)
        offer = [near[0]] if near else record.words.analytes.nearest(word)
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
    for pattern, found in ((ZERO, Amount(0, 0, "", 0)), (TRACE, Amount(0, 0, "", 0)), (UNREADABLE, None), (ABOVE, None)):
        if match := pattern.match(plain, start):
            written = piece.written[start : match.end()]
            end = match.end()
            if found is not None:
                unit, end = unit_at(plain, end)
                found = found._replace(unit=unit)
            return Said(written, found, pattern is not UNREADABLE, pattern is TRACE), end
    found = amount(plain, start)
    if found is None:
        rest = piece.cut(start)
        says = f'"{rest.written}" is no value' if rest.plain else "There is no value"
        raise Misread(f"{says}.", 'Write a number, or "none", "trace", "unreadable", "off the card".', piece.at + start)
    return Said(piece.written[start : found.end].strip(), found), found.end


def reading(
    record: Record, group: Sequence[Fact], analyte: Analyte, says: Sequence[Said], hint: str = "", tail: str = ""
) -> Reading:
    """The event of one sample's readers; ``tail`` may hold a basis, a kit, a shop or a lab, and nothing else."""
    basis, by, kit = qualifiers(record, analyte, tail, group[0].piece.at)
    basis = basis or (hint if hint and hint not in UNITS else "")
    kit = kit or (record.standing.kit(analyte.name, record.day) if by == "home" else None)
    unit = unit_of(analyte, says, hint, kit)
    readers = tuple(value(analyte, said, unit, kit, basis) for said in says)
    basis = known_basis(record, analyte, basis, kit, by) if unit.measures == "concentration" else ""
    readable = [reader for reader in readers if reader.readable]
    highs = [reader.high for reader in readable]
    return Reading(
        **record.common(group), analyte=analyte.name, unit=CANONICAL[unit.measures], readers=readers,
        readable=bool(readable), low=min((reader.low for reader in readable), default=0.0),
        high=None if None in highs or not highs else max(high for high in highs if high is not None),
        rank=max((reader.rank for reader in readable), default=2), basis=basis, kit=kit.name if kit else "", by=by,
    )  # fmt: skip


def qualifiers(
    record: Record, analyte: Analyte, tail: str, at: int
) -> tuple[str, Literal["home", "shop", "lab"], KitDefined | None]:
    """The basis, the place and the kit that the words behind a value name.

    Raises:
        Misread: the words are none of these.
    """
    basis, by, kit = "", "home", None
    while tail.strip():
        if match := BASIS.match(tail):
            basis = basis_name(analyte, match, at)
        elif match := BY.match(tail):
            by = "shop" if match["by"] == "shop" else "lab"
        elif (match := WITH.match(tail)) and (kit := record.standing.kit(analyte.name, record.day, match["kit"])):
            pass
        else:
            raise Misread(f'"{tail.strip()}" is not understood here.', 'Put a remark behind " -- ".', at)
        tail = tail[match.end() :]
    return basis, by, kit  # type: ignore[return-value]


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
        raise Misread(f'"{match[0].strip()}" is no basis of {analyte.name}.', offer, at)
    return name


def known_basis(record: Record, analyte: Analyte, basis: str, kit: KitDefined | None, by: str) -> str:
    """The basis that the record or the kit says, "" where there is none to know, else "unknown"."""
    if analyte.name not in BASES:
        return ""
    return basis or (kit.basis if kit else "") or "unknown"


def unit_of(analyte: Analyte, says: Sequence[Said], hint: str, kit: KitDefined | None) -> Unit:
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


def value(analyte: Analyte, said: Said, unit: Unit, kit: KitDefined | None, basis: str) -> Value:
    """One reader's value as an interval in the canonical unit."""
    if not said.readable:
        return Value(written=said.written, readable=False)
    steps = card(kit, unit)
    if said.amount is None:
        low, high, rank = (steps[-1] if steps else 0.0), None, 2
    elif steps:
        low, high, rank = on_card(said, unit, steps)
    else:
        low, high, rank = on_scale(said, unit, scale(analyte, kit, unit))
    if analyte.usual[analyte.unit][0] >= 0:
        low = max(low, 0.0)
    factor = basis_factor(analyte.name, basis or (kit.basis if kit else "")) if unit.measures == "concentration" else ONE
    about = bool(said.amount and said.amount.about)
    return Value(
        written=said.written, low=low * factor.low, high=None if high is None else high * factor.high,
        approximate=about, rank=rank,
    )  # fmt: skip


ONE = Interval(1.0, 1.0)


def card(kit: KitDefined | None, unit: Unit) -> tuple[float, ...]:
    """The kit's colours in the canonical unit, from zero up; none where it has no card in this sort of unit."""
    if kit is None or not kit.steps:
        return ()
    own = UNITS[kit.unit] if kit.unit else unit
    steps = tuple(own.canonical(step) for step in kit.steps) if own.measures == unit.measures else ()
    return steps if not steps or steps[0] == 0 or unit.measures != "concentration" else (0.0, *steps)


def scale(analyte: Analyte, kit: KitDefined | None, unit: Unit) -> float:
    """The smallest step in the canonical unit: the kit's resolution, or the usual one of such kits."""
    if kit and kit.resolution:
        return kit.resolution * (UNITS[kit.unit].factor if kit.unit else unit.factor)
    first = UNITS[analyte.unit]
    if first.measures == unit.measures:
        return analyte.step * first.factor
    return 0.001 if unit.measures == "gravity" else 1.0


def on_card(said: Said, unit: Unit, steps: Sequence[float]) -> tuple[float, float | None, Rank]:
    """What a value means on a card: the colour's own span, or from colour to colour where it lies between two."""
    found = said.amount
    assert found is not None
    if said.trace:
        return 0.0, steps[1] if len(steps) > 1 else None, 1
    low, high = unit.canonical(found.low), None if found.high is None else unit.canonical(found.high)
    if high is None:
        return low, None, 2
    if found.bound:
        return 0.0, high, 0 if len(steps) > 1 and high <= steps[1] * 1.001 else 2
    rank: Rank = 0 if high <= steps[0] else 1 if len(steps) > 1 and high <= steps[1] * 1.001 else 2
    if high > low:
        return low, high, rank
    index = next((i for i, step in enumerate(steps) if abs(step - low) <= 1e-6 + 0.001 * abs(step)), None)
    if index is None or found.about:
        below = [step for step in steps if step < low - 1e-6]
        above = [step for step in steps if step > low + 1e-6]
        return below[-1] if below else min(low, steps[0]), above[0] if above else None, rank
    edges = [between(a, b) for a, b in pairwise(steps)]
    return (edges[index - 1] if index else steps[0]), (edges[index] if index < len(edges) else None), rank


def between(a: float, b: float) -> float:
    """Where the eye changes from one colour to the next: the geometric midpoint, next to zero the arithmetic one."""
    return sqrt(a * b) if a > 0 else (a + b) / 2


def on_scale(said: Said, unit: Unit, step: float) -> tuple[float, float | None, Rank]:
    """What a value means on an even scale: half a step to each side, a whole one where it is about."""
    found = said.amount
    assert found is not None
    if said.trace:
        return 0.0, step, 1
    low, high = unit.canonical(found.low), None if found.high is None else unit.canonical(found.high)
    if high is None:
        return low, None, 2
    if found.bound:
        return 0.0, high, 0 if high <= step * 1.001 else 2
    rank: Rank = 0 if high <= 0 else 1 if high <= step * 1.001 else 2
    if high > low:
        return low, high, rank
    half = step if found.about else step / 2
    return low - half, high + half, rank
