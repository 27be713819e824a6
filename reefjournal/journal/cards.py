"""What a number read off a colour card or a display means: an interval, and its rank on the card."""

from __future__ import annotations

from itertools import pairwise
from math import sqrt
from typing import Annotated, Literal, NamedTuple

from reefjournal.believed import Believed
from reefjournal.events import Value
from reefjournal.journal.amounts import Amount
from reefjournal.journal.vocabulary import Analyte
from reefjournal.quantities import BASES, UNITS, Interval, Unit, basis_factor

Rank = Literal[0, 1, 2]
Span = tuple[float, float | None, Rank]
ONE = Interval(1.0, 1.0)


class Said(NamedTuple):
    """One reader's words: a number in the unit written, or none; ``readable`` with no number is "off the card"."""

    written: str
    amount: Amount | None
    readable: bool = True
    trace: bool = False


class Kit(NamedTuple):
    """What a test kit's numbers mean: see `KitDefined`."""

    name: str = ""
    basis: str = ""
    unit: str = ""
    steps: tuple[float, ...] = ()
    resolution: float | None = None


class Scale(NamedTuple):
    """A card's colours from zero up, or without one the step of a display, in the canonical unit of the values."""

    steps: tuple[float, ...]
    step: float

    @property
    def lowest(self) -> float:
        """The lowest step above zero."""
        return self.steps[1] if len(self.steps) > 1 else self.step

    def span(self, low: float, high: float | None, *, about: bool, bound: bool) -> Span:
        """What a number or range means; a range and a bound are taken as written."""
        if high is None:
            return low, None, 2
        at_most_lowest = high <= self.lowest * 1.001
        if bound:
            return 0.0, high, 0 if at_most_lowest else 2
        zero = self.steps[0] if self.steps else 0.0
        rank: Rank = 0 if high <= zero else 1 if at_most_lowest else 2
        if high > low:
            return low, high, rank
        if self.steps:
            return (*self.colour(low, about=about), rank)
        half = self.step if about else self.step / 2
        return low - half, low + half, rank

    def colour(self, number: float, *, about: bool) -> tuple[float, float | None]:
        """A colour's own span, open above the top one; from colour to colour where it is about, or between two."""
        index = next(
            (i for i, step in enumerate(self.steps) if abs(step - number) <= 1e-3 * max(abs(step), 1e-3)), None
        )
        if index is None or about:
            below = [step for step in self.steps if step < number * 0.999]
            above = [step for step in self.steps if step > number * 1.001]
            return below[-1] if below else min(number, self.steps[0]), above[0] if above else None
        edges = [between(a, b) for a, b in pairwise(self.steps)]
        return edges[index - 1] if index else self.steps[0], edges[index] if index < len(edges) else None


def between(a: float, b: float) -> float:
    """Where the eye changes from one colour to the next: the geometric midpoint, next to zero the arithmetic one."""
    return sqrt(a * b) if a > 0 else (a + b) / 2


def value(analyte: Analyte, said: Said, unit: Unit, kit: Kit | None, basis: str) -> Value:
    """One reader's value as an interval in the canonical unit; ``basis`` is what the record itself says, or ""."""
    if not said.readable:
        return Value(written=said.written, readable=False)
    scale = scale_of(analyte, kit, unit, basis)
    found = said.amount
    if said.trace:
        span: Span = (0.0, scale.lowest, 1)
    elif found is None:
        span = (scale.steps[-1] if scale.steps else 0.0, None, 2)
    else:
        ends = unit.canonical(found.low), None if found.high is None else unit.canonical(found.high)
        span = scale.span(*ends, about=found.about, bound=found.bound)
    low, high, rank = span
    if analyte.usual[analyte.unit][0] >= 0:
        low = max(low, 0.0)
    known = basis or (kit.basis if kit else "")
    factor = basis_factor(analyte.name, known) if unit.measures == "concentration" else ONE
    high = None if high is None else high * factor.high
    about = bool(found and found.about)
    return Value(written=said.written, low=low * factor.low, high=high, approximate=about, rank=rank)


def scale_of(analyte: Analyte, kit: Kit | None, unit: Unit, basis: str) -> Scale:
    """The kit's card or resolution in the basis of the record, else the usual smallest step of such kits."""
    usual = UNITS[analyte.unit]
    step = analyte.step * usual.factor if usual.measures == unit.measures else FINE.get(unit.measures, 1.0)
    own = UNITS[kit.unit] if kit and kit.unit else unit
    if kit is None or own.measures != unit.measures:
        return Scale((), step)
    bases = BASES.get(analyte.name, {})
    ratio = bases[kit.basis] / bases[basis] if basis in bases and kit.basis in bases else 1.0
    steps = tuple(own.canonical(colour) * ratio for colour in kit.steps)
    if steps and steps[0] > 0 and unit.measures == "concentration":
        steps = (0.0, *steps)
    return Scale(steps, kit.resolution * own.factor * ratio if kit.resolution else step)


FINE: Annotated[
    dict[str, float],
    Believed("SG", "usual step of a display for what has one in another unit than its first", "common practice"),
] = {"gravity": 0.001}
