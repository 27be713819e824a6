"""What brings ammonia into the water, as nitrogen: ammonium chloride, food, and tissue that rots."""

from reefjournal.chemistry.scalars import Number, within
from reefjournal.chemistry.weights import N_PER_NH4CL

FEED_N_AS_AMMONIA = 0.092
PROTEIN_PER_N = 6.25


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
