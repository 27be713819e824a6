# mypy: disable-error-code="no-any-return"
"""Aragonite saturation: how far sea water is from laying down or dissolving the mineral of stony corals.

All constants on the total scale, from memory, held to PyCO2SYS over a grid in the tests.
"""

from __future__ import annotations

from reefjournal.chemistry.answer import Answer, Measured, ends, shown, through
from reefjournal.chemistry.carbonate import convert_alkalinity
from reefjournal.chemistry.ph import KELVIN, convert_ph
from reefjournal.chemistry.salinity import density
from reefjournal.chemistry.scalars import Number, functions_for, within
from reefjournal.chemistry.weights import CA


def aragonite_saturation(
    alkalinity_dkh: Number,
    ph_total: Number,
    temperature: Number,
    salinity: Number,
    calcium_mg_l: Number,
) -> Number:
    """Saturation state of aragonite, no unit; above 1 it may form, below 1 it dissolves.

    ``alkalinity_dkh`` dKH (2 to 20), ``ph_total`` 6.8 to 9 on the total scale, ``temperature`` °C (2 to 35),
    ``salinity`` practical (19 to 42), ``calcium_mg_l`` mg/L (100 to 800); numbers or arrays that broadcast. Borate as
    in the sea; phosphate, silicate and ammonia left out. Error: 5 % from the constants, and a fifth for each 0.1 in pH.
    Source (from memory, held to PyCO2SYS in the tests): Lueker, Dickson and Keeling 2000, Marine Chemistry 70:105;
    Mucci 1983, American Journal of Science 283:780.
    """
    within("the alkalinity", alkalinity_dkh, 2, 20, "dKH")
    within("the pH", ph_total, 6.8, 9, "")
    within("the temperature", temperature, 2, 35, "°C")
    within("the salinity", salinity, 19, 42, "(practical)")
    within("the calcium", calcium_mg_l, 100, 800, "mg/L")
    kg_per_l = density(salinity, temperature) / 1000
    alkalinity = convert_alkalinity(alkalinity_dkh, "dKH", "meq/L") / kg_per_l / 1000
    calcium = calcium_mg_l / CA / kg_per_l / 1000
    carbonate = _carbonate(alkalinity, 10**-ph_total, temperature, salinity)
    return calcium * carbonate / _solubility_product(temperature, salinity)


def _carbonate(alkalinity: Number, hydrogen: Number, temperature: Number, salinity: Number) -> Number:
    """Carbonate ion, mol/kg, from alkalinity (mol/kg) and hydrogen (mol/kg, total scale)."""
    borate = 0.0004157 * salinity / 35  # total boron, Uppström 1974, Deep-Sea Research 21:161
    kb = _boric(temperature, salinity)
    others = borate * kb / (kb + hydrogen) + _water(temperature, salinity) / hydrogen - hydrogen
    return (alkalinity - others) / (2 + hydrogen / _second_carbonic(temperature, salinity))


def _second_carbonic(temperature: Number, salinity: Number) -> Number:
    """K2 of carbonic acid, mol/kg: Lueker, Dickson and Keeling 2000."""
    t = temperature + KELVIN
    log = functions_for(temperature).log(t)
    return 10 ** -(471.78 / t + 25.9290 - 3.16967 * log - 0.01781 * salinity + 0.0001122 * salinity**2)


def _boric(temperature: Number, salinity: Number) -> Number:
    """K of boric acid, mol/kg: Dickson 1990, Deep-Sea Research A 37:755."""
    fn = functions_for(temperature, salinity)
    t, root, s = temperature + KELVIN, salinity**0.5, salinity
    return fn.exp(
        (-8966.90 - 2890.53 * root - 77.942 * s + 1.728 * s * root - 0.0996 * s**2) / t
        + 148.0248 + 137.1942 * root + 1.62142 * s
        - (24.4344 + 25.085 * root + 0.2474 * s) * fn.log(t) + 0.053105 * root * t
    )  # fmt: skip


def _water(temperature: Number, salinity: Number) -> Number:
    """Ion product of water, mol2/kg2: Millero 1995, Geochimica et Cosmochimica Acta 59:661."""
    fn = functions_for(temperature, salinity)
    t = temperature + KELVIN
    return fn.exp(
        148.9652 - 13847.26 / t - 23.6521 * fn.log(t)
        + (118.67 / t - 5.977 + 1.0495 * fn.log(t)) * salinity**0.5 - 0.01615 * salinity
    )  # fmt: skip


def _solubility_product(temperature: Number, salinity: Number) -> Number:
    """Stoichiometric solubility product of aragonite, mol2/kg2: Mucci 1983."""
    t = temperature + KELVIN
    log10 = functions_for(temperature).log10(t)
    return 10 ** (
        -171.945 - 0.077993 * t + 2903.293 / t + 71.595 * log10
        + (-0.068393 + 0.0017276 * t + 88.135 / t) * salinity**0.5 - 0.10018 * salinity + 0.0059415 * salinity**1.5
    )  # fmt: skip


def aragonite(
    alkalinity_dkh: Measured, ph: Measured, temperature: Measured, salinity: Measured, calcium_mg_l: Measured
) -> Answer:
    """Aragonite saturation from readings, pH on the NBS scale; numbers or ranges. As `aragonite_saturation`."""

    def from_nbs(alkalinity: float, nbs: float, t: float, s: float, calcium: float) -> float:
        return aragonite_saturation(alkalinity, convert_ph(nbs, t, s, "NBS", "total"), t, s, calcium)

    value, low, high = through(from_nbs, alkalinity_dkh, ph, temperature, salinity, calcium_mg_l)
    exact_ph = ends(ph)[0] == ends(ph)[1]
    return Answer(
        "aragonite saturation", value, low, high, "",
        (
            f"alkalinity {shown(alkalinity_dkh)} dKH, pH {shown(ph)} (NBS), calcium {shown(calcium_mg_l)} mg/L",
            "carbonate ion after Lueker et al. 2000, solubility after Mucci 1983; reefs lie at 2.82 and above "
            "(Guan, Hohn and Merico 2015, PLoS ONE 10:e0128831)",
            *(("a pH that is 0.1 off moves the result by a fifth",) if exact_ph else ()),
        ),
    )  # fmt: skip
