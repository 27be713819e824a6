"""What has gone wrong: a power cut, deaths, oxygen that may run short, notes that stopped."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Annotated, NamedTuple

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Scene, iso
from reefjournal.facts import Fact
from reefjournal.timeline import hours_between, hours_since

_MAINS = "power supply"
_OFF = ("off", "removed")
_TOGETHER: Annotated[
    timedelta, Believed("days", "how near deaths lie that belong together", "common practice", "two in 24 hours")
] = timedelta(days=1)
_BODIES = {"many dead": 2.0, "dead animal": 1.0}
"""Signs that speak of bodies, and of how many at least."""
_SCARES = ("gasping", "contaminant", "many dead", "dying animal", "leak", "power cut", "stuck heater")
_FRESH_DAYS: Annotated[
    float, Believed("days", "how long what was seen or measured counts for the night ahead", "common practice")
] = 2.0
_WARM: Annotated[
    float,
    Believed("°C", "above it the water holds little oxygen and everything in it breathes fast", "common practice"),
] = 28.0
_MOVERS = ("return pump", "wavemaker", "pump", "air pump", "skimmer")


class Cut(NamedTuple):
    """A power cut: the notes that tell of its beginning and, where it is over, of its end."""

    begin: ev.Base
    end: ev.Base | None


def outage(scene: Scene) -> list[Fact]:
    """The newest power cut: still on, or over, how long ago it began and how long it took."""
    cut = _newest_cut(scene)
    if cut is None:
        return []
    began = hours_since(cut.begin, scene.now)
    lasted = hours_between(cut.begin, cut.end) if cut.end else began
    return [
        scene.fact(
            "outage",
            [cut.begin, cut.end],
            state="over" if cut.end else "on",
            day=iso(cut.begin.day),
            hours_low=lasted.low,
            hours_high=lasted.high,
            age_days=scene.age_days(cut.end or cut.begin),
        )
    ]


def _newest_cut(scene: Scene) -> Cut | None:
    mains = [one for one in scene.vessel.log(ev.Gear) if one.device == _MAINS]
    seen = [spell for spell in scene.vessel.signs if spell.sign == "power cut"]
    begins: list[ev.Base] = [one for one in mains if one.action in _OFF]
    begins += [spell.first for spell in seen]
    if not begins:
        return None
    begin = max(begins, key=lambda one: (one.earliest, one.source.line))
    ends: list[ev.Base] = [one for one in mains if one.action not in _OFF]
    ends += [spell.gone for spell in seen if spell.gone]
    later = [one for one in ends if (one.earliest, one.source.line) > (begin.earliest, begin.source.line)]
    return Cut(begin, min(later, key=lambda one: one.earliest, default=None))


def deaths(scene: Scene) -> list[Fact]:
    """The newest deaths, those of the day before them included; ``body`` missing where one was not found."""
    lost: list[ev.Base] = [one for one in scene.vessel.log(ev.Stock) if one.action == "lost"]
    found = [one for one in scene.vessel.log(ev.Seen) if one.sign in _BODIES and one.state != "gone"]
    dated = [one for one in (*lost, *found) if one.day is not None]
    last = max((one.day for one in dated if one.day), default=None)
    if last is None:
        return []
    near = [one for one in dated if one.day and last - one.day <= _TOGETHER]
    counts = [float(one.count or 1) for one in near if isinstance(one, ev.Stock)]
    at_least = [_BODIES[one.sign] for one in near if isinstance(one, ev.Seen)]
    missing = all("missing" in one.source.text.casefold() for one in near)
    return [
        scene.fact(
            "deaths",
            near,
            day=iso(last),
            names=", ".join(dict.fromkeys(one.animal for one in near if isinstance(one, ev.Stock))),
            body="missing" if missing else "found",
            count=max([sum(counts), *at_least]),
            a_day=max([sum(counts), *at_least]) / max(1, _away_days(scene, last)),
            age_days=float((scene.now.date() - last).days),
        )
    ]


def _away_days(scene: Scene, last: date) -> int:
    """How many days the keeper was away when deaths were found: any of these may be the day of each."""
    trips = (one for one in scene.vessel.log(ev.Plan) if one.what == "away" and one.first and one.last)
    back = [one for one in trips if one.first and one.last and one.first <= last <= one.last + _TOGETHER]
    return max((min(last, one.last) - one.first).days for one in back if one.first and one.last) if back else 1


def oxygen_risk(scene: Scene) -> list[Fact]:
    """What makes oxygen short by morning, each by its words; nothing where there is none of it."""
    found = dict(_risks(scene))
    if not found:
        return []
    words = ", ".join(found)
    return [scene.fact("oxygen-risk", dict.fromkeys(found.values()), words=words, count=float(len(found)))]


def _risks(scene: Scene) -> Iterator[tuple[str, ev.Base]]:
    for spell in scene.vessel.signs:
        seen = spell.gone is None and scene.within(spell.last, _FRESH_DAYS)
        if seen and spell.sign in ("haze", "surface film", "green water"):
            yield spell.sign, spell.last
    warm = scene.newest("temperature")
    if warm and warm.low > _WARM and scene.within(warm.reading, _FRESH_DAYS):
        yield "warm water", warm.reading
    for device in _MOVERS:
        last = scene.vessel.gear.get(device)
        if last and last.action in _OFF and scene.within(last, _FRESH_DAYS):
            yield f"{device} off", last
    for death in scene.vessel.log(ev.Stock):
        if death.action == "lost" and scene.within(death, _FRESH_DAYS):
            yield "a death", death
    for one in scene.vessel.treatments.values():
        yield "a medicine", one


def scare(scene: Scene) -> list[Fact]:
    """What is an emergency by the newest notes, where something lives or may live."""
    if scene.vessel.life().present == "no":
        return []
    found = {spell.sign: spell.last for spell in scene.vessel.signs if spell.gone is None and spell.sign in _SCARES}
    told: dict[str, ev.Base] = {**found, **_many_lost(scene)}
    if not told:
        return []
    last = max(told.values(), key=lambda one: one.earliest)
    fresh = {words: one for words, one in told.items() if one.day == last.day}
    return [
        scene.fact("scare", fresh.values(), words=", ".join(fresh), day=iso(last.day), age_days=scene.age_days(last))
    ]


def _many_lost(scene: Scene) -> dict[str, ev.Base]:
    """The newest death, where it was one of several."""
    lost = [one for one in scene.vessel.log(ev.Stock) if one.action == "lost" and one.day]
    near = [one for one in lost if one.day and lost[-1].day and lost[-1].day - one.day <= _TOGETHER]
    return {"several deaths": near[-1]} if sum(one.count or 1 for one in near) > 1 else {}


def silence(scene: Scene) -> list[Fact]:
    """How long nothing was noted of this vessel."""
    logs = (log.until(scene.now) for (name, _), log in scene.state.logs.items() if name == scene.vessel.name)
    lasts = [log[-1] for log in logs if log and log[-1].day is not None]
    if not lasts:
        return []
    last = max(lasts, key=lambda one: one.earliest)
    return [scene.fact("silence", [last], day=iso(last.day), days=scene.age_days(last))]
