"""What lies ahead of the running cycle, in words and calendar dates. It informs, and no gate ever looks at it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from reefjournal.evidence.cycle import Cycle, cycle
from reefjournal.evidence.forecast_cache import assessment
from reefjournal.evidence.scene import OPEN, Scene
from reefjournal.nitrification.results import Assessment, Outcome

_CHALLENGES = ("challenge", "challenge-fed")
_ALL = ("ammonia", "nitrite", *_CHALLENGES)
STAGES = {
    **dict.fromkeys(("ammonia-rising", "ammonia-falling", "nitrite-high", "nitrite-falling", "stalled"), _ALL),
    "cycle-unproven": _CHALLENGES,
}
"""The stages in which something can be forecast, and what."""
LEVEL = 0.8
_SURE = 0.95
"""From here on a thing is told as so by the model."""
_LEAST = 0.005
"""A smaller chance is not told in numbers: a few hundred draws do not carry it."""
_MUCH = 0.1
"""A test is suggested that narrows the forecast by so much."""
_LIKELY = {
    "ammonia": "Ammonia is likely to be gone",
    "nitrite": "Nitrite is likely to be gone",
    "challenge": "Left unfed, the filter is likely to clear a challenge of 1 mg N/L in a day",
    "challenge-fed": "Fed as advised, the filter is likely to clear a challenge of 1 mg N/L in a day",
}
_IS_SO = {
    "ammonia": "ammonia is gone",
    "nitrite": "nitrite is gone",
    "challenge": "the filter, left unfed, clears a challenge of 1 mg N/L in a day",
    "challenge-fed": "the filter, fed as advised, clears a challenge of 1 mg N/L in a day",
}
_CLEARED = "24 h after 1 mg N/L of ammonia, both tests show their lowest step at most"
_THRESHOLD = {
    "ammonia": "ammonia stays below 0.1 mg N/L",
    "nitrite": "nitrite, and ammonia before it, stays below 0.1 mg N/L",
    "challenge": _CLEARED,
    "challenge-fed": f"{_CLEARED}; fed every second day, 0.5 mg N/L while nitrite is there and 1.4 once both are gone",
}
_IN_WORDS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight", 9: "nine", 10: "ten",
             15: "fifteen", 20: "twenty", 30: "thirty", 50: "fifty", 100: "a hundred"}  # fmt: skip
_ODDS = (7, 8, 10, 15, 20, 30, 50, 100)


@dataclass(frozen=True)
class Ahead:
    """One thing that will be so: dates at ``level``, ``None`` where they lie past 120 days; ``by`` chances by dates."""

    id: str
    says: str
    threshold: str
    median: date | None
    low: date | None
    high: date | None
    level: float
    beyond: float
    by: tuple[tuple[date, float], ...]

    @property
    def now(self) -> float:
        """The chance that it is so on the day that is asked about."""
        return self.by[0][1]


@dataclass(frozen=True)
class Outlook:
    """What the model makes of the running cycle on a day."""

    on: date
    cycle: Cycle
    assessment: Assessment
    rows: tuple[Ahead, ...]

    @property
    def in_short(self) -> tuple[Ahead, ...]:
        """The rows, the first one with what all rest on."""
        first, *rest = self.rows
        return replace(first, says=f"{first.says} {grounds(self)}"), *rest


def outlook(scene: Scene, stage: str) -> Outlook | None:
    """What lies ahead in a stage; ``None`` where nothing can be forecast."""
    running = cycle(scene) if stage in STAGES else None
    if running is None:
        return None
    found = assessment(running.run, running.now, (_lowest_step(scene, "ammonia"), _lowest_step(scene, "nitrite")))
    outcomes = [one for one in found.outcomes if one.id in STAGES[stage]]
    on = scene.now.date()
    return Outlook(on, running, found, tuple(_row(one, running, on) for one in outcomes))


def _lowest_step(scene: Scene, analyte: str) -> float | None:
    """Where the lowest step of the test ends, mg N/L, as far as it was ever seen: a challenge must come down to it."""
    ends = [sample.high for sample in scene.usable(analyte) if sample.rank == 1 and sample.high < OPEN]
    return round(max(ends), 4) if ends else None


def _row(one: Outcome, running: Cycle, on: date) -> Ahead:
    days = (one.median, *one.middle80)
    median, low, high = (None if day is None else running.day(day) for day in days)
    by = tuple((running.day(day), chance) for day, chance in one.by)
    row = Ahead(one.id, "", _THRESHOLD[one.id], median, low, high, LEVEL, one.beyond, by)
    return replace(row, says=" ".join([_when(row, on), *_tail(row), *_width(one)]))


def _when(row: Ahead, on: date) -> str:
    """The dates in one sentence, in the form that suits where they lie."""
    if row.now >= _SURE:
        return f"By the model {_IS_SO[row.id]} by now ({row.now:.0%}); only tests can show it."
    if row.median is None:
        early = f", and one chance in ten that it is so by {in_words(row.low, on)}" if row.low else ""
        return f"{_chance(1 - row.beyond).capitalize()} that {_IS_SO[row.id]} within 120 days{early}."
    odds = f"; even odds for {in_words(row.median, on)}" if row.median > on else ""
    return f"{_LIKELY[row.id]} {_span(row, on)}{odds}."


def _span(row: Ahead, on: date) -> str:
    """From the low to the high date, as far as they lie ahead."""
    early = in_words(row.low, on) if row.low and row.low > on else ""
    late = in_words(row.high, on)
    if not early:
        return f"already ({row.now:.0%})" + (f" or by {late}" if late else "")
    if not late:
        return f"from {early} on"
    return f"about {late}" if early == late else f"between {early} and {late}"


def _tail(row: Ahead) -> Iterator[str]:
    if row.median is not None and row.beyond >= _LEAST:
        yield f"{_chance(row.beyond).capitalize()} that it takes more than 120 days."


def _width(one: Outcome) -> Iterator[str]:
    """How much of the uncertainty before any test is left."""
    if one.width_left is None or one.by[0][1] >= _SURE:
        return
    if one.width_left > 0.9:
        yield "That range is no narrower than before the first test."
    else:
        yield f"That range is about {max(one.width_left, 0.01):.0%} of what it was before the first test."


def grounds(told: Outlook) -> str:
    """What the forecast rests on."""
    counts = [f"{count} {analyte}" for analyte, count in told.assessment.readings if count]
    general = "what is known of cycles in general, and holds if nothing more is given."
    if not counts:
        return f"This rests on no test yet, only on {general}"
    start = in_words(told.cycle.day(0), told.on)
    return f"This rests on the tests since {start} ({', '.join(counts)}) and {general}"


def next_test(told: Outlook) -> Iterator[str]:
    """The test of the coming week that would tell most, where one would tell much."""
    test = told.assessment.next_test
    if test is not None and test.narrows >= _MUCH:
        day = in_words(told.cycle.day(test.day), told.on)
        yield f"The test that would tell most is {test.analyte} on {day}: about {test.narrows:.0%} narrower."


def in_words(day: date | None, on: date) -> str:
    """A day in words, with its year where it is not this one."""
    return f"{day.day} {day:%B}" + (f" {day.year}" if day.year != on.year else "") if day else ""


def _chance(share: float) -> str:
    """A chance as odds that can be pictured."""
    if share < _LEAST:
        return "hardly any chance"
    if share < 0.15:
        return f"one chance in {_IN_WORDS[min(_ODDS, key=lambda n: abs(n * share - 1))]}"
    tenths = min(9, round(share * 10))
    return "an even chance" if tenths == 5 else f"{_IN_WORDS[tenths]} chances in ten"
