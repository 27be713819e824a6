"""Oxygen saturation against the paper's check value and TEOS-10."""

import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.chemistry.oxygen import oxygen_percent, oxygen_saturation_mg_l, oxygen_saturation_umol_kg
from reefjournal.chemistry.salinity import PER_T90


def test_the_papers_own_check_value_is_met():
    """Garcia and Gordon 1992: 274.610 micromol/kg at salinity 35 and 10 °C of 1968 (from memory)."""
    assert oxygen_saturation_umol_kg(10 / PER_T90, 35.0) == pytest.approx(274.610, abs=1e-3)


def test_saturation_agrees_with_teos_10():
    """gsw 3.6: O2sol_SP_pt at the surface."""
    temperature, salinity = np.meshgrid([2.0, 10.0, 20.0, 25.0, 30.0, 36.0], [0.0, 15.0, 30.0, 35.0, 40.0])
    theirs = gsw.O2sol_SP_pt(salinity, temperature)
    np.testing.assert_allclose(oxygen_saturation_umol_kg(temperature, salinity), theirs, rtol=1e-6)


@pytest.mark.parametrize(
    ("temperature", "fresh", "reef"), [(20.0, 9.091, 7.395), (25.0, 8.262, 6.771), (28.0, 7.827, 6.440)]
)
def test_milligrams_a_litre_in_fresh_water_and_at_salinity_thirty_five(temperature, fresh, reef):
    """gsw 3.6: O2sol_SP_pt x rho_t_exact x 31.9988 g/mol; Benson and Krause's tables agree to 0.01."""
    assert oxygen_saturation_mg_l(temperature, 0.0) == pytest.approx(fresh, abs=1.5e-3)
    assert oxygen_saturation_mg_l(temperature, 35.0) == pytest.approx(reef, abs=1.5e-3)


@given(st.floats(0, 39), st.floats(0, 41))
def test_warmer_and_saltier_water_holds_less(temperature, salinity):
    here = oxygen_saturation_mg_l(temperature, salinity)
    assert oxygen_saturation_mg_l(temperature + 1, salinity) < here
    assert oxygen_saturation_mg_l(temperature, salinity + 1) < here


def test_a_measured_value_is_told_as_a_share_of_saturation_with_its_range():
    """6.771 mg/L at 25 °C and 35: as above."""
    answer = oxygen_percent((6.0, 6.771), 25.0, 35.0)
    assert answer.high == pytest.approx(100.0, abs=0.05)
    assert answer.low == pytest.approx(100 * 6.0 / 6.771, abs=0.05)
