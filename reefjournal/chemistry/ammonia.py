"""Ammonia: the share that is un-ionised (NH3, the poisonous form), by three published formulas."""

# mypy: disable-error-code="no-any-return"
from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Annotated, Literal

from reefjournal.believed import Believed
from reefjournal.chemistry.answer import Answer, Measured, ends, middle, shown
from reefjournal.chemistry.ph import KELVIN, Scale, convert_ph
from reefjournal.chemistry.scalars import Number, functions_for, within
from reefjournal.chemistry.weights import NH3_PER_N

Formula = Literal["Bell 2008", "EPA 1989", "Clegg & Whitfield 1995"]

# The scale on which each formula takes its pH. The EPA criteria are compared with pH as it is measured in the field.
SCALES: dict[Formula, Scale] = {"Bell 2008": "free", "EPA 1989": "NBS", "Clegg & Whitfield 1995": "total"}

# The hour and the four days are from memory.
_EPA = "published: US EPA, Ambient Water Quality Criteria for Ammonia (Saltwater), 1989, EPA 440/5-88-004"
_BORNE = "un-ionised ammonia that most marine life bears for"
EPA_ACUTE: Annotated[float, Believed("mg NH3/L", f"{_BORNE} an hour", _EPA)] = 0.233
EPA_CHRONIC: Annotated[float, Believed("mg NH3/L", f"{_BORNE} four days", _EPA)] = 0.035

ASSUMED: Annotated[
    dict[str, tuple[float, float]],
    Believed(("NBS", "°C", "practical"), "the range of reef tanks, taken for what was not measured", "common practice"),
] = {"pH": (7.6, 8.5), "temperature": (20.0, 30.0), "salinity": (28.0, 38.0)}
# The end that gives most NH3; a pH above that range is left to a measurement.
PROTECTIVE = {"pH": ASSUMED["pH"][1], "temperature": ASSUMED["temperature"][1], "salinity": ASSUMED["salinity"][0]}


def pk_bell_2008(temperature: Number, salinity: Number) -> Number:
    """pK of ammonium in sea water, free scale.

    ``temperature`` °C (5 to 35), ``salinity`` practical (5 to 40); numbers or arrays that broadcast. Error: about 2 %
    in the share. Source (published): Bell, Johnson, Jickells and Liss 2007, Environmental Chemistry 4:183, in the form
    of its corrigendum, 5:258, 2008. It mends a misprint of 1977 that could overstate the share by 500 %. The free
    scale is our reading: there it agrees with Clegg & Whitfield to 2 %, on the total scale not.
    """
    within("the temperature", temperature, 5, 35, "°C")
    within("the salinity", salinity, 5, 40, "(practical)")
    return 10.0423 - 0.0315536 * temperature + 0.003071 * salinity


def pk_epa_1989(temperature: Number, salinity: Number) -> Number:
    """pK of ammonium in sea water as the EPA criteria count it, for pH as measured (NBS).

    ``temperature`` °C (0 to 35), ``salinity`` g/kg (0 to 40); numbers or arrays that broadcast. Error: 5 % against
    its own printed table. Source (published): US EPA 1989, EPA 440/5-88-004, pages 30 and 31.
    """
    within("the temperature", temperature, 0, 35, "°C")
    within("the salinity", salinity, 0, 40, "g/kg")
    kelvin = temperature + KELVIN
    strength = 19.9273 * salinity / (1000 - 1.005109 * salinity)
    return 9.245 + 0.116 * strength + 0.0324 * (298 - kelvin) + 0.0415 / kelvin  # the last at 1 atmosphere


def pk_clegg_whitfield_1995(temperature: Number, salinity: Number) -> Number:
    """pK of ammonium in sea water, total scale, mol per kg of sea water.

    ``temperature`` °C (-2 to 40), ``salinity`` practical (0 to 40); numbers or arrays that broadcast. Error: 5 % in the
    share. Source (from memory, held to PyCO2SYS in the tests): Clegg and Whitfield 1995, Geochimica et Cosmochimica
    Acta 59:2403, equation 18.
    """
    within("the temperature", temperature, -2, 40, "°C")
    within("the salinity", salinity, 0, 40, "(practical)")
    t = temperature + KELVIN
    root = t**0.5
    s = salinity
    per_kg_water = (
        9.244605 - 2729.33 * (1 / 298.15 - 1 / t)
        + (0.04203362 - 11.24742 / t) * s**0.25
        + (-13.6416 + 1.176949 * root - 0.02860785 * t + 545.4834 / t) * s**0.5
        + (-0.1462507 + 0.0090226468 * root - 0.0001471361 * t + 10.5425 / t) * s**1.5
        + (0.004669309 - 0.0001691742 * root - 0.5677934 / t) * s**2
        + (-2.354039e-05 + 0.009698623 / t) * s**2.5
    )  # fmt: skip
    return per_kg_water - functions_for(s).log10(1 - 0.001005 * s)


PK: dict[Formula, Callable[[Number, Number], Number]] = {
    "Bell 2008": pk_bell_2008,
    "EPA 1989": pk_epa_1989,
    "Clegg & Whitfield 1995": pk_clegg_whitfield_1995,
}


def unionised_fraction(
    ph: Number, temperature: Number, salinity: Number, scale: Scale = "NBS", formula: Formula = "EPA 1989"
) -> Number:
    """Share of total ammonia that is NH3, by one formula, with the pH brought to the scale of that formula.

    ``ph`` 5 to 10 on ``scale``, ``temperature`` °C, ``salinity`` practical; numbers or arrays that broadcast. Range and
    error: those of the formula and of `convert_ph`. 0.1 in pH is a fourth of the result, 1 °C is 7 %.
    """
    within("the pH", ph, 5, 10, "")
    pk = PK[formula](temperature, salinity)
    if scale != SCALES[formula]:
        ph = convert_ph(ph, temperature, salinity, scale, SCALES[formula])
    return 1 / (1 + 10 ** (pk - ph))


def unionised_fractions(ph: float, temperature: float, salinity: float, scale: Scale = "NBS") -> dict[Formula, float]:
    """The share by each of the three formulas; an alarm takes the highest, and their spread is the error to show."""
    return {formula: unionised_fraction(ph, temperature, salinity, scale, formula) for formula in SCALES}


@dataclass(frozen=True, slots=True)
class Criteria:
    """Total ammonia, mg N/L, at which the un-ionised part reaches the EPA criteria in a tank of this pH."""

    acute: float
    chronic: float


def total_ammonia_mg_n(unionised_mg_nh3: Number, fraction: Number) -> Number:
    """Total ammonia, mg N/L, that goes with un-ionised ammonia (mg NH3/L, 0 to 10) at a share (above 0, to 1).

    Numbers or arrays that broadcast. Error: that of the share. Source (published): IUPAC 2021 weights.
    """
    within("the un-ionised ammonia", unionised_mg_nh3, 0, 10, "mg NH3/L")
    within("the share", fraction, 1e-9, 1, "")
    return unionised_mg_nh3 / fraction / NH3_PER_N


def epa_criteria(ph: float, temperature: float, salinity: float, scale: Scale = "NBS") -> Criteria:
    """The EPA saltwater criteria as total ammonia in this water, mg N/L, by the formula they were made with.

    ``ph`` 5 to 10 on ``scale``, ``temperature`` °C (0 to 35), ``salinity`` g/kg (0 to 40). Error: 5 % against the
    printed table, and 0.1 in pH is a fourth. Source (published): US EPA 1989, EPA 440/5-88-004.
    """
    fraction = unionised_fraction(ph, temperature, salinity, scale, "EPA 1989")
    return Criteria(total_ammonia_mg_n(EPA_ACUTE, fraction), total_ammonia_mg_n(EPA_CHRONIC, fraction))


def free_ammonia(
    total_mg_n: Measured,
    ph: Measured | None = None,
    temperature: Measured | None = None,
    salinity: Measured | None = None,
    scale: Scale = "NBS",
) -> Answer:
    """Un-ionised ammonia, mg NH3/L, of total ammonia in mg N/L; numbers or ranges.

    The value is by the formula that gives most; low and high span the three formulas and all ranges. What is ``None``
    is assumed over the range of `ASSUMED`, and the value then takes its protective end. Salinity above 40, where no
    formula reaches, counts as 40, which gives more. Range and sources: those of the three formulas.
    """
    given = {"pH": ph, "temperature": temperature, "salinity": salinity}
    assumed = tuple(name for name, value in given.items() if value is None)
    spans = [ends(ASSUMED[name] if value is None else value) for name, value in given.items()]
    spans[2] = (min(spans[2][0], 40.0), min(spans[2][1], 40.0))
    best = [PROTECTIVE[name] if name in assumed else middle(span) for name, span in zip(given, spans, strict=True)]
    shares = unionised_fractions(best[0], best[1], best[2], scale)
    corners = [share for p, t, s in product(*spans) for share in unionised_fractions(p, t, s, scale).values()]
    total_low, total_high = (within("the total ammonia", end, 0, 1000, "mg N/L") for end in ends(total_mg_n))
    water = f"pH {best[0]:.2f} ({scale}), {best[1]:.1f} °C, salinity {best[2]:.1f}"
    return Answer(
        "un-ionised ammonia",
        middle(total_mg_n) * NH3_PER_N * max(shares.values()),
        total_low * NH3_PER_N * min(corners),
        total_high * NH3_PER_N * max(corners),
        "mg NH3/L",
        (
            *(f"{name} not measured: {PROTECTIVE[name]:g} assumed, on the protective side" for name in assumed),
            *(f"share un-ionised at {water}: {100 * share:.2f} % by {name}" for name, share in shares.items()),
            f"total ammonia {shown(total_mg_n)} mg N/L x {NH3_PER_N:.4f} mg NH3/mg N x the highest share",
        ),
        assumed=assumed,
    )
