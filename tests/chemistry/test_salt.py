"""Salt to mix, evaporation, and net volume learned."""

import math

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.chemistry.salt import (
    SALT_FACTOR,
    dry_salt_g_per_l,
    fresh_water_to_exchange,
    salinity_after_evaporation,
    salt_factor,
    salt_to_add,
    top_up,
    volume_from_dose,
    volume_from_salt,
)


def test_a_litre_of_reef_water_holds_nearly_36_grams_of_dry_salt():
    """Millero et al. 2008: 35.16504 g/kg; gsw 3.6: rho_t_exact at 25 °C. The low end of the stated range is this."""
    expected = 35.16504 * gsw.rho_t_exact(35.16504, 25.0, 0) / 1000
    assert dry_salt_g_per_l(35.0, 25.0) == pytest.approx(expected, rel=1e-5)
    assert SALT_FACTOR[0] == pytest.approx(expected / 35, abs=0.005)


def test_losing_one_per_cent_of_the_water_lifts_35_to_35_35():
    """By hand: 35 / 0.99."""
    assert salinity_after_evaporation(35.0, 100.0, 1.0) == pytest.approx(35.354, abs=1e-3)


def test_the_keepers_own_mixing_narrows_the_salt_to_add():
    factor = salt_factor(3800.0, 100.0, 0.0, (34.8, 35.2))
    stated, own = salt_to_add(100.0, 0.0, 35.0), salt_to_add(100.0, 0.0, 35.0, (factor.low, factor.high))
    assert own.low <= 3800 <= own.high
    assert own.high - own.low < (stated.high - stated.low) / 5


def test_no_salt_goes_into_water_that_is_salty_enough():
    assert salt_to_add(100.0, 36.0, 35.0).value == 0


def test_topping_up_brings_the_salinity_back():
    """300 L at 35 that lost 3 L are at 35 x 300 / 297, by hand."""
    now = salinity_after_evaporation(35.0, 300.0, 3.0)
    assert top_up(300.0, now, 35.0).value == pytest.approx(3.0)


def test_replacing_an_eighteenth_of_the_water_lowers_36_to_34():
    """By hand: 36 x (1 - 1/18) = 34."""
    assert fresh_water_to_exchange(180.0, 36.0, 34.0).value == pytest.approx(10.0)


@given(st.floats(50, 1000), st.floats(0, 1), st.floats(0.5, 4), st.floats(0, 0.2))
def test_a_volume_learned_from_a_dose_holds_the_true_one(volume, before, rise, error):
    after = before + rise
    answer = volume_from_dose(volume * rise, before, (after - error, after + error))
    assert answer.low <= volume * (1 + 1e-9)
    assert answer.high >= volume * (1 - 1e-9)


def test_a_rise_no_larger_than_its_error_leaves_the_volume_open():
    assert math.isinf(volume_from_dose(100.0, (0.0, 0.3), (0.2, 0.6)).high)


def test_a_reading_that_did_not_rise_tells_no_volume():
    with pytest.raises(ValueError, match="no rise, so no volume follows"):
        volume_from_dose(100.0, 0.5, 0.5)


def test_a_volume_learned_from_salt_carries_the_range_of_the_salt():
    """38 kg to 35: 38000 / (35 x 1.15) to 38000 / (35 x 1.03), by hand."""
    answer = volume_from_salt(38_000.0, 0.0, 35.0)
    assert (answer.low, answer.high) == (pytest.approx(944.1, abs=0.1), pytest.approx(1054.1, abs=0.1))


def test_a_mix_whose_salinity_did_not_surely_rise_gives_no_factor():
    with pytest.raises(ValueError, match="it must surely have risen"):
        salt_factor(100.0, 100.0, (34.0, 36.0), (35.0, 37.0))


def test_a_salt_factor_that_no_salt_has_shows_no_volume():
    with pytest.raises(ValueError, match="the salt factor"):
        volume_from_salt(3800.0, 0.0, 35.0, 0.0)
