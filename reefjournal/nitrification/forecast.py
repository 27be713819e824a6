"""From drawn parameter sets to days: when ammonia and nitrite stay low, and when a challenge would be cleared."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from reefjournal.nitrification.fit import STEPS_PER_DAY, Fit
from reefjournal.nitrification.model import Array, Conditions, Course, Event, Kinetics, State, simulate
from reefjournal.nitrification.results import Outcome
from reefjournal.nitrification.run import Analyte

HORIZON = 120.0
CHALLENGE = 1.0  # mg N/L
# Feeding the filter while waiting: this much ammonia every so many days, once the last has fallen below its threshold.
FEED, FEED_EVERY = 0.5, 2
CHALLENGE_SETS = 192
# Law of uptake, lag, patchy filters: the standard deviation, in days, of the error that they bring. Our judgement, held
# against simulated cycles of other kinetics (tests/benchmarks).
LEFT_OUT_DAYS = 0.4


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: on which day, the thresholds in mg N/L, and the days for which a probability is wanted."""

    on: float
    ammonia: float = 0.1
    nitrite: float = 0.1
    by: tuple[float, ...] = ()
    horizon: float = HORIZON

    def __post_init__(self) -> None:
        if not (self.on >= 0 and self.horizon > 0 and self.ammonia > 0 and self.nitrite > 0):
            raise ValueError("a forecast needs a day of 0 or later, and a horizon and thresholds above 0")

    @property
    def end(self) -> float:
        """The last day looked at."""
        return self.on + self.horizon


def last_day_above(course: Course, analyte: str, threshold: float) -> Array:
    """For every parameter set the day it falls below to stay (n,): 0 if never above, infinity if above at the end."""
    values: Array = getattr(course, analyte)
    above = values > threshold
    last = len(course.times) - 1 - np.argmax(above[::-1], axis=0)
    following = np.minimum(last + 1, len(course.times) - 1)
    sets = np.arange(values.shape[1])
    high, low = values[last, sets], values[following, sets]
    share = np.clip((high - threshold) / np.maximum(high - low, 1e-12), 0.0, 1.0)
    days = course.times[last] + share * (course.times[following] - course.times[last])
    days = np.where(above.any(axis=0), days, 0.0)
    return np.asarray(np.where(above[-1], np.inf, days))


def finishing_days(course: Course, analyte: Analyte, question: Question) -> Array:
    """The day to stay low, with a spread for what the model leaves out. Nitrite is not done before ammonia is."""
    days = last_day_above(course, "ammonia", question.ammonia)
    if analyte != "ammonia":
        days = np.maximum(days, last_day_above(course, "nitrite", question.nitrite))
    known = np.isfinite(days) & (days > 0)
    days[known] += LEFT_OUT_DAYS * np.random.default_rng(len(days)).standard_normal(int(known.sum()))
    return np.asarray(np.maximum(days, 0.0))


def challenge_days(fit: Fit, question: Question, *, fed: bool) -> Array:
    """The first day, from `on`, on which every parameter set (n,) would clear a challenge within 24 h; or infinity."""
    kinetics, state, conditions = _now(fit, question)
    days = question.on + np.arange(0, question.horizon + 1, FEED_EVERY)
    states = []
    for day in days:
        states.append(state)
        meal = np.where(state.ammonia < question.ammonia, FEED, 0.0) if fed else 0.0
        state = simulate(kinetics, state, (day, day + FEED_EVERY), [Event(day, ammonia=meal)], conditions).end
    return _first(days, _clears(kinetics, states, conditions, question))


def _now(fit: Fit, question: Question) -> tuple[Kinetics, State, Conditions]:
    unknowns, z = fit.unknowns, fit.z[:CHALLENGE_SETS]
    celsius = float(np.interp(question.on, *np.transpose(unknowns.run.temperature)))
    conditions = Conditions(((0.0, celsius),), unknowns.run.free_ammonia, STEPS_PER_DAY)
    return unknowns.kinetics(z), fit.course(question.on, CHALLENGE_SETS).end, conditions


def _clears(kinetics: Kinetics, states: list[State], conditions: Conditions, question: Question) -> Array:
    """How far above the thresholds each state (days, n) would be 24 h after a challenge; 0 or less is cleared."""
    count, n = len(states), len(kinetics.growth1)
    together = {f.name: np.concatenate([getattr(state, f.name) for state in states]) for f in fields(State)}
    many = kinetics.take(np.tile(np.arange(n), count))
    dosed = State(**together | {"ammonia": together["ammonia"] + CHALLENGE})
    after = simulate(many, dosed, (0.0, 1.0), (), replace(conditions, steps_per_day=8)).end
    excess = np.maximum(after.ammonia / question.ammonia, after.nitrite / question.nitrite) - 1
    return np.asarray(excess.reshape(count, n))


def _first(days: Array, excess: Array) -> Array:
    """The first day on which the excess is no longer above zero, by straight lines between the days."""
    clear = excess <= 0
    first = np.argmax(clear, axis=0)
    sets = np.arange(excess.shape[1])
    before = np.maximum(first - 1, 0)
    high, low = excess[before, sets], excess[first, sets]
    share = np.where(first > 0, np.clip(high / np.maximum(high - low, 1e-12), 0.0, 1.0), 0.0)
    found = days[before] + share * (days[first] - days[before])
    return np.asarray(np.where(clear.any(axis=0), found, np.inf))


def outcome(name: str, threshold: float, days: Array, prior: Array | None, question: Question) -> Outcome:
    """Sums up the days (n,) of all parameter sets; infinity and days past the horizon count as beyond it."""
    days = np.where(days > question.end, np.inf, days)
    low80, low50, median, high50, high80 = (_day(q, days) for q in (0.1, 0.25, 0.5, 0.75, 0.9))
    by = tuple((day, float(np.mean(days <= day))) for day in question.by)
    left = None if prior is None else _width(days, question.end) / max(_width(prior, question.end), 1e-9)
    beyond = float(np.mean(np.isinf(days)))
    return Outcome(name, threshold, median, (low50, high50), (low80, high80), beyond, by, left)


def _day(probability: float, days: Array) -> float | None:
    """A quantile of the days; infinity is a value like any other."""
    day = float(np.quantile(days, probability, method="inverted_cdf"))
    return round(day, 2) if np.isfinite(day) else None


def _width(days: Array, end: float) -> float:
    low, high = np.quantile(np.minimum(days, end), (0.1, 0.9))
    return float(high - low)
