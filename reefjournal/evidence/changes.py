"""What is done differently: new substances and devices, more light, doses that meet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Scene, iso
from reefjournal.facts import Fact, Query

_PAIR_DAYS: Annotated[int, Believed("days", "how long doses that met are spoken of", "our judgement")] = 7
_HOURS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:h\b|hours?)")
_SHARE = re.compile(r"(\d+(?:[.,]\d+)?)\s*%")


def dose_pairs(scene: Scene) -> list[Fact]:
    """The alkalinity and the calcium dose of the last days that were given nearest to each other in time."""
    near = [one for one in scene.vessel.log(ev.Dose) if one.at and scene.within(one, _PAIR_DAYS)]
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
