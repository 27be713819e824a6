"""What happened in one vessel during a cycle, as plain frozen data: the input of the model, the fit and the forecast.

Times are days after the start of the run. Concentrations are mg N/L (mg/L of nitrogen) whatever the substance.
"""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass, replace
from typing import Literal

Analyte = Literal["ammonia", "nitrite", "nitrate"]
ANALYTES: tuple[Analyte, ...] = ("ammonia", "nitrite", "nitrate")


@dataclass(frozen=True, slots=True)
class Dose:
    """Nitrogen stirred in at once: an ammonium or nitrite salt, or what a portion of food soon becomes.

    `relative_sd` says how well the amount is known (weighing, strength of the salt, water volume).
    """

    time: float
    nitrogen: float
    substance: Analyte = "ammonia"
    relative_sd: float = 0.1


@dataclass(frozen=True, slots=True)
class Rotting:
    """Tissue that would give off `nitrogen` mg N/L in all, first fast, then slowly; `removed` is when it went."""

    time: float
    nitrogen: float
    removed: float | None = None


@dataclass(frozen=True, slots=True)
class Culture:
    """Nitrifiers brought in: median capacity of each step at 25 °C in mg N/L/d and its log-sd. See `seeds.SEEDS`."""

    time: float
    capacity1: float
    capacity2: float
    log_sd: float


@dataclass(frozen=True, slots=True)
class WaterChange:
    """Water replaced (or moved in from another vessel): the share of the volume, and what the new water holds.

    A top-up of evaporated water takes nothing out: write it as a `Dose` of what it brings, or not at all.
    """

    time: float
    fraction: float
    ammonia: float = 0.0
    nitrite: float = 0.0
    nitrate: float = 0.0


@dataclass(frozen=True, slots=True)
class FilterLoss:
    """Filter media or rock taken out, or killed: the share of both capacities that stays."""

    time: float
    kept: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One sample, read by one reader or several: the interval `(low, high)` of each, None where it could not be read.

    A colour card makes an interval; a top colour ends at infinity and a zero begins at 0. `span` is how long after
    `time` the sample may have been taken (1 for "some time that day").
    """

    id: str
    time: float
    analyte: Analyte
    kit: str
    readers: tuple[tuple[float, float] | None, ...]
    span: float = 0.0
    discarded: bool = False

    @property
    def seen(self) -> tuple[tuple[float, float], ...]:
        """The intervals of those readers who could read it."""
        return tuple(interval for interval in self.readers if interval is not None)

    @property
    def counts(self) -> bool:
        """Whether this reading says anything: neither discarded nor unreadable."""
        return bool(self.seen) and not self.discarded


@dataclass(frozen=True, slots=True)
class Run:
    """One cycle from its start. `temperature` holds (day, °C) pairs, joined by straight lines and held at both ends.

    `free_ammonia` is the share of the ammonia nitrogen that is NH3 (it inhibits nitrite oxidation; 0 leaves that out).
    `seeded` says that live rock, sand or media was in the vessel from the start.
    """

    doses: tuple[Dose, ...] = ()
    rotting: tuple[Rotting, ...] = ()
    cultures: tuple[Culture, ...] = ()
    water_changes: tuple[WaterChange, ...] = ()
    filter_losses: tuple[FilterLoss, ...] = ()
    readings: tuple[Reading, ...] = ()
    temperature: tuple[tuple[float, float], ...] = ((0.0, 25.0),)
    free_ammonia: float = 0.0
    seeded: bool = False

    def __post_init__(self) -> None:
        problems = (*_number_problems(self), *_reading_problems(self.readings))
        if problems:
            raise ValueError("; ".join(problems))

    def until(self, day: float) -> Run:
        """The same run without the readings taken after `day`."""
        return replace(self, readings=tuple(r for r in self.readings if r.time <= day))

    def without_readings(self) -> Run:
        """What is known of the run before any test was done."""
        return replace(self, readings=())

    def fingerprint(self) -> int:
        """The same number for the same data on every machine; readings that say nothing do not change it."""
        told = replace(self, readings=tuple(replace(r, id="") for r in self.readings if r.counts))
        return int.from_bytes(hashlib.sha256(repr(told).encode()).digest()[:8])


def _number_problems(run: Run) -> list[str]:
    events: list[Dose | Rotting | Culture | WaterChange | FilterLoss]
    events = [*run.doses, *run.rotting, *run.cultures, *run.water_changes, *run.filter_losses]
    amounts = [(f"{type(e).__name__} on day {e.time:g}", getattr(e, "nitrogen", 0.0)) for e in events]
    shares = [("water change", w.fraction) for w in run.water_changes]
    shares += [("share of the filter kept", loss.kept) for loss in run.filter_losses]
    shares += [("share of free ammonia", run.free_ammonia)]
    found = [f"{what}: nitrogen must be 0 or more, not {value:g}" for what, value in amounts if not value >= 0]
    found += [f"{what} must lie between 0 and 1, not {value:g}" for what, value in shares if not 0 <= value <= 1]
    found += [f"{type(e).__name__}: the day must be 0 or later, not {e.time:g}" for e in events if not e.time >= 0]
    if not run.temperature:
        found.append("a run needs at least one temperature, for example ((0, 25),)")
    return found


def _reading_problems(readings: tuple[Reading, ...]) -> list[str]:
    found = []
    for reading in readings:
        if reading.analyte not in ANALYTES:
            found.append(f"reading {reading.id}: analyte must be one of {', '.join(ANALYTES)}, not {reading.analyte}")
        if not math.isfinite(reading.time) or reading.time < 0:
            found.append(f"reading {reading.id}: the day must be 0 or later, not {reading.time:g}")
        if any(not 0 <= low < high for low, high in reading.seen):
            found.append(f"reading {reading.id}: an interval must be 0 <= low < high")
    return found
