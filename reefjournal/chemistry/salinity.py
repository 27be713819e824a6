"""Salinity: density (EOS-80), conductivity (PSS-78), and what a specific gravity or a hydrometer's scale means."""

# mypy: disable-error-code="no-any-return"
from __future__ import annotations

from functools import partial
from typing import Annotated, Literal

from reefjournal.believed import Believed
from reefjournal.chemistry.answer import Answer, Measured, shown, through
from reefjournal.chemistry.scalars import Number, within

Reference = Literal["25/25", "20/20", "60/60F"]

# Sample at this temperature over pure water at the same, degrees Celsius.
REFERENCES: dict[Reference, float] = {"25/25": 25.0, "20/20": 20.0, "60/60F": (60 - 32) / 1.8}

PER_T90 = 1.00024  # both formulas count in the temperature scale of 1968
GLASS: Annotated[
    float, Believed("1/°C", "growth of a hydrometer's volume", "from memory: handbook value of soda-lime glass")
] = 2.5e-5


def density(salinity: Number, temperature: Number) -> Number:
    """Density of sea water at the surface, kg/m3.

    ``salinity`` practical (0 to 42), ``temperature`` °C (0 to 40); numbers or arrays that broadcast. Error: 0.004
    kg/m3. Source (from memory, held to the published check values in the tests): UNESCO Technical Papers in Marine
    Science 44, 1983, equation of state EOS-80 at one atmosphere.
    """
    within("the salinity", salinity, 0, 42, "(practical)")
    within("the temperature", temperature, 0, 40, "°C")
    return _density(salinity, temperature)


def _density(salinity: Number, temperature: Number) -> Number:
    t = temperature * PER_T90
    pure = 999.842594 + t * (
        6.793952e-2 + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)))
    )
    a = 0.824493 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    b = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    return pure + salinity * (a + b * abs(salinity) ** 0.5 + 4.8314e-4 * salinity)


def salinity_from_density(density_kg_m3: Number, temperature: Number) -> Number:
    """Practical salinity of sea water of a density (kg/m3) at a temperature (°C, 0 to 40).

    Numbers or arrays that broadcast; refused where the salinity would leave 0 to 42. Error: 0.006. The inverse of
    `density`, same source.
    """
    within("the temperature", temperature, 0, 40, "°C")
    salinity = 0 * density_kg_m3
    for _ in range(20):  # the slope is 0.72 to 0.83, so each step leaves at most 0.15 of the error
        salinity = salinity + (density_kg_m3 - _density(salinity, temperature)) / 0.85
    return within("the salinity of that density", salinity, -1e-6, 42.000001, "(practical)")


def specific_gravity(salinity: Number, reference: Reference) -> Number:
    """Density of sea water over that of pure water, both at the reference temperature; no unit.

    ``salinity`` practical (0 to 42), number or array. Error: 0.000005. Source: as `density`.
    """
    temperature = REFERENCES[reference]
    return density(salinity, temperature) / density(0.0, temperature)


def salinity_from_specific_gravity(gravity: Number, reference: Reference) -> Number:
    """Practical salinity from a specific gravity (1 to about 1.032, no unit) on the scale of ``reference``.

    Number or array. Error: 0.006, beside that of the reading: 0.001 in gravity is 1.3 in salinity. The inverse of
    `specific_gravity`, same source.
    """
    temperature = REFERENCES[reference]
    return salinity_from_density(gravity * density(0.0, temperature), temperature)


def salinity_from_hydrometer(
    reading: Number, temperature: Number, reference: Reference, glass: float = GLASS
) -> Number:
    """Practical salinity from a hydrometer that was made for ``reference`` and read in water at ``temperature``.

    ``reading`` specific gravity without unit, ``temperature`` °C (0 to 40), ``glass`` growth of the hydrometer's
    volume per degree (0 leaves it out); numbers or arrays that broadcast. Error: that of the scale, 0.001 in gravity
    at best in the home, which is 1.3 in salinity. Source: `density` for the water; the glass from memory.
    """
    made_for = REFERENCES[reference]
    grown = 1 + glass * (temperature - made_for)
    return salinity_from_density(reading * density(0.0, made_for) / grown, temperature)


def practical_salinity(conductivity: Number, temperature: Number) -> Number:
    """Practical salinity from conductivity at the water's own temperature, at the surface.

    ``conductivity`` mS/cm (1 to 75), not compensated to another temperature; ``temperature`` °C (0 to 40); numbers or
    arrays that broadcast; refused where the salinity would leave 2 to 42, the range of the scale. Error: 0.003. Source
    (from memory, held to published check values in the tests): practical salinity scale PSS-78, UNESCO Technical
    Papers in Marine Science 44, 1983.
    """
    within("the conductivity", conductivity, 1, 75, "mS/cm")
    within("the temperature", temperature, 0, 40, "°C")
    t = temperature * PER_T90
    r15 = 0.6766097 + t * (2.00564e-2 + t * (1.104259e-4 + t * (-6.9698e-7 + t * 1.0031e-9)))
    root = (conductivity / 42.914 / r15) ** 0.5  # 42.914 mS/cm: salinity 35 at 15 °C
    at_15 = 0.0080 + root * (-0.1692 + root * (25.3851 + root * (14.0941 + root * (-7.0261 + root * 2.7081))))
    warm = 0.0005 + root * (-0.0056 + root * (-0.0066 + root * (-0.0375 + root * (0.0636 - root * 0.0144))))
    salinity = at_15 + warm * (t - 15) / (1 + 0.0162 * (t - 15))
    return within("the salinity of that conductivity", salinity, 2, 42, "(practical)")


def salinity_of_reading(
    reading: Measured,
    unit: Literal["SG", "hydrometer", "mS/cm"],
    temperature: Measured = 25.0,
    reference: Reference | None = None,
) -> Answer:
    """Practical salinity from a specific gravity, an uncorrected hydrometer or a conductivity; numbers or ranges.

    ``temperature`` (°C) is that of the water; a specific gravity ("SG") is compensated and does not use it. Where the
    ``reference`` of a gravity is not known, low and high span the three in use. Range, error and source: those of
    `salinity_from_specific_gravity`, `salinity_from_hydrometer` and `practical_salinity`.
    """
    if unit == "mS/cm":
        value, low, high = through(practical_salinity, reading, temperature)
        line = (f"conductivity {shown(reading, 4)} mS/cm at {shown(temperature)} °C, by PSS-78 (UNESCO 1983)",)
        return Answer("salinity", value, low, high, "(practical)", line)
    references: list[Reference] = [reference] if reference else list(REFERENCES)
    spans = [_of_gravity(reading, unit, temperature, scale) for scale in references]
    read = shown(reading, 5) + (f" in water of {shown(temperature)} °C" if unit == "hydrometer" else "")
    work = tuple(
        f"specific gravity {read} on the {scale} scale is {span[0]:.2f}, by EOS-80 (UNESCO 1983)"
        for scale, span in zip(references, spans, strict=True)
    )
    low, high = min(span[1] for span in spans), max(span[2] for span in spans)
    value = spans[0][0] if reference else (low + high) / 2
    return Answer("salinity", value, low, high, "(practical)", work)


def _of_gravity(
    reading: Measured, unit: str, temperature: Measured, reference: Reference
) -> tuple[float, float, float]:
    if unit == "hydrometer":
        return through(partial(salinity_from_hydrometer, reference=reference), reading, temperature)
    return through(partial(salinity_from_specific_gravity, reference=reference), reading)
