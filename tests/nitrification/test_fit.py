"""The priors against published start-up times, and the fit against what it must and must not learn."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from reefjournal.nitrification.fit import course_of, fit
from reefjournal.nitrification.forecast import last_day_above
from reefjournal.nitrification.model import Conditions, Event, simulate
from reefjournal.nitrification.priors import Unknowns
from reefjournal.nitrification.run import Dose, Reading, Rotting, Run, WaterChange
from reefjournal.nitrification.seeds import SEEDS, culture

from .curves import CARD, cycle, kinetics, reading, state, table


def prior_days(analyte: str, **details: object) -> np.ndarray:
    drawn = fit(Run(doses=(Dose(0, 2.0, relative_sd=0.01),), **details), size=1500)
    return last_day_above(drawn.course(120, 1500), analyte, 0.1)


# Days at 5, 25, 50, 75 and 95 % for one dose of 2 mg N/L in a closed vessel: computed from the same priors with 1,500
# draws and another integrator (scipy LSODA); nitrogen that nobody wrote down makes ours a little slower.
PRIOR_RANGES = {
    ("ammonia", False): (9, 14, 18, 25, 40),
    ("nitrite", False): (22, 31, 40, 52, 82),
    ("ammonia", True): (4, 7, 10, 14, 24),
    ("nitrite", True): (9, 14, 19, 26, 44),
}


@pytest.mark.parametrize(("analyte", "seeded"), PRIOR_RANGES)
def test_prior_gives_the_days_that_it_was_set_to_give(analyte, seeded):
    days = np.quantile(prior_days(analyte, seeded=seeded), (0.05, 0.25, 0.5, 0.75, 0.95))
    assert days == pytest.approx(PRIOR_RANGES[analyte, seeded], rel=0.15)


# Start-up times of unseeded systems, days: Manthe and Malone 1987, Aquacultural Engineering 6: 227 (35); Mnyoro et al.
# 2022, Journal of Cleaner Production 366: 132929 (42, 49); Hager et al. 2021, Kentucky State University manual (42-56).
@pytest.mark.parametrize("days", [35, 42, 49, 56])
def test_published_start_up_times_lie_in_the_middle_80_percent_of_the_prior(days):
    low, high = np.quantile(prior_days("nitrite"), (0.1, 0.9))
    assert low < days < high


def test_a_freshwater_seed_hardly_helps_and_live_rock_does():
    """Kinyage et al. (abrupt salinity increase): freshwater nitrifiers stopped at sea salinity."""
    alone, fresh, live = (
        np.median(prior_days("ammonia", cultures=cultures))
        for cultures in ((), (culture(0, "freshwater media"),), (culture(0, "live rock or sand"),))
    )
    assert alone - 2 < fresh <= alone
    assert live < alone - 5
    assert SEEDS["freshwater media"][0] < SEEDS["live rock or sand"][0] / 100


def test_an_unknown_kind_of_culture_is_refused_with_the_known_ones():
    with pytest.raises(ValueError, match="known are live rock or sand"):
        culture(0, "yoghurt")


def test_the_same_data_give_the_same_draws():
    run = cycle(range(0, 24, 3))
    assert (fit(run).z == fit(run).z).all()


def test_unreadable_and_discarded_readings_change_nothing():
    run = cycle(range(0, 24, 3))
    silent = (reading("ammonia", 7.0, None), replace(reading("ammonia", 8.0, 8.0), discarded=True))
    assert (fit(replace(run, readings=run.readings + silent)).z == fit(run).z).all()


def test_readings_without_error_lead_to_the_curve_they_came_from():
    """Reference curve A: ammonia below 0.1 on day 18.53, nitrite on day 35.73 (libroadrunner)."""
    drawn = fit(cycle(range(45)))
    course = drawn.course(60)
    for analyte, day in (("ammonia", 18.53), ("nitrite", 35.73)):
        days = last_day_above(course, analyte, 0.1)
        assert np.quantile(days, 0.05) < day < np.quantile(days, 0.95)
        assert np.median(days) == pytest.approx(day, abs=0.7)


looks = st.tuples(st.sampled_from(["ammonia", "nitrite", "nitrate"]), st.integers(0, 90), st.integers(0, 6))


@settings(max_examples=8, deadline=None)
@given(st.lists(looks, max_size=12), st.floats(8, 36), st.floats(0, 0.2))
def test_any_readings_whatever_give_a_fit_without_a_warning(some, celsius, free_ammonia):
    readings = tuple(Reading(str(n), day, a, "kit", (CARD[c : c + 2],)) for n, (a, day, c) in enumerate(some))
    run = Run(doses=(Dose(0, 3.0),), readings=readings, temperature=((0, celsius),), free_ammonia=free_ammonia)
    assert np.isfinite(fit(run).z).all()


def test_two_readings_are_enough_to_fit():
    run = Run(doses=(Dose(0, 2.0),), readings=(reading("ammonia", 1, 2.0), reading("ammonia", 20, 0.0)))
    days = last_day_above(fit(run).course(100), "ammonia", 0.1)
    assert np.quantile(days, 0.9) < 22


def test_two_hundred_readings_are_not_too_many():
    drawn = fit(cycle(np.arange(0, 50, 0.5)))
    assert drawn.effective > 50
    assert np.std(last_day_above(drawn.course(60), "nitrite", 0.1)) < 0.5


def test_a_reading_of_some_time_that_day_allows_for_before_and_after_the_dose():
    """Dosed at noon; a zero read some time that day must not be taken for a misreading, at 18:00 it must."""

    def misread(time: float, span: float) -> float:
        zero = Reading("zero", time, "ammonia", "home", ((0.0, 0.125),), span=span)
        later = tuple(reading("ammonia", day, 2.0) for day in (7, 8))
        drawn = fit(Run(doses=(Dose(5.5, 2.0),), readings=(zero, *later)))
        _, chances = drawn.readings.kits[0].verdict(drawn.course(10), drawn.z, drawn.unknowns)
        return float(chances[0])

    assert misread(5.0, 1.0) < 0.1
    assert misread(5.75, 0.0) > 0.5


def test_a_second_reader_counts_less_than_a_second_sample():
    def width(*readings: Reading) -> float:
        days = last_day_above(fit(Run(doses=(Dose(0, 2.0),), readings=readings)).course(130), "ammonia", 0.1)
        return float(np.std(np.log(days[np.isfinite(days)])))

    look = (CARD[2], CARD[3])
    first, again = (Reading(name, 15, "ammonia", "home", (look,)) for name in "ab")
    both = Reading("c", 15, "ammonia", "home", (look, look))
    assert width(first, again) < width(both) < width(first)


def test_water_changes_rotting_tissue_and_removal_reach_the_water():
    """Arithmetic: no filter, all released after 200 days but what was taken out; half the water changed."""
    run = Run(rotting=(Rotting(0, 4.0, removed=3.0),), water_changes=(WaterChange(200, 0.5, nitrate=4.0),))
    unknowns = Unknowns(run)
    z = np.zeros((1, len(unknowns)))
    end = course_of(unknowns, z, 200).end
    released = 4.0 * (1 - np.exp(-0.2 * 3.0)) + 0.15
    lost = np.exp(-0.005 * 200)
    total = float(end.ammonia[0] + end.nitrite[0] + end.nitrate[0])
    assert released / 2 * lost + 2.0 < total < (released + 0.3) / 2 + 2.0


def test_bad_numbers_are_told_all_at_once():
    with pytest.raises(ValueError, match=r"Dose on day 0: nitrogen .* not -1; water change must lie between 0 and 1"):
        Run(doses=(Dose(0, -1.0),), water_changes=(WaterChange(0, 1.5),))


def test_an_interval_must_not_be_empty():
    with pytest.raises(ValueError, match="reading a: an interval must be 0 <= low < high"):
        Run(readings=(Reading("a", 0, "ammonia", "home", ((0.5, 0.5),)),))


def test_estimator_recovers_the_published_parameters_of_the_teaching_batch():
    """Sin and Gernaey 2016 (IWA Publishing): mu1 1.5, K1 0.5, mu2 0.5, K2 1.5; least squares, oxygen as measured.

    A solver with oxygen as a state gave 1.495, 0.469, 0.503, 1.474 (log-sd .004, .078, .004, .023).
    """
    data = table("teaching_batch_sin_gernaey2016.csv")

    def residuals(logs):
        return teaching_residuals(data, np.exp(logs[:, None]))[:, 0]

    def slopes(logs):
        both = teaching_residuals(data, np.exp(logs + np.vstack([np.zeros(4), 1e-4 * np.eye(4)])).T)
        return (both[:, 1:] - both[:, :1]) / 1e-4

    growth1, half1, growth2, half2 = np.exp(least_squares(residuals, np.log([1.2, 0.8, 0.6, 1.0]), slopes).x)
    assert growth1 == pytest.approx(1.5, rel=0.03)
    assert half1 == pytest.approx(0.5, rel=0.3)
    assert growth2 == pytest.approx(0.5, rel=0.03)
    assert half2 == pytest.approx(1.5, rel=0.15)


def teaching_residuals(data, parameters):
    """All three species' misfits (points, sets). Capacity is mu X / Y; oxygen slows a step by DO / (KO + DO)."""
    growth1, half1, growth2, half2 = parameters
    sets = len(growth1)
    rates = replace(kinetics(sets, decay1=0.1, decay2=0.12), growth1=growth1, half1=half1, growth2=growth2, half2=half2)
    now = replace(state(sets, ammonia=20.0), capacity1=growth1 * 75 / 0.15, capacity2=growth2 * 25 / 0.05)
    found = [np.array([now.ammonia, now.nitrite, now.nitrate])]
    mean_oxygen = (data["DO_mg_L"][1:] + data["DO_mg_L"][:-1]) / 2
    for first, last, oxygen in zip(data["day"][:-1], data["day"][1:], mean_oxygen, strict=True):
        # One degree above 25 °C makes theta itself the factor of a step's speed.
        slowed = replace(
            rates, theta1=np.full(sets, oxygen / (0.7 + oxygen)), theta2=np.full(sets, oxygen / (1.5 + oxygen))
        )
        now = simulate(slowed, now, (first, last), (), Conditions(((0, 26.0),), steps_per_day=2500)).end
        found.append(np.array([now.ammonia, now.nitrite, now.nitrate]))
    measured = np.array([data["TAN_mgN_L"], data["NO2_mgN_L"], data["NO3_mgN_L"]]).T
    return (np.array(found) - measured[:, :, None]).reshape(-1, sets)


@pytest.mark.byhand
@pytest.mark.parametrize("last", [10, 20, 32, 45])
def test_fit_agrees_with_a_long_plain_markov_chain(last):
    """64 chains of 4,000 random-walk Metropolis steps on the same posterior, readings every day.

    When last run: means of the unknowns off by 0.05, 0.06, 0.05 and 0.10 posterior standard deviations (worst 0.21),
    standard deviations 0.85 to 1.07 of the chain's, and the 10, 50 and 90 % days of nitrite at 0.09-0.12, 0.49-0.55
    and 0.88-0.92 of the chain.
    """
    drawn = fit(cycle(range(last)))
    chain = metropolis(drawn, chains=64, steps=4000)
    off = (drawn.z.mean(axis=0) - chain.mean(axis=0)) / chain.std(axis=0)
    ratio = drawn.z.std(axis=0) / chain.std(axis=0)
    ours, theirs = (
        last_day_above(course_of(drawn.unknowns, z, last + 120.0), "nitrite", 0.1)
        for z in (drawn.z, chain[:: len(chain) // 2000])
    )
    quantiles = np.quantile(ours, (0.1, 0.5, 0.9))
    shares = np.mean(theirs <= quantiles[:, None], axis=1)
    print(f"\nday {last}: means off by {np.sqrt((off**2).mean()):.2f} sd (worst {np.abs(off).max():.2f})", end=", ")
    print(f"sd ratio {ratio.min():.2f}-{ratio.max():.2f}, {quantiles.round(1)} lies at {shares.round(2)} of the chain")
    assert np.sqrt((off**2).mean()) < 0.15
    assert np.abs(off).max() < 0.4
    assert 0.75 < ratio.min() < ratio.max() < 1.3
    assert shares == pytest.approx((0.1, 0.5, 0.9), abs=0.08)


def metropolis(drawn, chains: int, steps: int) -> np.ndarray:
    """Random-walk Metropolis chains from the prior; the proposals learn their covariance from the first quarter."""
    unknowns, readings, rng = drawn.unknowns, drawn.readings, np.random.default_rng(7)

    def log_posterior(z):
        course = course_of(unknowns, z, readings.last)
        return readings.log_likelihood(course, z, unknowns) - 0.5 * (z * z).sum(axis=1)

    z = rng.standard_normal((chains, len(unknowns)))
    now, root, kept = log_posterior(z), 0.5 * np.eye(len(unknowns)), []
    for step in range(steps):
        if step in (steps // 16, steps // 8, steps // 4):
            pool = np.concatenate(kept[len(kept) // 2 :])
            root = np.linalg.cholesky(np.cov(pool.T) + 1e-6 * np.eye(len(unknowns)))
        stride = rng.choice([0.2, 0.6, 1.0]) * 2.4 / np.sqrt(len(unknowns))
        proposal = z + stride * rng.standard_normal(z.shape) @ root.T
        then = log_posterior(proposal)
        taken = np.log(rng.random(chains)) < then - now
        z, now = np.where(taken[:, None], proposal, z), np.where(taken, then, now)
        kept.append(z)
    return np.concatenate(kept[steps // 3 :: 5])


def test_an_event_on_the_first_day_is_part_of_the_run():
    assert simulate(kinetics(), state(ammonia=0), (0, 1), [Event(0, ammonia=3.0)]).ammonia[1, 0] == 3.0
