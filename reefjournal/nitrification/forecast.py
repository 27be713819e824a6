"""From drawn parameter sets to days: when ammonia and nitrite stay low, and when a challenge would be cleared."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Annotated

import numpy as np

from reefjournal.believed import Believed
from reefjournal.nitrification.fit import STEPS_PER_DAY, Fit
from reefjournal.nitrification.model import Array, Conditions, Course, Event, Kinetics, State, simulate
from reefjournal.nitrification.priors import Prior
from reefjournal.nitrification.results import Outcome
from reefjournal.nitrification.run import Analyte

HORIZON: Annotated[float, Believed("days", "how far ahead is looked", "our judgement")] = 120.0
CHALLENGE: Annotated[
    float, Believed("mg N/L", "dose of the challenge that is forecast", "common practice", "1 to 2 mg/L")
] = 1.0
CHALLENGE_SETS = 192
FEED: Annotated[float, Believed("mg N/L", "fed while nitrite is there and ammonia gone", "common practice")] = 0.5
MEAL: Annotated[
    float, Believed("mg N/L", "fed once both are gone: the challenge that the rules advise", "common practice")
] = 1.4
FEED_EVERY: Annotated[int, Believed("days", "how often it is fed, once ammonia is gone", "common practice")] = 2
LOWEST_STEP: Annotated[
    float,
    Believed("mg N/L", "what a challenge must come down to: the end of the lowest step of a card", "our judgement"),
] = 0.3
# Readings of one cycle say nothing of a film far denser than it grew so far: this is drawn anew for what lies ahead.
CROWDING = Prior(
    "crowding", 0.01, 1.2, "1/day per mg N/L/day", "what a dense film loses beside decay",
    "our judgement: loss that grows with density is customary in film models",
)  # fmt: skip
LEFT_OUT_DAYS: Annotated[
    float,
    Believed(
        "days",
        "standard deviation of the error by what the model leaves out: law of uptake, lag, patchy filters",
        "our judgement: held against simulated cycles of other kinetics",
    ),
] = 0.4


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: on which day, the thresholds in mg N/L, and the days for which a probability is wanted.

    `cleared` are the levels of ammonia and nitrite at which a challenge counts as cleared.
    """

    on: float
    ammonia: float = 0.1
    nitrite: float = 0.1
    cleared: tuple[float, float] = (LOWEST_STEP, LOWEST_STEP)
    by: tuple[float, ...] = ()
    horizon: float = HORIZON

    def __post_init__(self) -> None:
        if not (self.on >= 0 and self.horizon > 0 and min(self.ammonia, self.nitrite, *self.cleared) > 0):
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
    """The first day, from `on`, on which every parameter set (n,) would clear a challenge within 24 h; or infinity.

    `fed` gives what the rules advise: a little while nitrite is there, and a challenge whenever both are gone.
    """
    kinetics, state, conditions = _now(fit, question)
    days = question.on + np.arange(0, question.horizon + 1, FEED_EVERY)
    states = []
    for day in days:
        states.append(state)
        gone = state.ammonia < question.ammonia
        meal = np.where(gone, np.where(state.nitrite < question.nitrite, MEAL, FEED), 0.0) if fed else 0.0
        state = simulate(kinetics, state, (day, day + FEED_EVERY), [Event(day, ammonia=meal)], conditions).end
    return _first(days, _clears(kinetics, states, conditions, question))


def _now(fit: Fit, question: Question) -> tuple[Kinetics, State, Conditions]:
    unknowns, z = fit.unknowns, fit.z[:CHALLENGE_SETS]
    celsius = float(np.interp(question.on, *np.transpose(unknowns.run.temperature)))
    crowding = CROWDING.median * np.exp(CROWDING.log_sd * np.random.default_rng(len(z)).standard_normal(len(z)))
    conditions = Conditions(((0.0, celsius),), unknowns.run.free_ammonia, STEPS_PER_DAY, crowding)
    return unknowns.kinetics(z), fit.course(question.on, CHALLENGE_SETS).end, conditions


def _clears(kinetics: Kinetics, states: list[State], conditions: Conditions, question: Question) -> Array:
    """How far above the thresholds each state (days, n) would be 24 h after a challenge; 0 or less is cleared."""
    count, n = len(states), len(kinetics.growth1)
    together = {f.name: np.concatenate([getattr(state, f.name) for state in states]) for f in fields(State)}
    many = kinetics.take(np.tile(np.arange(n), count))
    dosed = State(**together | {"ammonia": together["ammonia"] + CHALLENGE})
    crowding = None if conditions.crowding is None else np.tile(conditions.crowding, count)
    after = simulate(many, dosed, (0.0, 1.0), (), replace(conditions, steps_per_day=8, crowding=crowding)).end
    ammonia, nitrite = question.cleared
    excess = np.maximum(after.ammonia / ammonia, after.nitrite / nitrite) - 1
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
