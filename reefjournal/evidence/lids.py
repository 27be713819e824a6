"""Lids as they were weighed and measured: what the struts must give, and what those that are fitted do."""

from __future__ import annotations

import re
from typing import Annotated, NamedTuple

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Scene
from reefjournal.facts import Fact
from reefjournal.workshop.lids import Lid, Mount, Strut, Swing, strut_needed, swing

ROOM: Annotated[
    tuple[float, float], Believed("degrees C", "the cold and the warmth that struts must bear", "common practice")
] = (15.0, 30.0)
OPENED: Annotated[float, Believed("degrees", "how far a lid opens, if not written", "common practice")] = 80.0
NAMES = ("lid", "hood", "canopy", "cover")
# A plain sheet balances half way: taken where no centre of gravity was measured, and said so.
HALF: Annotated[
    float,
    Believed(
        "of the lid", "where a plain sheet balances, taken where no centre of gravity was measured",
        "common practice",
    ),
] = 0.5  # fmt: skip
STRUTS = re.compile(r"(?P<number>\d)\s*(?:of|x|times)\s*(?P<newton>\d+(?:\.\d+)?)\s*n\b", re.IGNORECASE)
MASS, DEPTH, GRAVITY = "mass", "depth", "centre of gravity"
# The points of a strut by what follows the name of the measure, and which way they count.
ALONG = {"lid mount": 1}
UNDER = {"lid mount below lid": 1, "lid mount above lid": -1}
ACROSS = {"frame mount in front of hinge": 1, "frame mount behind hinge": -1}
UP = {"frame mount above hinge": 1, "frame mount below hinge": -1}


class Weighed(NamedTuple):
    """A lid by its name, as in `workshop.lids`, with its measures by what they are; ``mount`` where no point misses."""

    name: str
    lid: Lid
    mount: Mount | None
    measures: dict[str, ev.Measure]

    @property
    def assumed(self) -> str:
        """What was not measured and is taken as usual."""
        return "" if GRAVITY in self.measures else "half the depth, as in a plain sheet"


class Fitted(NamedTuple):
    """The struts that are on, as they were written."""

    number: int
    newton: float
    gear: ev.Gear


def weighed(scene: Scene) -> list[Weighed]:
    """Every lid whose mass and depth were written down."""
    newest = {one.subject.casefold(): one for one in scene.vessel.log(ev.Measure)}
    masses = {name.rpartition(" ")[0]: one for name, one in newest.items() if one.unit == "g"}
    lids = [name for name in masses if name.endswith(NAMES) and f"{name} {DEPTH}" in newest]
    return [_weighed(name, masses[name], newest, alone=len(lids) == 1) for name in sorted(lids)]


def _weighed(name: str, mass: ev.Measure, newest: dict[str, ev.Measure], *, alone: bool) -> Weighed:
    own = {rest: newest.get(f"{name} {rest}") for rest in (DEPTH, GRAVITY)}
    points = _points(name, newest, alone=alone)
    measures = {MASS: mass} | {rest: one for rest, one in (own | points).items() if one is not None}
    depth = _m(measures[DEPTH])
    middle = _m(measures[GRAVITY]) if GRAVITY in measures else HALF * depth
    return Weighed(name, Lid(max(mass.takes) / 1000, middle, depth, opened=OPENED), _mount(measures), measures)


def _points(name: str, newest: dict[str, ev.Measure], *, alone: bool) -> dict[str, ev.Measure | None]:
    """The points of the struts of one lid; where there is one lid alone its name may be left out."""
    heads = (f"{name} strut ", "strut ") if alone else (f"{name} strut ",)
    return {
        rest: next((newest[head + rest] for head in heads if head + rest in newest), None)
        for rest in (*ALONG, *UNDER, *ACROSS, *UP)
    }


def _mount(measures: dict[str, ev.Measure]) -> Mount | None:
    """The fixing points, m; ``None`` where one that cannot be guessed is missing."""
    along, under, across, up = (side(measures, way) for way in (ALONG, UNDER, ACROSS, UP))
    if along is None or across is None or up is None:
        return None
    return Mount(along, under or 0.0, across, up)


def side(measures: dict[str, ev.Measure], way: dict[str, int]) -> float | None:
    """How far a point lies along one way, m; ``None`` where nobody measured it."""
    return next((sign * _m(measures[rest]) for rest, sign in way.items() if rest in measures), None)


def _m(measure: ev.Measure) -> float:
    """The middle of the takes, m."""
    return sum(measure.takes) / len(measure.takes) / 1000


def fitted(scene: Scene) -> Fitted | None:
    """The struts that are on, where number and push were written."""
    gear = scene.vessel.gear.get("gas strut")
    match = STRUTS.search(gear.setting) if gear and gear.action not in ("off", "removed") else None
    return Fitted(int(match["number"]), float(match["newton"]), gear) if gear and match else None


def lids(scene: Scene) -> list[Fact]:
    """One fact a lid that was weighed: the struts it needs, and how it stands on those it has."""
    found = weighed(scene)
    struts = fitted(scene) if len(found) == 1 else None
    return [_lid(scene, one, struts) for one in found]


def _lid(scene: Scene, one: Weighed, struts: Fitted | None) -> Fact:
    try:
        sums = _sums(one, struts)
    except ValueError as reason:
        sums = {"fits": "no", "warning": str(reason)}
    return scene.fact(
        "lid",
        [*one.measures.values(), *([struts.gear] if struts else [])],
        lid=one.name,
        mass_kg=one.lid.mass_kg,
        depth_mm=1000 * one.lid.to_edge_m,
        gravity_mm=1000 * one.lid.to_gravity_m,
        assumed=one.assumed,
        mounted="yes" if one.mount else "no",
        fitted="yes" if struts else "no",
        age_days=min(map(scene.age_days, one.measures.values())),
        **sums,
    )


def _sums(one: Weighed, struts: Fitted | None) -> dict[str, str | float]:
    """Push that each strut must have, and what those that are fitted do from cold to warm.

    Raises:
        ValueError: a measure is out of range, or the struts do not lift where they are mounted.
    """
    if one.mount is None:
        return {}
    number = struts.number if struts else 2
    needed = strut_needed(one.lid, one.mount, number, ROOM[0])
    wanted: dict[str, str | float] = {"number": float(number), "needed": needed}
    if struts is None:
        return wanted
    swings = [swing(one.lid, one.mount, Strut(struts.newton, number), at) for at in ROOM]
    return wanted | {"newton": struts.newton} | _behaviour(*swings)


def _behaviour(cold: Swing, warm: Swing) -> dict[str, str | float]:
    warnings = tuple(dict.fromkeys((*cold.warnings, *warm.warnings)))
    edges = [at.edge_n for at in (*cold.positions, *warm.positions)]
    return {
        "fits": "no" if warnings else "yes",
        "warning": "; ".join(warnings),
        "holds": "yes" if cold.positions[-1].edge_n >= 0 else "no",
        "closing": max(0.0, *edges),
        "lifting": max(0.0, *(-edge for edge in edges)),
    }
