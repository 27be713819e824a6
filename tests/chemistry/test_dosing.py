"""Ammonium chloride, food and tissue as sources of ammonia."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.chemistry.dosing import (
    ammonia_dose,
    ammonium_chloride_grams,
    ammonium_chloride_mg_n,
    dose_added_mg_n_per_l,
    feed_ammonia_mg_n,
    tissue_mg_n,
)


def test_two_milligrams_of_nitrogen_a_litre_in_five_hundred_litres_take_3_82_grams():
    """Molar masses 53.49 and 14.007 g/mol (CRC Handbook, from memory): 2 x 500 / 1000 x 3.819."""
    assert ammonium_chloride_grams(2.0, 500.0) == pytest.approx(3.82, abs=0.005)


def test_a_gram_of_ammonium_chloride_holds_261_87_milligrams_of_nitrogen():
    """Ratio of IUPAC 2021 weights, by hand: 14.007 / 53.489."""
    assert ammonium_chloride_mg_n(1.0) == pytest.approx(261.87, abs=0.005)


def test_food_of_two_fifths_protein_brings_37_milligrams_a_gram():
    """Timmons and Ebeling, Recirculating Aquaculture (from memory): 0.092 x protein."""
    assert feed_ammonia_mg_n(1.0, 0.40) == pytest.approx(36.8)


def test_prawn_meat_holds_at_most_32_milligrams_of_nitrogen_a_gram():
    """USDA food tables, raw shrimp: 20.1 % protein, counted as 6.25 times its nitrogen (read in a reprint)."""
    assert tissue_mg_n(1.0, 0.201) == pytest.approx(32.2, abs=0.05)


@given(st.floats(0, 10), st.floats(1, 2000), st.floats(0.5, 1))
def test_the_grams_for_a_target_hold_the_nitrogen_of_that_target(target, volume, purity):
    grams = ammonium_chloride_grams(target, volume, purity)
    assert ammonium_chloride_mg_n(grams, purity) == pytest.approx(target * volume, abs=1e-9)


def test_a_dose_for_an_unsure_volume_names_the_grams_for_the_smallest():
    answer = ammonia_dose(2.0, (280.0, 300.0), (0.0, 0.5))
    assert answer.low == pytest.approx(ammonium_chloride_grams(1.5, 280.0))
    assert answer.high == pytest.approx(ammonium_chloride_grams(2.0, 300.0))
    assert answer.low < answer.value < answer.high


def test_nothing_is_dosed_where_the_ammonia_is_there_already():
    assert ammonia_dose(2.0, 290.0, 2.5).value == 0


def test_a_dose_above_four_milligrams_of_nitrogen_is_refused():
    with pytest.raises(ValueError, match="the ammonia wanted is 5, outside 0 to 4 mg N/L"):
        ammonia_dose(5.0, 290.0)


def test_every_dose_says_that_nothing_may_live_there():
    assert "Only where nothing lives" in ammonia_dose(2.0, 290.0).caution


def test_what_a_dose_really_added_carries_the_error_of_the_volume():
    answer = dose_added_mg_n_per_l(3.0, (280.0, 300.0))
    assert (answer.low, answer.high) == (pytest.approx(785.6 / 300, rel=1e-4), pytest.approx(785.6 / 280, rel=1e-4))
