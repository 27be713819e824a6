"""Numbers with an interval, a unit and a basis, and the conversions between them."""

from __future__ import annotations

from typing import Annotated, NamedTuple

from reefjournal.believed import Believed
from reefjournal.chemistry import weights


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

    def over(self, factors: Interval) -> Interval:
        """All that a number times a factor can be, both known as intervals of positive numbers."""
        return Interval(self.low * factors.low, self.high * factors.high)


class Unit(NamedTuple):
    """A unit as written: what it measures, and ``value * factor + offset`` in the canonical unit of that."""

    name: str
    measures: str
    factor: float = 1.0
    offset: float = 0.0

    def canonical(self, value: float) -> float:
        """The value in the canonical unit of what this unit measures."""
        return value * self.factor + self.offset


_NIST = "from memory: NIST Handbook 44, appendix C"
US_GALLON: Annotated[float, Believed("L", "US gallon", _NIST)] = 3.785411784
UK_GALLON: Annotated[float, Believed("L", "imperial gallon", _NIST)] = 4.54609
OUNCE: Annotated[float, Believed("g", "ounce", _NIST)] = 28.349523125
POUND: Annotated[float, Believed("g", "pound", _NIST)] = 453.59237
INCH: Annotated[float, Believed("mm", "inch", _NIST)] = 25.4

# What is measured -> its canonical unit.
CANONICAL = {
    "concentration": "mg/L", "alkalinity": "dKH", "temperature": "C", "salinity": "ppt", "gravity": "SG",
    "conductivity": "mS/cm", "acidity": "pH", "potential": "mV", "light": "umol/m2/s", "flow": "L/h", "share": "%",
    "volume": "L", "mass": "g", "length": "mm", "time": "h", "scoop": "scoop",
}  # fmt: skip

# Degree of hardness: chemistry/weights.py.
# A kitchen spoon, a cap or a drop is no unit: "scoop", never converted.
UNITS = {
    unit.name: unit
    for unit in (
        *(Unit(name, measured) for measured, name in CANONICAL.items()),
        Unit("ug/L", "concentration", 1e-3),
        Unit("g/L", "concentration", 1e3),
        Unit("meq/L", "alkalinity", 1 / weights.MEQ_PER_DKH),
        Unit("mg/L CaCO3", "alkalinity", 1 / weights.CACO3_PER_DKH),
        Unit("F", "temperature", 5 / 9, -160 / 9),
        Unit("uS/cm", "conductivity", 1e-3),
        Unit("ml", "volume", 1e-3),
        Unit("m3", "volume", 1e3),
        Unit("US gal", "volume", US_GALLON),
        Unit("UK gal", "volume", UK_GALLON),
        Unit("mg", "mass", 1e-3),
        Unit("kg", "mass", 1e3),
        Unit("oz", "mass", OUNCE),
        Unit("lb", "mass", POUND),
        Unit("cm", "length", 10.0),
        Unit("m", "length", 1e3),
        Unit("in", "length", INCH),
        Unit("ft", "length", 12 * INCH),
        Unit("min", "time", 1 / 60),
        Unit("days", "time", 24.0),
    )
}

# Canonical mg/L (ammonia, nitrite, nitrate as nitrogen, phosphate as PO4) in 1 mg/L as written, by basis.
BASES: dict[str, dict[str, float]] = {
    "ammonia": {"N": 1.0, "NH3": 1 / weights.NH3_PER_N, "NH4": 1 / weights.NH4_PER_N},
    "nitrite": {"N": 1.0, "NO2": 1 / weights.NO2_PER_N},
    "nitrate": {"N": 1.0, "NO3": 1 / weights.NO3_PER_N},
    "phosphate": {"PO4": 1.0, "P": weights.PO4_PER_P},
}


def basis_factor(analyte: str, basis: str) -> Interval:
    """What a written mg/L is multiplied by; an unknown basis spans them all, an analyte without one stays as it is."""
    known = BASES.get(analyte)
    if known is None:
        return Interval.exactly(1.0)
    if basis in known:
        return Interval.exactly(known[basis])
    return Interval(min(known.values()), max(known.values()))
