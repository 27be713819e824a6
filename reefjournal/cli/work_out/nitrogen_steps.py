"""The nitrogen of the notes: what was there before the first of it was given, and what was given and changed since."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from reefjournal import events as ev
from reefjournal.chemistry.nitrogen import Changed, Given
from reefjournal.evidence.life import ration_between
from reefjournal.evidence.nitrogen import Gift, gifts
from reefjournal.evidence.scene import OPEN, Sample, Scene
from reefjournal.evidence.water import share_changed
from reefjournal.quantities import Interval
from reefjournal.timeline import surely_before

FORMS = ("ammonia", "nitrite", "nitrate")


def first_given(scene: Scene) -> ev.Base | None:
    """The first note that brought nitrogen: a dose of a source, or food."""
    found: list[ev.Base] = [gift.event for gift in gifts(scene)[:1]]
    found += [one for one in scene.vessel.log(ev.Fed) if not one.stop][:1]
    return min(found, key=lambda one: one.earliest, default=None)


def before(scene: Scene, first: ev.Base) -> list[Sample]:
    """The newest reading of each form of nitrogen before the first was given."""
    rows = [[s for s in scene.usable(form) if surely_before(s.reading, first) and s.high < OPEN] for form in FORMS]
    return [row[-1] for row in rows if row]


def changes_since(scene: Scene, first: ev.Base) -> list[ev.Water]:
    """The waters that thinned the nitrogen since the first was given; what is topped up thins nothing."""
    waters = scene.vessel.log(ev.Water)
    return [one for one in waters if one.action in ("changed", "filled") and not surely_before(one, first)]


def unknown(scene: Scene) -> ev.Base | None:
    """A dose of a source, or food, whose nitrogen is not known."""
    doses: list[ev.Base] = [gift.event for gift in gifts(scene) if gift.event.nitrogen is None and gift.rise is None]
    return next(iter(doses + [one for one in scene.vessel.log(ev.Fed) if not one.stop and one.grams is None]), None)


def steps(scene: Scene, first: ev.Base, volume: Interval) -> Iterator[Given | Changed]:
    """What was given, mg N, and changed, in time order; food is spread evenly from one change to the next."""
    start = first.earliest.date()
    doses = list(_dated(scene))
    for change in (*changes_since(scene, first), None):
        end = change.earliest if change else datetime.combine(scene.now.date(), time.max)
        yield from (Given(_mg_n(gift, volume)) for when, gift in doses if when <= end)
        doses = [(when, gift) for when, gift in doses if when > end]
        yield from _food(scene, start, end.date())
        start = end.date() + timedelta(days=1)
        if change:
            yield Changed(share_changed(scene, change))


def _dated(scene: Scene) -> Iterator[tuple[datetime, Gift]]:
    """Each dose and when it was given, a standing one day by day."""
    times: dict[int, int] = {}
    for gift in gifts(scene):
        times[id(gift.event)] = times.get(id(gift.event), -1) + 1
        yield gift.event.earliest + timedelta(days=times[id(gift.event)]), gift


def _mg_n(gift: Gift, volume: Interval) -> tuple[float, float]:
    rise = gift.rise or Interval(0.0, 0.0)
    found = gift.event.nitrogen or rise.over(volume)
    return found.low, found.high


def _food(scene: Scene, first: date, last: date) -> Iterator[Given]:
    if last < first:
        return
    daily = ration_between(scene, first, last)
    if daily is not None:
        days = (last - first).days + 1
        yield Given((daily.low * days, daily.high * days))
