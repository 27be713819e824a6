"""Quarantine: what is seeded for it, who is watched in it since when, and what lies between it and the display."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from typing import Annotated, NamedTuple

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.disease import batch, courses, fallow_since, illnesses, standing
from reefjournal.evidence.scene import Scene, iso
from reefjournal.facts import UNKNOWN, Fact, Query
from reefjournal.quantities import Interval
from reefjournal.timeline import Vessel, Visible

_CARRIERS = ("foam block", "bio media")
_FOR_QUARANTINE = re.compile(r"\b(?:quarantine|qt|hospital|seed\w*)\b", re.IGNORECASE)
_OUT_OF_QUARANTINE = re.compile(r"\b(?:from|out of) (?:the )?(?:quarantine|qt|hospital)\b", re.IGNORECASE)
_TAKEN_OUT = re.compile(r"\b(?:removed|taken out|out again|none|no)\b", re.IGNORECASE)
_LIME = ("sand", "rockwork")
_USUAL_DAYS: Annotated[
    int, Believed("days", "so soon after an arrival it is usual that an animal does not eat", "common practice")
] = 2
_EATS_DAYS: Annotated[
    int, Believed("days", "an animal that does not eat for longer after its arrival is no usual case", "our judgement")
] = 7
_RECENT_DAYS: Annotated[
    int, Believed("days", "how old a reading, or a thing that crossed over, may be to be spoken of", "our judgement")
] = 14


def foam(scene: Scene) -> list[Fact]:
    """Where a foam lies that is to carry bacteria into quarantine: there already, in the display, or nowhere."""
    if scene.vessel.role not in ("display", "quarantine"):
        return []
    lying = [(place, one) for place in ("quarantine", "display") for one in _carriers(scene, place)]
    if not lying:
        return [scene.fact("foam", place="none", meant="no")]
    place, one = max(lying, key=_first_to_name)
    return [
        scene.fact(
            "foam", [one], place=place, meant="yes" if _meant(one) else "no", day=iso(one.day), words=one.source.text,
            days=scene.age_days(one), laid=-scene.age_days(one),
        )
    ]  # fmt: skip


def _carriers(scene: Scene, role: str) -> list[ev.Gear]:
    tanks = (one for one in scene.state.vessels.values() if one.role == role)
    last = [tank.gear.get(device) for tank in tanks for device in _CARRIERS]
    return [one for one in last if one is not None and one.action in ("on", "added", "set")]


def _first_to_name(found: tuple[str, ev.Gear]) -> tuple[bool, bool, float]:
    """One in quarantine before one in the display, one that is meant for it before another, an old one before a new."""
    place, one = found
    return place == "quarantine", _meant(one), -one.earliest.toordinal()


def _meant(one: ev.Gear) -> bool:
    """Whether the words say that it is for quarantine."""
    return bool(_FOR_QUARANTINE.search(f"{one.setting} {one.remark}"))


def watched(scene: Scene) -> list[Fact]:
    """How long those in quarantine have been watched without anything that starts the days again."""
    found = scene.once(watched_since)
    if found is None:
        return []
    came, (reason, last) = found.came, found.start
    days = scene.days_since(last) if found.counting else Interval(0.0, 0.0)
    return [
        scene.fact(
            "watched", dict.fromkeys([came[0], last, *(one.last for one in found.signs)]), reason=reason,
            words=last.source.text, day=iso(last.day), ill=", ".join(one.sign for one in found.signs),
            counting="yes" if found.counting else "no", low=days.low, high=days.high,
            gap_days=_longest_gap(scene, last.day), looked_days=_looked(scene, came),
            arrived_days=scene.age_days(came[-1]), batches=float(len({one.day for one in came})),
            first_day=iso(came[0].day), last_day=iso(came[-1].day),
        )
    ]  # fmt: skip


class Watch(NamedTuple):
    """Those in quarantine, what last started their days and why, and the signs of illness that can be seen now."""

    came: list[ev.Stock]
    start: tuple[str, ev.Base]
    signs: list[Visible]
    counting: bool


def watched_since(scene: Scene) -> Watch | None:
    """The watch that is kept in a quarantine tank; it does not count while a sign or a medicine goes on."""
    came = batch(scene.vessel, "any").came if scene.vessel.role == "quarantine" else []
    if not came:
        return None
    start = max(_restarts(scene, came), key=lambda found: found[1].latest)
    signs = standing(scene)
    counting = not signs and not any(one.running for one in courses(scene))
    return Watch(came, start, signs, counting)


def days_full(scene: Scene, query: Query) -> Iterator[Fact]:
    """The day on which so many days of watching, or without fish, are full."""
    if query["of"] == "fallow":
        fallow = scene.once(fallow_since)
        start: ev.Base | None = fallow and fallow[1]
    else:
        watch = scene.once(watched_since)
        start = watch.start[1] if watch and watch.counting else None
    if start is None or start.day is None:
        return
    days, gone = float(query["days"]), scene.days_since(start)
    yield scene.fact(
        "days-full", [start], **dict(query.parameters), until=iso(start.day + timedelta(days=days)),
        left_low=days - gone.high, left_high=days - gone.low,
    )  # fmt: skip


def _restarts(scene: Scene, came: list[ev.Stock]) -> Iterator[tuple[str, ev.Base]]:
    """Everything that starts the days again, and why."""
    yield from (("arrival", one) for one in came)
    for spell in illnesses(scene):
        if not _after(came[0], spell.last):
            continue
        if not (spell.sign == "not eating" and spell.gone and _usual(spell.first, spell.gone, came)):
            yield "sign", spell.gone or spell.last
    yield from (("death", one) for one in scene.vessel.log(ev.Stock) if one.action == "lost" and _after(came[0], one))
    yield from (("treatment", one.last) for one in courses(scene) if not one.planned and _after(came[0], one.last))


def _usual(first: ev.Seen, gone: ev.Seen, came: list[ev.Stock]) -> bool:
    """Whether a newcomer did not eat at first, and did within the week."""
    return any(
        0 <= (first.day - one.day).days <= _USUAL_DAYS and (gone.day - one.day).days <= _EATS_DAYS
        for one in came if one.day and first.day and gone.day
    )  # fmt: skip


def _after(first: ev.Base, one: ev.Base) -> bool:
    return one.earliest >= first.earliest


def _seen_days(scene: Scene) -> list[date]:
    return [one.day for one in scene.vessel.log(ev.Seen) if one.day]


def _longest_gap(scene: Scene, since: date | None) -> float:
    """The longest stretch of days, from a day until now, without a word on what was seen."""
    if since is None:
        return UNKNOWN
    days = sorted({since, *(day for day in _seen_days(scene) if day > since), scene.now.date()})
    return float(max(((later - day).days for day, later in pairwise(days)), default=0))


def _looked(scene: Scene, came: list[ev.Stock]) -> float:
    """Days since the last word on what was seen, or since the newest came."""
    days = [*_seen_days(scene), *(one.day for one in came if one.day)]
    return float((scene.now.date() - max(days)).days) if days else UNKNOWN


def lime(scene: Scene) -> list[Fact]:
    """Rock, sand or shell in a quarantine tank, by its last word."""
    if scene.vessel.role != "quarantine":
        return []
    rock = [one for one in scene.vessel.log(ev.Stock) if one.group == "live rock" and one.action == "added"]
    laid = [one for one in scene.vessel.log(ev.Build) if set(_LIME) & set(one.nouns)]
    found: list[ev.Base] = [*rock, *(one for one in laid[-1:] if not _TAKEN_OUT.search(one.text))]
    return [scene.fact("lime", found[-1:], words=found[-1].source.text, day=iso(found[-1].day))] if found else []


def crossing(scene: Scene) -> list[Fact]:
    """How the display's water differs from that of the quarantine tank."""
    display = _first(scene, "display")
    if scene.vessel.role != "quarantine" or display is None:
        return []
    there = Scene(scene.state, display)
    waters = {"here": scene, "there": there}
    asked = [(analyte, at) for analyte in ("salinity", "temperature") for at in waters]
    known = {f"{analyte}_{at}": _newest(waters[at], analyte) for analyte, at in asked}
    return [scene.fact("crossing", [], target=display.name, **known)]


def _newest(scene: Scene, analyte: str) -> float:
    sample = scene.newest(analyte)
    return sample.middle if sample and scene.within(sample.reading, _RECENT_DAYS) else UNKNOWN


def _first(scene: Scene, role: str) -> Vessel | None:
    return next((one for one in scene.state.vessels.values() if one.role == role), None)


def crossed(scene: Scene) -> list[Fact]:
    """What came out of a quarantine tank into this water, animals apart."""
    if scene.vessel.role != "display":
        return []
    tanks = {name for name, one in scene.state.vessels.items() if one.role == "quarantine"}
    waters = (one for one in scene.vessel.log(ev.Water) if one.origin in tanks and not scene.vessel.loses(one))
    things = (one for one in scene.vessel.log(ev.Gear) if _OUT_OF_QUARANTINE.search(one.setting))
    found = [one for one in (*waters, *things) if scene.within(one, _RECENT_DAYS)]
    return [scene.fact("crossed", [one], words=one.source.text, day=iso(one.day)) for one in found[-1:]]
