"""Water that moves: from one reading to the next, over weeks, against new water, and what went in meanwhile."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.life import ration_between
from reefjournal.evidence.scene import OPEN, Sample, Scene, iso
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
_HOURS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:h\b|hours?)")
_SHARE = re.compile(r"(\d+(?:[.,]\d+)?)\s*%")


def drift(scene: Scene) -> list[Fact]:
    """For each analyte the newest usable reading against the one before it."""
    pairs = ((analyte, scene.usable(analyte)[-2:]) for analyte in _MOVING)
    return [_drift(scene, analyte, *pair) for analyte, pair in pairs if len(pair) == 2 and _recent(scene, pair[0])]


def _recent(scene: Scene, sample: Sample) -> bool:
    return sample.high < OPEN and scene.within(sample.reading, _LOOK_BACK_DAYS)


def _drift(scene: Scene, analyte: str, first: Sample, last: Sample) -> Fact:
    days = max(1.0, _days(first.reading, last.reading))
    change = round(last.middle - first.middle, 4)
    given = [one for one in _doses(scene, _RAISED_BY.get(analyte, ())) if _between(one, first, last)]
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


def _doses(scene: Scene, wanted: tuple[str, ...]) -> list[ev.Dose]:
    return [one for one in scene.vessel.log(ev.Dose) if set(names_of(one)) & set(wanted)]


def _between(one: ev.Dose, first: Sample, last: Sample) -> bool:
    """Whether a dose may have been given between two readings; a standing one goes on until it is stopped."""
    if surely_before(last.reading, one):
        return False
    return one.every_day or not surely_before(one, first.reading)


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


def dose_pairs(scene: Scene) -> list[Fact]:
    """The alkalinity and the calcium dose of the last days that were given nearest to each other in time."""
    near = [one for one in scene.vessel.log(ev.Dose) if one.at and scene.within(one, _APART_DAYS)]
    pairs = [
        (_minutes(one, other), one, other)
        for one in near
        for other in near
        if one.role == "alkalinity" and other.role == "calcium" and one.day == other.day
    ]
    if not pairs:
        return []
    minutes, one, other = min(pairs, key=lambda pair: pair[0])
    return [scene.fact("dose-pair", [one, other], day=iso(one.day), minutes=minutes, age_days=scene.age_days(one))]


def _minutes(one: ev.Base, other: ev.Base) -> float:
    return abs((one.earliest - other.earliest).total_seconds()) / 60


def novelties(scene: Scene, query: Query) -> Iterator[Fact]:
    """Substances given and devices run for the first time in the last days; nothing where all is as it was."""
    first: dict[str, ev.Base] = {}
    for dose in scene.vessel.log(ev.Dose):
        first.setdefault(dose.substance, dose)
    for gear in scene.vessel.log(ev.Gear):
        if gear.action in ("on", "added"):
            first.setdefault(gear.device, gear)
    fresh = {name: one for name, one in first.items() if scene.within(one, query["days"])}
    if fresh:
        ages = [scene.age_days(one) for one in fresh.values()]
        yield scene.fact(
            "novelties", fresh.values(), **dict(query.parameters), names=", ".join(fresh), count=float(len(fresh)),
            age_days=min(ages), apart_days=max(ages) - min(ages),
        )  # fmt: skip


def light_steps(scene: Scene) -> list[Fact]:
    """The newest setting of the lights against the one before it, where both name hours or per cent."""
    settings = [one for one in scene.vessel.log(ev.Gear) if one.device == "lights" and one.setting]
    if len(settings) < 2:
        return []
    before, last = settings[-2:]
    return [
        scene.fact(
            "light-step",
            [before, last],
            from_setting=before.setting,
            setting=last.setting,
            day=iso(last.day),
            times=round(_times(_HOURS, before, last) * _times(_SHARE, before, last), 4),
            age_days=scene.age_days(last),
        )
    ]


def _times(pattern: re.Pattern[str], before: ev.Gear, last: ev.Gear) -> float:
    """How many times as much; what either setting leaves out is taken as unchanged."""
    was, now = pattern.search(before.setting.lower()), pattern.search(last.setting.lower())
    if was is None or now is None or not float(was[1].replace(",", ".")):
        return 1.0
    return float(now[1].replace(",", ".")) / float(was[1].replace(",", "."))


def evaporation(scene: Scene) -> list[Fact]:
    """Litres a day that were topped up in the last week against those of the four weeks before."""
    waters = scene.vessel.log(ev.Water)
    tops = [one for one in waters if one.action == "topped up" and one.volume is not None and one.day is not None]
    today = scene.now.date()
    now = [one for one in tops if 0 <= (today - _day(one)).days < _APART_DAYS]
    before = [one for one in tops if _APART_DAYS <= (today - _day(one)).days < 5 * _APART_DAYS]
    if not now or not before:
        return []
    days = min(4 * _APART_DAYS, (today - _day(before[0])).days - _APART_DAYS + 1)
    was, now_l = _litres(before) / days, _litres(now) / _APART_DAYS
    return [scene.fact("evaporation", [*before[-3:], *now], a_day=round(now_l, 4), before=round(was, 4),
                       times=round(now_l / was, 4))] if was > 0 else []  # fmt: skip


def _day(one: ev.Base) -> date:
    assert one.day is not None
    return one.day


def _litres(found: Sequence[ev.Water]) -> float:
    return sum((one.volume.low + one.volume.high) / 2 for one in found if one.volume is not None)


def turnover(scene: Scene) -> list[Fact]:
    """How many times an hour the flow that was measured last moves the whole water."""
    flow, volume = scene.newest("flow"), scene.vessel.volume
    if flow is None or volume is None or flow.high >= OPEN:
        return []
    times = round(flow.middle / ((volume.low + volume.high) / 2), 4)
    return [scene.fact("turnover", [flow.reading], written=flow.written, day=flow.day, times=times)]


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


def reservoirs(scene: Scene) -> list[Fact]:
    """The top-up reservoirs, and by how much salinity would fall if a stuck valve let all of one in, g/kg."""
    volume = scene.vessel.volume
    if volume is None:
        return []
    others = (one for name, one in scene.state.vessels.items() if name != scene.vessel.name)
    return [
        scene.fact(
            "reservoir",
            [one.definition],
            name=one.name,
            litres=one.volume.high,
            drop=round(35.0 * one.volume.high / (volume.low + one.volume.high), 4),
        )
        for one in others
        if one.role == "reservoir" and one.volume is not None
    ]
