"""The vessel as a body of water: is it wet, how large, how much of it was changed, how much free ammonia."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from datetime import datetime, time
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.nitrogen import SOURCES, gifts
from reefjournal.evidence.scene import OPEN, Sample, Scene, iso
from reefjournal.facts import UNKNOWN, Fact
from reefjournal.quantities import Interval
from reefjournal.timeline import surely_before

_WATER_DAYS: Annotated[int, Believed("days", "how long a test of new water is spoken of", "our judgement")] = 30
_PURE = ("ro", "top-up")
"""Sample points of water that is meant to hold nothing."""
_ROTTING = ("ammonia", "nitrite")
"""What rock that cures gives off."""
_ROCK = re.compile(r"rock|curing", re.IGNORECASE)
_SALTED: Annotated[float, Believed("g/kg", "salinity above which water counts as salted", "our judgement")] = 10.0


def share_changed(scene: Scene, water: ev.Water) -> Interval:
    """The fraction of the water that one change replaced; from 0 to 1 where neither share nor volume is known.

    Of what was moved out nobody wrote what took its place, so that it may have replaced nothing.
    """
    moved = water.action == "moved"
    if water.share is not None and not moved:
        return water.share
    volume = scene.vessel.volume or scene.vessel.outer_volume
    if water.volume is None or volume is None:
        return Interval(0.0, 1.0)
    low = 0.0 if moved and scene.vessel.loses(water) else min(1.0, water.volume.low / volume.high)
    return Interval(low, min(1.0, water.volume.high / volume.low))


def kept_by_changes(scene: Scene, changes: Iterable[ev.Water]) -> Interval:
    """The fraction of a dissolved substance that is left after some changes, drained first and then refilled."""
    low = high = 1.0
    for one in changes:
        share = share_changed(scene, one)
        low, high = low * (1 - share.high), high * (1 - share.low)
    return Interval(low, high)


def changes_between(scene: Scene, first: ev.Base, last: ev.Base) -> list[ev.Water]:
    """The water changes that may lie between two notes."""
    changes, moments = scene.once(_changes)
    near = changes[bisect_left(moments, day_of(first)) : bisect_right(moments, last.latest)]
    return [one for one in near if not surely_before(one, first) and not surely_before(last, one)]


def _changes(scene: Scene) -> tuple[list[ev.Water], list[datetime]]:
    found = [one for one in scene.vessel.log(ev.Water) if _thins(one)]
    return found, [one.earliest for one in found]


def _thins(water: ev.Water) -> bool:
    """Whether other water may have taken the place of the vessel's own; pure water only makes up for what dried up."""
    salty = water.salt is not None or (water.salinity is not None and water.salinity.high > 0)
    return water.action in ("changed", "drained", "filled", "moved") or (water.action == "topped up" and salty)


def day_of(event: ev.Base) -> datetime:
    """The beginning of the day of a note: what was noted that day without a time may be as early."""
    return datetime.combine(event.earliest.date(), time.min)


def system(scene: Scene) -> list[Fact]:
    """What the vessel is and whether there is salt water in it."""
    vessel = scene.vessel
    volume = vessel.volume or vessel.outer_volume
    filled, given = vessel.filled, [one for one in scene.once(gifts) if scene.vessel.of_this_fill(one.event)]
    animals = [one for one in vessel.log(ev.Stock) if one.group == "live rock" and one.action != "none"]
    return [
        scene.fact(
            "system",
            [vessel.definition, filled],
            role=vessel.role,
            water="dry" if filled is None else "filled" if _salted(scene) else "fresh",
            volume_known="yes" if vessel.volume else "no",
            volume_low=volume.low if volume else UNKNOWN,
            volume_high=volume.high if volume else UNKNOWN,
            filled_days=scene.age_days(filled) if filled else UNKNOWN,
            source="yes" if given or _tissue(scene) else "no",
            source_days=scene.age_days(given[0].event) if given else UNKNOWN,
            source_day=iso(given[0].event.day) if given else "",
            live_rock="yes" if animals else "no",
            used="yes" if _salted(scene) else "no",
        )
    ]


def _salted(scene: Scene) -> bool:
    """Whether anything in the notes shows that the water is salt; a cycle that runs in it does."""
    waters = scene.vessel.log(ev.Water)
    salted = any(w.salt is not None or (w.salinity is not None and w.salinity.high > _SALTED) for w in waters)
    if salted or scene.once(gifts) or any(one.action != "none" for one in scene.vessel.log(ev.Stock)):
        return True
    return any(s.high > _SALTED or s.reading.unit == "SG" for s in scene.usable("salinity"))


def _tissue(scene: Scene) -> bool:
    return any(one.role in SOURCES and scene.vessel.of_this_fill(one) for one in scene.vessel.log(ev.Dose))


def levels(scene: Scene) -> list[Fact]:
    """The newest usable reading of each analyte."""
    newest = [sample for analyte in scene.vessel.analytes if (sample := scene.newest(analyte))]
    return [
        scene.fact(
            "level", [s.reading], analyte=s.reading.analyte, day=s.day, written=s.written, low=s.low, high=s.high,
            middle=s.middle, rank=float(s.rank), age_days=scene.age_days(s.reading),
        )
        for s in newest
    ]  # fmt: skip


def dilution(scene: Scene) -> list[Fact]:
    """How much of the newest fall of ammonia and nitrite is explained by water changes."""
    return [fact for analyte in ("ammonia", "nitrite") for fact in _dilution(scene, analyte)]


def _dilution(scene: Scene, analyte: str) -> list[Fact]:
    samples = scene.sampled(analyte, at_most=True)
    if len(samples) < 2:
        return []
    start, end = _newest_fall(samples)
    changes = changes_between(scene, start.reading, end.reading)
    fall = start.middle - end.middle
    if not changes or fall <= 0:
        return []
    kept = kept_by_changes(scene, changes)
    explained = start.middle * (1 - (kept.low + kept.high) / 2) / fall
    return [
        scene.fact(
            "dilution",
            [start.reading, *changes, end.reading],
            analyte=analyte,
            from_day=start.day,
            from_written=start.written,
            day=end.day,
            written=end.written,
            age_days=scene.age_days(end.reading),
            share_of_fall=min(explained, OPEN),
            changed_share=1 - (kept.low + kept.high) / 2,
        )
    ]


def _newest_fall(samples: tuple[Sample, ...]) -> tuple[Sample, Sample]:
    """From the reading from which the newest one came down to the first that was as low as that.

    What lies before goes back while readings do not fall; what was done once it was down can't have brought it down.
    """
    last, start, end = samples[-1], samples[-2], samples[-1]
    for one in reversed(samples[:-1]):
        if one.middle < start.middle:
            break
        if one.middle <= last.middle or one.rank == last.rank == 0:
            end = one
        start = one
    return start, end


def gear(scene: Scene) -> list[Fact]:
    """What is on and what is off."""
    return [
        scene.fact(
            "gear",
            [one],
            device=device,
            state="off" if one.action in ("off", "removed") else "on",
            setting=one.setting,
            day=iso(one.day),
            days=scene.age_days(one),
        )
        for device, one in sorted(scene.vessel.gear.items())
    ]


def vessels(scene: Scene) -> list[Fact]:
    """The other waters of the journal."""
    return [
        scene.fact("vessel", [other.definition], name=name, role=other.role)
        for name, other in scene.state.vessels.items()
        if name != scene.vessel.name
    ]


def source_waters(scene: Scene) -> list[Fact]:
    """What the newest tests of other waters showed: tap, mixing bin, top-up; not what rots in a bin of rock."""
    found = []
    for name, other in _others(scene).items():
        for analyte in other.vessel.analytes:
            samples = [s for s in other.usable(analyte) if scene.within(s.reading, _WATER_DAYS)]
            if samples and not (analyte in _ROTTING and _holds_rock(name, other)):
                last = samples[-1]
                age = scene.age_days(last.reading)
                found.append(
                    scene.fact(
                        "source-water", [last.reading], name=name, analyte=analyte, day=last.day, written=last.written,
                        low=last.low, high=last.high, rank=float(last.rank), age_days=age,
                        pure="yes" if other.vessel.role == "reservoir" or name in _PURE else "no",
                    )
                )  # fmt: skip
    return found


def _holds_rock(name: str, bin_: Scene) -> bool:
    """Whether rock lies in a bin, or something lives there: then its ammonia is none of new water."""
    return bool(_ROCK.search(name)) or any(one.action != "none" for one in bin_.vessel.log(ev.Stock))


def _others(scene: Scene) -> dict[str, Scene]:
    names = sorted({name for name, kind in scene.state.logs if kind == "reading" and name != scene.vessel.name})
    waters = {name: scene.state.vessel(name) for name in names}
    return {name: Scene(scene.state, one) for name, one in waters.items() if one.role not in ("display", "quarantine")}
