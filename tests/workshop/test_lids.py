"""Lifting lids: the moment balance over the swing."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.workshop.lids import (
    GRAVITY,
    Lid,
    Mount,
    Strut,
    balancing_force,
    counterweight,
    lever,
    push_at,
    strut_needed,
    swing,
)

LID = Lid(8.0, 0.30, 0.60)
MOUNT = Mount(0.25, 0.02, 0.08, -0.22)
PULLEY = Mount(0.60, 0.0, 0.0, 0.90)


def test_the_worked_example_of_an_engineering_magazine_is_met():
    """Engineering magazine, note on sizing gas springs: 50 kg, 0.8 m, 0.25 m, two struts: 784.8 N each."""
    assert balancing_force(50.0, 0.8, 0.25, 2) == pytest.approx(784.8)


def test_a_lid_that_stands_upright_needs_no_force():
    assert balancing_force(50.0, 0.8, 0.25, 2, 90.0) == pytest.approx(0.0, abs=1e-9)


def test_a_strut_square_to_a_level_lid_has_the_whole_distance_as_its_arm():
    """By hand: fixed straight below the lid's point at 0.25 m."""
    length, arm = lever(Mount(0.25, 0.0, 0.25, -0.40), 0.0)
    assert (length, arm) == (pytest.approx(0.40), pytest.approx(0.25))


@given(st.floats(0, 80))
def test_the_arm_is_how_fast_the_length_grows_with_the_angle(degrees):
    """Principle of virtual work: d(length)/d(angle in radians) is the lever arm."""
    step = 0.01
    longer, shorter = lever(MOUNT, degrees + step)[0], lever(MOUNT, degrees - step)[0]
    assert (longer - shorter) / math.radians(2 * step) == pytest.approx(lever(MOUNT, degrees)[1], rel=1e-5)


@pytest.mark.parametrize(("temperature", "factor"), [(20.0, 1.0), (-10.0, 263.15 / 293.15), (40.0, 313.15 / 293.15)])
def test_a_strut_pushes_in_proportion_to_its_absolute_temperature(temperature, factor):
    """Ideal gas law at constant volume."""
    assert push_at(Strut(300.0), 0.0, temperature) == pytest.approx(300.0 * factor)


def test_struts_sized_for_the_coldest_day_hold_the_open_lid_on_it():
    strut = Strut(strut_needed(LID, MOUNT, 2, coldest=5.0))
    result = swing(LID, MOUNT, strut, 5.0)
    assert result.positions[-1].edge_n > 0
    assert not any("does not stay up" in warning for warning in result.warnings)


def test_struts_without_a_reserve_let_the_lid_down_when_it_is_colder():
    strut = Strut(strut_needed(LID, MOUNT, 2, coldest=20.0, reserve=1.0))
    assert any("does not stay up" in warning for warning in swing(LID, MOUNT, strut, 5.0).warnings)


def test_a_strut_that_is_too_strong_lifts_the_closed_lid():
    result = swing(LID, MOUNT, Strut(200.0))
    assert result.positions[0].edge_n > 0
    assert any("rises by itself" in warning for warning in result.warnings)


def test_the_force_at_the_edge_is_the_moment_that_is_left_over_the_lids_length():
    """Balance of moments, by hand for the closed lid."""
    closed = swing(LID, MOUNT, Strut(60.0, number=2)).positions[0]
    moment = 2 * closed.push_n * closed.arm_m - 8.0 * GRAVITY * 0.30
    assert closed.edge_n == pytest.approx(moment / 0.60)


def test_one_strut_must_push_twice_as_hard_as_each_of_two():
    assert strut_needed(LID, MOUNT, 1) == pytest.approx(2 * strut_needed(LID, MOUNT, 2))


def test_a_strut_mounted_over_the_hinge_line_is_told_to_press_the_lid_down():
    result = swing(LID, Mount(0.25, 0.0, 0.10, 0.30), Strut(60.0))
    assert "at some angles the struts press the lid down, not up" in result.warnings


def test_a_cord_square_to_the_level_lid_needs_the_moment_over_its_arm():
    """By hand: pulley straight above the edge: 8 kg x 0.30 / 0.60 = 4 kg."""
    result = counterweight(Lid(8.0, 0.30, 0.60, opened=20.0), Mount(0.60, 0.0, 0.60, 0.90))
    assert result.balance[0][1] == pytest.approx(4.0)


def test_a_counterweight_never_outweighs_the_lid_anywhere_in_the_swing():
    result = counterweight(LID, PULLEY)
    assert result.kg == min(kg for _, kg in result.balance)
    assert result.travel_m > 0


def test_a_cord_that_does_not_lift_is_refused():
    with pytest.raises(ValueError, match=r"the cord's lever arm is .*, outside 0\.005 to 3 m"):
        counterweight(LID, Mount(0.60, 0.0, 0.60, -0.90))


def test_every_lid_warns_of_stored_energy_and_crushing():
    assert "stored energy" in swing(LID, MOUNT, Strut(60.0)).caution
    assert "crush" in counterweight(LID, PULLEY).caution
