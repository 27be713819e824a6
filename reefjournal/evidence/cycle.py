"""The cycle that runs in a vessel, as the nitrification model takes it: from notes to doses, cultures and readings.

What has no time lies at noon of its day; a test without a time may have been made at any moment of its day.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Annotated, TypeVar

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.binders import stop_of
from reefjournal.evidence.life import ration_between
from reefjournal.evidence.nitrogen import Gift, gifts
from reefjournal.evidence.scene import OPEN, Sample, Scene, reading_id
from reefjournal.evidence.water import share_changed
from reefjournal.nitrification.run import ANALYTES, Culture, Dose, Reading, Rotting, Run, WaterChange
from reefjournal.nitrification.seeds import culture
from reefjournal.quantities import Interval
from reefjournal.timeline import surely_before

E = TypeVar("E", bound=ev.Base)

_SURE: Annotated[
    float,
    Believed("mg N/L", "a first reading from here on is sure: below the lowest step of common kits", "our judgement"),
] = 0.05
_DOSE_SD: Annotated[
    float,
    Believed("of the dose", "error of any dose beside its range: scale, strength of the salt, volume", "our judgement"),
] = 0.1
_LEAST_WIDTH: Annotated[
    float,
    Believed("mg N/L", "least width of a number without a range; twice this as a share of it", "our judgement"),
] = 0.05
_CELSIUS: Annotated[
    Interval, Believed("°C", "what an aquarium's temperature can be: outside is a slip of the pen", "our judgement")
] = Interval(10.0, 40.0)
_WARMTH_DAYS: Annotated[
    float, Believed("days", "how old a temperature may be to hold for the first day of a cycle", "our judgement")
] = 14.0
_TELLING = {"dose", "water", *ANALYTES}
"""What a line that was not understood may be about, and would matter here."""
_CULTURES = {"bacterial culture": "bottled culture"}


@dataclass(frozen=True)
class Cycle:
    """A run and what it was made of: the midnight it begins with, its time now, the notes behind its readings.

    ``left_out`` says what could not be reckoned with.
    The id of a reading of the run is its place in ``tests``.
    """

    run: Run
    start: datetime
    now: float
    tests: tuple[ev.Reading | ev.Check, ...]
    left_out: tuple[str, ...]

    def day(self, days: float) -> date:
        """The calendar day of a time of the run."""
        return (self.start + timedelta(days=days)).date()


def cycle(scene: Scene) -> Cycle | None:
    """The running cycle; ``None`` without water, or before nitrogen of a known amount or sure ammonia is there."""
    wet = scene.vessel.filled
    if wet is None:
        return None
    given = [gift for gift in scene.once(gifts) if gift.event.latest >= wet.earliest]
    known = [gift for gift in given if gift.rise is not None]
    first = _first_ammonia(scene, wet, known[0].event if known else None)
    if first is None and not known:
        return None
    return _Telling(scene, first, tuple(given), first.reading if first else known[0].event).cycle()


def _first_ammonia(scene: Scene, wet: ev.Base, source: ev.Base | None) -> Sample | None:
    """The first sure ammonia, where no source of a known amount came before it."""
    found = (s for s in scene.usable("ammonia") if s.rank > 0 and s.low >= _SURE and s.reading.latest >= wet.earliest)
    sample = next(found, None)
    return sample if sample and (source is None or surely_before(sample.reading, source)) else None


@dataclass(frozen=True)
class _Telling:
    """Turns the notes into parts of a run; carries along where the run begins."""

    scene: Scene
    first: Sample | None
    given: tuple[Gift, ...]
    source: ev.Base

    @property
    def start(self) -> datetime:
        return datetime.combine(self.source.earliest.date(), time.min)

    def at(self, moment: datetime) -> float:
        return (moment - self.start).total_seconds() / 86400

    def middle(self, event: ev.Base) -> float:
        return max(0.0, self.at(event.earliest + (event.latest - event.earliest) / 2))

    def cycle(self) -> Cycle:
        """The whole of it."""
        tests = tuple(self.tests())
        run = Run(
            doses=tuple(self.doses()),
            rotting=(*self.tissue(), *self.food()),
            cultures=tuple(self.cultures()),
            water_changes=tuple(self.changes()),
            readings=tuple(self.reading(str(place), one) for place, one in enumerate(tests)),
            temperature=tuple(self.temperatures()) or ((0.0, 25.0),),
            seeded=any(self.middle(one) < 1 for one in self.rock()),
        )
        now = math.floor(self.at(self.scene.now) * 1e4) / 1e4  # the end of a day is not the next one
        return Cycle(run, self.start, now, tests, tuple(self.left_out()))

    def doses(self) -> Iterator[Dose]:
        """Measured sources of ammonia; ammonia that nobody gave stands as a dose at its first test."""
        if self.first:
            low, high = self.first.low, self.first.high
            yield _dose(self.middle(self.first.reading), Interval(low, high if high < OPEN else 2 * low))
        for time_, gift in self.gifts("ammonia"):
            if gift.rise is not None:
                yield _dose(time_, gift.rise)

    def gifts(self, role: str) -> Iterator[tuple[float, Gift]]:
        """The gifts of a role with their times."""
        return ((self.middle(gift.event), gift) for gift in self.given if gift.event.role == role)

    def tissue(self) -> Iterator[Rotting]:
        """Tissue that was put in to rot, until it was taken out."""
        for time_, gift in self.gifts("tissue"):
            if gift.rise is not None:
                out = stop_of(self.scene, gift.event)
                yield Rotting(time_, _middle(gift.rise), self.middle(out) if out else None)

    def food(self) -> Iterator[Rotting]:
        """Food by the day: what is not eaten rots, and what is eaten comes out again."""
        volume, fed = self.scene.vessel.volume, self.scene.vessel.log(ev.Fed)
        if volume is None or not fed:
            return
        for back in range((self.scene.now - self.start).days + 1):
            day = (self.start + timedelta(days=back)).date()
            ration = ration_between(self.scene, day, day)
            if ration is not None and ration.high > 0:
                yield Rotting(back + 0.5, _middle(ration) / _middle(volume))

    def cultures(self) -> Iterator[Culture]:
        """Nitrifiers that were brought in, with live rock that came later."""
        for one in self.since(self.scene.vessel.log(ev.Dose)):
            if one.role == "culture" and not one.stop:
                yield culture(self.middle(one), _CULTURES.get(one.substance, "live rock or sand"))
        yield from (culture(t, "live rock or sand") for one in self.rock() if (t := self.middle(one)) >= 1)

    def rock(self) -> list[ev.Stock]:
        """Live rock that came into the vessel by now."""
        vessel = self.scene.vessel
        came = (one for one in vessel.log(ev.Stock) if one.action in ("added", "moved") and not vessel.loses(one))
        return [one for one in came if one.group == "live rock"]

    def changes(self) -> Iterator[WaterChange]:
        """Water that was replaced; an unknown share is left out."""
        for one in self.replaced():
            share = share_changed(self.scene, one)
            if share != (0.0, 1.0):
                yield WaterChange(self.middle(one), _middle(share))

    def replaced(self) -> Iterator[ev.Water]:
        """Water changes since the source, and fills after a draining."""
        drained = False
        for one in self.since(self.scene.vessel.log(ev.Water)):
            if one.action == "changed" or (one.action == "filled" and drained):
                yield one
            drained = one.action == "drained" or (drained and one.action != "filled")

    def since(self, found: Iterable[E]) -> Iterator[E]:
        """Those that did not surely come before the cycle began."""
        return (one for one in found if one.latest > self.start and not surely_before(one, self.source))

    def temperatures(self) -> Iterator[tuple[float, float]]:
        """The mean temperature of each day on which it was read; one from shortly before holds for the first day."""
        by_day: dict[float, list[float]] = {}
        for sample in self.scene.usable("temperature"):
            day = math.floor(self.at(sample.reading.earliest)) + 0.5
            if _CELSIUS.low <= sample.middle <= _CELSIUS.high and day > -_WARMTH_DAYS:
                by_day.setdefault(day, []).append(sample.middle)
        if before := [day for day in by_day if day < 0]:
            by_day.setdefault(0.5, by_day[max(before)])
            by_day = {day: values for day, values in by_day.items() if day > 0}
        return ((day, round(sum(values) / len(values), 2)) for day, values in sorted(by_day.items()))

    def tests(self) -> Iterator[ev.Reading | ev.Check]:
        """Every test that may speak, the unreadable ones and those of diluted samples too, in time order."""
        vessel, used = self.scene.vessel, self.first.reading if self.first else None
        readings = (one for analyte in ANALYTES for one in vessel.readings_of(analyte))
        found: list[ev.Reading | ev.Check] = [one for one in readings if reading_id(one) not in self.scene.rejected]
        found += [one for one in vessel.log(ev.Check) if one.method == "dilution" and one.parts and one.value]
        found = [one for one in found if one.earliest >= self.start and one is not used and one.analyte in ANALYTES]
        return iter(sorted(found, key=lambda one: (one.earliest, one.analyte)))

    def reading(self, name: str, test: ev.Reading | ev.Check) -> Reading:
        """One test with the interval of each reader."""
        at, span = self.at(test.earliest), (test.latest - test.earliest).total_seconds() / 86400
        analyte = next(one for one in ANALYTES if one == test.analyte)
        if isinstance(test, ev.Check):
            return Reading(name, at, analyte, test.kit, (_diluted(test),), span)
        kit = test.kit if test.by == "home" else test.by
        return Reading(name, at, analyte, kit, tuple(self.seen(test, value) for value in test.readers), span)

    def seen(self, test: ev.Reading, value: ev.Value) -> tuple[float, float] | None:
        """What one reader saw, the blank of the kit taken off."""
        high = OPEN if value.high is None else value.high
        return _wide(*self.scene.less_blank(test, value.low, high)) if value.readable else None

    def left_out(self) -> Iterator[str]:
        """What the run knows nothing of, in words."""
        unknown = (gift.event for gift in self.given if gift.rise is None)
        for one in dict.fromkeys(unknown):
            yield f"how much nitrogen came with {one.substance} on {_in_words(one)}"
        for water in self.replaced():
            if share_changed(self.scene, water) == (0.0, 1.0):
                yield f"how much water was changed on {_in_words(water)}"
        for fed in self.since(self.scene.vessel.log(ev.Fed)):
            if not fed.stop and (fed.grams is None or self.scene.vessel.volume is None):
                yield f"how much nitrogen came with {fed.food} on {_in_words(fed)}"
        for line in self.since(self.scene.vessel.log(ev.Unread)):
            if _TELLING & set(line.may_name):
                yield f"line {line.source.line} of {line.source.file}, which was not understood"


def _dose(time_: float, rise: Interval) -> Dose:
    """A dose of the middle of a range; an even range has a standard deviation of half its width over root three."""
    middle = _middle(rise)
    spread = (rise.high - rise.low) / 2 / middle / math.sqrt(3) if middle else 0.0
    return Dose(time_, middle, "ammonia", math.hypot(_DOSE_SD, spread))


def _middle(range_: Interval) -> float:
    return (range_.low + range_.high) / 2


def _wide(low: float, high: float) -> tuple[float, float]:
    """An interval wide enough to be one; open upwards is infinity."""
    if high >= OPEN:
        return low, math.inf
    width = _LEAST_WIDTH * max(1.0, 2 * low)
    return (low, high) if high - low >= width else (max(0.0, (low + high - width) / 2), (low + high + width) / 2)


def _diluted(check: ev.Check) -> tuple[float, float] | None:
    """What a diluted sample says of the tank."""
    value = check.value
    if value is None or not value.readable:
        return None
    return _wide(*Interval(value.low, OPEN if value.high is None else value.high).over(check.thinned))


def _in_words(one: ev.Base) -> str:
    return f"{one.day.day} {one.day:%B}" if one.day else "an unknown day"
