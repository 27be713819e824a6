"""Numbers with an interval, a unit and a basis, and the conversions between them."""

from __future__ import annotations

from typing import NamedTuple


class Interval(NamedTuple):
    """From ``low`` to ``high``, both in the unit of the field that holds it; one number is an interval of no width."""

    low: float
    high: float

    @classmethod
    def exactly(cls, value: float) -> Interval:
        """One number, taken at its word."""
        return cls(value, value)

    def times(self, factor: float) -> Interval:
        """Both ends multiplied by a positive factor."""
        return Interval(self.low * factor, self.high * factor)
