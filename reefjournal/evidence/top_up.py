"""Water that evaporates and is topped up, the store that it comes from, and the return that moves it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import OPEN, Scene
from reefjournal.facts import Fact

_WEEK = 7
_WEEKS_BEFORE: Annotated[int, Believed("weeks", "what a week of topping up is held against", "our judgement")] = 4
_SALINITY: Annotated[
    float, Believed("g/kg", "salinity of the tank that a store of pure water would run into", "common practice")
] = 35.0


def evaporation(scene: Scene) -> list[Fact]:
    """Litres a day that were topped up in the last week against those of the four weeks before."""
    waters = scene.vessel.log(ev.Water)
    tops = [one for one in waters if one.action == "topped up" and one.volume is not None and one.day is not None]
    today = scene.now.date()
    now = [one for one in tops if 0 <= (today - _day(one)).days < _WEEK]
    before = [one for one in tops if _WEEK <= (today - _day(one)).days < (1 + _WEEKS_BEFORE) * _WEEK]
    if not now or not before:
        return []
    days = min(_WEEKS_BEFORE * _WEEK, (today - _day(before[0])).days - _WEEK + 1)
    was, now_l = _litres(before) / days, _litres(now) / _WEEK
    return [scene.fact("evaporation", [*before[-3:], *now], a_day=round(now_l, 4), before=round(was, 4),
                       times=round(now_l / was, 4))] if was > 0 else []  # fmt: skip


def _day(one: ev.Base) -> date:
    assert one.day is not None
    return one.day


def _litres(found: Sequence[ev.Water]) -> float:
    return sum((one.volume.low + one.volume.high) / 2 for one in found if one.volume is not None)


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
            drop=round(_SALINITY * one.volume.high / (volume.low + one.volume.high), 4),
        )
        for one in others
        if one.role == "reservoir" and one.volume is not None
    ]


def turnover(scene: Scene) -> list[Fact]:
    """How many times an hour the flow that was measured last moves the whole water."""
    flow, volume = scene.newest("flow"), scene.vessel.volume
    if flow is None or volume is None or flow.high >= OPEN:
        return []
    times = round(flow.middle / ((volume.low + volume.high) / 2), 4)
    return [scene.fact("turnover", [flow.reading], written=flow.written, day=flow.day, times=times)]
