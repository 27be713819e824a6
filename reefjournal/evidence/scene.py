"""What the evidence of one day is drawn from: a vessel at a moment, with the readings that may be relied on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from heapq import merge
from typing import Annotated, Any, NamedTuple

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.chemistry.salinity import Reference, salinity_from_specific_gravity
from reefjournal.evidence.blanks import Blanks, blanks
from reefjournal.facts import UNKNOWN, Fact, Line, Property, make
from reefjournal.quantities import Interval
from reefjournal.timeline import State, Vessel, hours_since

OPEN = 1e9
"""Stands for the high end of a reading that is open upwards."""
BLANK_HOLDS_DAYS: Annotated[
    float,
    Believed("days", "how far from it a blank speaks for a kit: an opened bottle's life", "common practice"),
] = 180.0


def reading_id(reading: ev.Reading) -> str:
    """A name for one reading that is the same on every run."""
    source = reading.source
    return f"{source.file}:{source.line}:{source.column}:{reading.analyte}"


def lines(found: Iterable[ev.Base | None]) -> tuple[Line, ...]:
    """The note lines of some events, each once, in order."""
    places = [one.source for one in found if one is not None]
    given = [Line(one.file, one.line, one.text) for one in places]
    return tuple(dict.fromkeys(given)) if len(given) > 1 else tuple(given)


class Sample(NamedTuple):
    """A reading as it may be used: its interval after the kit's blank is taken off, ``high`` never ``None``."""

    reading: ev.Reading
    low: float
    high: float
    rank: int

    @property
    def middle(self) -> float:
        """A single number for the reading: the middle of its interval, its low end where that is open upwards."""
        return self.low if self.high >= OPEN else (self.low + self.high) / 2

    @property
    def written(self) -> str:
        """The reading in the keeper's own words."""
        return " / ".join(value.written for value in self.reading.readers)

    @property
    def day(self) -> str:
        """The reading's day in ISO 8601."""
        return iso(self.reading.day)


def iso(day: date | None) -> str:
    """A day in ISO 8601, "" where there is none."""
    return day.isoformat() if day else ""


def _salinity(low: float, high: float) -> Interval:
    """Salinity of a specific gravity of unknown reference temperature: the widest of the usual ones."""
    references: tuple[Reference, ...] = ("25/25", "20/20", "60/60F")
    low, high = min(max(low, 1.0), 1.031), min(max(high, 1.0), 1.031)
    values = [salinity_from_specific_gravity(end, ref) for end in (low, high) for ref in references]
    return Interval(min(values), max(values))


def _less(blank: Interval, low: float, high: float) -> Interval:
    """What a kit showed from ``low`` to ``high``, its blank taken off; ``OPEN`` stays open."""
    zero = (blank.low + blank.high) / 2
    return Interval(max(0.0, low - zero), high if high >= OPEN else max(high - blank.low, 0.0))


@dataclass(frozen=True)
class Scene:
    """A vessel at a moment; ``rejected`` names the readings that the trust rules have taken out."""

    state: State
    vessel: Vessel
    rejected: frozenset[str] = frozenset()
    where: str = "here"

    @property
    def now(self) -> datetime:
        """The moment that is asked about."""
        return self.state.moment

    def usable(self, analyte: str) -> tuple[Sample, ...]:
        """The readings of an analyte that may be relied on, in time order."""
        key = ("usable", analyte)
        if key not in self.memo:
            own = (one for one in self.vessel.readings_of(analyte) if one.readable)
            kept = (one for one in own if not self.rejected or reading_id(one) not in self.rejected)
            self.memo[key] = tuple(self.sample(one) for one in kept)
        found: tuple[Sample, ...] = self.memo[key]
        return found

    def sampled(self, analyte: str, *, at_most: bool = False) -> tuple[Sample, ...]:
        """The same with what diluted samples showed of nitrite, and ``at_most`` those at their lowest colour too.

        Those of ammonia count for the forecast alone: one must not stand for the plain test that a dose waits for.
        """
        if analyte != "nitrite":
            return self.usable(analyte)
        key = ("sampled", analyte, at_most)
        if key not in self.memo:
            thinned = (self._undiluted(one) for one in self.vessel.log(ev.Check) if one.analyte == analyte)
            diluted = [one for one in thinned if one is not None and (at_most or one.low > 0)]
            self.memo[key] = tuple(merge(self.usable(analyte), diluted, key=lambda one: one.reading.earliest))
        found: tuple[Sample, ...] = self.memo[key]
        return found

    def _undiluted(self, check: ev.Check) -> Sample | None:
        """What a diluted sample says of the water, the blank of its kit taken off before it is multiplied."""
        reading, value = check.reading, check.value
        if reading is None or value is None or not value.readable or self.vessel.discarded(reading):
            return None
        shown = self.less_blank(reading, value.low, OPEN if value.high is None else value.high)
        low, high = shown.over(check.thinned)
        return Sample(reading, low, min(high, OPEN), reading.rank)

    def newest(self, analyte: str) -> Sample | None:
        """The newest reading of an analyte that may be relied on."""
        if ("usable", analyte) in self.memo:
            samples = self.usable(analyte)
            return samples[-1] if samples else None
        return next(self.backwards(analyte), None)

    def backwards(self, analyte: str) -> Iterator[Sample]:
        """The same readings as ``usable``, newest first, for whoever needs but a few of them."""
        for one in reversed(self.vessel.readings_of(analyte)):
            if one.readable and reading_id(one) not in self.rejected:
                yield self.sample(one)

    @property
    def blanks(self) -> Blanks:
        """The newest blank of each kit that may be gone by, by analyte and name, wherever it was made."""
        return self._blanks[0]

    @property
    def denied_blanks(self) -> Blanks:
        """The newest blanks that can't be believed."""
        return self._blanks[1]

    @cached_property
    def _blanks(self) -> tuple[Blanks, Blanks]:
        return blanks(self.state)

    def blank_of(self, reading: ev.Reading) -> Interval | None:
        """What the kit of a reading shows on clean salt water, where a blank near in time says so."""
        zero = self._zeros.get((reading.analyte, reading.kit))
        if zero is None or reading.by != "home" or abs((zero[0] - reading.earliest).days) > BLANK_HOLDS_DAYS:
            return None
        return zero[1]

    @cached_property
    def _zeros(self) -> dict[tuple[str, str], tuple[datetime, Interval]]:
        """When each kit showed a colour on clean salt water, and which; those that showed none are left out."""
        shown = {key: (blank.earliest, blank.value) for key, blank in self.blanks.items()}
        return {
            key: (moment, Interval(value.low, value.high))
            for key, (moment, value) in shown.items()
            if value is not None and value.rank > 0 and value.high is not None
        }

    def sample(self, reading: ev.Reading) -> Sample:
        """A reading as it may be used."""
        high = OPEN if reading.high is None else reading.high
        if reading.unit == "SG":
            salinity = _salinity(reading.low, high)
            return Sample(reading, salinity.low, salinity.high, 2)
        blank = self.blank_of(reading)
        if blank is None:
            return Sample(reading, reading.low, high, reading.rank)
        low, high = _less(blank, reading.low, high)
        return Sample(reading, low, high, 0 if reading.low <= blank.low else reading.rank)

    def less_blank(self, reading: ev.Reading, low: float, high: float) -> Interval:
        """What the kit of a reading showed from ``low`` to ``high``, its blank taken off; ``OPEN`` stays open."""
        blank = self.blank_of(reading)
        return Interval(low, high) if blank is None else _less(blank, low, high)

    def days_since(self, event: ev.Base) -> Interval:
        """Days from an event to now."""
        return hours_since(event, self.now).times(1 / 24)

    def age_days(self, event: ev.Base) -> float:
        """Whole days on the calendar from an event to now."""
        return float((self.now.date() - event.day).days) if event.day else UNKNOWN

    def within(self, event: ev.Base, days: Property) -> bool:
        """Whether an event lies at most so many calendar days back; any does where no number is given."""
        return not isinstance(days, float | int) or days != days or self.age_days(event) <= days  # noqa: PLR0124

    def fact(self, kind: str, found: Iterable[ev.Base | None] = (), **given: Property) -> Fact:
        """A fact about this vessel that rests on these events."""
        return make(kind, vessel=self.vessel.name, where=self.where, events=lines(found), **given)

    @cached_property
    def memo(self) -> dict[Any, Any]:
        """Results that several topics share, each worked out once a day."""
        return {}

    def once(self, work: Callable[[Scene], Any]) -> Any:
        """The result of ``work`` on this scene, worked out at the first call."""
        if work not in self.memo:
            self.memo[work] = work(self)
        return self.memo[work]

    def once_for(self, event: ev.Base, work: Callable[[Scene, Any], Any]) -> Any:
        """The result of ``work`` on this scene and one event of its notes, worked out at the first call.

        Told apart by the object: an event made up on the way must not be asked about.
        """
        key = (work, id(event))
        if key not in self.memo:
            self.memo[key] = work(self, event)
        return self.memo[key]
