"""What brings ammonia into the water, as nitrogen: ammonium chloride, food, and tissue that rots."""

from __future__ import annotations

from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.chemistry.answer import Answer, Measured, ends, shown, through
from reefjournal.chemistry.scalars import Number, within
from reefjournal.chemistry.weights import N_PER_NH4CL, NH3_PER_N, NH4_PER_N, PROTEIN_PER_N

FEED_N_AS_AMMONIA: Annotated[
    float,
    Believed(
        "g N/g protein", "ammonia nitrogen that animals give off from the protein they eat",
        "from memory: Timmons and Ebeling, Recirculating Aquaculture", "a third either way",
    ),
] = 0.092  # fmt: skip
DOSE_LIMIT: Annotated[
    float,
    Believed(
        "mg N/L", "the most ammonia that is ever given and not yet oxidised: more slows the bacteria that are wanted",
        "common practice", "4 to 5 mg/L",
    ),
] = 4.0  # fmt: skip
NOTHING_LIVES = (
    "Only where nothing lives: no fish, shrimp, snail, coral or live rock. Ammonia kills. Keep the powder from bleach "
    "(poisonous gas), from children and from food."
)


def ammonium_chloride_grams(target_mg_n_per_l: Number, volume_l: Number, purity: float = 1.0) -> Number:
    """Grams of ammonium chloride that lift the ammonia of ``volume_l`` litres by ``target_mg_n_per_l``, as nitrogen.

    Numbers or arrays of one shape. Range: 0 to 20 mg N/L, 0 to 100,000 L, purity 0.5 to 1 (mass share of the salt).
    Error: that of the volume and the scale; a salt that has drawn water weighs more. Source (published): ratio of
    IUPAC 2021 weights, 261.87 mg N a gram.
    """
    within("the rise in ammonia", target_mg_n_per_l, 0, 20, "mg N/L")
    within("the volume", volume_l, 0, 100_000, "L")
    within("the purity", purity, 0.5, 1, "(share of the mass)")
    return target_mg_n_per_l * volume_l / (1000 * N_PER_NH4CL * purity)


def ammonium_chloride_mg_n(grams: Number, purity: float = 1.0) -> Number:
    """Milligrams of nitrogen in ``grams`` of ammonium chloride.

    Number or array. Range: 0 to 10,000 g, purity 0.5 to 1 (mass share of the salt). Error: that of the scale.
    Source (published): ratio of IUPAC 2021 weights, 261.87 mg N a gram.
    """
    within("the ammonium chloride", grams, 0, 10_000, "g")
    within("the purity", purity, 0.5, 1, "(share of the mass)")
    return 1000 * grams * N_PER_NH4CL * purity


def feed_ammonia_mg_n(grams: Number, protein: Number) -> Number:
    """Milligrams of ammonia nitrogen that ``grams`` of food bring, of which the mass share ``protein`` is protein.

    Numbers or arrays of one shape. Range: 0 to 10,000 g, protein 0 to 0.9. Error: about a third either way, since
    animals keep and waste different shares. Source (from memory): Timmons and Ebeling, Recirculating Aquaculture:
    0.092 kg N per kg protein, from 16 % N in protein, 80 % of it assimilated, 80 % of that excreted, 90 % as ammonia.
    """
    within("the food", grams, 0, 10_000, "g")
    within("the protein share of the food", protein, 0, 0.9, "(share of the mass)")
    return 1000 * grams * protein * FEED_N_AS_AMMONIA


def tissue_mg_n(grams: Number, protein: Number) -> Number:
    """Milligrams of nitrogen in ``grams`` of tissue: the most that can turn into ammonia when it rots.

    Numbers or arrays of one shape. Range: 0 to 10,000 g, protein 0 to 0.9 (mass share; raw prawn meat about 0.20).
    Error: a ceiling; what is netted out or skimmed off never arrives, and a measured factor for marine fish of 5.71
    would give 9 % more. Source (common practice): protein is 6.25 times its nitrogen, as food tables count it.
    """
    within("the tissue", grams, 0, 10_000, "g")
    within("the protein share of the tissue", protein, 0, 0.9, "(share of the mass)")
    return 1000 * grams * protein / PROTEIN_PER_N


def ammonia_dose(target_mg_n: float, volume_l: Measured, present_mg_n: Measured = 0.0, purity: float = 1.0) -> Answer:
    """Grams of ammonium chloride that bring ammonia from ``present_mg_n`` to ``target_mg_n`` (mg N/L).

    Numbers or ranges. ``low`` serves the smallest volume with the most ammonia in it: weigh that where the volume is
    not sure. Raises ValueError above `DOSE_LIMIT`. Source as `ammonium_chloride_grams`.
    """
    within("the ammonia wanted", target_mg_n, 0, DOSE_LIMIT, "mg N/L")
    value, low, high = through(
        lambda v, p: ammonium_chloride_grams(max(target_mg_n - p, 0.0), v, purity), volume_l, present_mg_n
    )
    return Answer(
        "ammonium chloride", value, low, high, "g",
        (
            f"ammonia: {shown(present_mg_n)} mg N/L now, {target_mg_n:g} mg N/L wanted, in {shown(volume_l)} L",
            f"1 g holds {ammonium_chloride_mg_n(1.0, purity):.4g} mg N (ratio of atomic weights, IUPAC 2021)",
            f"{target_mg_n:g} mg N/L is {target_mg_n * NH3_PER_N:.3g} as NH3 and {target_mg_n * NH4_PER_N:.3g} as NH4",
        ),
        caution=NOTHING_LIVES,
    )  # fmt: skip


def dose_added_mg_n_per_l(grams: Measured, volume_l: Measured, purity: Measured = 1.0) -> Answer:
    """Ammonia that ``grams`` of ammonium chloride really added to ``volume_l`` litres, mg N/L; numbers or ranges.

    Source as `ammonium_chloride_mg_n`.
    """
    within("the volume", ends(volume_l)[0], 1e-3, 100_000, "L")
    value, low, high = through(lambda g, v, p: ammonium_chloride_mg_n(g, p) / v, grams, volume_l, purity)
    work = (f"{shown(grams)} g x {ammonium_chloride_mg_n(1.0):.4g} mg N a gram (IUPAC 2021) in {shown(volume_l)} L",)
    return Answer("ammonia added", value, low, high, "mg N/L", work)
