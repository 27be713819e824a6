"""Scores the forecast on simulated cycles against two naive forecasts. Run by hand:

    python tests/benchmarks/forecast.py --runs 300

Good calibration here tests the code, not nature: no measured start-up series could be found to score against.
CRPS after Gneiting and Raftery 2007, JASA 102: 359; days past the horizon of 120 days count as the horizon (truncated
score), so that cycles that do not finish stay in.
"""

from __future__ import annotations

import argparse
import math
import resource
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from cycles import Cycle, draw

from reefjournal.nitrification.assess import assess
from reefjournal.nitrification.fit import Fit, fit
from reefjournal.nitrification.forecast import HORIZON, LOWEST_STEP, Question, challenge_days, finishing_days
from reefjournal.nitrification.model import Array
from reefjournal.nitrification.run import Run

THRESHOLDS = {"ammonia": 0.1, "nitrite": 0.1}
STAGES = ("before ammonia falls", "ammonia falling", "nitrite high", "nitrite falling")
CHALLENGES = ("challenge", "challenge-fed")
ASKED = {"before ammonia falls": ("ammonia", "nitrite"), "ammonia falling": ("ammonia", "nitrite", *CHALLENGES),
         "nitrite high": ("nitrite", *CHALLENGES), "nitrite falling": ("nitrite", *CHALLENGES)}  # fmt: skip
TRAINING_SEED, TRAINING_RUNS = 1_000_000, 300


def stage_days(cycle: Cycle) -> dict[str, int]:
    """The day on which each stage's forecast is made, told by the readings alone, as a keeper would."""
    days = {STAGES[0]: 5}
    ammonia, nitrite = (_seen(cycle, analyte) for analyte in ("ammonia", "nitrite"))
    if (fallen := _falls(ammonia)) is not None:
        days[STAGES[1]] = fallen
        if fallen <= days[STAGES[0]]:
            del days[STAGES[0]]
        gone = _gone(ammonia, fallen)
        sunk = _falls([look for look in nitrite if look[0] > fallen - 5])
        if gone is not None and (sunk is None or gone < sunk):
            days[STAGES[2]] = gone
        if sunk is not None:
            days[STAGES[3]] = sunk
    return days


Look = tuple[float, float, float]


def _seen(cycle: Cycle, analyte: str, until: float = 110) -> list[Look]:
    """Time, low and high of the first reader who could read."""
    readings = (r for r in cycle.run.readings if r.analyte == analyte and r.counts and r.time <= until)
    return [(r.time, *r.seen[0]) for r in readings]


def _middle(look: Look) -> float:
    return look[1] * 1.3 if math.isinf(look[2]) else (look[1] + look[2]) / 2


def _falls(looks: list[Look]) -> int | None:
    """The day of the second reading in a row at most half as high as the second highest one before."""
    for n in range(4, len(looks) + 1):
        height = sorted(map(_middle, looks[: n - 2]))[-2]
        if max(map(_middle, looks[n - 2 : n])) <= 0.55 * height:
            return int(looks[n - 1][0])
    return None


def _gone(looks: list[Look], after: int) -> int | None:
    """The day of the second zero in a row."""
    for before, now in pairwise(looks):
        if now[0] > after and before[1] == now[1] == 0:
            return int(now[0])
    return None


@dataclass(frozen=True)
class Case:
    """One forecast to be made: the cycle, the stage, the day, the analyte or challenge, and the true day."""

    cycle: Cycle
    stage: str
    on: int
    analyte: str
    truth: float

    @property
    def end(self) -> float:
        """The horizon as a day."""
        return self.on + HORIZON

    @property
    def nitrogen(self) -> float:
        """What was written as put in until the day of the forecast, mg N/L."""
        run = self.cycle.run
        return sum(d.nitrogen for d in run.doses if d.time <= self.on) + sum(r.nitrogen for r in run.rotting)


def cases(cycle: Cycle) -> list[Case]:
    """All forecasts of a cycle."""
    return [
        Case(cycle, stage, on, analyte, true_day(cycle, on, analyte))
        for stage, on in stage_days(cycle).items()
        for analyte in ASKED[stage]
    ]


def true_day(cycle: Cycle, on: int, analyte: str) -> float:
    """When it really was so, had nothing but the feeds of the question been given."""
    if analyte in CHALLENGES:
        return cycle.first_cleared(on, LOWEST_STEP, fed=analyte == "challenge-fed")
    return cycle.finish(on, analyte, THRESHOLDS[analyte])


def model_days(case: Case) -> Array:
    """The model's sample of finishing days; doses after the day of the forecast are not known to it."""
    run = case.cycle.run.until(case.on + 0.99)
    doses = tuple(d for d in run.doses if d.time <= case.on)
    changes = tuple(w for w in run.water_changes if w.time <= case.on)
    fitted = _fit(replace(run, doses=doses, water_changes=changes))
    question = Question(case.on, THRESHOLDS["ammonia"], THRESHOLDS["nitrite"])
    if case.analyte in CHALLENGES:
        return challenge_days(fitted, question, fed=case.analyte == "challenge-fed")
    return finishing_days(fitted.course(case.end), case.analyte, question)


_fitted: dict[int, Fit] = {}


def _fit(run: Run) -> Fit:
    """One fit serves both analytes of a stage."""
    key = run.fingerprint()
    if key not in _fitted:
        _fitted.clear()
        _fitted[key] = fit(run)
    return _fitted[key]


class Climatology:
    """Naive forecast 1: the finishing days of other cycles given the dose, those before today left out."""

    def __init__(self, training: list[Case]) -> None:
        self.lines = {}
        for key, some in _grouped(training).items():
            x = np.log([case.nitrogen for case in some])
            y = np.log([min(case.truth, case.end) + 1 for case in some])
            slope, level = np.polyfit(x, y, 1)
            self.lines[key] = slope, level, y - slope * x - level

    def days(self, case: Case) -> Array:
        """A sample of finishing days."""
        slope, level, errors = self.lines[case.stage, case.analyte]
        days = np.exp(level + slope * math.log(case.nitrogen) + errors) - 1
        ahead = days[days > case.on]
        return ahead if len(ahead) > 20 else np.maximum(days, case.on)


class StraightLine:
    """Naive forecast 2: a line through the last four readings, spread by its own errors in other cycles.

    Of a challenge there are no readings, so there it is climatology.
    """

    def __init__(self, training: list[Case], otherwise: Climatology) -> None:
        self.otherwise = otherwise
        self.errors = {
            key: np.array([math.log((np.clip(c.truth, c.on, c.end) - c.on + 5) / (g - c.on + 5))
                           for c in some if (g := self._crossing(c)) is not None])
            for key, some in _grouped(training).items()
        }  # fmt: skip

    def _crossing(self, case: Case) -> float | None:
        looks = _seen(case.cycle, case.analyte, case.on + 0.99)[-4:]
        if len(looks) < 3:
            return None
        slope, level = np.polyfit([look[0] for look in looks], [_middle(look) for look in looks], 1)
        if slope >= -1e-3:
            return None
        return float(np.clip((THRESHOLDS[case.analyte] - level) / slope, case.on, case.end))

    def days(self, case: Case) -> Array:
        """A sample of finishing days; climatology where no line falls."""
        crossing, errors = self._crossing(case), self.errors[case.stage, case.analyte]
        if crossing is None or len(errors) < 20:
            return self.otherwise.days(case)
        return case.on - 5 + (crossing - case.on + 5) * np.exp(errors)


def _grouped(some: list[Case]) -> dict[tuple[str, str], list[Case]]:
    groups = defaultdict(list)
    for case in some:
        groups[case.stage, case.analyte].append(case)
    return groups


def crps(days: Array, truth: float, end: float) -> float:
    """Fair ensemble CRPS of days against the truth, both cut at the horizon."""
    x = np.sort(np.minimum(days, end))
    n = len(x)
    between = 2 * float(((2 * np.arange(1, n + 1) - n - 1) * x).sum()) / (n * (n - 1))
    return float(np.abs(x - min(truth, end)).mean() - between / 2)


@dataclass
class Score:
    """What one forecast got."""

    inside50: bool
    inside80: bool
    width80: float
    crps: tuple[float, float, float]
    error: tuple[float, float, float]
    censored: bool
    rank: float


def _miss(days: Array, case: Case) -> float:
    """Distance of the median from the truth, both cut at the horizon."""
    return float(abs(np.median(np.minimum(days, case.end)) - min(case.truth, case.end)))


def score(case: Case, samples: list[Array]) -> Score:
    """Model first, then the naive ones."""
    model = np.where(samples[0] > case.end, np.inf, samples[0])
    truth = math.inf if case.truth > case.end else case.truth
    low80, low50, high50, high80 = np.quantile(model, (0.1, 0.25, 0.75, 0.9), method="inverted_cdf")
    return Score(
        inside50=bool(low50 <= truth <= high50),
        inside80=bool(low80 <= truth <= high80),
        width80=float(min(high80, case.end) - min(low80, case.end)),
        crps=tuple(crps(days, case.truth, case.end) for days in samples),
        error=tuple(_miss(days, case) for days in samples),
        censored=math.isinf(truth),
        rank=float(np.mean(model < truth)),
    )


HEADER = (
    "| forecast made | of | n | censored | in 50 % | in 80 % | width 80 %, d | CRPS model / dose / line, d "
    "| to the better | MAE model / dose / line, d |"
)


def table(scores: dict[tuple[str, str], list[Score]]) -> str:
    """Markdown, one row a stage and analyte."""
    rows = [HEADER, "|---" * HEADER.count(" | ") + "|---|"]
    for (stage, analyte), some in scores.items():
        n = len(some)
        inside50, inside80 = (np.mean([getattr(s, name) for s in some]) for name in ("inside50", "inside80"))
        marks, errors = (np.mean([getattr(s, name) for s in some], axis=0) for name in ("crps", "error"))
        rows.append(
            f"| {stage} | {analyte} | {n} | {sum(s.censored for s in some)} "
            f"| {inside50:.0%} | {inside80:.0%} ± {math.sqrt(0.16 / n):.0%} "
            f"| {np.median([s.width80 for s in some]):.1f} | {' / '.join(f'{m:.2f}' for m in marks)} "
            f"| {marks[0] / min(marks[1:]):.2f} | {' / '.join(f'{e:.1f}' for e in errors)} |"
        )
    return "\n".join(rows)


def time_one() -> None:
    """Prints the median of five times of a fit and of a whole assessment, and the memory at its highest."""
    run = draw(0, every=1.2).run.until(60)
    for what, call in (("fit", lambda: fit(run)), ("assessment", lambda: assess(run, Question(60.0)))):
        times = []
        for _ in range(5):
            started = time.perf_counter()
            call()
            times.append(time.perf_counter() - started)
        print(f"{what}: {np.median(times):.2f} s, median of five, {len(run.readings)} readings")
    print(f"memory at its highest: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def drawn(first: int, runs: int, *, bare: bool) -> Iterator[Cycle]:
    """The cycles of so many seeds; without those that had live rock where wanted."""
    return (cycle for cycle in map(draw, range(first, first + runs)) if not (bare and cycle.run.seeded))


def main() -> None:
    """Trains the naive forecasts, makes and scores all forecasts, prints the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=300)
    parser.add_argument("--first-seed", type=int, default=0)
    parser.add_argument("--bare", action="store_true", help="leave out tanks with live rock, which the dose forgets")
    parser.add_argument("--ranks", action="store_true", help="also print where the truth fell among the draws")
    parser.add_argument("--time", action="store_true", help="only time fit and assessment of 60 days and 150 readings")
    options = parser.parse_args()
    if options.time:
        time_one()
        return
    started = time.perf_counter()
    training = [case for cycle in drawn(TRAINING_SEED, TRAINING_RUNS, bare=options.bare) for case in cases(cycle)]
    climatology = Climatology(training)
    line = StraightLine(training, climatology)
    scores: dict[tuple[str, str], list[Score]] = {(s, a): [] for s in STAGES for a in ASKED[s]}
    for cycle in drawn(options.first_seed, options.runs, bare=options.bare):
        for case in cases(cycle):
            samples = [model_days(case), climatology.days(case), line.days(case)]
            scores[case.stage, case.analyte].append(score(case, samples))
    print(table({key: some for key, some in scores.items() if some}))
    print(f"\n{options.runs} cycles, {time.perf_counter() - started:.0f} s")
    if options.ranks:
        for key, some in scores.items():
            print(key, np.histogram([s.rank for s in some], bins=10, range=(0, 1.0001))[0])


if __name__ == "__main__":
    main()
