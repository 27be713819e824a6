"""What ammonia becomes and costs, the balance of a vessel, and capacity against load."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.chemistry.nitrogen import (
    Changed,
    Given,
    alkalinity_used_dkh,
    capacity_mg_n_per_day,
    expected_nitrate_mg_l,
    expected_nitrogen,
    food_load_mg_n_per_day,
    load_over_capacity,
    nitrogen_balance,
    oxygen_used_mg_l,
)
from reefjournal.chemistry.weights import CACO3_PER_DKH


def test_oxygen_and_alkalinity_used_a_milligram_of_nitrogen_are_those_of_the_manual():
    """US EPA, Nitrogen Control, 1993, EPA/625/R-93/010 (from memory): 4.57 mg O2 and 7.14 mg CaCO3 a mg N."""
    assert oxygen_used_mg_l(1.0) == pytest.approx(4.57, abs=0.005)
    assert alkalinity_used_dkh(1.0) * CACO3_PER_DKH == pytest.approx(7.14, abs=0.006)
    assert alkalinity_used_dkh(1.0) == pytest.approx(0.400, abs=0.001)


def test_two_milligrams_of_nitrogen_become_nearly_nine_of_nitrate():
    """Molar masses 62.004 and 14.007 g/mol (CRC Handbook, from memory)."""
    assert expected_nitrate_mg_l(2.0) == pytest.approx(8.853, abs=0.001)


def test_what_was_given_less_what_was_changed_should_be_in_the_water():
    """600 mg in 300 L is 2 mg/L; half of it goes with half of the water, by hand."""
    steps = [Given(600.0), Changed(0.5)]
    assert expected_nitrogen(steps, 300.0) == (pytest.approx(1.0), pytest.approx(1.0))


def test_new_water_that_holds_nitrate_brings_it_in():
    """(1 - 0.25) x 0 + 0.25 x 4, by hand."""
    assert expected_nitrogen([Changed(0.25, 4.0)], 300.0)[0] == pytest.approx(1.0)


def test_a_balance_whose_range_ends_below_nothing_says_that_nitrogen_is_missing():
    answer = nitrogen_balance([Given((580.0, 620.0))], (280.0, 300.0), {"nitrite": 0.1, "nitrate": (0.5, 1.0)})
    assert answer.high == pytest.approx(1.1 - 580 / 300)
    assert answer.low == pytest.approx(0.6 - 620 / 280)
    assert answer.low < answer.value < answer.high < 0


@given(
    st.lists(st.builds(Given, st.floats(0, 1000)) | st.builds(Changed, st.floats(0, 1), st.floats(0, 20)), max_size=8),
    st.floats(50, 500),
    st.floats(0, 0.2),
)
def test_an_unsure_volume_never_narrows_the_balance(steps, volume, error):
    exact = expected_nitrogen(steps, volume)[0]
    low, high = expected_nitrogen(steps, (volume * (1 - error), volume * (1 + error)))
    assert low <= exact + 1e-9
    assert high >= exact - 1e-9


def test_a_challenge_proves_the_rate_of_its_smallest_dose_and_longest_time():
    """2 mg/L in 500 L within 24 hours is 1000 mg a day, by hand."""
    answer = capacity_mg_n_per_day((2.0, 2.2), 500.0, (20.0, 24.0))
    assert answer.low == pytest.approx(1000.0)
    assert answer.high == pytest.approx(2.2 * 500 * 24 / 20)


def test_a_challenge_that_had_cleared_by_the_first_reading_has_no_upper_end():
    assert math.isinf(capacity_mg_n_per_day(2.0, 500.0, (0.0, 24.0)).high)


def test_what_was_left_over_does_not_count_as_cleared():
    """(2 - 0.5) x 500 in a day, by hand."""
    assert capacity_mg_n_per_day(2.0, 500.0, 24.0, 0.5).value == pytest.approx(750.0)


def test_a_load_is_compared_with_the_proven_end_of_the_capacity():
    load = food_load_mg_n_per_day(27.0, 0.4)
    ratio = load_over_capacity(load.value, (1000.0, math.inf))
    assert ratio.value == pytest.approx(0.9936)
    assert ratio.low == 0


def test_a_range_written_backwards_is_refused():
    with pytest.raises(ValueError, match="write the lower one first"):
        food_load_mg_n_per_day((3.0, 2.0))
