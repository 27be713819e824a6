"""How much oxygen sea water holds when it is in balance with the air."""

from reefjournal.chemistry.answer import Answer, Measured, shown, through
from reefjournal.chemistry.salinity import PER_T90, density
from reefjournal.chemistry.scalars import Number, functions_for, within
from reefjournal.chemistry.weights import O2


def oxygen_saturation_umol_kg(temperature: Number, salinity: Number) -> Number:
    """Dissolved oxygen in balance with damp air at 101.325 kPa, micromol per kg of sea water.

    ``temperature`` °C (0 to 40), ``salinity`` practical (0 to 42); numbers or arrays that broadcast. Error: 0.3 %; air
    pressure counts in proportion, so 1000 m up it is 12 % less. Source (from memory, held to gsw and its check value in
    the tests): Garcia and Gordon 1992, Limnology and Oceanography 37:1307, coefficients of Benson and Krause.
    """
    within("the temperature", temperature, 0, 40, "°C")
    within("the salinity", salinity, 0, 42, "(practical)")
    fn = functions_for(temperature, salinity)
    t68 = temperature * PER_T90
    x = fn.log((298.15 - t68) / (273.15 + t68))
    fresh = 5.80871 + x * (3.20291 + x * (4.17887 + x * (5.10006 + x * (-9.86643e-2 + x * 3.80369))))
    salt = -7.01577e-3 + x * (-7.70028e-3 + x * (-1.13864e-2 + x * -9.51519e-3))
    result: Number = fn.exp(fresh + salinity * (salt - 2.75915e-7 * salinity))
    return result


def oxygen_saturation_mg_l(temperature: Number, salinity: Number) -> Number:
    """Dissolved oxygen in balance with damp air at 101.325 kPa, mg/L.

    Arguments, range, error and source as `oxygen_saturation_umol_kg`; density by EOS-80.
    """
    per_kg = oxygen_saturation_umol_kg(temperature, salinity)
    return per_kg * density(salinity, temperature) * O2 * 1e-6


def oxygen_percent(oxygen_mg_l: Measured, temperature: Measured, salinity: Measured) -> Answer:
    """Oxygen that was measured (mg/L) as per cent of saturation; numbers or ranges. Source as the saturation."""
    value, low, high = through(
        lambda o, t, s: 100 * within("the oxygen", o, 0, 40, "mg/L") / oxygen_saturation_mg_l(t, s),
        oxygen_mg_l, temperature, salinity,
    )  # fmt: skip
    _, least, most = through(oxygen_saturation_mg_l, temperature, salinity)
    return Answer(
        "oxygen, share of saturation", value, low, high, "%",
        (
            f"in balance with air at sea level: {shown((least, most))} mg/L, Garcia and Gordon 1992",
            f"measured: {shown(oxygen_mg_l)} mg/L",
        ),
        caution="Animals at the surface or breathing fast come before any figure: more surface movement at once.",
    )  # fmt: skip
