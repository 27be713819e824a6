"""Water that moves: from one reading to the next, over weeks, by its food, and against new water."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.life import ration_between
from reefjournal.evidence.scene import OPEN, Sample, Scene
from reefjournal.evidence.sorts import names_of
from reefjournal.evidence.water import changes_between
from reefjournal.facts import UNKNOWN, Fact, Query
from reefjournal.timeline import hours_between, surely_before

_MOVING = ("temperature", "salinity", "pH", "alkalinity", "calcium", "magnesium", "nitrate", "phosphate")
_LOOK_BACK_DAYS: Annotated[
    int, Believed("days", "two readings that lie further back tell nothing of what happens now", "our judgement")
] = 60
_RAISED_BY = {
    "alkalinity": ("alkalinity",),
    "calcium": ("calcium", "limewater", "two-part"),
    "magnesium": ("magnesium",),
    "nitrate": ("nitrate",),
    "phosphate": ("phosphate",),
    "salinity": ("salt",),
    "pH": ("alkalinity",),
}
"""What raises an analyte: roles and names of substances."""
_APART_DAYS: Annotated[int, Believed("days", "the stretch over which a use or a drift is told", "our judgement")] = 7
_NEW_WATER = ("salinity", "temperature", "alkalinity")
_NEW_WATER_DAYS: Annotated[
    int, Believed("days", "how old the newer reading may be that a use is told from", "our judgement")
] = 3


def drift(scene: Scene) -> list[Fact]:
    """For each analyte the newest usable reading against the one before it."""
    pairs = ((analyte, scene.usable(analyte)[-2:]) for analyte in _MOVING)
    return [_drift(scene, analyte, *pair) for analyte, pair in pairs if len(pair) == 2 and _recent(scene, pair[0])]


def _recent(scene: Scene, sample: Sample) -> bool:
    return sample.high < OPEN and scene.within(sample.reading, _LOOK_BACK_DAYS)


def _drift(scene: Scene, analyte: str, first: Sample, last: Sample) -> Fact:
    days = max(1.0, _days(first.reading, last.reading))
    change = round(last.middle - first.middle, 4)
    given = _given(scene, _RAISED_BY.get(analyte, ()), first.reading, last.reading)
    changed = changes_between(scene, first.reading, last.reading)
    return scene.fact(
        "drift",
        dict.fromkeys([first.reading, *given[-3:], *changed[-3:], last.reading]),
        analyte=analyte,
        from_day=first.day,
        from_written=first.written,
        day=last.day,
        written=last.written,
        given="yes" if given else "no",
        changed="yes" if changed else "no",
        change=change,
        surely=round(max(last.low - first.high, first.low - last.high, 0.0), 4),
        days=days,
        a_day=round(change / days, 4),
        used=round(max(0.0, -change / days), 4),
        age_days=scene.age_days(last.reading),
    )


def _days(first: ev.Base, last: ev.Base) -> float:
    """Days between two notes: by their times where both have one, else on the calendar."""
    if first.at is not None and last.at is not None:
        return hours_between(first, last).low / 24
    return float((last.day - first.day).days) if first.day and last.day else UNKNOWN


def _given(scene: Scene, wanted: tuple[str, ...], first: ev.Base, last: ev.Base) -> list[ev.Dose]:
    """The doses of a sort that may have gone in between two notes; a standing one goes on until it is stopped."""
    doses = [one for one in scene.vessel.log(ev.Dose) if set(names_of(one)) & set(wanted)]
    found = []
    for place, one in enumerate(doses):
        later = (other for other in doses[place + 1 :] if other.substance == one.substance)
        end = next((other for other in later if other.stop or other.every_day), None) if one.every_day else one
        over = end is not None and surely_before(end, first)
        if not (one.stop or over or surely_before(last, one)):
            found.append(one)
    return found


def spread(scene: Scene, query: Query) -> Iterator[Fact]:
    """How far apart the readings of an analyte lie in the last days."""
    near = [s for s in scene.usable(str(query["analyte"])) if scene.within(s.reading, query["days"])]
    if len(near) >= 2:
        bottom, top = min(near, key=lambda s: s.middle), max(near, key=lambda s: s.middle)
        yield scene.fact(
            "spread",
            dict.fromkeys([bottom.reading, top.reading, near[-1].reading]),
            **dict(query.parameters),
            lowest=round(bottom.middle, 4),
            highest=round(top.middle, 4),
            spread=round(top.middle - bottom.middle, 4),
            count=float(len(near)),
            span_days=scene.age_days(near[0].reading) - scene.age_days(near[-1].reading),
        )


def new_water(scene: Scene) -> list[Fact]:
    """New salt water that was tested these days against the tank that it is for."""
    bins = {name for name, kind in scene.state.logs if kind == "reading" and name != scene.vessel.name}
    found = []
    for name in sorted(bins):
        mixed = scene.state.vessel(name)
        if mixed.role != "bin" and name != "mixing bin":
            continue
        own = Scene(scene.state, mixed)
        pairs = ((analyte, own.newest(analyte), scene.newest(analyte)) for analyte in _NEW_WATER)
        found += [_apart(scene, name, new, old) for _, new, old in pairs if new and old and _fresh(scene, new, old)]
    return found


def _fresh(scene: Scene, new: Sample, old: Sample) -> bool:
    return scene.within(new.reading, _NEW_WATER_DAYS) and scene.within(old.reading, _APART_DAYS)


def _apart(scene: Scene, name: str, new: Sample, old: Sample) -> Fact:
    apart = round(new.middle - old.middle, 4)
    return scene.fact(
        "new-water", [new.reading, old.reading], name=name, analyte=new.reading.analyte, day=new.day,
        written=new.written, tank_day=old.day, tank_written=old.written, apart=apart, distance=abs(apart),
    )  # fmt: skip


def nitrate_from_food(scene: Scene) -> list[Fact]:
    """The rise of nitrate between its newest two readings against what the food of those days can make, mg/L N."""
    last_two, volume = scene.usable("nitrate")[-2:], scene.vessel.volume
    if len(last_two) < 2 or volume is None or not _recent(scene, last_two[0]):
        return []
    first, last = last_two
    if first.reading.day is None or last.reading.day is None or changes_between(scene, first.reading, last.reading):
        return []
    ration = ration_between(scene, first.reading.day, last.reading.day)
    if ration is None or ration.high <= 0:
        return []
    days = _days(first.reading, last.reading)
    expected = ration.high * days / volume.low
    return [
        scene.fact(
            "nitrate-from-food", [first.reading, last.reading], from_day=first.day, day=last.day,
            rise=round(last.low - first.high, 4), expected=round(expected, 4), days=days,
            times=round(max(0.0, last.low - first.high) / expected, 4), age_days=scene.age_days(last.reading),
        )
    ] if days > 0 else []  # fmt: skip
