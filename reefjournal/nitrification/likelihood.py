"""How probable the readings are, given the course of the water: coarse steps, readers, faults of kits, misreadings.

A reader picks an interval on the scale log(1 + concentration / floor), logistic noise around what the kit shows. The
kit shows gain * truth + offset, the offset being one of a few states of the whole kit. A share of samples is misread
and says nothing. Several readers of one sample count as the root of their number: they share vial and reagent.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from reefjournal.believed import Believed
from reefjournal.nitrification.model import Array, Course
from reefjournal.nitrification.priors import Unknowns
from reefjournal.nitrification.run import Analyte, Reading, Run


@dataclass(frozen=True, slots=True)
class KitState:
    """A way in which a whole kit may be wrong: offset in colour steps, stuck at zero; `prior` is its probability."""

    name: str
    prior: float
    offset: float = 0.0
    stuck: bool = False


# A constant colour in salt water (a false zero) is the commonest fault of ammonia kits (common practice).
CHANCES: Annotated[
    dict[Analyte, dict[str, float]], Believed("chance", "that a kit is so, before any test", "our judgement")
] = {
    "ammonia": {
        "true": 0.80, "half a step high": 0.07, "one step high": 0.08, "two steps high": 0.02, "stuck at zero": 0.03,
    },
    "nitrite": {"true": 0.93, "half a step high": 0.02, "one step high": 0.02, "stuck at zero": 0.03},
    "nitrate": {"true": 0.90, "one step high": 0.05, "stuck at zero": 0.05},
}  # fmt: skip
OFFSETS = {"half a step high": 0.5, "one step high": 1.0, "two steps high": 2.0}
KIT_STATES = {
    analyte: tuple(
        KitState(name, chance, OFFSETS.get(name, 0.0), name == "stuck at zero") for name, chance in chances.items()
    )
    for analyte, chances in CHANCES.items()
}

NOISE: Annotated[
    float,
    Believed(
        "of the step", "logistic noise of a reader on the scale of colours: half a step as a standard deviation",
        "our judgement",
    ),
] = 0.28  # fmt: skip
LEAST_NOISE: Annotated[
    float,
    Believed("on the scale of colours", "the least noise; it covers what the model leaves out", "our judgement"),
] = 0.10
HIGHEST: Annotated[
    dict[Analyte, float], Believed("mg N/L", "the most that a misread sample is taken to show", "our judgement")
] = {"ammonia": 10.0, "nitrite": 15.0, "nitrate": 60.0}
USUAL_FLOOR: Annotated[
    dict[Analyte, float],
    Believed(
        "mg N/L", "half the first colour of a common card, for a kit that has not shown a zero yet", "common practice"
    ),
] = {"ammonia": 0.1, "nitrite": 0.1, "nitrate": 0.6}
_TINY = np.float32(1e-12)

Single = NDArray[np.float32]  # single precision is plenty beside the share of misreadings, and three times as fast


class Kit:
    """The readings of one kit as arrays. A class because they are used for every ensemble of a fit.

    A look is one reader's interval. All arrays over parameter sets have these in the last place: (looks, n).
    """

    def __init__(self, analyte: Analyte, name: str, readings: tuple[Reading, ...]) -> None:
        self.analyte, self.name, self.readings = analyte, name, readings
        looks = [(i, low, high) for i, reading in enumerate(readings) for low, high in reading.seen]
        sample, low, high = (np.array(column) for column in zip(*looks, strict=True))
        self.times = np.array([reading.time for reading in readings])
        self.ends = self.times + np.array([reading.span for reading in readings])
        self.sample = sample.astype(np.intp)
        self.floor, self.step = _floor(analyte, low, high)
        self.low, self.high = np.log1p(low / self.floor), np.log1p(high / self.floor)
        self.noise = _noise(low, self.low, self.high)
        self.low[low <= 0] = -np.inf
        self.by_chance = self._combined(self._share_of_scale()[:, None])

    def _share_of_scale(self) -> Single:
        """Probability of every look if its sample is misread: even over the whole scale."""
        top = np.log1p(HIGHEST[self.analyte] / self.floor)
        width = np.minimum(self.high, top + 0.5) - np.maximum(self.low, 0.0)
        return np.asarray(np.clip(width / top, 0.01, 0.5), np.float32)

    def _combined(self, looks: Single) -> Single:
        """Probabilities of samples (samples, n) from those of looks: the readers of a sample count as their root."""
        if len(self.sample) == len(self.readings):
            return looks
        readers = np.bincount(self.sample)
        logs = np.log(looks) / np.sqrt(readers, dtype=np.float32)[self.sample, None]
        return np.asarray(np.exp(np.add.reduceat(logs, np.cumsum(readers) - readers)))

    def log_states(self, course: Course, z: Array, unknowns: Unknowns) -> Array:
        """Log of prior times likelihood of every state (states, n)."""
        return np.array(
            [
                math.log(state.prior) + np.log(samples).sum(axis=0, dtype=np.float64)
                for state, samples in self._by_state(course, z, unknowns)
            ]
        )

    def verdict(self, course: Course, z: Array, unknowns: Unknowns) -> tuple[Array, Array]:
        """Probabilities of the kit's states (states,) and of each sample being misread (samples,), over all sets."""
        logs = self.log_states(course, z, unknowns)
        weights = np.exp(logs - np.logaddexp.reduce(logs, axis=0))
        chance = _misread(z, unknowns) * self.by_chance
        misread = [chance / samples for _, samples in self._by_state(course, z, unknowns)]
        return weights.mean(axis=1), np.asarray((weights[:, None] * misread).sum(axis=0).mean(axis=1))

    def _by_state(self, course: Course, z: Array, unknowns: Unknowns) -> Iterator[tuple[KitState, Single]]:
        """Every state with the probability of each sample under it (samples, n), misread or not."""
        scale = _Scale(self, 1 / (self.noise * np.maximum(unknowns.value(z, "noise"), 0.3)))
        misread = _misread(z, unknowns).astype(np.float32)
        shown, chance = self._shown(course, z, unknowns), misread * self.by_chance
        for state in KIT_STATES[self.analyte]:
            looks = [scale.looks(_faulty(truth, state, self.step)) for truth in shown]
            look = looks[0] if len(looks) == 1 else np.asarray((looks[0] + looks[1]) / 2, np.float32)
            yield state, np.asarray((1 - misread) * self._combined(look) + chance, np.float32)

    def _shown(self, course: Course, z: Array, unknowns: Unknowns) -> list[Single]:
        """What a kit without a fault shows (looks, n), at the first and the last possible moment."""
        times, ends = self.times[self.sample], self.ends[self.sample]
        moments = [(times, times < ends)]
        if (ends > times).any():
            moments.append((ends, np.zeros(len(ends), bool)))
        gain = unknowns.gain(z, unknowns.kits.index((self.analyte, self.name)))
        shown = [gain * course.at(self.analyte, moment, before=before) for moment, before in moments]
        if self.analyte == "nitrate":
            extra = unknowns.value(z, "crosstalk")
            pairs = zip(shown, moments, strict=True)
            shown = [truth + extra * course.at("nitrite", moment, before=before) for truth, (moment, before) in pairs]
        return [truth.astype(np.float32) for truth in shown]


def _misread(z: Array, unknowns: Unknowns) -> Array:
    return np.minimum(unknowns.value(z, "misread"), 0.5)


def _faulty(shown: Single, state: KitState, step: float) -> Single:
    """What a kit in this state shows."""
    return np.zeros_like(shown) if state.stuck else shown + np.float32(state.offset * step)


class _Scale:
    """Logistic probability of looks on a kit's scale, (looks, n). A class because it serves all states of the kit."""

    def __init__(self, kit: Kit, sharpness: Array) -> None:
        self.floor, self.sharpness = np.float32(kit.floor), sharpness.astype(np.float32)
        self.low, self.high = (np.outer(end, sharpness).astype(np.float32) for end in (kit.low, kit.high))

    def looks(self, shown: Single) -> Single:
        """Probability of every look where the kit shows this (looks, n)."""
        tau = self.sharpness * np.log(1 + shown / self.floor)
        return np.asarray(np.maximum(_below(self.high - tau) - _below(self.low - tau), _TINY))


def _below(distance: Single) -> Single:
    return np.asarray(1 / (1 + np.exp(np.minimum(-distance, np.float32(80.0)))))


def _floor(analyte: Analyte, low: Array, high: Array) -> tuple[float, float]:
    """The concentration below which the kit can't tell anything, and its first colour step (mg N/L)."""
    zeros = high[(low <= 0) & np.isfinite(high)]
    floor = float(np.clip(zeros.min(), 0.01, 2.0)) if len(zeros) else USUAL_FLOOR[analyte]
    return floor, 2 * floor


def _noise(lowest: Array, low: Array, high: Array) -> float:
    """Half a typical interval between two colours, zero and the open top left out."""
    closed = (lowest > 0) & np.isfinite(high)
    width = float(np.median((high - low)[closed])) if closed.any() else np.log(2)
    return max(NOISE * width, LEAST_NOISE)


class Readings:
    """All readings of a run that say anything, by kit."""

    def __init__(self, run: Run) -> None:
        by_kit: dict[tuple[Analyte, str], list[Reading]] = {}
        for reading in run.readings:
            if reading.counts:
                by_kit.setdefault((reading.analyte, reading.kit), []).append(reading)
        self.kits = tuple(Kit(*key, tuple(by_kit[key])) for key in sorted(by_kit))
        self.last = max((float(kit.ends.max()) for kit in self.kits), default=0.0)

    def log_likelihood(self, course: Course, z: Array, unknowns: Unknowns) -> Array:
        """Log-probability of all readings for every parameter set (n,), the kits' states averaged over."""
        total = np.zeros(len(z))
        for kit in self.kits:
            total += np.logaddexp.reduce(kit.log_states(course, z, unknowns), axis=0)
        return total
