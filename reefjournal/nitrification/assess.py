"""The one call for everything the model says of a run on a day."""

from __future__ import annotations

import numpy as np

from reefjournal.nitrification.doubt import balance, doubted
from reefjournal.nitrification.fit import Fit, course_of, fit
from reefjournal.nitrification.forecast import CHALLENGE, Question, challenge_days, finishing_days, outcome
from reefjournal.nitrification.model import Array, Course, State
from reefjournal.nitrification.next_test import next_test
from reefjournal.nitrification.results import Assessment, NextTest, Outcome, Step
from reefjournal.nitrification.run import ANALYTES, Analyte, Run

STEP_SETS = 256
_OWN = ("growth", "half", "decay", "start", "theta", "culture")


def assess(run: Run, question: Question) -> Assessment:
    """Fits the readings up to the day of the question and answers it. Deterministic; a few tenths of a second."""
    known = run.until(question.on)
    fitted, prior = fit(known), fit(known.without_readings())
    course, allowed = fitted.course(question.end), prior.course(question.end)
    findings, kits = doubted(fitted, course)
    return Assessment(
        on=question.on,
        horizon=question.horizon,
        readings=tuple((a, sum(r.analyte == a and r.counts for r in known.readings)) for a in ANALYTES),
        outcomes=(*_lows(course, allowed, question), *_challenges(fitted, question)),
        doubted=findings,
        kits=kits,
        balance=balance(known, allowed),
        next_test=_suggestion(course, question),
        steps=tuple(_step(fitted, step, question.on) for step in (1, 2)),
        effective=fitted.effective,
    )


def _lows(course: Course, prior: Course, question: Question) -> list[Outcome]:
    found = []
    for name, threshold in _thresholds(question):
        days, days_before = (finishing_days(one, name, question) for one in (course, prior))
        found.append(outcome(name, threshold, days, days_before, question))
    return found


def _thresholds(question: Question) -> tuple[tuple[Analyte, float], ...]:
    return ("ammonia", question.ammonia), ("nitrite", question.nitrite)


def _challenges(fitted: Fit, question: Question) -> list[Outcome]:
    return [
        outcome(name, CHALLENGE, challenge_days(fitted, question, fed=fed), None, question)
        for name, fed in (("challenge", False), ("challenge-fed", True))
    ]


def _suggestion(course: Course, question: Question) -> NextTest | None:
    """For the ammonia forecast while it is open, then for nitrite."""
    for name, _ in _thresholds(question):
        finish = np.minimum(finishing_days(course, name, question), question.end)
        if np.quantile(finish, 0.8) > question.on:
            return next_test(course, finish, question.on)
    return None


def _step(fitted: Fit, step: int, on: float) -> Step:
    """What the step can do on that day, and the same with its own unknowns drawn from the prior instead."""
    unknowns, rng = fitted.unknowns, np.random.default_rng(step)
    z = fitted.z[:STEP_SETS].copy()
    own = [i for i, prior in enumerate(unknowns.priors) if prior.name in {f"{n}{step}" for n in _OWN}]
    z[:, own] = rng.standard_normal((len(z), len(own)))
    now, allowed = (course_of(unknowns, sets, on).end for sets in (fitted.z[:STEP_SETS], z))
    faster = np.searchsorted(np.sort(_food(allowed, step)), _food(now, step)) / len(z)
    return Step(step, _range(_capacity(now, step)), _range(_capacity(allowed, step)), 1 - float(np.mean(faster)))


def _capacity(state: State, step: int) -> Array:
    return state.capacity1 if step == 1 else state.capacity2


def _food(state: State, step: int) -> Array:
    """What the step has left in the water."""
    return state.ammonia if step == 1 else state.nitrite


def _range(values: Array) -> tuple[float, float, float]:
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return float(low), float(middle), float(high)
