"""Conversions to five digits, from atomic weights and against molar masses of the handbooks."""

import math

import pytest

from reefjournal.chemistry import weights
from reefjournal.chemistry.carbonate import ALKALINITY_SALTS, CALCIUM_SALTS, MAGNESIUM_SALTS


@pytest.mark.parametrize(
    ("element", "weight"),
    [("H", 1.008), ("C", 12.011), ("N", 14.007), ("O", 15.999), ("NA", 22.990), ("MG", 24.305), ("P", 30.974),
     ("S", 32.06), ("CL", 35.45), ("CA", 40.078)],
)  # fmt: skip
def test_atomic_weights_are_those_of_iupac(element, weight):
    """IUPAC, abridged standard atomic weights, 2021."""
    assert getattr(weights, element) == weight


@pytest.mark.parametrize(
    ("ours", "handbook"),
    [
        (weights.NH3, 17.031), (weights.NH4CL, 53.492), (weights.NO2, 46.005), (weights.NO3, 62.004),
        (weights.PO4, 94.970), (weights.CACO3, 100.087), (weights.CAO, 56.077),
        (ALKALINITY_SALTS["sodium bicarbonate"], 84.007), (2 * ALKALINITY_SALTS["sodium carbonate"], 105.988),
        (CALCIUM_SALTS["calcium chloride dihydrate"], 147.014), (CALCIUM_SALTS["calcium chloride, dry"], 110.98),
        (MAGNESIUM_SALTS["magnesium chloride hexahydrate"], 203.30),
        (MAGNESIUM_SALTS["magnesium sulfate heptahydrate"], 246.47),
    ],
)  # fmt: skip
def test_molar_masses_are_those_of_the_handbook(ours, handbook):
    """CRC Handbook of Chemistry and Physics, physical constants of inorganic compounds (from memory), g/mol."""
    assert ours == pytest.approx(handbook, rel=1e-4)  # chlorine differs by 3 mg between editions


@pytest.mark.parametrize(
    ("factor", "five_digits"),
    [
        (weights.NH3_PER_N, 1.2159), (weights.NH4_PER_N, 1.2879), (weights.NH4 / weights.NH3, 1.0592),
        (weights.NO2_PER_N, 3.2844), (weights.NO3_PER_N, 4.4266), (weights.PO4_PER_P, 3.0661),
        (weights.MEQ_PER_DKH, 0.35665), (weights.CACO3_PER_DKH, 17.848), (weights.CACO3_PER_MEQ, 50.043),
        (1000 * weights.N_PER_NH4CL, 261.87),
    ],
)  # fmt: skip
def test_conversion_factors_hold_to_five_digits(factor, five_digits):
    """Ratios of IUPAC 2021 weights, by hand; 1.22 and 1.29 for N to NH3 and NH4: US Army TM 5-6630-215-12, p. 2-45."""
    half_a_digit = 0.5 * 10 ** (math.floor(math.log10(five_digits)) - 4)
    assert factor == pytest.approx(five_digits, abs=half_a_digit * 1.01)
