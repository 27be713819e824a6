"""What is said on a day: the forecast, the doubts, the nitrogen sum, the next test, and a stall."""

import json
from dataclasses import asdict, replace

import numpy as np
import pytest

from reefjournal.nitrification.assess import assess
from reefjournal.nitrification.closed_form import days_until
from reefjournal.nitrification.forecast import Question, last_day_above, outcome
from reefjournal.nitrification.model import Event, simulate
from reefjournal.nitrification.run import Dose, Run

from .curves import cycle, kinetics, reading, state


def asked(run: Run, on: float, name: str, **question):
    return next(o for o in assess(run, Question(on, **question)).outcomes if o.id == name)


def test_before_ammonia_falls_the_forecast_is_as_wide_as_the_prior():
    """The time of the fall is linear in the logarithm of the seed, of which flat readings tell next to nothing.

    A width of 512 draws scatters by a twentieth, and so does the prior's: five runs are averaged.
    """
    run = cycle(range(5))
    runs = [replace(run, doses=(Dose(0, nitrogen),)) for nitrogen in (1.9, 1.95, 2.0, 2.05, 2.1)]
    widths = [[one.width_left for one in assess(known, Question(4.0)).outcomes[:2]] for known in runs]
    for mean in np.mean(widths, axis=0):
        assert 0.92 < mean < 1.08


def test_the_forecast_narrows_as_the_cycle_goes_on():
    run = cycle(range(0, 36, 2))
    widths = [asked(run, on, "nitrite").width_left for on in (5, 28, 35)]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.2


def test_intervals_are_nested_and_agree_with_the_probabilities_by_date():
    forecast = asked(cycle(range(0, 20, 2)), 19, "nitrite", by=(30.0, 60.0, 139.0))
    (low80, high80), (low50, high50) = forecast.middle80, forecast.middle50
    assert low80 < low50 < forecast.median < high50 < high80
    assert 0 < forecast.by[0][1] < forecast.by[1][1] < 1
    assert forecast.by[2][1] + forecast.beyond == pytest.approx(1)


def test_not_within_the_horizon_is_an_outcome_of_its_own():
    """Cold water and few days: nitrite still to come is not nitrite gone, and no day is named."""
    cold = replace(cycle(range(0, 10, 2)), temperature=((0.0, 14.0),))
    forecast = asked(cold, 10, "nitrite", horizon=20.0)
    assert forecast.beyond > 0.95
    assert forecast.median is None
    assert forecast.middle80 == (None, None)


def test_the_day_it_stays_below_is_the_last_crossing_not_the_first():
    """Closed form: the first dose is below 0.1 on day 17.82; a second dose on day 20 makes it later."""
    first = days_until(0.1, dosed=2, growth=0.6, half=0.5, capacity=4e-4)
    nothing_decays = kinetics(decay1=0)
    once = simulate(nothing_decays, state(), (0, 60), [Event(20)])
    twice = simulate(nothing_decays, state(), (0, 60), [Event(20, ammonia=1.0)])
    assert last_day_above(once, "ammonia", 0.1)[0] == pytest.approx(first, abs=0.02)
    assert 20 < last_day_above(twice, "ammonia", 0.1)[0] < 22


def test_never_dosed_means_below_from_the_start():
    assert last_day_above(simulate(kinetics(), state(ammonia=0), (0, 9)), "ammonia", 0.1)[0] == 0


def test_quantiles_count_what_never_comes():
    days = np.array([10.0] * 6 + [20.0] * 2 + [np.inf] * 2)
    found = outcome("nitrite", 0.1, days, None, Question(0, by=(15.0,)))
    assert (found.median, found.middle80, found.beyond, found.by) == (10.0, (10.0, None), 0.2, ((15.0, 0.6),))


def test_a_planned_dose_is_part_of_the_forecast():
    run = cycle(range(0, 30, 2))
    planned = replace(run, doses=(*run.doses, Dose(40, 2.0)))
    assert asked(planned, 29, "ammonia").median > 40 > asked(run, 29, "ammonia").median


def test_feeding_the_filter_brings_the_challenge_nearer():
    """Computed curves F and H (scipy LSODA): a filter fed since day 20 is far stronger than one that was never fed."""
    answers = assess(cycle(range(0, 40, 2)), Question(39.0)).outcomes
    unfed, fed = (next(o for o in answers if o.id == name) for name in ("challenge", "challenge-fed"))
    assert unfed.beyond > 0.5 > fed.beyond


def test_what_a_challenge_must_come_down_to_is_asked_for():
    """A finer test sees the end of the same fall later."""
    run = cycle(range(0, 40, 2))
    fine, coarse = (asked(run, 39.0, "challenge-fed", cleared=(end, end), by=(60.0,)) for end in (0.1, 0.4))
    assert fine.by[0][1] < coarse.by[0][1]


def test_one_gross_misreading_is_found_and_the_others_are_trusted():
    days = range(0, 30, 2)
    found = assess(cycle(days, ammonia8=0.0), Question(30.0)).doubted
    chances = {reading.id: reading.misread for reading in found}
    assert found[0].id == "ammonia 8"
    assert chances.pop("ammonia 8") > 0.8
    assert max(chances.values()) < 0.3
    low, _, high = found[0].expected
    assert low < 2.0 < high


def states_of(run: Run, on: float, analyte: str):
    kit = next(kit for kit in assess(run, Question(on)).kits if kit.analyte == analyte)
    return kit, dict(kit.states)


def test_a_kit_with_a_false_zero_is_found_once_nitrite_shows_that_ammonia_is_gone():
    _, states = states_of(cycle(range(0, 36, 2), ammonia_offset=0.25), 36, "ammonia")
    assert states["one step high"] + states["half a step high"] > 0.9
    _, states = states_of(cycle(range(0, 36, 2)), 36, "ammonia")
    assert states["true"] > 0.9


def test_a_kit_stuck_at_zero_is_found():
    kit, states = states_of(cycle(range(0, 24, 2), **{f"ammonia{d}": 0.0 for d in range(0, 24, 2)}), 24, "ammonia")
    assert states["stuck at zero"] > 0.8
    assert kit.step == pytest.approx(0.25)


def test_unreadable_samples_are_counted_by_kit():
    run = cycle(range(0, 12, 2))
    cloudy = tuple(reading("ammonia", day, None, "other") for day in range(5))
    kits = assess(replace(run, readings=run.readings + cloudy), Question(12.0)).kits
    assert [(k.kit, k.samples, k.unreadable) for k in kits if k.analyte == "ammonia"] == [
        ("home", 6, 0),
        ("other", 5, 5),
    ]


def test_the_nitrogen_sum_holds_what_was_dosed_against_what_was_found():
    """Arithmetic: 2 mg N/L dosed; the last readings find nothing, nothing, and 1.41 to 2.83."""
    run = cycle(range(0, 45, 2))
    nitrate = replace(reading("ammonia", 44, 2.0), analyte="nitrate")
    sums = assess(replace(run, readings=(*run.readings, nitrate)), Question(45.0)).balance
    low, high = sums.put_in
    assert low < 2.0 + 0.45 < high
    assert sums.found == (1.41, pytest.approx(2.83 + 2 * 0.125))
    assert not sums.nitrite_present


def test_no_nitrogen_sum_without_a_nitrate_reading():
    assert assess(cycle(range(0, 20, 2)), Question(20.0)).balance is None


def test_a_next_test_is_offered_while_the_end_is_open_and_not_after():
    run = cycle(range(0, 46, 2))
    before, after = (assess(run, Question(on)).next_test for on in (15.0, 45.0))
    assert before.analyte == "ammonia"
    assert 15 < before.day <= 22
    assert 0.1 < before.narrows < 1
    assert after is None


def test_ammonia_that_does_not_move_for_two_months_is_a_stall_and_for_two_weeks_is_not():
    """By the priors 19 of 20 unseeded cycles have ammonia gone by day 40 (computed with scipy LSODA)."""
    flat = tuple(reading("ammonia", day, 2.0) for day in range(0, 61, 5))
    run = Run(doses=(Dose(0, 2.0),), readings=flat)
    chances = [assess(run, Question(on)).steps[0].behind for on in (15.0, 60.0)]
    assert chances[0] > 0.2
    assert chances[1] < 0.03


def test_cold_water_explains_what_would_be_a_stall_in_warm_water():
    flat = tuple(reading("ammonia", day, 2.0) for day in range(0, 46, 3))
    warm = Run(doses=(Dose(0, 2.0),), readings=flat)
    cold = replace(warm, temperature=((0.0, 15.0),))
    assert assess(cold, Question(45.0)).steps[0].behind > 3 * assess(warm, Question(45.0)).steps[0].behind


def test_an_assessment_is_plain_data_and_the_same_every_time():
    run = cycle(range(0, 20, 2))
    first, second = (json.dumps(asdict(assess(run, Question(20.0))), allow_nan=False) for _ in range(2))
    assert first == second


def test_later_readings_do_not_leak_into_an_earlier_day():
    run = cycle(range(0, 40, 2))
    assert assess(run, Question(11.0)) == assess(run.until(11), Question(11.0))


def test_a_question_without_sense_is_refused():
    with pytest.raises(ValueError, match="thresholds above 0"):
        Question(3.0, ammonia=0.0)
