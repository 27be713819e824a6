"""Numbers on the command line: plain in the unit that the option states, or with a unit behind them as in the notes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import click

from reefjournal.chemistry.answer import Measured, ends
from reefjournal.quantities import BASES, UNITS

# A bare number needs no reader of units, and so no part of the journal is loaded for it.
BARE = re.compile(r"\s*(-?\d+(?:\.\d+)?)\s*")
AS = re.compile(r"\s*as\s+(\w+)\s*")
NAMED = re.compile(r"\s*(?P<name>\S.*?)\s*[\s:=]\s*(?P<number>[\d.,]+\s*[^\d\s]*)\s*")
UNITLESS = re.compile(r"^[\s\d.,]*")


class Refused(click.ClickException):
    """Something that was asked wrongly: one line that says what to write instead."""

    exit_code = 2


@dataclass(frozen=True)
class Unit:
    """The unit of a plain number: its name in `UNITS`, or its own where nobody uses another, and how it is shown.

    ``basis`` names an analyte whose number may be followed by "as NH4" or the like; ``plain`` is its basis without.
    ``least`` is the smallest number that means anything.
    """

    name: str
    shown: str = ""
    basis: str = ""
    plain: str = "N"
    least: float = 0.0

    @property
    def words(self) -> str:
        """The unit as a keeper reads it."""
        return self.shown or self.name

    @property
    def behind(self) -> str:
        """What stands behind a number: nothing behind a pH."""
        return "" if self.words in ("", "pH") else f" {self.words}"

    def measured(self, text: str) -> Measured:
        """The number or range that ``text`` says, in this unit.

        Raises:
            ValueError: it is no number, too little, or not in a unit of this sort; says what to write.
        """
        bare = BARE.fullmatch(text)
        low, high = (float(bare[1]),) * 2 if bare else self._written(text)
        if low < self.least:
            raise ValueError(f"{text!r} is too little; write at least {self.least:g} {self.words}")
        return low if low == high else (low, high)

    def _written(self, text: str) -> tuple[float, float]:
        from reefjournal.journal.amounts import amount, interval
        from reefjournal.journal.pieces import Misread
        from reefjournal.journal.words import fold

        plain = fold(text)
        try:
            found = amount(plain)
            if found is None:
                raise ValueError(f"{text!r} is no number; write it in {self.words}")
            rest = plain[found.end :].strip()
            if self.name not in UNITS:
                return self._own(text, found.low, found.high, rest or found.unit)
            low, high = interval(found if found.unit else found._replace(unit=self.name), UNITS[self.name].measures)
        except Misread as wrong:
            raise ValueError(f"{wrong.message} {wrong.suggestion}".strip()) from None
        factor = self._factor(text, rest)
        return self._plain(low) * factor, self._plain(high) * factor

    def of_canonical(self, low: float, high: float) -> Measured:
        """A number or range of the notes, which hold canonical units and bases, in this unit."""
        factor = 1 / BASES[self.basis][self.plain] if self.basis else 1.0
        low, high = self._plain(low) * factor, self._plain(high) * factor
        return low if low == high else (low, high)

    def _plain(self, canonical: float) -> float:
        return (canonical - UNITS[self.name].offset) / UNITS[self.name].factor

    def _own(self, text: str, low: float, high: float | None, unit: str) -> tuple[float, float]:
        if high is None or unit.casefold() not in ("", self.words.casefold()):
            raise ValueError(f"{text!r} is no number of {self.words}; write it in {self.words}")
        return low, high

    def _factor(self, text: str, rest: str) -> float:
        """What brings the written basis to the plain one."""
        if not rest:
            return 1.0
        known = {name.casefold(): factor for name, factor in BASES.get(self.basis, {}).items()}
        said = AS.fullmatch(rest)
        if said is None or said[1] not in known:
            others = " or ".join(f"'as {name}'" for name in BASES.get(self.basis, {}))
            offer = f", or with {others} behind it" if others else ""
            raise ValueError(f"{rest!r} in {text!r} is not understood; write it in {self.words}{offer}")
        return known[said[1]] / known[self.plain.casefold()]


class Written(click.ParamType):  # type: ignore[type-arg]
    """What is written behind an option, read by ``read``; a mistake is told in one line, with the option's name."""

    unit: Unit

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:  # noqa: ARG002
        """The value in the stated unit; a default comes as it is."""
        try:
            return self.read(value) if isinstance(value, str) else value
        except ValueError as wrong:
            raise Refused(f"{param.opts[0] if param else self.name}: {str(wrong).rstrip('.')}.") from None

    def read(self, text: str) -> Any:
        """The value that a text says. Raises ValueError where it says none."""
        raise NotImplementedError


class Number(Written):
    """A number or range in a unit; ``single`` where only one number makes sense."""

    def __init__(self, unit: Unit, single: bool = False) -> None:
        self.unit, self.single, self.name = unit, single, unit.words

    def read(self, text: str) -> Measured:
        """The number or range in the stated unit."""
        found = self.unit.measured(text)
        if self.single and isinstance(found, tuple):
            raise ValueError(f"one number is needed here, in {self.unit.words}, not {text!r}")
        return found


class Takes(Written):
    """Several takes of one length with slashes between them, as in a `measure:` record; the last may carry the unit."""

    def __init__(self, unit: Unit) -> None:
        self.unit, self.name = unit, f"{unit.words}/{unit.words}/..."

    def read(self, text: str) -> tuple[float, ...]:
        """The takes in the stated unit."""
        takes = text.split("/")
        unit = UNITLESS.sub("", takes[-1])
        found = [self.unit.measured(f"{take} {unit}" if BARE.fullmatch(take) else take) for take in takes]
        if any(isinstance(take, tuple) for take in found):
            raise ValueError(f"each take is one number, in {self.unit.words}, not {text!r}")
        return tuple(ends(take)[0] for take in found)


class Named(Written):
    """A name and a number: "return pump 40"."""

    def __init__(self, unit: Unit) -> None:
        self.unit, self.name = unit, f"'NAME {unit.words}'"

    def read(self, text: str) -> tuple[str, float]:
        """The name, and the number in the stated unit."""
        match = NAMED.fullmatch(text)
        found = self.unit.measured(match["number"]) if match else None
        if match is None or not isinstance(found, float):
            raise ValueError(f"{text!r} is no name with a number of {self.unit.words} behind it")
        return match["name"], found
