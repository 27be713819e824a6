"""The work of the build: how each thing stands, what is still to be done before what, level, masses, and drain-down."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Scene, iso
from reefjournal.facts import UNKNOWN, Fact
from reefjournal.timeline import surely_before
from reefjournal.workshop.loads import drain_down
from reefjournal.workshop.volumes import box_volume_l

# The work that a thing of the build belongs to, in the order in which it is done.
WORK = {
    "structure": ("floor", "joists", "stand", "levelling"),
    "tank-in-place": ("tank in place", "gap under the tank", "mat"),
    "plumbing": (
        "bulkhead", "pipework", "drain", "emergency drain", "return", "siphon break", "check valve", "weir",
    ),
    "leak-testing": ("leak test", "leak", "drain-down test"),
    "electrics": ("socket", "RCD", "RCD test", "drip loop", "wiring", "earth"),
    "lifting": ("gas strut", "counterweight", "stop block"),
    "joinery": (
        "hood", "lid", "mesh", "door", "panel", "track", "hinge", "vent", "handle", "edge", "shelf", "light mount",
    ),
}  # fmt: skip
WORK_OF = {thing: work for work, things in WORK.items() for thing in things}
TROUBLES = frozenset({"leak", "gap under the tank", "condensation", "swelling", "snag"})
"""Things that are there when something is wrong, and gone when that is done with."""
FUMES = frozenset({"paint", "sealant", "glue"})
BEFORE_WATER = frozenset({"structure", "tank-in-place", "plumbing", "leak-testing", "electrics"})
BEFORE_FISH = frozenset({"mesh", "lid", "hood"})
ERRAND = re.compile(r"\b(?:order|buy|get|ask|find|choose|measure|plan)\b", re.IGNORECASE)
"""A job that only prepares: ticked, the thing itself is still to come."""
CARRIED_KG: Annotated[float, Believed("kg", "what each of several people carries of a tank", "common practice")] = 20.0

Note = ev.Build | ev.Job


def things(scene: Scene) -> list[Fact]:
    """One fact a thing of the build, by the newest note that names it.

    A ticked job is a note only of what no `build` note names: that a test is off the list does not say how it ended.
    """
    built = _named((one, one.nouns) for one in scene.vessel.log(ev.Build))
    done = _named((one, one.about) for one in scene.vessel.log(ev.Job) if one.done)
    return [
        _thing(
            scene,
            name,
            over=name == "leak" and _dried(built, done),
            first=min((*built.get(name, ()), *done.get(name, ())), key=_when),
            newest=(built.get(name) or done[name])[-1],
        )
        for name in sorted(built.keys() | done.keys())
    ]


def _dried(built: dict[str, list[Note]], done: dict[str, list[Note]]) -> bool:
    """Whether paper under a joint was dry after the newest word on a leak."""
    dry = [*built.get("dry paper", ()), *done.get("dry paper", ())]
    last = (built.get("leak") or done["leak"])[-1]
    return any(surely_before(last, one) and not _absent("dry paper", _state("dry paper", one)) for one in dry)


def _when(note: Note) -> datetime:
    return note.earliest


def _named(notes: Iterable[tuple[Note, tuple[str, ...]]]) -> dict[str, list[Note]]:
    found: dict[str, list[Note]] = {}
    for one, names in notes:
        for name in names:
            found.setdefault(name, []).append(one)
    return found


def _thing(scene: Scene, name: str, first: Note, newest: Note, over: bool) -> Fact:
    state = "done" if over else _state(name, newest)
    return scene.fact(
        "build",
        dict.fromkeys([first, newest]),
        thing=name,
        work=WORK_OF.get(name, ""),
        state=state,
        fumes="yes" if name in FUMES else "no",
        there="no" if _absent(name, state) else "yes",
        words=newest.text,
        day=iso(newest.day),
        days=scene.age_days(newest),
        first_days=scene.age_days(first),
    )


def _state(name: str, note: Note) -> str:
    if isinstance(note, ev.Build):
        return dict(note.standing).get(name, "")
    return "lacking" if ERRAND.search(note.text) else "done"


def _absent(name: str, state: str) -> bool:
    """Whether a thing is not there: never made, not surely, only begun; of a trouble: over and done with."""
    gone = ("lacking", "done", "passed", "skipped") if name in TROUBLES else ("lacking", "begun", "skipped", "unsure")
    return state in gone


def bench(scene: Scene) -> list[Fact]:
    """That the notes speak of the build at all, and whether anything that holds water is up."""
    notes: list[ev.Base] = [*scene.vessel.log(ev.Build), *scene.vessel.log(ev.Measure)]
    notes += [one for one in scene.vessel.log(ev.Job) if one.about]
    if not notes:
        return []
    holds = ("tank-in-place", "plumbing")
    wet = any(fact.properties["work"] in holds and fact.properties["there"] == "yes" for fact in scene.once(things))
    first = min(notes, key=lambda one: one.earliest)
    return [scene.fact("bench", [first], wet_side="yes" if wet else "no", first_days=scene.age_days(first))]


def jobs(scene: Scene) -> list[Fact]:
    """Each open job of the build, and what it must be done before: water, fish, or neither (later)."""
    newest = {one.text.casefold(): one for one in scene.vessel.log(ev.Job) if one.about}
    return [
        scene.fact("build-job", [one], text=one.text, before=_before(one.about), due=iso(one.due))
        for one in newest.values()
        if not one.done and not one.every_days
    ]


def _before(about: tuple[str, ...]) -> str:
    if any(WORK_OF.get(thing) in BEFORE_WATER for thing in about):
        return "water"
    return "fish" if BEFORE_FISH.intersection(about) else "later"


def level(scene: Scene) -> list[Fact]:
    """How far the stand or the water line is out of level, mm, by the newest measure that says so."""
    found = [one for one in scene.vessel.log(ev.Measure) if one.subject.casefold().endswith("out of level")]
    if not found:
        return []
    last = found[-1]
    return [scene.fact("out-of-level", [last], subject=last.subject, mm=max(last.takes), day=iso(last.day))]


def masses(scene: Scene) -> list[Fact]:
    """The newest mass of each thing that was weighed, kg, and how many people lift it."""
    newest = {one.subject.casefold(): one for one in scene.vessel.log(ev.Measure) if one.unit == "g"}
    return [_mass(scene, one) for _, one in sorted(newest.items())]


def _mass(scene: Scene, one: ev.Measure) -> Fact:
    kg = max(one.takes) / 1000
    return scene.fact(
        "mass", [one], subject=one.subject, kg=kg, people=float(math.ceil(kg / CARRIED_KG)),
        age_days=scene.age_days(one),
    )  # fmt: skip


def falls(scene: Scene) -> list[Fact]:
    """What comes down for each centimetre that the display falls, L, and in all where the lowest outlet is measured.

    By the outer size: that is a little more than the inside holds.
    """
    sized = [one for one in scene.vessel.log(ev.VesselDefined) if one.size is not None]
    if not sized or sized[-1].size is None:
        return []
    length, width, _ = sized[-1].size
    outlets = list(_outlets(scene))
    lowest = max((max(one.takes) for one in outlets), default=UNKNOWN)
    try:
        litres = drain_down((length, width), lowest, 0.0, 0.0).litres if outlets else UNKNOWN
        per_cm = box_volume_l(length, width, 1.0)
    except ValueError:  # a pond, or a slip of the pen
        return []
    return [scene.fact("drain-down", [sized[-1], *outlets], per_cm=per_cm, fall_mm=lowest, litres=litres)]


def _outlets(scene: Scene) -> Iterator[ev.Measure]:
    """The newest depths under the surface to which the display can be siphoned."""
    newest = {one.subject.casefold(): one for one in scene.vessel.log(ev.Measure)}
    return (one for name, one in newest.items() if name.endswith(("below surface", "under surface", "below water")))
