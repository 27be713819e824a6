"""The integrator against the closed form, the reference curves, an independent integrator and the laws it must keep."""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reefjournal.nitrification.closed_form import days_until
from reefjournal.nitrification.model import Conditions, Event, simulate

from .curves import kinetics, state, table

# Days until a dose of 2 mg N/L has fallen so far; growth 0.6, half-saturation 0.5, capacity 4e-4. Computed with
# libroadrunner 2.10.0 (CVODE, rtol 1e-10), which agreed with the separated equation to all printed digits.
CLOSED_FORM = {1.0: 15.524964, 0.5: 16.657879, 0.25: 17.267588, 0.1: 17.820504, 0.05: 18.163312, 0.01: 18.875973}


@pytest.mark.parametrize(("remaining", "days"), CLOSED_FORM.items())
def test_closed_form_agrees_with_an_independent_integrator(remaining, days):
    assert days_until(remaining, dosed=2, growth=0.6, half=0.5, capacity=4e-4) == pytest.approx(days, abs=1e-6)


def test_closed_form_refuses_more_than_was_dosed():
    with pytest.raises(ValueError, match="between 0 and the dose of 2"):
        days_until(3, dosed=2, growth=0.6, half=0.5, capacity=4e-4)


def test_integrator_agrees_with_the_closed_form_to_a_millionth():
    days = np.array([days_until(s, dosed=2, growth=0.6, half=0.5, capacity=4e-4) for s in CLOSED_FORM])
    nothing_decays = kinetics(decay1=0, decay2=0)
    course = [simulate(nothing_decays, state(), (0, 19), [Event(d) for d in days], Conditions(steps_per_day=n))
              for n in (96, 192)]  # fmt: skip
    coarse, fine = (c.at("ammonia", days)[:, 0] for c in course)
    # Second order: the error left in the finer run is a third of the difference (Richardson 1911).
    assert fine + (fine - coarse) / 3 == pytest.approx(np.array(list(CLOSED_FORM)), abs=1e-6)
    assert fine == pytest.approx(np.array(list(CLOSED_FORM)), abs=2e-6)


# The curves were computed with libroadrunner 2.10.0 and agree with scipy's LSODA and Radau to 1.3e-8 mg N/L.
CURVES = {
    "ref_A_unseeded.csv": ({}, {}),
    "ref_B_seeded.csv": ({}, {"capacity1": 4e-2, "capacity2": 9e-2}),
    "ref_D_nodecay.csv": ({"decay1": 0.0, "decay2": 0.0}, {}),
}
COLUMNS = {"ammonia": "TAN_mgN_L", "nitrite": "NO2_mgN_L", "nitrate": "NO3_mgN_L"}


@pytest.mark.parametrize("name", CURVES)
def test_model_follows_the_reference_curve(name):
    reference, (rates, start) = table(name), CURVES[name]
    course = simulate(kinetics(**rates), state(**start), (0, 60), conditions=Conditions(steps_per_day=32))
    for analyte, column in COLUMNS.items():
        assert course.at(analyte, reference["day"])[:, 0] == pytest.approx(reference[column], abs=1e-4)


def test_model_follows_the_reference_curve_through_feeding_and_challenges():
    """Curve F: scipy's LSODA with rtol 1e-10, agrees with Radau within 7e-10; doses stand in its header."""
    reference = table("ref_F_fed_challenged_unseeded.csv")
    doses = dict.fromkeys(range(20, 35, 2), 0.5) | {42: 1.0, 48: 1.0}
    events = [Event(day, ammonia=amount) for day, amount in doses.items()]
    course = simulate(kinetics(), state(), (0, reference["day"][-1]), events, Conditions(steps_per_day=64))
    pairs = {"ammonia": "TAN", "nitrite": "NO2", "nitrate": "NO3", "capacity1": "capacity1", "capacity2": "capacity2"}
    for analyte, column in pairs.items():
        assert course.at(analyte, reference["day"])[:, 0] == pytest.approx(reference[column], abs=1e-4)


def test_halving_the_step_quarters_the_error():
    exact = table("ref_A_unseeded.csv")
    runs = [simulate(kinetics(), state(), (0, 60), conditions=Conditions(steps_per_day=n)) for n in (8, 16)]
    errors = [np.abs(run.at("nitrite", exact["day"])[:, 0] - exact["NO2_mgN_L"]).max() for run in runs]
    assert errors[0] / errors[1] == pytest.approx(4, rel=0.15)


amounts = st.floats(0.05, 6)


@settings(max_examples=15, deadline=None)
@given(amounts, amounts, st.floats(1e-5, 3), st.floats(0.05, 2), st.sampled_from([1, 2, 4, 24]))
def test_nitrogen_is_conserved_and_never_negative_whatever_the_step(dose, tissue, capacity, half, steps):
    start = state(ammonia=dose, tissue=tissue, capacity1=capacity, capacity2=capacity, nitrate=0.3)
    course = simulate(
        kinetics(half1=half, half2=half), start, (0, 30), conditions=Conditions(free_ammonia=0.06, steps_per_day=steps)
    )
    species = (course.ammonia, course.nitrite, course.nitrate)
    assert sum(s[-1] for s in species) + course.end.tissue == pytest.approx(dose + tissue + 0.3, rel=1e-12)
    assert min(s.min() for s in species) >= 0


def test_cutting_the_run_in_two_changes_nothing():
    events = [Event(3.3, ammonia=1.0), Event(10, water_kept=0.5, nitrate=2.0)]
    whole = simulate(kinetics(), state(), (0, 20), events=events)
    first = simulate(kinetics(), state(), (0, 8), events=events[:1])
    second = simulate(kinetics(), first.end, (8, 20), events=events[1:])
    for field in fields(whole.end):
        assert getattr(second.end, field.name) == pytest.approx(getattr(whole.end, field.name), rel=1e-12)


def test_time_unit_does_not_matter():
    """Twice the rates and twice the capacity give the same course in half the time."""
    slow = simulate(kinetics(), state(), (0, 40), conditions=Conditions(steps_per_day=8))
    twice = kinetics(growth1=1.2, growth2=0.9, decay1=0.04, decay2=0.04)
    fast = simulate(twice, state(capacity1=8e-4, capacity2=18e-4), (0, 20), conditions=Conditions(steps_per_day=16))
    assert fast.nitrite == pytest.approx(slow.nitrite, rel=1e-9)


def test_more_seed_shifts_the_ammonia_course_earlier_by_the_published_amount():
    """Without decay e^d times the seed brings the end about d (1 + K/S0) / mu days earlier (closed form, v0 small)."""
    ends = []
    for seed in (1e-4, 1e-3):
        course = simulate(kinetics(decay1=0), state(capacity1=seed), (0, 30), conditions=Conditions(steps_per_day=16))
        ends.append(float(np.interp(-0.1, -course.ammonia[:, 0], course.times)))
    assert ends[0] - ends[1] == pytest.approx(np.log(10) * (1 + 0.5 / 2) / 0.6, rel=0.01)


def test_nitrite_added_at_the_start_shortens_the_cycle():
    """Manthe and Malone 1987, Aquacultural Engineering 6: 227: nitrite added at start-up saved 10 days."""
    plain = simulate(kinetics(), state(), (0, 60))
    helped = simulate(kinetics(), state(), (0, 60), events=[Event(0, nitrite=2.0)])
    ends = [course.times[np.flatnonzero(course.nitrite[:, 0] > 0.1)[-1]] for course in (plain, helped)]
    assert 5 < ends[0] - ends[1] < 20


def test_ten_degrees_colder_is_slower_and_hotter_than_32_is_not_faster():
    ends = {}
    for celsius in (15, 25, 32, 36):
        course = simulate(kinetics(), state(), (0, 90), conditions=Conditions(((0, celsius),)))
        ends[celsius] = course.times[np.flatnonzero(course.ammonia[:, 0] > 0.1)[-1]]
    # theta 1.08 over ten degrees: 2.16 times slower growth.
    assert ends[15] / ends[25] == pytest.approx(1.08**10, rel=0.08)
    assert ends[36] == pytest.approx(ends[32], rel=0.02)
    assert ends[32] < ends[25]


def test_free_ammonia_holds_back_the_second_step_alone():
    start = state(ammonia=4.0, capacity1=1e-5)
    free, held = (
        simulate(kinetics(), start, (0, 10), conditions=Conditions(free_ammonia=share)) for share in (0.0, 0.3)
    )
    assert held.end.ammonia == pytest.approx(free.end.ammonia)
    assert held.end.capacity2 < free.end.capacity2


def test_an_independent_integrator_agrees_with_the_seeded_curve():
    """libroadrunner (CVODE) on the textbook form with biomass and yield, written in SBML by antimony."""
    antimony = pytest.importorskip("antimony")
    roadrunner = pytest.importorskip("roadrunner")
    assert antimony.loadAntimonyString("""
        model two_steps
          a -> n; 0.6*a/(0.5+a)*x/0.15
          n -> p; 0.45*n/(0.5+n)*y/0.05
          -> x; 0.6*a/(0.5+a)*x - 0.02*x
          -> y; 0.45*n/(0.5+n)*y - 0.02*y
          a = 2; n = 0; p = 0; x = 0.01; y = 0.01
        end""") >= 0  # fmt: skip
    other = roadrunner.RoadRunner(antimony.getSBMLString("two_steps"))
    other.integrator.relative_tolerance, other.integrator.absolute_tolerance = 1e-10, 1e-14
    other.timeCourseSelections = ["time", "a", "n", "p"]
    days, *expected = np.asarray(other.simulate(0, 30, 61)).T
    seeded = state(capacity1=0.6 * 0.01 / 0.15, capacity2=0.45 * 0.01 / 0.05)
    course = simulate(kinetics(), seeded, (0, 30), conditions=Conditions(steps_per_day=32))
    for analyte, values in zip(COLUMNS, expected, strict=True):
        assert course.at(analyte, days)[:, 0] == pytest.approx(values, abs=1e-4)


def test_parameter_sets_do_not_touch_each_other():
    both = replace(kinetics(2), growth1=np.array([0.6, 0.3]))
    course = simulate(both, state(2), (0, 20))
    alone = simulate(kinetics(growth1=0.3), state(), (0, 20))
    assert course.ammonia[:, 1] == pytest.approx(alone.ammonia[:, 0])
