"""Heating: warm-up, holding, and the loss learned from cooling."""

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.workshop.heating import KJ_PER_L_K, Room, heater_watts, loss_w_per_degree, warm_up_hours


def test_the_heat_that_a_litre_takes_is_that_of_teos_10():
    """gsw 3.6: cp_t_exact x rho_t_exact at salinity 35, 25 °C."""
    expected = gsw.cp_t_exact(35.16504, 25.0, 0) * gsw.rho_t_exact(35.16504, 25.0, 0) / 1e6
    assert pytest.approx(expected, abs=5e-3) == KJ_PER_L_K


def test_five_hundred_litres_by_five_degrees_take_seven_hours_with_400_watts():
    """By hand: 500 x 4.09 x 5 / 3600 = 2.84 kWh; / 0.4 kW = 7.1 h."""
    answer = warm_up_hours(500.0, 20.0, 25.0, 400.0)
    assert answer.value == pytest.approx(7.1, abs=0.01)
    assert "2.84 kWh" in answer.working[0]


@given(st.floats(0.1, 50), st.floats(10, 20))
def test_losses_never_shorten_the_warm_up(loss, room):
    assert warm_up_hours(500.0, 20.0, 25.0, 2000.0, Room(room, loss)).value >= warm_up_hours(
        500.0, 20.0, 25.0, 2000.0
    ).value * (1 - 1e-9)


def test_a_heater_that_the_room_beats_is_refused_with_what_it_reaches():
    with pytest.raises(ValueError, match=r"200 W reach 20\.0 °C at most in this room, not 25 °C"):
        warm_up_hours(500.0, 18.0, 25.0, 200.0, Room(10.0, 20.0))


@given(st.floats(5, 50), st.floats(1, 10))
def test_a_loss_is_found_again_from_the_cooling_that_it_causes(loss, hours):
    """Newton's law of cooling, solved forwards here."""
    heat = 500.0 * KJ_PER_L_K * 1000
    end = 18.0 + 7.0 * 2.718281828459045 ** (-loss * hours * 3600 / heat)
    assert loss_w_per_degree(500.0, 25.0, end, 18.0, hours).value == pytest.approx(loss, rel=1e-6)


def test_a_heater_holds_the_target_in_the_coldest_room_with_its_reserve():
    """By hand: 15 W a degree x 7 degrees x 1.5."""
    assert heater_watts(25.0, Room(18.0, 15.0)).value == pytest.approx(157.5)


def test_every_heater_is_warned_of_running_dry():
    assert "runs dry" in heater_watts(25.0, Room(18.0, 15.0)).caution
