"""Water changes by the conservation of mass, and the emergency change at the pH that follows."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.chemistry.ammonia import free_ammonia
from reefjournal.chemistry.water_change import (
    Water,
    after_changes,
    after_stream,
    emergency_change,
    share_each,
    share_needed,
    stream_volumes,
    water_change,
)

level = st.floats(0, 100)
share = st.floats(0, 1)


@given(level, level, share, share, st.integers(1, 10))
def test_changing_more_brings_the_tank_nearer_to_the_new_water_and_never_above_both(now, new, less, more, times):
    less, more = sorted((less, more))
    with_less, with_more = after_changes(now, new, less, times), after_changes(now, new, more, times)
    assert with_more <= max(now, new) + 1e-9
    assert abs(with_more - new) <= abs(with_less - new) + 1e-9


@given(st.tuples(level, level, level).map(sorted))
def test_the_share_needed_reaches_the_target(levels):
    new, target, now = levels
    assert after_changes(now, new, share_needed(now, target, new)) == pytest.approx(target, abs=1e-9)


@given(level, level, share, st.integers(1, 20))
def test_several_changes_of_their_share_do_what_one_change_does(now, new, whole, times):
    together = after_changes(now, new, share_each(whole, times), times)
    assert together == pytest.approx(after_changes(now, new, whole), abs=1e-6)


@given(level, level, st.floats(0, 0.99))
def test_a_stream_does_the_same_with_more_water(now, new, drained):
    assert stream_volumes(drained) >= drained
    streamed = after_stream(now, new, stream_volumes(drained))
    assert streamed == pytest.approx(after_changes(now, new, drained), abs=1e-9)


def test_half_the_water_streamed_through_changes_39_per_cent():
    """1 - 1/sqrt(e) = 0.3935, by hand."""
    assert after_stream(100.0, 0.0, 0.5) == pytest.approx(100 * math.exp(-0.5))


def test_forty_from_fifty_takes_a_fourth_where_the_new_water_holds_ten():
    """(50 - 40) / (50 - 10), by hand."""
    assert share_needed(50.0, 40.0, 10.0) == pytest.approx(0.25)
    assert water_change(50.0, 40.0, 300.0, 10.0).value == pytest.approx(75.0)


def test_a_target_below_the_new_water_cannot_be_reached():
    with pytest.raises(ValueError, match="new water at 10 cannot bring the tank to 5"):
        water_change(50.0, 5.0, 300.0, 10.0)


def test_nothing_is_changed_where_the_target_is_met():
    assert water_change(5.0, 10.0, 300.0).value == 0


def test_an_emergency_change_counts_with_the_higher_ph_that_it_brings():
    tank = Water(7.8, 25.0, 35.0)
    same = emergency_change(2.0, 0.035, 300.0, tank, tank)
    fresh = emergency_change(2.0, 0.035, 300.0, tank, Water(8.2, 25.0, 35.0))
    assert fresh.value > same.value > 0


def test_no_emergency_change_is_asked_for_where_the_target_is_surely_met():
    assert emergency_change(0.5, 0.035, 300.0, Water(7.8, 25.0, 35.0), Water(8.4, 25.0, 35.0)).value == 0


def test_after_an_emergency_change_no_formula_is_above_the_target():
    answer = emergency_change((1.8, 2.0), 0.035, 300.0, Water(7.9, 25.0, 35.0), Water(8.2, 26.0, 34.0))
    left = after_changes(2.0, 0.0, answer.high / 300.0)
    assert free_ammonia(left, 8.2, 26.0, 34.0).high == pytest.approx(0.035)
