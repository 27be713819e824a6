"""The Bayesian fit: adaptive multiple importance sampling, tempered from the prior to the posterior.

Cornuet, Marin, Mira and Robert 2012, Scandinavian Journal of Statistics 39: 798. Every round draws from a Student
cloud fitted to all draws so far, and all draws are weighted anew against the mixture of all clouds, so that nothing is
thrown away. As much of the likelihood counts in a round as leaves enough effective draws. One seed, made of the data.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from reefjournal.nitrification.likelihood import Readings
from reefjournal.nitrification.model import Array, Conditions, Course, simulate
from reefjournal.nitrification.priors import Unknowns
from reefjournal.nitrification.run import Run

SIZE = 512  # draws in a round, and parameter sets handed on
STEPS_PER_DAY = 2
LEAST_EFFECTIVE = 100  # effective draws that a cloud is fitted to
ENOUGH_EFFECTIVE = 500
USUAL_ROUNDS, MOST_ROUNDS = 15, 40
FREEDOM = 30.0  # of the Student clouds
WIDER = 1.1  # their covariance above that of the draws


@dataclass(frozen=True, slots=True)
class Fit:
    """Equally weighted parameter sets z (n, unknowns) in prior standard deviations, drawn from the posterior."""

    unknowns: Unknowns
    readings: Readings
    z: Array
    effective: float

    def course(self, last: float, size: int = SIZE) -> Course:
        """The course of the first `size` parameter sets from the start to day `last`, planned events included."""
        return course_of(self.unknowns, self.z[:size], last)


def fit(run: Run, size: int = SIZE) -> Fit:
    """Draws `size` parameter sets from the posterior of the run; from the prior where there are no readings."""
    unknowns, readings = Unknowns(run), Readings(run)
    rng = np.random.default_rng(run.fingerprint())
    if not readings.kits:
        return Fit(unknowns, readings, rng.standard_normal((size, len(unknowns))), float(size))
    draws = _Draws(unknowns, readings, rng)
    while not draws.enough():
        draws.add(_Cloud(draws, draws.weights(draws.heat())))
    weights = draws.weights(1.0)
    rows = rng.permutation(_systematic(weights, size, rng))
    return Fit(unknowns, readings, draws.z[rows], _effective(weights))


def course_of(unknowns: Unknowns, z: Array, last: float) -> Course:
    """The course of parameter sets z (n, unknowns) from the start of their run to day `last`."""
    run = unknowns.run
    conditions = Conditions(run.temperature, run.free_ammonia, STEPS_PER_DAY)
    return simulate(unknowns.kinetics(z), unknowns.start(z), (0.0, last), unknowns.events(z), conditions)


class _Draws:
    """All draws so far with their log-likelihood and log-density (up to one constant) under prior and mixture."""

    def __init__(self, unknowns: Unknowns, readings: Readings, rng: np.random.Generator) -> None:
        self.unknowns, self.readings, self.rng = unknowns, readings, rng
        self.clouds: list[_Cloud] = []
        self.z = rng.standard_normal((SIZE, len(unknowns)))
        self.fits, self.prior = self._log_likelihood(self.z), _log_prior(self.z)
        self.mixture = self.prior

    def _log_likelihood(self, z: Array) -> Array:
        return self.readings.log_likelihood(course_of(self.unknowns, z, self.readings.last), z, self.unknowns)

    def weights(self, heat: float) -> Array:
        """Importance weights with this share of the likelihood counted."""
        logs = self.prior + heat * self.fits - self.mixture
        weights = np.exp(logs - logs.max())
        return np.asarray(weights / weights.sum())

    def heat(self) -> float:
        """The largest share of the likelihood that leaves enough effective draws (bisection)."""
        if _effective(self.weights(1.0)) >= LEAST_EFFECTIVE:
            return 1.0
        low, high = 0.0, 1.0
        for _ in range(20):
            middle = (low + high) / 2
            low, high = (middle, high) if _effective(self.weights(middle)) >= LEAST_EFFECTIVE else (low, middle)
        return low

    def enough(self) -> bool:
        """Whether there are enough effective draws, or the rounds are used up."""
        effective = _effective(self.weights(1.0))
        wanted = ENOUGH_EFFECTIVE if len(self.clouds) < USUAL_ROUNDS else LEAST_EFFECTIVE
        return effective >= wanted or len(self.clouds) >= MOST_ROUNDS

    def add(self, cloud: _Cloud) -> None:
        """Draws a round from the cloud and weighs all draws anew."""
        new = cloud.draw(self.rng)
        parts = [_log_prior(new), *(other.log_density(new) for other in self.clouds), cloud.log_density(new)]
        self.mixture = np.logaddexp(self.mixture, cloud.log_density(self.z))
        self.mixture = np.concatenate([self.mixture, np.logaddexp.reduce(parts, axis=0)])
        self.z = np.concatenate([self.z, new])
        self.fits = np.concatenate([self.fits, self._log_likelihood(new)])
        self.prior = np.concatenate([self.prior, parts[0]])
        self.clouds.append(cloud)


# The starting capacity follows growth, half-saturation and decay along a bent ridge, since the day of the fall is known
# best. Taking a fitted quadratic off it makes the ridge straight; the volume of the space does not change by that.
_RIDGES = {"start1": ("growth1", "half1", "decay1"), "start2": ("growth2", "half2", "decay2")}


class _Cloud:
    """A Student cloud around the weighted draws, in coordinates in which their ridges are straight."""

    def __init__(self, draws: _Draws, weights: Array) -> None:
        names = [prior.name for prior in draws.unknowns.priors]
        self.ridges = [(names.index(k), [names.index(name) for name in v]) for k, v in _RIDGES.items()]
        heavy = weights > 1e-5 * weights.max()
        z, weights = draws.z[heavy], weights[heavy]
        self.bends = [_bend(z, weights, *ridge) for ridge in self.ridges]
        straight = self._bent(z, -1)
        self.mean = (weights[:, None] * straight).sum(axis=0)
        spread = _gram(straight - self.mean, weights)
        self.root = np.linalg.cholesky(WIDER * spread + 1e-5 * np.eye(len(names)))
        self.inverse = np.linalg.inv(self.root)

    def _bent(self, z: Array, sign: int) -> Array:
        bent = z.copy()
        for (column, others), bend in zip(self.ridges, self.bends, strict=True):
            bent[:, column] += sign * (_squares(z[:, others]) * bend).sum(axis=1)
        return bent

    def draw(self, rng: np.random.Generator) -> Array:
        """A round of draws."""
        stretch = np.sqrt(rng.chisquare(FREEDOM, (SIZE, 1)) / FREEDOM)
        return self._bent(self.mean + rng.standard_normal((SIZE, len(self.mean))) / stretch @ self.root.T, 1)

    def log_density(self, z: Array) -> Array:
        """Log-density with the constant of `_log_prior` left out."""
        d = len(self.mean)
        distance = (_times(self._bent(z, -1) - self.mean, self.inverse.T) ** 2).sum(axis=1)
        constant = math.lgamma((FREEDOM + d) / 2) - math.lgamma(FREEDOM / 2) - d / 2 * math.log(FREEDOM / 2)
        tail = (FREEDOM + d) / 2 * np.log1p(distance / FREEDOM)
        return np.asarray(constant - np.log(np.diag(self.root)).sum() - tail)


def _bend(z: Array, weights: Array, column: int, others: list[int]) -> Array:
    """How the column depends on the squares and products of others, beside its straight dependence on everything."""
    squares = _squares(z[:, others])
    gram = _gram(np.column_stack([squares, np.delete(z, column, axis=1), np.ones(len(z)), z[:, column]]), weights)
    ridge = 1e-6 * np.eye(len(gram) - 1)
    return np.asarray(np.linalg.solve(gram[:-1, :-1] + ridge, gram[:-1, -1])[: squares.shape[1]])


# Threads of the linear algebra library that wait for each other cost many times what they bring: short pieces keep it
# to one.
_PIECE = 256


def _times(rows: Array, matrix: Array) -> Array:
    return np.concatenate([rows[i : i + _PIECE] @ matrix for i in range(0, len(rows), _PIECE)])


def _gram(rows: Array, weights: Array) -> Array:
    """Sum of weight times the outer product of every row with itself."""
    pieces = ((rows[i : i + _PIECE], weights[i : i + _PIECE, None]) for i in range(0, len(rows), _PIECE))
    return np.asarray(sum(piece.T @ (piece * weight) for piece, weight in pieces))


def _squares(x: Array) -> Array:
    """All squares and products of the columns."""
    first, second = np.triu_indices(x.shape[1])
    return np.asarray(x[:, first] * x[:, second])


def _log_prior(z: Array) -> Array:
    """Log-density of the prior without its constant -d/2 log(2 pi)."""
    return np.asarray(-0.5 * (z * z).sum(axis=1))


def _effective(weights: Array) -> float:
    """Kish's effective number of draws."""
    return float(1 / (weights * weights).sum())


def _systematic(weights: Array, size: int, rng: np.random.Generator) -> Array:
    """Rows drawn in proportion to their weights with one random number (systematic resampling)."""
    points = (rng.random() + np.arange(size)) / size
    return np.minimum(np.searchsorted(np.cumsum(weights), points), len(weights) - 1)
