"""Alkalinity units, additions, and aragonite saturation against another implementation."""

import numpy as np
import PyCO2SYS
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.chemistry.aragonite import aragonite, aragonite_saturation
from reefjournal.chemistry.carbonate import (
    PER_DKH,
    addition,
    alkalinity_salt_grams,
    calcium_salt_grams,
    convert_alkalinity,
    magnesium_salt_grams,
)
from reefjournal.chemistry.salinity import density

UNIT = st.sampled_from(sorted(PER_DKH))


@given(st.floats(0, 35), UNIT, UNIT)
def test_an_alkalinity_comes_back_from_another_unit(alkalinity, there, back):
    assert convert_alkalinity(convert_alkalinity(alkalinity, there, back), back, there) == pytest.approx(alkalinity)


def test_eight_degrees_are_143_milligrams_of_calcium_carbonate():
    """A German degree is 17.848 mg CaCO3/L, the usual table value: 8 dKH are 142.8."""
    assert convert_alkalinity(8.0, "dKH", "mg CaCO3/L") == pytest.approx(142.8, abs=0.05)


@pytest.mark.parametrize(
    ("formula", "rise", "salt", "grams"),
    [
        (alkalinity_salt_grams, 1.0, "sodium bicarbonate", 0.35665 * 84.007 / 10),
        (alkalinity_salt_grams, 1.0, "sodium carbonate", 0.35665 * 105.988 / 20),
        (calcium_salt_grams, 10.0, "calcium chloride dihydrate", 10 / 40.078 * 147.014 / 10),
        (calcium_salt_grams, 10.0, "calcium chloride, dry", 10 / 40.078 * 110.98 / 10),
        (magnesium_salt_grams, 10.0, "magnesium chloride hexahydrate", 10 / 24.305 * 203.30 / 10),
        (magnesium_salt_grams, 10.0, "magnesium sulfate heptahydrate", 10 / 24.305 * 246.47 / 10),
    ],
)
def test_grams_for_a_hundred_litres_follow_from_molar_masses(formula, rise, salt, grams):
    """CRC Handbook of Chemistry and Physics, molar masses (from memory), by hand."""
    assert formula(rise, 100.0, salt) == pytest.approx(grams, rel=1e-4)


def test_an_addition_carries_the_range_of_reading_and_volume():
    answer = addition("alkalinity", "sodium bicarbonate", (6.5, 7.0), 8.0, (280.0, 300.0))
    assert answer.low == pytest.approx(alkalinity_salt_grams(1.0, 280.0, "sodium bicarbonate"))
    assert answer.high == pytest.approx(alkalinity_salt_grams(1.5, 300.0, "sodium bicarbonate"))
    assert "1 dKH" in answer.caution


def test_an_unknown_salt_is_refused_with_those_that_there_are():
    with pytest.raises(ValueError, match="no such salt here: chalk; write one of sodium bicarbonate, sodium carbonate"):
        alkalinity_salt_grams(1.0, 100.0, "chalk")


def test_aragonite_saturation_agrees_with_another_implementation():
    """PyCO2SYS 1.8.3: Lueker et al. 2000 (option 10), Uppström boron (1), Mucci 1983, with the calcium given."""
    ph, temperature, salinity = (
        axis.ravel() for axis in np.meshgrid([7.7, 8.0, 8.3], [15.0, 25.0, 30.0], [25.0, 35.0, 40.0])
    )
    kg_per_l = density(salinity, temperature) / 1000
    ours = aragonite_saturation(8.0, ph, temperature, salinity, 420.0)
    theirs = PyCO2SYS.sys(
        par1=convert_alkalinity(8.0, "dKH", "meq/L") / kg_per_l * 1000, par2=ph, par1_type=1, par2_type=3,
        salinity=salinity, temperature=temperature, total_calcium=420.0 / 40.078 / kg_per_l * 1000,
        opt_k_carbonic=10, opt_total_borate=1, opt_pH_scale=1,
    )["saturation_aragonite"]  # fmt: skip
    np.testing.assert_allclose(ours, theirs, rtol=1e-4)


@given(st.floats(7, 12), st.floats(7.8, 8.4), st.floats(20, 30), st.floats(30, 38))
def test_more_alkalinity_more_ph_and_more_calcium_mean_more_saturation(alkalinity, ph, temperature, salinity):
    here = aragonite_saturation(alkalinity, ph, temperature, salinity, 400.0)
    assert aragonite_saturation(alkalinity + 1, ph, temperature, salinity, 400.0) > here
    assert aragonite_saturation(alkalinity, ph + 0.1, temperature, salinity, 400.0) > here
    assert aragonite_saturation(alkalinity, ph, temperature, salinity, 440.0) > here


def test_a_tenth_of_ph_moves_aragonite_by_a_fifth():
    answer = aragonite(7.5, (8.1, 8.2), 25.0, 35.0, 420.0)
    assert answer.high / answer.low == pytest.approx(1.2, abs=0.03)
