"""What an assessment says, as frozen plain data: numbers, words and tuples, ready to be kept and compared.

Days are days after the start of the run; None stands for "not within the horizon".
"""

from __future__ import annotations

from dataclasses import dataclass

from reefjournal.nitrification.run import Analyte

Interval = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class Outcome:
    """When something will be so. `id` is ammonia, nitrite, challenge or challenge-fed.

    ammonia and nitrite: the day it falls below `threshold` (mg N/L) to stay there, without doses other than those
    written or planned; nitrite not before ammonia. challenge: the first day on which 1 mg/L N of ammonia would be gone,
    nitrite too, after 24 h; challenge-fed if the filter is fed meanwhile. `by` holds (day, probability that it
    is so by then); `beyond` is the probability of "not within the horizon"; `width_left` the width of the 80 % interval
    as a share of what it was before any reading (None where the prior was not asked).
    """

    id: str
    threshold: float
    median: float | None
    middle50: Interval
    middle80: Interval
    beyond: float
    by: tuple[tuple[float, float], ...]
    width_left: float | None


@dataclass(frozen=True, slots=True)
class DoubtedReading:
    """How probably a sample was misread, all readings considered, and the true value (mg N/L) at 10, 50 and 90 %."""

    id: str
    misread: float
    expected: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class KitFinding:
    """A kit as a whole: (state, probability) pairs adding up to 1, and how many samples were tried and unreadable.

    No pairs where not one sample could be read. A step high is `step` mg N/L.
    """

    analyte: Analyte
    kit: str
    states: tuple[tuple[str, float], ...]
    samples: int
    unreadable: int
    step: float | None


@dataclass(frozen=True, slots=True)
class NitrogenBalance:
    """What went in (10 to 90 %, water changes allowed for) against what the latest readings find, all in mg N/L.

    The upper end found is None where a top colour is open. `nitrite_present` warns that a nitrate kit may count the
    nitrite many times over.
    """

    day: float
    put_in: tuple[float, float]
    found: Interval
    nitrite_present: bool


@dataclass(frozen=True, slots=True)
class NextTest:
    """A test that would narrow the nitrite forecast (the ammonia forecast while ammonia is there) by this share."""

    analyte: Analyte
    day: float
    narrows: float


@dataclass(frozen=True, slots=True)
class Step:
    """Capacity of step 1 or 2 (mg N/L/d at 25 °C; 10, 50, 90 %), and what the prior allows for this run and day.

    `behind` is the chance that the prior alone would leave more ammonia (nitrite) by now; very small means a stall.
    """

    step: int
    capacity: tuple[float, float, float]
    expected: tuple[float, float, float]
    behind: float


@dataclass(frozen=True, slots=True)
class Assessment:
    """Everything the model says on one day. `effective` is the number of independent draws behind it."""

    on: float
    horizon: float
    readings: tuple[tuple[Analyte, int], ...]
    outcomes: tuple[Outcome, ...]
    doubted: tuple[DoubtedReading, ...]
    kits: tuple[KitFinding, ...]
    balance: NitrogenBalance | None
    next_test: NextTest | None
    steps: tuple[Step, ...]
    effective: float


@dataclass(frozen=True, slots=True)
class Band:
    """The course of an analyte: days, and for each of 10, 25, 50, 75 and 90 % its mg N/L on those days."""

    analyte: str
    days: tuple[float, ...]
    quantiles: tuple[tuple[float, ...], ...]
