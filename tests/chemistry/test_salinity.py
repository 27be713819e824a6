"""Density, specific gravity and conductivity against UNESCO's check values and TEOS-10."""

import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.chemistry.salinity import (
    PER_T90,
    REFERENCES,
    density,
    practical_salinity,
    salinity_from_density,
    salinity_from_hydrometer,
    salinity_from_specific_gravity,
    salinity_of_reading,
    specific_gravity,
)

GRID = np.meshgrid([5.0, 15.0, 25.0, 30.0, 35.0, 40.0], [5.0, 15.0, 20.0, 25.0, 30.0, 35.0])


@pytest.mark.parametrize(
    ("salinity", "t68", "expected"),
    [(0, 0, 999.842594), (0, 30, 995.65113374), (35, 0, 1028.10633141), (35, 30, 1021.72863949)],
)
def test_the_check_values_of_the_equation_of_state_are_met_to_the_last_digit(salinity, t68, expected):
    """UNESCO Technical Papers in Marine Science 44, 1983, as quoted by the library seawater 3.3.5."""
    assert density(float(salinity), t68 / PER_T90) == pytest.approx(expected, abs=1e-8)


def test_a_conductivity_ratio_of_one_at_fifteen_degrees_is_salinity_thirty_five():
    """The definition of PSS-78, UNESCO 44, 1983; 42.914 mS/cm (on the scale of 1968)."""
    assert practical_salinity(42.914, 15 / PER_T90) == pytest.approx(35.0, abs=1e-4)


def test_density_agrees_with_teos_10():
    """gsw 3.6: rho_t_exact of reference salinity; the two standards differ by less than 0.01 kg/m3 here."""
    salinity, temperature = GRID
    theirs = gsw.rho_t_exact(salinity * 35.16504 / 35, temperature, 0)
    np.testing.assert_allclose(density(salinity, temperature), theirs, atol=0.01)


def test_salinity_from_conductivity_agrees_with_teos_10():
    """gsw 3.6: C_from_SP at the surface."""
    salinity, temperature = GRID
    conductivity = gsw.C_from_SP(salinity, temperature, 0)
    np.testing.assert_allclose(practical_salinity(conductivity, temperature), salinity, atol=2e-4)


@pytest.mark.parametrize(
    ("reference", "at_35", "of_1026"),
    [("25/25", 1.02637, 34.51), ("20/20", 1.02661, 34.21), ("60/60F", 1.02686, 33.88)],
)
def test_a_specific_gravity_means_another_salinity_on_each_scale(reference, at_35, of_1026):
    """gsw 3.6: rho_t_exact over that of pure water at the reference temperature."""
    assert specific_gravity(35.0, reference) == pytest.approx(at_35, abs=6e-6)
    assert salinity_from_specific_gravity(1.026, reference) == pytest.approx(of_1026, abs=0.01)


@pytest.mark.parametrize(("reference", "shows"), [("60/60F", 1.02435), ("20/20", 1.02518)])
def test_a_hydrometer_in_water_warmer_than_it_was_made_for_is_corrected(reference, shows):
    """gsw 3.6: salinity 35 at 25 °C over pure water at the reference temperature, glass left out."""
    assert salinity_from_hydrometer(shows, 25.0, reference, glass=0.0) == pytest.approx(35.0, abs=0.01)
    assert salinity_from_specific_gravity(shows, reference) < 33.5


@given(st.floats(0, 42), st.sampled_from(sorted(REFERENCES)))
def test_a_salinity_comes_back_from_its_specific_gravity(salinity, reference):
    assert salinity_from_specific_gravity(specific_gravity(salinity, reference), reference) == pytest.approx(
        salinity, abs=1e-7
    )


@given(st.floats(0, 41), st.floats(0, 40))
def test_saltier_water_is_heavier_and_its_density_leads_back(salinity, temperature):
    assert density(salinity + 1, temperature) > density(salinity, temperature)
    assert salinity_from_density(density(salinity, temperature), temperature) == pytest.approx(salinity, abs=1e-7)


def test_a_gravity_of_unknown_reference_spans_all_three():
    answer = salinity_of_reading(1.026, "SG")
    assert (answer.low, answer.high) == (pytest.approx(33.88, abs=0.01), pytest.approx(34.51, abs=0.01))
    assert salinity_of_reading(1.026, "SG", reference="20/20").low == pytest.approx(34.21, abs=0.01)


def test_a_hydrometer_reading_is_answered_for_the_temperature_it_was_read_at():
    """gsw 3.6, as above; the glass moves it by 0.3."""
    answer = salinity_of_reading(1.02435, "hydrometer", 25.0, "60/60F")
    assert answer.value == pytest.approx(35.0, abs=0.4)
    assert "in water of 25 °C" in answer.working[0]


def test_a_conductivity_range_gives_a_salinity_range():
    """gsw 3.6: 52 and 54 mS/cm at 25 °C are 34.21 and 35.69."""
    answer = salinity_of_reading((52.0, 54.0), "mS/cm", 25.0)
    assert (answer.low, answer.high) == (pytest.approx(34.21, abs=0.01), pytest.approx(35.69, abs=0.01))


def test_a_gravity_below_that_of_pure_water_is_refused():
    with pytest.raises(ValueError, match=r"the salinity of that density is .*, outside"):
        salinity_from_specific_gravity(0.99, "25/25")
