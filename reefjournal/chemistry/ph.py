"""pH scales: a meter or kit in the home reads NBS; chemists of the sea use the total or the free scale.

In reef water at 25 °C the NBS number is 0.14 above the total and 0.03 above the free one. Putting one scale into a
formula made for another overstates or understates free ammonia by a third.
"""

# mypy: disable-error-code="no-any-return"
from __future__ import annotations

from typing import Literal

from reefjournal.chemistry.scalars import Number, functions_for, within

Scale = Literal["NBS", "total", "free"]
KELVIN = 273.15


def convert_ph(ph: Number, temperature: Number, salinity: Number, of: Scale, to: Scale) -> Number:
    """The same acidity on another scale.

    ``ph`` 3 to 11, ``temperature`` °C (0 to 40), ``salinity`` practical (5 to 42); numbers or arrays that broadcast.
    Error: 0.005 between total and free; 0.03 to or from NBS for the electrode's junction, and 0.07 below a salinity of
    20, where the NBS relation is stretched beyond its data. Sources: those of the two factors below.
    """
    within("the pH", ph, 3, 11, "")
    within("the temperature", temperature, 0, 40, "°C")
    within("the salinity", salinity, 5, 42, "(practical)")
    log10 = functions_for(temperature, salinity).log10
    above_free = {
        "free": 0.0 * temperature,
        "total": -log10(1 + _sulfate_term(temperature, salinity)),
        "NBS": -log10(_seawater_factor(temperature, salinity) * _nbs_coefficient(temperature, salinity)),
    }
    return ph - above_free[of] + above_free[to]


def _ionic_strength(salinity: Number) -> Number:
    """mol per kg of water."""
    return 19.924 * salinity / (1000 - 1.005 * salinity)


def _sulfate_term(temperature: Number, salinity: Number) -> Number:
    """Hydrogen held by sulfate, as a multiple of free hydrogen.

    Source (from memory, held to PyCO2SYS in the tests): Dickson 1990, J. Chem. Thermodynamics 22:113, acidity of
    bisulfate; total sulfate after Morris and Riley 1966, Deep-Sea Research 13:699.
    """
    fn = functions_for(temperature, salinity)
    kelvin = temperature + KELVIN
    strength = _ionic_strength(salinity)
    log_k = (
        141.328 - 4276.1 / kelvin - 23.093 * fn.log(kelvin)
        + (324.57 - 13856 / kelvin - 47.986 * fn.log(kelvin)) * strength**0.5
        + (35474 / kelvin - 771.54 + 114.723 * fn.log(kelvin)) * strength
        - 2698 / kelvin * strength**1.5
        + 1776 / kelvin * strength**2
    )  # fmt: skip
    sulfate = 0.14 / 96.062 * salinity / 1.80655
    return sulfate / (fn.exp(log_k) * (1 - 0.001005 * salinity))


def _fluoride_term(temperature: Number, salinity: Number) -> Number:
    """Hydrogen held by fluoride, as a multiple of free hydrogen.

    Source (from memory, held to PyCO2SYS in the tests): Dickson and Riley 1979, Marine Chemistry 7:89; total fluoride
    after Riley 1965, Deep-Sea Research 12:219.
    """
    fn = functions_for(temperature, salinity)
    log_k = 1590.2 / (temperature + KELVIN) - 12.641 + 1.525 * _ionic_strength(salinity) ** 0.5
    fluoride = 0.000067 / 18.998 * salinity / 1.80655
    return fluoride / (fn.exp(log_k) * (1 - 0.001005 * salinity))


def _seawater_factor(temperature: Number, salinity: Number) -> Number:
    """Free hydrogen, and what sulfate and fluoride hold, over free hydrogen."""
    return 1 + _sulfate_term(temperature, salinity) + _fluoride_term(temperature, salinity)


def _nbs_coefficient(temperature: Number, salinity: Number) -> Number:
    """Apparent activity coefficient fH of hydrogen on the sea-water scale.

    Source (from memory, held to PyCO2SYS in the tests): Takahashi et al. 1982, GEOSECS Pacific Expedition 3, fit for
    salinities from 20 to 40.
    """
    return 1.2948 - 0.002036 * (temperature + KELVIN) + (0.0004607 - 0.000001475 * (temperature + KELVIN)) * salinity**2
