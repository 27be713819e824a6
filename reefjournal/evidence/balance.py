"""The nitrogen that was given held against what is found of it: is all that went in accounted for?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.chemistry.nitrogen import Changed, Given, expected_nitrogen
from reefjournal.evidence.life import ration_between
from reefjournal.evidence.nitrogen import Gift, gifts
from reefjournal.evidence.scene import OPEN, Sample, Scene
from reefjournal.evidence.water import share_changed
from reefjournal.facts import Fact
from reefjournal.quantities import Interval
from reefjournal.timeline import surely_before

FORMS = ("ammonia", "nitrite", "nitrate")
_START_DAYS: Annotated[
    int,
    Believed(
        "days", "how long after the first nitrogen a balance is struck: later, algae and rock have taken much",
        "common practice",
    ),
] = 120  # fmt: skip
_TOGETHER_DAYS: Annotated[
    int, Believed("days", "how far apart tests of the forms of nitrogen may lie and be added up", "common practice")
] = 3


def first_given(scene: Scene) -> ev.Base | None:
    """The first note that brought nitrogen: a dose of a source, or food."""
    found: list[ev.Base] = [gift.event for gift in scene.once(gifts)[:1]]
    found += [one for one in scene.vessel.log(ev.Fed) if not one.stop][:1]
    return min(found, key=lambda one: one.earliest, default=None)


def before(scene: Scene, first: ev.Base) -> list[Sample]:
    """The newest reading of each form of nitrogen before the first was given."""
    rows = [[s for s in scene.usable(form) if surely_before(s.reading, first) and s.high < OPEN] for form in FORMS]
    return [row[-1] for row in rows if row]


def unknown(scene: Scene) -> ev.Base | None:
    """A dose of a source, or food, whose nitrogen is not known."""
    doses: list[ev.Base] = [gift.event for gift in scene.once(gifts) if not gift.event.nitrogen and not gift.rise]
    return next(iter(doses + [one for one in scene.vessel.log(ev.Fed) if not one.stop and one.grams is None]), None)


def changes_since(scene: Scene, first: ev.Base, last: ev.Base | None = None) -> list[ev.Water]:
    """The waters that thinned the nitrogen from first to last; what is topped up thins nothing."""
    waters = [one for one in scene.vessel.log(ev.Water) if one.action in ("changed", "filled")]
    return [one for one in waters if not surely_before(one, first) and not (last and surely_before(last, one))]


def steps(scene: Scene, first: ev.Base, volume: Interval, last: ev.Base | None = None) -> Iterator[Given | Changed]:
    """What was given, mg N, and changed, in time order, up to ``last`` where there is one.

    Food is spread evenly over the days from one change to the next.
    """
    start = first.earliest.date()
    doses: tuple[Gift, ...] = scene.once(gifts)
    for end in (*changes_since(scene, first, last), last):
        yield from (Given(_mg_n(gift, volume)) for gift in doses if _by(gift, end))
        doses = tuple(gift for gift in doses if not _by(gift, end))
        day = end.earliest.date() if end else scene.now.date()
        yield from _food(scene, start, day)
        start = day + timedelta(days=1)
        if isinstance(end, ev.Water):
            yield Changed(share_changed(scene, end))


def _by(gift: Gift, end: ev.Base | None) -> bool:
    """Whether a dose was given by a note: on one day the order of the notes decides."""
    if end is None or gift.event.earliest.date() < end.earliest.date():
        return True
    return gift.event.day == end.day and not surely_before(end, gift.event)


def _mg_n(gift: Gift, volume: Interval) -> tuple[float, float]:
    found = gift.event.nitrogen or (gift.rise or Interval(0.0, 0.0)).over(volume)
    return found.low, found.high


def _food(scene: Scene, first: date, last: date) -> Iterator[Given]:
    daily = ration_between(scene, first, last) if first <= last else None
    if daily is not None:
        days = (last - first).days + 1
        yield Given((daily.low * days, daily.high * days))


def balance(scene: Scene) -> list[Fact]:
    """Nitrogen found as share of the nitrogen that should be there, at the newest nitrate test that can be read."""
    volume, nitrate = scene.vessel.volume, scene.newest("nitrate")
    if volume is None or nitrate is None or nitrate.high >= OPEN:
        return []
    first = first_given(scene)
    if first is None or scene.age_days(first) > _START_DAYS or not surely_before(first, nitrate.reading):
        return []
    beside = _beside(scene, nitrate)
    return [] if beside is None or unknown(scene) else _balance(scene, first, volume, [*beside, nitrate])


def _beside(scene: Scene, nitrate: Sample) -> list[Sample] | None:
    """Ammonia, and nitrite below detection, tested close to the nitrate; ``None`` where they were not."""
    near = {form: [s for s in scene.usable(form) if _together(s, nitrate)] for form in ("ammonia", "nitrite")}
    if not all(near.values()) or any(s.rank > 0 for s in near["nitrite"]):
        return None
    newest = [samples[-1] for samples in near.values()]
    return newest if all(s.high < OPEN for s in newest) else None


def _together(one: Sample, nitrate: Sample) -> bool:
    return abs((one.reading.earliest.date() - nitrate.reading.earliest.date()).days) <= _TOGETHER_DAYS


def _balance(scene: Scene, first: ev.Base, volume: Interval, found: list[Sample]) -> list[Fact]:
    last = found[-1].reading
    earlier = before(scene, first)
    start = (sum(s.low for s in earlier), sum(s.high for s in earlier))
    low, high = expected_nitrogen(steps(scene, first, volume, last), volume, start)
    if low <= 0:  # a change of unknown size may have taken all of it
        return []
    least, most = sum(s.low for s in found), sum(s.high for s in found)
    changes = changes_since(scene, first, last)
    return [
        scene.fact(
            "balance",
            [*(s.reading for s in earlier), first, *changes[-4:], *(s.reading for s in found)],
            day=found[-1].day,
            written=found[-1].written,
            first_day=first.earliest.date().isoformat(),
            age_days=scene.age_days(last),
            changes=float(len(changes)),
            expected_low=low,
            expected_high=high,
            found_low=least,
            found_high=most,
            share_low=least / high,
            share=math.sqrt(least / high * most / low),  # the steps of a card widen as they rise
            share_high=most / low,
        )
    ]
