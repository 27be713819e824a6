"""Numbers as keepers write them: bounds, ranges, decimal commas, and the unit behind them."""

from __future__ import annotations

import re
from typing import Annotated, NamedTuple

from reefjournal.believed import Believed
from reefjournal.journal.pieces import Misread
from reefjournal.journal.vocabulary import units
from reefjournal.quantities import CANONICAL, UNITS, Interval

NUMBER = r"(?:\d{1,9}(?:[.,]\d{1,9})?[½¼¾]?|[.,]\d{1,9}|[½¼¾])"
AMOUNT = re.compile(
    rf"""\s*(?:(?P<about>~|\?|(?:around|about|roughly|approximately|approx|circa|maybe|nearly|almost|c|ca)\.?\s)\s*)?
    (?:(?P<below><=?|≤|(?:under|below|less\ than|at\ most|up\ to)\s)
    |(?P<above>>=?|≥|(?:over|above|more\ than|at\ least)\s)|between\s)?\s*
    (?P<minus>-(?=[\d.,]))?(?P<low>{NUMBER})
    (?:\s*(?:-{{1,2}}|\bto\b|\bor\b|\band\b)\s*(?P<high>{NUMBER})(?![\d.,]*[-/:]\d))?
    (?P<tail>\+|\?|\ ?ish\b)?""",
    re.VERBOSE,
)
THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?!\d)")
UNIT_WORD = re.compile(r"\s*([a-z0-9/°%‰\".³]+)")
HALVES = {"½": 0.5, "¼": 0.25, "¾": 0.75}
ABOUT: Annotated[
    float, Believed("of the number", 'what "about" leaves open to either side', "common practice")
] = 0.1


class Amount(NamedTuple):
    """A number or range with the name of its unit ("" none written, "gal" a gallon of unknown country).

    ``high`` is ``None`` where the number is open upwards; ``end`` is where it ends in the folded text.
    """

    low: float
    high: float | None
    unit: str
    end: int
    about: bool = False
    bound: bool = False


def amount(plain: str, start: int = 0) -> Amount | None:
    """The number at ``start`` of a folded text, with its unit, or ``None`` where no number stands.

    Raises:
        Misread: the number can be read in two ways, or its range runs backwards.
    """
    match = AMOUNT.match(plain, start)
    if match is None:
        return None
    low, end = number(match["low"]) * (-1 if match["minus"] else 1), match.end()
    high = number(match["high"]) if match["high"] else low
    if high < low:
        raise Misread(f'"{match[0].strip()}" runs from high to low.', f"Write {high:g}-{low:g}.")
    bound = bool(match["below"] or match["above"] or match["tail"] == "+")
    about = bool(match["about"] or (match["tail"] and match["tail"] != "+"))
    unit, end = unit_at(plain, end)
    above = match["above"] or match["tail"] == "+"
    return Amount(0.0 if match["below"] else low, None if above else high, unit, end, about, bound)


def number(text: str) -> float:
    """The value of one number, with a decimal point or comma, or a written half or quarter.

    Raises:
        Misread: the comma may stand for thousands.
    """
    if THOUSANDS.match(text):
        point, none = text.replace(",", ".", 1), text.replace(",", "")
        raise Misread(f'"{text}" may be {float(point):g} or {none}.', f"Write {float(point):g} or {none}.")
    half = HALVES.get(text[-1], 0.0)
    whole = text[:-1] if half else text
    return float(whole.replace(",", ".") or 0) + half


def unit_at(plain: str, start: int) -> tuple[str, int]:
    """The longest unit at ``start`` of a folded text and where it ends; ("", start) where none stands."""
    words, end, best = "", start, ("", start)
    for _ in range(3):
        match = UNIT_WORD.match(plain, end)
        if match is None:
            break
        words, end = words + match[1].replace(".", ""), match.end()
        if words in units():
            best = (units()[words], end)
    return best


def interval(found: Amount, measures: str) -> Interval:
    """The amount in the canonical unit of what it should measure; a gallon of unknown country spans both.

    Raises:
        Misread: another unit, none, or a number open upwards.
    """
    if found.high is None:
        raise Misread('"More than" says no amount.', "Write a number, or a range such as 5-8.")
    if found.unit == "gal" and measures == "volume":
        return Interval(found.low * UNITS["US gal"].factor, found.high * UNITS["UK gal"].factor)
    unit = UNITS.get(found.unit)
    if unit is None or unit.measures != measures:
        have = f"{found.unit} is no unit of {measures}" if found.unit else f"A {measures} has no unit here"
        raise Misread(f"{have}.", f"Write it in {CANONICAL[measures]}.")
    low, high = unit.canonical(found.low), unit.canonical(found.high)
    if found.low < 0 and measures not in ("temperature", "potential"):
        raise Misread(f"A {measures} is not negative.", "Write it without the minus.")
    return Interval(low * (1 - ABOUT), high * (1 + ABOUT)) if found.about else Interval(low, high)


def measure(found: Amount) -> str:
    """What the unit of an amount measures: "" where it has none."""
    return "volume" if found.unit == "gal" else UNITS[found.unit].measures if found.unit else ""
