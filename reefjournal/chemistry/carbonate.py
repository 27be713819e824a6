"""Alkalinity and its units, and what lifts alkalinity, calcium and magnesium."""

from __future__ import annotations

from typing import Literal

from reefjournal.chemistry.answer import Answer, Measured, shown, through
from reefjournal.chemistry.scalars import Number, within
from reefjournal.chemistry.weights import (
    CA,
    CACL2,
    CACO3_PER_DKH,
    MEQ_PER_DKH,
    MG,
    MGCL2,
    MGSO4,
    NA2CO3,
    NAHCO3,
    WATER,
)

AlkalinityUnit = Literal["dKH", "meq/L", "mg CaCO3/L"]
PER_DKH: dict[AlkalinityUnit, float] = {"dKH": 1.0, "meq/L": MEQ_PER_DKH, "mg CaCO3/L": CACO3_PER_DKH}

# Grams of salt for each mmol/L (alkalinity: meq/L) in a litre.
ALKALINITY_SALTS = {"sodium bicarbonate": NAHCO3, "sodium carbonate": NA2CO3 / 2}
CALCIUM_SALTS = {"calcium chloride dihydrate": CACL2 + 2 * WATER, "calcium chloride, dry": CACL2}
MAGNESIUM_SALTS = {
    "magnesium chloride hexahydrate": MGCL2 + 6 * WATER,
    "magnesium sulfate heptahydrate": MGSO4 + 7 * WATER,
}

SLOWLY = (
    "Dissolve it in fresh water and add it slowly into strong flow, on another day than any other such salt; "
    "no more than 1 dKH, 20 mg/L calcium or 100 mg/L magnesium a day where corals live (common practice)."
)
CAUSTIC = "Carbonate and dry calcium chloride burn eyes and skin and heat the water: goggles, gloves, salt into water."


def convert_alkalinity(alkalinity: Number, of: AlkalinityUnit, to: AlkalinityUnit) -> Number:
    """Alkalinity in another unit; number or array, 0 to 100 dKH (36 meq/L, 1785 mg CaCO3/L).

    Error: five digits. Source (published): ratios of IUPAC 2021 weights; a degree is 10 mg CaO/L.
    """
    dkh = within("the alkalinity", alkalinity / PER_DKH[of], 0, 100, "dKH")
    return dkh * PER_DKH[to]


def alkalinity_salt_grams(rise_dkh: Number, volume_l: Number, salt: str) -> Number:
    """Grams of a salt of `ALKALINITY_SALTS` that lift alkalinity by ``rise_dkh`` (0 to 20) in ``volume_l`` (L).

    Numbers or arrays that broadcast. Error: that of the volume. Source (published): IUPAC 2021 weights.
    """
    within("the rise in alkalinity", rise_dkh, 0, 20, "dKH")
    return _grams(rise_dkh * MEQ_PER_DKH, volume_l, ALKALINITY_SALTS, salt)


def calcium_salt_grams(rise_mg_l: Number, volume_l: Number, salt: str) -> Number:
    """Grams of a salt of `CALCIUM_SALTS` that lift calcium by ``rise_mg_l`` (mg/L, 0 to 500) in ``volume_l`` (L).

    Numbers or arrays that broadcast. Error: the dihydrate draws water from the air. Source (published): IUPAC 2021
    weights.
    """
    within("the rise in calcium", rise_mg_l, 0, 500, "mg/L")
    return _grams(rise_mg_l / CA, volume_l, CALCIUM_SALTS, salt)


def magnesium_salt_grams(rise_mg_l: Number, volume_l: Number, salt: str) -> Number:
    """Grams of a salt of `MAGNESIUM_SALTS` that lift magnesium by ``rise_mg_l`` (mg/L, 0 to 1500) in ``volume_l`` (L).

    Numbers or arrays that broadcast. Error: the chloride draws water from the air. Source (published): IUPAC 2021
    weights.
    """
    within("the rise in magnesium", rise_mg_l, 0, 1500, "mg/L")
    return _grams(rise_mg_l / MG, volume_l, MAGNESIUM_SALTS, salt)


def _grams(mmol_l: Number, volume_l: Number, salts: dict[str, float], salt: str) -> Number:
    if salt not in salts:
        raise ValueError(f"no such salt here: {salt}; write one of {', '.join(salts)}")
    within("the volume", volume_l, 0, 100_000, "L")
    return mmol_l * volume_l * salts[salt] / 1000


ADDITIONS = {
    "alkalinity": (alkalinity_salt_grams, "dKH"),
    "calcium": (calcium_salt_grams, "mg/L"),
    "magnesium": (magnesium_salt_grams, "mg/L"),
}


def addition(
    of: Literal["alkalinity", "calcium", "magnesium"], salt: str, now: Measured, target: float, volume_l: Measured
) -> Answer:
    """Grams of ``salt`` that bring ``of`` from ``now`` to ``target`` (dKH or mg/L); numbers or ranges.

    Nothing where it is there already. Range, error and source as the function for that salt.
    """
    formula, unit = ADDITIONS[of]
    value, low, high = through(
        lambda n, v: formula(max(target - n, 0.0), v, salt),
        now, volume_l,
    )  # fmt: skip
    return Answer(
        salt, value, low, high, "g",
        (
            f"{of}: {shown(now)} {unit} now, {target:g} {unit} wanted, in {shown(volume_l)} L",
            f"{formula(1.0, 100.0, salt):.3g} g lift 100 L by 1 {unit} (ratio of atomic weights, IUPAC 2021)",
        ),
        caution=f"{SLOWLY} {CAUSTIC}",
    )  # fmt: skip
