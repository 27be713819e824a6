"""Test kits, and tests of the tests: blanks, standards, diluted samples, other kits, shops and labs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from reefjournal.events import AnyEvent, Check, KitDefined, Reading
from reefjournal.journal.amounts import NUMBER, number, unit_at
from reefjournal.journal.dates import day_at, month_end
from reefjournal.journal.pieces import Misread
from reefjournal.journal.readings import BASIS, Sample, analyte_at, basis_name, measured, qualifiers, reading, values_at
from reefjournal.journal.record import Fact, Record
from reefjournal.journal.vocabulary import Analyte
from reefjournal.quantities import BASES, UNITS, Interval

CARD = re.compile(rf"(?:(?:colou?r )?card|steps|colou?rs)\s*:?\s*((?:{NUMBER}[\s/]*)+)")
RESOLUTION = re.compile(rf"(?:resolution|reads to|steps of|resolves)\s*:?\s*({NUMBER})")
EXPIRES = re.compile(r"(?:expires|expiry|expired|good until|best before|use by)\s*:?\s*(?:end of |in )?(.+)")
NAMED = re.compile(r"(?:named|name|called)\s*:?\s*(.+)")
NUMBERS = re.compile(rf"(?:{NUMBER}[\s/]*)+")
SHOWED = r"(?:read|reads|shows|showed|said)?"
PARTS = rf"(?:1\s*:\s*(?P<parts>{NUMBER})|1 in (?P<total>{NUMBER}))"
METHODS: tuple[tuple[Any, re.Pattern[str]], ...] = (
    ("blank", re.compile(rf"(?:blank|zero test|zero sample|on (?:ro|pure) water)\b\s*:?\s*{SHOWED}")),
    ("dilution", re.compile(rf"(?:diluted?\s*)?{PARTS}\s*(?:diluted|dilution)?\s*,?\s*{SHOWED}\b")),
    ("shop", re.compile(r"(?:(?:by|at) (?:the |a )?)?shop\b\s*(?:read|reads|said)?")),
    ("lab", re.compile(r"(?:(?:by|at) (?:the |a )?)?lab(?:oratory)?\b\s*(?:read|reads|said)?")),
    ("other kit", re.compile(r"(?:(?:by|with) )?(?:an?other|other|second) kit\b\s*(?:read|reads|showed|shows)?")),
)  # fmt: skip
STANDARD = re.compile(r"(?:standard|known sample|reference)(?: of)?\s*")
READ = re.compile(r"\s*,?\s*(?:read|reads|shows|showed|gave|gives)\b")
HINT = 'Write "blank 0.2", "standard 1.0 as NH4 read 1.5", "1:4 diluted read 0.6" or "by shop 0" behind the analyte.'


def read_kit(record: Record) -> Iterator[AnyEvent]:
    """The test kit of a record."""
    yield from record.each([record.facts()], kit)


def kit(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """A kit from its facts: analyte first, then basis, card, resolution, unit, expiry and name in any order."""
    if not group:
        raise Misread(
            "A kit needs what it tests.", 'Write "kit: nitrite, as NO2, card 0 0.2 0.6 1.5 4".', record.piece.at
        )
    analyte, end, hint = analyte_at(record.words, group[0].piece)
    given: dict[str, Any] = {"unit" if hint in UNITS else "basis": hint} if hint else {}
    if group[0].remark:
        given["name"] = group[0].remark
    first = [Fact(group[0].piece.cut(end))] if group[0].plain[end:].strip(" :") else []
    for fact in (*first, *group[1:]):
        if NUMBERS.fullmatch(fact.plain) and given.get("steps"):
            given["steps"] += numbers(fact.plain)
        else:
            given |= kit_fact(record, analyte, fact)
    steps = given.get("steps", ())
    if steps and (len(steps) < 2 or list(steps) != sorted(set(steps))):
        raise Misread(
            "The steps of a card rise.", "Write them from the lowest up: card 0 0.2 0.6 1.5 4.", group[0].piece.at
        )
    yield KitDefined(**record.common(group), analyte=analyte.name, **given)


def kit_fact(record: Record, analyte: Analyte, fact: Fact) -> dict[str, Any]:
    """What one fact says of a kit.

    Raises:
        Misread: it says nothing that a kit has.
    """
    plain = fact.plain
    named = NAMED.fullmatch(plain)
    if named or record.is_kit(plain):
        return {"name": fact.piece.written[named.start(1) if named else 0 :]}
    if match := BASIS.fullmatch(plain):
        return {"basis": basis_name(analyte, match, fact.piece.at)}
    if match := CARD.match(plain):
        return {"steps": numbers(match[1]), **unit_behind(analyte, fact, match.end())}
    if match := RESOLUTION.match(plain):
        return {"resolution": number(match[1]), **unit_behind(analyte, fact, match.end())}
    if match := EXPIRES.fullmatch(plain):
        return {"expires": expiry(fact, match[1])}
    if unit_at(plain.removeprefix("in "), 0)[0]:
        return unit_behind(analyte, Fact(fact.piece.cut(3 if plain.startswith("in ") else 0)), 0)
    hint = "A kit has a basis (as NO2), card steps or a resolution, an expiry, and a name (named blue)."
    raise Misread(f'"{fact.piece.written}" is not understood of a kit.', hint, fact.piece.at)


def numbers(plain: str) -> tuple[float, ...]:
    """The numbers of a card."""
    return tuple(number(word) for word in re.findall(NUMBER, plain))


def unit_behind(analyte: Analyte, fact: Fact, start: int) -> dict[str, str]:
    """The unit that ends a fact of a kit, if one does.

    Raises:
        Misread: other words end it.
    """
    if not (rest := fact.plain[start:].strip()):
        return {}
    unit, end = unit_at(rest, 0)
    unit = "mg/L CaCO3" if unit == "mg/L" and analyte.name == "alkalinity" else unit
    measures = {UNITS[usual].measures for usual in analyte.usual}
    if end < len(rest) or unit not in UNITS or UNITS[unit].measures not in measures:
        raise Misread(
            f'"{rest}" is no unit of {analyte.name}.', f"Leave it out, or write {analyte.unit}.", fact.piece.at
        )
    return {"unit": unit}


def expiry(fact: Fact, plain: str) -> date:
    """The last day on which reagents are good: a date, or the end of a month."""
    found = day_at(plain)
    day = found.day if found and found.end == len(plain) else month_end(plain)
    if day is None:
        raise Misread(f'"{fact.piece.written}" names no date.', "Write expires 2027-05 or 2027-05-31.", fact.piece.at)
    return day


def read_check(record: Record) -> Iterator[AnyEvent]:
    """The tests of tests of a record, one a fact."""
    yield from record.each(record.groups(lambda fact: bool(record.words.analytes.find(fact.plain))), check)


def check(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One test of a test: the analyte, the method, and what the kit showed."""
    piece = group[0].piece
    analyte, start, hint = analyte_at(record.words, piece)
    start = re.compile(r"[\s:,]*").match(piece.plain, start).end()  # type: ignore[union-attr]
    if match := STANDARD.match(piece.plain, start):
        yield from standard(record, group, analyte, match.end())
        return
    found = ((name, match) for name, form in METHODS if (match := form.match(piece.plain, start)))
    method: Any
    method, match = next(found, ("", None))
    if match is None:
        raise Misread("This does not say how the test was tested.", HINT, piece.at + start)
    says, end = values_at(piece, re.compile(r"[\s:,]*").match(piece.plain, match.end()).end())  # type: ignore[union-attr]
    basis, _, own = qualifiers(record, analyte, [piece.cut(end), *(fact.piece for fact in group[1:])])
    kit_ = own or (record.standing.kit(analyte.name, record.day) if method in ("blank", "dilution") else None)
    shown = measured(analyte, Sample(tuple(says), hint), basis, "home", kit_)
    parts = water_parts(match) if method == "dilution" else None
    given = {"value": shown["readers"][0], "kit": shown["kit"], "parts": parts}
    yield Check(**record.common(group), analyte=analyte.name, method=method, **given)


def water_parts(match: re.Match[str]) -> float:
    """Parts of pure water to one part of the sample: 4 in "1:4" and in "1 in 5"."""
    return number(match["parts"]) if match["parts"] else number(match["total"]) - 1


def standard(record: Record, group: Sequence[Fact], analyte: Analyte, start: int) -> Iterator[AnyEvent]:
    """A known standard: what it should have shown, and what the kit showed."""
    piece = group[0].piece
    known, end = values_at(piece, start)
    read = READ.search(piece.plain, end)
    if read is None:
        raise Misread("This does not say what the kit showed.", 'Write "standard 1.0 as NH4 read 1.5".', piece.at + end)
    expected = reading(record, group, analyte, Sample(tuple(known)), [piece.cut(end, read.start())])
    says, last = values_at(piece, read.end() + len(piece.plain[read.end() :]) - len(piece.plain[read.end() :].lstrip()))
    shown = reading(
        record, group, analyte, Sample(tuple(says), standard_basis(record, analyte, expected)), [piece.cut(last)]
    )
    exact = stated(analyte, known[0].amount.low if known[0].amount else 0.0, expected)
    yield Check(
        **record.common(group), analyte=analyte.name, method="standard", value=shown.readers[0], expected=exact,
        kit=shown.kit,
    )  # fmt: skip


def standard_basis(record: Record, analyte: Analyte, expected: Reading) -> str:
    """A kit of unknown basis is held against a standard in the standard's own basis."""
    kit = record.standing.kit(analyte.name, record.day)
    return "" if kit and kit.basis else expected.basis.replace("unknown", "")


def stated(analyte: Analyte, number_: float, expected: Reading) -> Interval:
    """A standard's value as stated, in the canonical unit: no card makes it vaguer."""
    factors = BASES.get(analyte.name, {"": 1.0})
    known = [factors[expected.basis]] if expected.basis in factors else [*factors.values()]
    return Interval(number_ * min(known), number_ * max(known))
