"""Sliding panels: growth of the sheet, grooves, laps and the cut list."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.workshop.growth import (
    ACRYLIC,
    POLYCARBONATE,
    SHEETS,
    Climate,
    growth_range,
    moisture_growth,
    thermal_growth,
)
from reefjournal.workshop.panels import (
    PANELS_AND_LAPS,
    Opening,
    Track,
    panel_width,
    sliding_panels,
    top_groove_needed,
)

STEADY = Climate(22.0, 60.0, (22.0, 22.0), (60.0, 60.0))
ROOM = Climate(20.0, 50.0, (15.0, 30.0), (40.0, 90.0))
OPENING = Opening("left front", (1180.0, 1182.0, 1179.0), (600.0, 601.0, 600.5), "2026-03-01")


def test_four_feet_of_acrylic_grow_two_thousandths_of_an_inch_a_degree_fahrenheit():
    """Data page of extruded acrylic sheet: 0.002 inch per 48 inch per °F (common practice)."""
    grown = thermal_growth(48 * 25.4, 1 / 1.8, ACRYLIC)
    assert grown == pytest.approx(0.002 * 25.4)


def test_thermal_growth_of_acrylic_lies_in_the_handbook_range():
    """Linear expansion of cast PMMA 5 to 9 x 10-5 a degree (polymer handbooks, from memory)."""
    assert 5e-5 < ACRYLIC.per_degree < 9e-5
    assert 6e-5 < POLYCARBONATE.per_degree < 7.1e-5


@pytest.mark.parametrize(("humidity", "percent"), [(0, 0.0), (60, 0.2), (80, 0.3), (100, 0.6), (70, 0.25)])
def test_moisture_growth_of_acrylic_is_that_of_the_data_page(humidity, percent):
    """Same data page: 0.2, 0.3 and 0.6 % at 60, 80 and 100 % humidity; between them a straight line."""
    assert moisture_growth(900.0, humidity, ACRYLIC) == pytest.approx(900.0 * percent / 100)


@given(st.floats(50, 4000), st.floats(0, 99), st.sampled_from(sorted(SHEETS)))
def test_damper_air_never_shrinks_a_sheet(length, humidity, name):
    sheet = SHEETS[name]
    assert moisture_growth(length, humidity + 1, sheet) >= moisture_growth(length, humidity, sheet)


def test_a_sheet_in_the_climate_it_was_cut_in_keeps_its_size():
    assert growth_range(900.0, STEADY) == (0.0, 0.0)


def test_the_top_groove_is_as_deep_as_the_bottom_one_plus_clearance_plus_engagement():
    assert top_groove_needed(6.0, 2.0, 5.0) == 13.0


@given(st.floats(200, 4000), st.floats(0, 60), st.sampled_from(sorted(PANELS_AND_LAPS)))
def test_panels_less_their_laps_span_the_opening(opening, lap, layout):
    panels, laps = PANELS_AND_LAPS[layout]
    assert panels * panel_width(opening, lap, layout) - laps * lap == pytest.approx(opening)


def test_without_growth_a_pair_is_half_the_widest_take_and_lap_and_as_high_as_lifts_in():
    """By hand: (1182 + 40) / 2 = 611; 600 + 13 - 2 - 0.5 = 610.5."""
    plan = sliding_panels(OPENING, Track(6.0, 13.0), ACRYLIC, STEADY)
    (cut,) = plan.cuts
    assert (cut.count, cut.width, cut.height, cut.tolerance) == (2, 611.0, 610.5, 0.5)
    assert plan.lift_clearance == (pytest.approx(2.0), pytest.approx(2.0))
    assert plan.lap == (pytest.approx(40.0), pytest.approx(43.0))


def test_the_cut_list_names_the_takes_that_it_rests_on():
    (cut,) = sliding_panels(OPENING, Track(6.0, 13.0), ACRYLIC, STEADY).cuts
    assert cut.rests_on == "width take 2 (1182 mm, the widest), height take 1 (600 mm, the lowest) of 2026-03-01"


def test_a_panel_with_room_for_growth_has_no_warning():
    plan = sliding_panels(OPENING, Track(6.0, 19.0, clearance=5.0), ACRYLIC, ROOM)
    assert plan.warnings == ()
    assert plan.lift_clearance[1] > 0
    assert plan.engagement >= 5.0


def test_growth_beyond_the_grooves_is_warned_of_as_binding():
    damp = Climate(18.0, 20.0, (18.0, 32.0), (20.0, 100.0))
    tall = Opening("tall", (900.0, 900.0, 900.0), (1500.0, 1500.0, 1500.0))
    plan = sliding_panels(tall, Track(2.0, 9.0, clearance=1.0), ACRYLIC, damp)
    assert plan.running < 0
    assert any(warning.startswith("can bind") for warning in plan.warnings)


def test_the_same_panel_in_polycarbonate_does_not_bind():
    damp = Climate(18.0, 20.0, (18.0, 32.0), (20.0, 100.0))
    tall = Opening("tall", (900.0, 900.0, 900.0), (1500.0, 1500.0, 1500.0))
    assert sliding_panels(tall, Track(2.0, 9.0, clearance=1.0), POLYCARBONATE, damp).running > 0


def test_a_top_groove_that_is_too_shallow_is_named_with_the_depth_it_needs():
    plan = sliding_panels(OPENING, Track(6.0, 10.0), ACRYLIC, STEADY)
    assert "the top groove is 10 mm deep; lifting in and holding needs 13 mm" in plan.warnings


@given(st.floats(400, 700), st.floats(0, 8), st.floats(2, 10), st.floats(0, 6))
def test_deep_enough_grooves_let_a_panel_lift_in_and_hold(height, spread, bottom, room):
    """The rule of the grooves plus what the takes, the saw and the climate need: geometry."""
    opening = Opening("any", (900.0,) * 3, (height, height + spread, height + spread))
    top = top_groove_needed(bottom, 2.0 + room, 5.0) + spread + 1.0
    plan = sliding_panels(opening, Track(bottom, top, clearance=2.0 + room), ACRYLIC, STEADY)
    assert plan.lift_clearance[0] >= 2.0 + room - 1e-9
    assert plan.engagement >= 5.0 - 1e-9


def test_two_takes_are_too_few():
    with pytest.raises(ValueError, match="2 takes of the width; write three or more"):
        sliding_panels(Opening("left", (900.0, 901.0), (600.0,) * 3), Track(6.0, 13.0), ACRYLIC, STEADY)


def test_takes_that_lie_far_apart_are_a_slip():
    with pytest.raises(ValueError, match="from 900 to 1000 mm; measure again"):
        sliding_panels(Opening("left", (900.0, 1000.0, 901.0), (600.0,) * 3), Track(6.0, 13.0), ACRYLIC, STEADY)
