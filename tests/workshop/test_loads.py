"""Floor, drain-down and electrical loads, and litres from dimensions."""

import gsw
import pytest

from reefjournal.workshop.loads import (
    ROOM_LOADS,
    SEA_WATER_KG_PER_L,
    drain_down,
    floor_load,
    glass_tank_mass_kg,
    strip_load,
    water_mass_kg,
)
from reefjournal.workshop.volumes import box_volume_l, inside_cm, net_volume


def test_a_litre_of_sea_water_weighs_what_teos_10_says():
    """gsw 3.6: rho_t_exact at salinity 35, 25 °C."""
    assert pytest.approx(gsw.rho_t_exact(35.16504, 25.0, 0) / 1000, abs=5e-4) == SEA_WATER_KG_PER_L


def test_forty_pounds_a_square_foot_are_1_915_kilonewtons_a_square_metre():
    """Exact definitions: 0.45359237 kg, 9.80665 m/s2, 0.3048 m."""
    assert ROOM_LOADS[0][0] == pytest.approx(40 * 0.45359237 * 9.80665 / 0.3048**2 / 1000, abs=5e-4)


@pytest.mark.parametrize(("depth_m", "pressure"), [(0.4, 4.01), (0.5, 5.02), (0.6, 6.02)])
def test_a_column_of_reef_water_presses_as_tabled(depth_m, pressure):
    """gsw 3.6 density at salinity 35, 25 °C, x 9.81 x depth, as in the reference notes."""
    load = floor_load({"water": water_mass_kg(1000 * depth_m)}, 1.0)
    assert load.pressure_kn_m2 == pytest.approx(pressure, abs=0.011)
    assert load.times_room_load > 2


def test_a_glass_box_weighs_its_five_panes():
    """By hand: floor 122 x 62, sides 2 x 122 x 60 and 2 x 60 x 60 cm, 1 cm thick, at 2.5 kg/L."""
    panes = 122 * 62 * 1 + 2 * 122 * 60 + 2 * 60 * 60
    assert glass_tank_mass_kg((120.0, 60.0, 60.0), 10.0) == pytest.approx(panes / 1000 * 2.5)


def test_a_floor_load_defers_to_a_structural_engineer_and_to_local_codes():
    caution = floor_load({"water": 500.0}, 0.9).caution
    assert "structural engineer" in caution
    assert "local codes" in caution


def test_every_centimetre_of_a_150_by_60_plan_runs_down_as_nine_litres():
    """By hand: 150 x 60 x 1 cm = 9 L; with 4 L of pipes into 40 L, 27 stay free."""
    result = drain_down((150.0, 60.0), 10.0, 4.0, 40.0)
    assert (result.litres, result.room_left) == (pytest.approx(13.0), pytest.approx(27.0))
    assert result.warnings == ()


def test_a_sump_that_is_too_full_puts_the_rest_on_the_floor():
    result = drain_down((150.0, 60.0), 40.0, 4.0, 30.0)
    assert result.warnings == ("10 L go on the floor: lower the sump's running level or raise the return outlet",)


def test_a_strip_over_its_rating_is_warned_of():
    """By hand: 2600 W / 230 V = 11.3 A."""
    result = strip_load({"heaters": 2000.0, "lamps": 600.0}, 230.0, 10.0)
    assert result.amperes == pytest.approx(11.3, abs=0.01)
    assert result.warnings == ("11.3 A is more than the strip's 10 A: split it at once",)
    assert "licensed electrician" in result.caution


def test_a_strip_near_its_rating_is_asked_to_keep_a_fifth_free():
    assert "keep a fifth free" in strip_load({"heaters": 2000.0}, 230.0, 10.0).warnings[0]


def test_a_box_of_decimetres_holds_a_litre_each():
    assert box_volume_l(120.0, 60.0, 50.0) == 360.0


def test_the_inside_is_less_by_two_walls_and_one_floor():
    assert inside_cm((124.0, 64.0, 62.0), 20.0) == (120.0, 60.0, 60.0)


def test_the_net_volume_is_a_range_because_rock_holds_air_or_water():
    """By hand: 0.98 x 460 - 0.6 x 60 - 0.38 x 20 and 1.02 x 460 - 0.35 x 60 - 0.34 x 20."""
    answer = net_volume({"display": 360.0, "sump": 100.0}, rock_kg=60.0, sand_kg=20.0)
    assert (answer.low, answer.high) == (pytest.approx(407.2), pytest.approx(441.4))
    assert answer.low < answer.value < answer.high


def test_a_side_of_no_length_is_refused_with_the_range():
    with pytest.raises(ValueError, match="the depth of water is 0, outside 1 to 1000 cm"):
        box_volume_l(120.0, 60.0, 0.0)
