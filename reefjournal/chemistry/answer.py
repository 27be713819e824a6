"""A worked-out number with its range and its working, and how ranges of what was measured go through a formula."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

Measured = float | tuple[float, float]  # a number taken at its word, or its low and high end


@dataclass(frozen=True, slots=True)
class Answer:
    """A quantity: its best value, the range it may have, its unit, and the working with sources, line by line.

    ``assumed`` names what was not measured and was taken on the side that protects the animals.
    """

    of: str
    value: float
    low: float
    high: float
    unit: str
    working: tuple[str, ...]
    caution: str = ""
    assumed: tuple[str, ...] = ()


def ends(measured: Measured) -> tuple[float, float]:
    """Low and high end. Raises ValueError where the low end is the higher, or an end is not a number."""
    low, high = measured if isinstance(measured, tuple) else (measured, measured)
    if not low <= high:
        raise ValueError(f"the range {low:g} to {high:g} has no numbers in it; write the lower one first")
    return low, high


def middle(measured: Measured) -> float:
    """The middle of a range, which stands for it where one number is needed."""
    return sum(ends(measured)) / 2


def through(formula: Callable[..., float], *measured: Measured) -> tuple[float, float, float]:
    """Value at the middles, lowest and highest over the corners, of a formula that is monotone in each argument."""
    corners = [formula(*corner) for corner in product(*map(ends, measured))]
    return formula(*map(middle, measured)), min(corners), max(corners)


def shown(measured: Measured, digits: int = 3) -> str:
    """A number or a range in words, to so many digits: "2.1" or "1.9 to 2.3"."""
    low, high = (f"{end:.0f}" if abs(end) >= 100 else f"{end:.{digits}g}" for end in ends(measured))
    return low if low == high else f"{low} to {high}"
