"""Amounts come from named functions, are rounded down, and are not invented where something is unknown."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from speaker import filled, say

from reefjournal.advisor.amounts import FUNCTIONS, Worked, rounded_down, work_out


def test_ammonium_chloride_for_a_rise_of_two_milligrams_of_nitrogen_in_500_litres() -> None:
    # 2 mg/L N * 500 L / 261.87 mg N per g = 3.8187 g. Source (published): IUPAC 2021 abridged standard atomic weights.
    amount = work_out("ammonium-chloride", [filled(volume_low=500.0)], {"target": 2.0})
    assert amount == Worked(3.8, "g", "ammonium chloride", nitrogen=2.0)
    assert isinstance(amount, Worked)
    assert amount.written == "3.8 g ammonium chloride"


def test_a_pinch_of_dry_food_for_phosphate() -> None:
    # 0.05 mg/L PO4 * 290 L / 3.0661 = 4.73 mg P; at 1 % P that is 0.473 g of food, with 0.47 * 96 / 290 = 0.156 mg/L N.
    # Source (published): IUPAC 2021 abridged standard atomic weights, PO4 94.970 / P 30.974.
    amount = work_out("food-for-phosphate", [filled(volume_low=290.0)], {"target": 0.05})
    assert amount == Worked(0.47, "g", "dry food", nitrogen=pytest.approx(0.1556, abs=1e-4))


def test_the_dose_is_reckoned_for_the_low_end_of_the_volume() -> None:
    narrow = work_out("ammonium-chloride", [filled(volume_low=300.0, volume_high=300.0)], {"target": 1.0})
    wide = work_out("ammonium-chloride", [filled(volume_low=300.0, volume_high=400.0)], {"target": 1.0})
    assert narrow == wide


def test_water_is_changed_for_the_nitrate_that_is_there_for_sure() -> None:
    # From 10 to 5 mg/L N half of 200 L goes; a basis that is not known may make four times as much of the same number.
    level = say("level", analyte="nitrate", low=10.0, high=44.0)
    amount = work_out("change-for-nitrate", [filled(volume_low=200.0), level], {"target": 5.0})
    assert amount == Worked(100, "L", "new salt water")


@pytest.mark.parametrize("name", [name for name, function in FUNCTIONS.items() if function.takes.keys() == {"target"}])
def test_no_volume_gives_no_amount_but_a_reason(name: str) -> None:
    reason = work_out(name, [filled(volume_known="no")], {"target": 1.0})
    assert isinstance(reason, str)
    assert reason


def test_a_number_outside_the_range_of_a_formula_gives_a_reason() -> None:
    reason = work_out("ammonium-chloride", [filled()], {"target": 50.0})
    assert isinstance(reason, str)
    assert "outside 0 to 20 mg N/L" in reason


def test_an_amount_beyond_all_numbers_gives_a_reason() -> None:
    assert work_out("food-for-phosphate", [filled()], {"target": 1e308}) == "more than can be reckoned with"


@given(st.floats(1e-6, 1e6))
def test_rounding_keeps_two_figures_and_never_gives_more(value: float) -> None:
    rounded = rounded_down(value)
    assert rounded <= value * (1 + 1e-8) + 1e-6
    assert rounded >= value * 0.9 - 1e-6
    assert math.isfinite(rounded)
