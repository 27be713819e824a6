"""The build: openings for sliding panels as they were measured, and what the full tank puts on the floor."""

from __future__ import annotations

from dataclasses import fields
from typing import Annotated, NamedTuple

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Scene
from reefjournal.facts import Fact
from reefjournal.workshop.growth import ACRYLIC, Climate
from reefjournal.workshop.loads import floor_load, water_mass_kg
from reefjournal.workshop.panels import Opening, PanelPlan, Track, sliding_panels
from reefjournal.workshop.volumes import box_volume_l

PLACES: Annotated[int, Believed("takes", "of a side that a panel may be cut from", "common practice")] = 3
CUT_AT: Annotated[
    tuple[float, float], Believed("°C, % humidity", "the workshop in which sheet is cut", "common practice")
] = (21.0, 50.0)
WARMTH: Annotated[tuple[float, float], Believed("°C", "where sheet lives by a tank", "common practice")] = (18.0, 30.0)
DAMP: Annotated[tuple[float, float], Believed("% humidity", "where sheet lives by a tank", "common practice")] = (
    35.0, 80.0,
)  # fmt: skip
ROOM = Climate(*CUT_AT, WARMTH, DAMP)
_DEPTHS = {one.name.replace("_", " "): one.name for one in fields(Track)}
_GROOVES = {"bottom_groove", "top_groove"}


class Measured(NamedTuple):
    """An opening by its name, the records of its sides, and those of its track."""

    name: str
    width: ev.Measure
    height: ev.Measure
    track: dict[str, ev.Measure]


def panels(scene: Scene) -> list[Fact]:
    """One fact an opening whose width and height were measured, the newest takes of each."""
    return [_panels(scene, opening) for opening in _openings(scene.vessel.log(ev.Measure))]


def _openings(log: tuple[ev.Measure, ...]) -> list[Measured]:
    newest = {one.subject.casefold(): one for one in log}
    sides = {name.removesuffix(" width") for name in newest if name.endswith("opening width")}
    return [
        Measured(
            name,
            newest[f"{name} width"],
            newest[f"{name} height"],
            {depth: newest[f"{name} {words}"] for words, depth in _DEPTHS.items() if f"{name} {words}" in newest},
        )
        for name in sorted(sides)
        if f"{name} height" in newest
    ]


def _panels(scene: Scene, opening: Measured) -> Fact:
    takes = min(len(opening.width.takes), len(opening.height.takes))
    return scene.fact(
        "panels",
        [opening.width, opening.height, *opening.track.values()],
        opening=opening.name,
        takes=float(takes),
        age_days=min(map(scene.age_days, (opening.width, opening.height))),
        full_days=_stood_full(scene, opening),
        **(_pair(opening) if takes >= PLACES and opening.track.keys() >= _GROOVES else {}),
    )


def _stood_full(scene: Scene, opening: Measured) -> float:
    """Days that the vessel had stood full when the older side was measured; below 0 where it was dry then."""
    filled = scene.vessel.filled
    measured = max(map(scene.age_days, (opening.width, opening.height)))
    return scene.age_days(filled) - measured if filled else -1.0


def _pair(opening: Measured) -> dict[str, str | float]:
    """An acrylic pair for the opening, or why the measures give none."""
    track = Track(**{depth: min(one.takes) for depth, one in opening.track.items()})
    try:
        plan = sliding_panels(Opening(opening.name, opening.width.takes, opening.height.takes), track, ACRYLIC, ROOM)
    except ValueError as reason:
        return {"fits": "no", "warning": str(reason)}
    return _sizes(plan)


def _sizes(plan: PanelPlan) -> dict[str, str | float]:
    (cut,) = plan.cuts
    return {
        "fits": "no" if plan.warnings else "yes",
        "warning": "; ".join(plan.warnings),
        "width": cut.width,
        "height": cut.height,
        "growth": plan.growth[1],
        "running": plan.running,
        "lift": plan.lift_clearance[1],
        "engagement": plan.engagement,
        "lap": plan.lap[0],
    }


def load_on_floor(scene: Scene) -> list[Fact]:
    """The pressure on the footprint, from the outer size full of sea water.

    That is about the least: glass, rock and sand are heavier than the water in whose place they are, and the stand
    comes on top.
    """
    vessel = scene.vessel
    sized = [one for one in vessel.log(ev.VesselDefined) if one.size is not None]
    if not sized or sized[-1].size is None:
        return []
    length, width, height = sized[-1].size
    try:
        found = floor_load({"water": water_mass_kg(box_volume_l(length, width, height))}, length * width / 1e4)
    except ValueError:  # a pond, or a slip of the pen
        return []
    return [
        scene.fact(
            "floor-load",
            [sized[-1]],
            mass_kg=found.mass_kg,
            kn_m2=found.pressure_kn_m2,
            times_room=found.times_room_load,
        )
    ]
