"""Illness and its consequences: signs on animals, courses of medicine, and water that is left without fish."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Annotated, Literal, NamedTuple

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Scene, iso
from reefjournal.facts import UNKNOWN, Fact
from reefjournal.timeline import Vessel, Visible, surely_before

SIGNS = {
    "white spots on fish": "spots", "dust on fish": "dust", "rubbing": "other", "listless": "other", "sores": "other",
    "not eating": "appetite", "gasping": "breath",
}  # fmt: skip
"""The signs of illness, and the sort of each."""
_OF = {"any": ("fish", "invertebrate", "coral", "unknown"), "fish": ("fish", "unknown")}
_PARASITES = ("spots", "dust")
_ABSORBERS = ("carbon reactor", "phosphate reactor", "skimmer", "UV", "ozone")
_NOT_DISSOLVED = ("low salinity", "freshwater dip", "tank transfer")
_MEDICINES = ("copper", "formalin", "praziquantel", "metronidazole", "chloroquine", "methylene blue", "antibiotic")
_VET = re.compile(r"\b(?:vet|vets|veterinar\w+)\b", re.IGNORECASE)
_FALLOW = re.compile(r"\bfallow\b", re.IGNORECASE)
_TESTED = re.compile(r"\b(?:tests?|testing|kits?)\b", re.IGNORECASE)
_VET_DAYS: Annotated[
    int, Believed("days", "how long before a course a word with the vet may lie to be about it", "our judgement")
] = 14
_GIVEN_DAYS: Annotated[
    int,
    Believed("days", "how long a medicine that was dosed, and not written as a course, counts as one", "our judgement"),
] = 14
_DECLARED_DAYS: Annotated[
    int, Believed("days", "how long before the fish left a word on a fallow time may be about it", "our judgement")
] = 7
_LEAD_UP_DAYS: Annotated[
    int,
    Believed(
        "days", "how long before the fish left a sign or a medicine speaks of what they left behind",
        "our judgement",
    ),
] = 60  # fmt: skip


class Batch(NamedTuple):
    """The animals of a group that are there: the records by which they came; with none, the one by which all left."""

    came: list[ev.Stock]
    left: ev.Stock | None


def comes(vessel: Vessel, one: ev.Stock) -> bool:
    """Whether a record brings something alive into the vessel."""
    return one.action in ("added", "born") or (one.action == "moved" and not vessel.loses(one))


def batch(vessel: Vessel, group: Literal["any", "fish"]) -> Batch:
    """Who came since the vessel was last without any of a group, as far as counts tell."""
    came: list[ev.Stock] = []
    left, there = None, 0.0
    for one in vessel.log(ev.Stock):
        if one.action == "none":
            kept = [c for c in came if one.animal and one.animal not in (c.animal, c.group)]
        elif one.group not in _OF[group]:
            continue
        elif comes(vessel, one):
            came, there = [*came, one], there + (one.count or 1)
            continue
        else:
            there -= there if one.count is None else one.count
            kept = came if there > 0 else []
        if came and not kept:
            left = one
        came, there = kept, max(0.0, there) if kept == came else float(sum(c.count or 1 for c in kept))
    return Batch(came, None if came else left)


def illnesses(scene: Scene) -> list[Visible]:
    """Every spell of a sign of illness; one that is written as gone, or after which all was well, has ended."""
    well = [one for one in scene.vessel.log(ev.Seen) if one.sign == "all well" and one.state != "gone"]
    spells = (spell for spell in scene.vessel.signs if spell.sign in SIGNS)
    return [spell._replace(gone=spell.gone or _well_after(well, spell.last)) for spell in spells]


def _well_after(well: list[ev.Seen], last: ev.Seen) -> ev.Seen | None:
    return next((one for one in well if one.day and last.day and one.day > last.day), None)


def standing(scene: Scene) -> list[Visible]:
    """The signs of illness that can be seen now; those of fish that have all left since went with them."""
    left = batch(scene.vessel, "fish").left
    spells = (spell for spell in illnesses(scene) if spell.gone is None)
    return [spell for spell in spells if left is None or spell.last.latest > left.latest]


def illness(scene: Scene) -> list[Fact]:
    """One fact for each sign of illness that can be seen now."""
    return [
        scene.fact(
            "illness", dict.fromkeys([spell.first, spell.last]), name=spell.sign, sort=SIGNS[spell.sign],
            parasite="yes" if SIGNS[spell.sign] in _PARASITES else "no",
            day=iso(spell.first.day), words=spell.last.source.text, days=scene.age_days(spell.first),
        )
        for spell in standing(scene)
    ]  # fmt: skip


class Course(NamedTuple):
    """A medicine in the water: the record by which it began, the newest one, and whether it is in or only planned.

    One that is ``lasting`` runs until its stop is written; what was only dosed runs out by itself.
    """

    substance: str
    first: ev.Base
    last: ev.Base
    running: bool
    planned: bool = False
    target: str = ""
    lasting: bool = False


def courses(scene: Scene) -> list[Course]:
    """The newest course of each medicine, doses of it included, and those that are planned."""
    written: dict[str, Course] = {}
    for one in _given(scene):
        before = written.get(one.substance)
        begun = before if before and _runs(before, one.earliest.date()) else None
        stop = one.action == "stop" if isinstance(one, ev.Treat) else one.stop
        stands = isinstance(one, ev.Treat) or one.every_day or (begun is not None and begun.lasting)
        target = (one.target if isinstance(one, ev.Treat) else "") or (begun.target if begun else "")
        written[one.substance] = Course(
            one.substance, begun.first if begun else one, one, running=not stop, target=target, lasting=stands
        )
    today = scene.now.date()
    return [*(one._replace(running=_runs(one, today)) for one in written.values()), *_intended(scene, written)]


def _given(scene: Scene) -> list[ev.Treat | ev.Dose]:
    """Every record of a medicine that went in or ended, in time order."""
    doses = (one for one in scene.vessel.log(ev.Dose) if one.role == "medicine")
    return sorted([*scene.vessel.log(ev.Treat), *doses], key=lambda one: (one.earliest, one.source.line))


def _runs(course: Course, day: date) -> bool:
    """Whether a course goes on, on a day after its newest record."""
    return course.running and (course.lasting or (day - course.last.earliest.date()).days <= _GIVEN_DAYS)


def _intended(scene: Scene, written: dict[str, Course]) -> Iterator[Course]:
    for one in scene.vessel.log(ev.Plan):
        named = [name for name in _MEDICINES if name in one.text.casefold()]
        past = one.first is not None and one.first < scene.now.date()
        if one.what == "other" and named and named[0] not in written and not past and not _TESTED.search(one.text):
            yield Course(named[0], one, one, running=False, planned=True)


def course(scene: Scene) -> list[Fact]:
    """Each medicine that is in the water, is planned, or was."""
    on = {name for name, one in scene.vessel.gear.items() if one.action not in ("off", "removed")}
    absorbers = [name for name in _ABSORBERS if name in on]
    return [
        scene.fact(
            "course", dict.fromkeys([one.first, one.last]), substance=one.substance, day=iso(one.first.day),
            state="running" if one.running else "planned" if one.planned else "ended", target=one.target,
            vet="yes" if _vet_said(scene, one) else "no", words=one.first.source.text,
            absorbers="" if one.substance in _NOT_DISSOLVED else ", ".join(absorbers),
            invertebrates=_invertebrates(scene.vessel),
            days=scene.age_days(one.first), last_days=scene.age_days(one.last),
        )
        for one in courses(scene)
    ]  # fmt: skip


def _invertebrates(vessel: Vessel) -> str:
    """Whether an invertebrate or coral may live there; "named" where prose alone names one."""
    lives = [life for life in map(vessel.life, ("invertebrate", "coral")) if life.present != "no"]
    if not lives:
        return "no"
    return "named" if all(isinstance(one, ev.Mention) for life in lives for one in life.events) else "yes"


def _vet_said(scene: Scene, one: Course) -> bool:
    """Whether the notes name a vet: in the course itself, or in a job that was done not long before it or since."""
    jobs = (job for job in scene.state.everywhere(ev.Job) if job.done and _VET.search(f"{job.text} {job.remark}"))
    since = one.first.earliest - timedelta(days=_VET_DAYS)
    own = (found for found in scene.vessel.log(ev.Treat) if found.earliest >= one.first.earliest)
    said = any(_VET.search(found.source.text) for found in (one.first, *own))
    return said or any(job.latest >= since for job in jobs)


def fallow(scene: Scene) -> list[Fact]:
    """How long the vessel has been without fish after there were some, and whether an illness calls for it."""
    found = scene.once(fallow_since)
    if found is None:
        return [scene.fact("fallow", called="no", cleaned="no")]
    left, start, cause = found
    waited = scene.days_since(start)
    return [
        scene.fact(
            "fallow", dict.fromkeys([left, start]), called="yes", cause=cause, day=iso(start.day),
            words=start.source.text, fish=_fish(scene.vessel), cleaned=_cleaned(scene, left), low=waited.low,
            high=waited.high, left_days=scene.age_days(left), coldest=_coldest(scene, start),
        )
    ]  # fmt: skip


def fallow_since(scene: Scene) -> tuple[ev.Stock, ev.Base, str] | None:
    """The record by which the last fish left, the one from which the days count, and the cause, where there is one."""
    left = batch(scene.vessel, "fish").left
    cause = _cause(scene, left) if left else ""
    if left is None or not cause:
        return None
    return left, max([left, *_hosts_after(scene, left)], key=lambda one: one.latest), cause


def _cause(scene: Scene, left: ev.Base) -> str:
    """What calls for a time without fish: a sign or medicine before they left, or the keeper's own word."""
    signs = [s.sign for s in illnesses(scene) if SIGNS[s.sign] in _PARASITES and _led_up(s.last, left)]
    taken = [one.substance for one in courses(scene) if not one.planned and _led_up(one.last, left)]
    since = left.earliest - timedelta(days=_DECLARED_DAYS)
    declared = any(one.earliest >= since and _FALLOW.search(one.text) for one in scene.vessel.log(ev.Plan))
    said = ["the keeper's word"] if declared else []
    return ", ".join(dict.fromkeys([*signs, *taken, *said]))


def _led_up(one: ev.Base, left: ev.Base) -> bool:
    return left.earliest - timedelta(days=_LEAD_UP_DAYS) <= one.earliest <= left.latest


def _hosts_after(scene: Scene, left: ev.Base) -> list[ev.Base]:
    """What came in later out of other water, and may have brought a parasite along."""
    stock = [one for one in scene.vessel.log(ev.Stock) if one.action != "none" and comes(scene.vessel, one)]
    tanks = {name for name, one in scene.state.vessels.items() if one.role in ("display", "quarantine")}
    water = [one for one in scene.vessel.log(ev.Water) if one.origin in tanks and not scene.vessel.loses(one)]
    return [one for one in (*stock, *water) if one.earliest > left.earliest]


def _coldest(scene: Scene, start: ev.Base) -> float:
    """The low end of the coldest reading since then."""
    lows = [s.low for s in scene.usable("temperature") if s.reading.latest >= start.earliest]
    return min(lows, default=UNKNOWN)


def _fish(vessel: Vessel) -> str:
    """No fish only by a written count that is newer than every word of one."""
    none = [one for one in vessel.log(ev.Stock) if one.action == "none" and one.animal in ("", "fish")]
    life = vessel.life("fish")
    said_before = none and all(isinstance(one, ev.Mention) and surely_before(one, none[-1]) for one in life.events)
    return "no" if none and (life.present == "no" or said_before) else "maybe"


def _cleaned(scene: Scene, left: ev.Base) -> str:
    """Whether it is written that the vessel was disinfected and dried since."""
    nouns = {noun for one in scene.vessel.log(ev.Build) if one.earliest >= left.earliest for noun in one.nouns}
    return "yes" if "drying" in nouns and nouns & {"disinfection", "strong cleaner"} else "no"
