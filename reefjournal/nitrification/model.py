"""Two-step nitrification in capacity form, for many parameter sets at once.

    ammonia' = sources - f1 v1 m1        v1' = (mu1 f1 m1 - b1) v1        m = S / (K + S)
    nitrite' = f1 v1 m1 - f2 v2 m2 i     v2' = (mu2 f2 m2 i - b2) v2      i = Ki / (Ki + NH3)
    nitrate' = f2 v2 m2 i - loss nitrate                                  f = theta^(T - 25)

The capacity v (mg N/L/d at 25 °C) is mu X / Y of the textbook form, in which yield and biomass can't be told apart by
nitrogen tests. Growth is mu times what is oxidised, so that each step of time is one scalar equation a species.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Annotated, Self

import numpy as np
from numpy.typing import NDArray

from reefjournal.believed import Believed

Array = NDArray[np.float64]

REFERENCE_CELSIUS: Annotated[float, Believed("°C", "temperature at which the unknowns hold", "our judgement")] = 25.0
HIGHEST_CELSIUS: Annotated[float, Believed("°C", "above it nothing is extrapolated", "our judgement")] = 32.0
DECAY_THETA: Annotated[
    float, Believed("times per °C", "decay with warmth", "from memory: handbook value of activated sludge")
] = 1.029


@dataclass(frozen=True, slots=True)
class Kinetics:
    """Parameter sets at 25 °C, arrays of shape (n,): growth, decay, release, loss 1/d; half and inhibition mg N/L."""

    growth1: Array
    growth2: Array
    half1: Array
    half2: Array
    decay1: Array
    decay2: Array
    theta1: Array
    theta2: Array
    inhibition: Array
    release: Array
    loss: Array

    def take(self, rows: Array | Sequence[int] | NDArray[np.intp]) -> Self:
        """The parameter sets of these rows."""
        return type(self)(*(getattr(self, field.name)[rows] for field in fields(self)))


@dataclass(frozen=True, slots=True)
class State:
    """Water and filter at one moment, (n,): mg N/L, capacity mg N/L/d, and the mg N/L still in rotting tissue."""

    ammonia: Array
    nitrite: Array
    nitrate: Array
    capacity1: Array
    capacity2: Array
    tissue: Array


@dataclass(frozen=True, slots=True)
class Event:
    """A sudden change: first a share of water and filter is kept, then something is added (numbers, or shape (n,))."""

    time: float
    water_kept: float = 1.0
    filter_kept: float = 1.0
    ammonia: Array | float = 0.0
    nitrite: Array | float = 0.0
    nitrate: Array | float = 0.0
    capacity1: Array | float = 0.0
    capacity2: Array | float = 0.0
    tissue: Array | float = 0.0

    def apply(self, state: State) -> State:
        """The state just after the event."""
        return State(
            ammonia=state.ammonia * self.water_kept + self.ammonia,
            nitrite=state.nitrite * self.water_kept + self.nitrite,
            nitrate=state.nitrate * self.water_kept + self.nitrate,
            capacity1=state.capacity1 * self.filter_kept + self.capacity1,
            capacity2=state.capacity2 * self.filter_kept + self.capacity2,
            tissue=np.maximum(state.tissue + self.tissue, 0.0),
        )


@dataclass(frozen=True, slots=True)
class Course:
    """The run of every parameter set: `times` (m,), and ammonia, nitrite, nitrate, capacities of shape (m, n).

    The time of an event stands twice, with the values before it and after it.
    """

    times: Array
    ammonia: Array
    nitrite: Array
    nitrate: Array
    capacity1: Array
    capacity2: Array
    end: State

    def at(self, analyte: str, times: Array, *, before: NDArray[np.bool_] | bool = False) -> Array:
        """Values (len(times), n), interpolated; `before` picks the value before an event of that time."""
        values: Array = getattr(self, analyte)
        left = np.searchsorted(self.times, times, side="left")
        right = np.searchsorted(self.times, times, side="right") - 1
        hi = np.clip(np.where(before, left, right + 1), 1, len(self.times) - 1)
        lo = hi - 1
        gap = np.maximum(self.times[hi] - self.times[lo], 1e-12)
        share = np.clip((times - self.times[lo]) / gap, 0.0, 1.0)[:, None]
        interpolated: Array = values[lo] * (1 - share) + values[hi] * share
        return interpolated


@dataclass(frozen=True, slots=True)
class Conditions:
    """(day, °C) pairs joined by straight lines, the share of ammonia nitrogen that is NH3, and the steps in a day.

    `crowding` is what a dense film loses beside decay: 1/d for every mg N/L/d of capacity, (n,); None leaves it out.
    """

    temperature: tuple[tuple[float, float], ...] = ((0.0, REFERENCE_CELSIUS),)
    free_ammonia: float = 0.0
    steps_per_day: int = 4
    crowding: Array | None = None


def simulate(
    kinetics: Kinetics,
    start: State,
    days: tuple[float, float],
    events: Sequence[Event] = (),
    conditions: Conditions = Conditions(),
) -> Course:
    """Runs every parameter set from the first day to the last, with the events of that time (both ends included)."""
    first, last = days
    pending = sorted((e for e in events if first <= e.time <= last), key=lambda event: event.time)
    grid = _grid(first, last, [event.time for event in pending], conditions.steps_per_day)
    stepper = _Stepper(kinetics, grid, conditions)
    times, states = [first], [start]
    for index, now in enumerate(grid):
        if index:
            states.append(stepper.step(states[-1], index))
            times.append(now)
        while pending and pending[0].time <= now:
            states.append(pending.pop(0).apply(states[-1]))
            times.append(now)
    return _course(times, states)


def _grid(first: float, last: float, marks: list[float], steps_per_day: int) -> Array:
    regular = np.arange(np.floor(first * steps_per_day) + 1, np.ceil(last * steps_per_day)) / steps_per_day
    return np.unique(np.concatenate([[first], regular, marks, [last]]))


def _course(times: list[float], states: list[State]) -> Course:
    columns = {
        name: np.array([getattr(state, name) for state in states])
        for name in ("ammonia", "nitrite", "nitrate", "capacity1", "capacity2")
    }
    return Course(times=np.array(times), end=states[-1], **columns)


_GAMMA = 1 - 0.5**0.5


@dataclass(frozen=True, slots=True)
class _Organism:
    """What one step of time needs to know of one kind of bacteria; `growing` is growth times pace.

    growth and half-saturation, pace (speed times the step's length), and what half a step of decay leaves as `kept`.
    """

    growth: Array
    half: Array
    pace: Array
    kept: Array
    growing: Array
    bend: Array

    @classmethod
    def over(cls, pace: Array, growth: Array, half: Array, kept: Array) -> Self:
        """For a step of this pace."""
        growing = growth * pace
        return cls(growth, half, pace, kept, growing, 4 * half * (1 - growing))

    def slowed(self, share: Array) -> Self:
        """The same with its speed multiplied by a share."""
        return self.over(self.pace * share, self.growth, self.half, self.kept)

    def eat(self, S: Array, source: Array, capacity: Array) -> tuple[Array, Array, Array]:
        """Substrate, amount oxidised and capacity after a step, with `source` coming in evenly.

        Two-stage, L-stable SDIRK of second order, with decay in halves around it. The rate (v + mu c) S/(K+S), c being
        what has been oxidised, makes every stage a quadratic with one positive root: no iteration, never negative,
        nitrogen conserved whatever the step.
        """
        capacity = capacity * self.kept
        slope = self.half + self.pace * capacity
        given, total = S + _GAMMA * source, S + source
        middle = self._root(given, slope + self.growing * given)
        given = np.maximum(given + (1 / _GAMMA - 1) * (middle - S), 0.0)
        end = np.minimum(self._root(given, slope + self.growing * total), total)
        oxidised = total - end
        return end, oxidised, (capacity + self.growth * oxidised) * self.kept

    def _root(self, given: Array, slope: Array) -> Array:
        """The S with (1 - g mu) S² + (slope - given) S - K given = 0, g being the pace."""
        p = slope - given
        root: Array = p * p
        root += self.bend * given
        np.sqrt(root, out=root)
        root += p
        np.divide(given, root, out=root)
        root *= 2 * self.half
        return root


class _Stepper:
    """Steps the state on. A class because what depends only on step length and temperature is worked out once."""

    def __init__(self, kinetics: Kinetics, grid: Array, conditions: Conditions) -> None:
        self.kinetics = kinetics
        celsius = np.interp((grid[1:] + grid[:-1]) / 2, *np.transpose(conditions.temperature))
        # To a tenth of a degree, so that few different steps have to be worked out.
        self.warmer = np.round(np.minimum(celsius, HIGHEST_CELSIUS) - REFERENCE_CELSIUS, 1).tolist()
        self.theta = np.log(kinetics.theta1), np.log(kinetics.theta2)
        self.lengths = np.round(np.diff(grid), 9).tolist()
        self.crowding = conditions.crowding
        self.nh3_per_ki = conditions.free_ammonia / kinetics.inhibition if conditions.free_ammonia else None
        self._known: dict[tuple[float, float], tuple[_Organism, _Organism, Array, Array]] = {}

    def _rates(self, days: float, warmer: float) -> tuple[_Organism, _Organism, Array, Array]:
        """Both kinds of bacteria, and what a step of release and of loss leaves."""
        if (days, warmer) not in self._known:
            k, decay = self.kinetics, DECAY_THETA**warmer
            speed1, speed2 = (np.exp(theta * warmer) for theta in self.theta)
            kept1, kept2 = (np.exp(-one * decay * days / 2) for one in (k.decay1, k.decay2))
            oxidiser1 = _Organism.over(_GAMMA * days * speed1, k.growth1, k.half1, kept1)
            oxidiser2 = _Organism.over(_GAMMA * days * speed2, k.growth2, k.half2, kept2)
            self._known[days, warmer] = oxidiser1, oxidiser2, np.exp(-k.release * days), np.exp(-k.loss * days)
        return self._known[days, warmer]

    def step(self, state: State, index: int) -> State:
        """The state at grid point `index` from the state at the one before; release and loss are exact."""
        oxidiser1, oxidiser2, unreleased, unlost = self._rates(self.lengths[index - 1], self.warmer[index - 1])
        tissue = state.tissue * unreleased
        ammonia, oxidised1, capacity1 = oxidiser1.eat(state.ammonia, state.tissue - tissue, state.capacity1)
        if self.nh3_per_ki is not None:
            oxidiser2 = oxidiser2.slowed(1 / (1 + (state.ammonia + ammonia) * 0.5 * self.nh3_per_ki))
        nitrite, oxidised2, capacity2 = oxidiser2.eat(state.nitrite, oxidised1, state.capacity2)
        if self.crowding is not None:
            lost = self.crowding * self.lengths[index - 1]
            capacity1, capacity2 = (one / (1 + lost * one) for one in (capacity1, capacity2))
        return State(ammonia, nitrite, state.nitrate * unlost + oxidised2, capacity1, capacity2, tissue)
