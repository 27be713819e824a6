"""Sliding panels in two tracks: from takes of an opening to a cut list that runs, lifts in and does not bind.

Heights are counted from the lip of the bottom track. A panel stands on the floor of the bottom groove; lifted into the
top groove it must clear the bottom lip, and standing it must stay engaged in the top groove.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from reefjournal.believed import Believed
from reefjournal.workshop.growth import Climate, Sheet, growth_range
from reefjournal.workshop.ranges import within

Layout = Literal["pair", "four, meeting in the middle", "four, each lapping the next"]
PANELS_AND_LAPS: dict[Layout, tuple[int, int]] = {
    "pair": (2, 1),
    "four, meeting in the middle": (4, 2),
    "four, each lapping the next": (4, 3),
}

CAUTION = (
    "Measure when the tank is full and the cabinet loaded, cut from the list only after a dry try of one panel, and "
    "let sheet settle in the room for two weeks. Cut edges and chips: goggles and gloves. Doors that shut tightly hold "
    "heat and damp in: leave a vent."
)


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening as taped: takes of its width and of its height in mm, three or more of each, and when or by whom.

    Width is between the stops for the panels' outer edges; height from the bottom track's lip to the top track's lip.
    """

    name: str
    widths: tuple[float, ...]
    heights: tuple[float, ...]
    taken: str = ""


@dataclass(frozen=True, slots=True)
class Track:
    """Depths and clearances, mm: both grooves, the lap of neighbours, room to lift in, hold in the top groove when
    standing, and the saw's tolerance either way."""

    bottom_groove: float
    top_groove: float
    lap: Annotated[float, Believed("mm", "lap of neighbours where none is given", "common practice")] = 40.0
    clearance: Annotated[float, Believed("mm", "room to lift a panel in", "common practice")] = 2.0
    engagement: Annotated[float, Believed("mm", "hold in the top groove", "common practice")] = 5.0
    tolerance: Annotated[float, Believed("mm", "of a saw, either way", "common practice")] = 0.5


@dataclass(frozen=True, slots=True)
class Cut:
    """A line of the cut list, mm: how many panels of which size, their tolerance, and the takes the size rests on."""

    panel: str
    count: int
    width: float
    height: float
    tolerance: float
    rests_on: str


@dataclass(frozen=True, slots=True)
class PanelPlan:
    """The cut list, what growth does to it (mm), what can go wrong, the working line by line, and the caution.

    ``lap`` lowest and highest; ``lift_clearance`` what is left to lift a panel in as cut and fully grown; ``running``
    the gap above a fully grown standing panel, none or less when it binds; ``engagement`` when fully shrunk.
    """

    cuts: tuple[Cut, ...]
    growth: tuple[float, float]
    lap: tuple[float, float]
    lift_clearance: tuple[float, float]
    running: float
    engagement: float
    warnings: tuple[str, ...]
    working: tuple[str, ...]
    caution: str = CAUTION


def top_groove_needed(bottom_groove: float, clearance: float, engagement: float) -> float:
    """Least depth of the top groove, mm, for a panel that is lifted in: the bottom one, clearance and engagement.

    All mm, 0 to 100. Source: geometry; room for growth comes on top.
    """
    for name, depth in (("the bottom groove", bottom_groove), ("clearance", clearance), ("engagement", engagement)):
        within(name, depth, 0, 100, "mm")
    return bottom_groove + clearance + engagement


def panel_width(opening_mm: float, lap_mm: float, layout: Layout = "pair") -> float:
    """Width of each of the equal panels, mm, that fill an opening (50 to 8000 mm) with laps of ``lap_mm`` (0 to 300).

    Source: geometry; a lap of 30 to 50 mm is common practice.
    """
    within("the opening", opening_mm, 50, 8000, "mm")
    within("the lap", lap_mm, 0, 300, "mm")
    panels, laps = PANELS_AND_LAPS[layout]
    return (opening_mm + laps * lap_mm) / panels


def sliding_panels(
    opening: Opening, track: Track, sheet: Sheet, climate: Climate, layout: Layout = "pair"
) -> PanelPlan:
    """Panels for an opening, all mm; two tracks, growth over the room's climate, and whether they can bind.

    Width rests on the widest take, so that the lap is never lost; height on the lowest take, so that every panel lifts
    in; growth in width only lengthens the lap. Error: that of the takes and the saw, which the tolerance holds.
    Sources: geometry, and those of the sheet.

    Raises:
        ValueError: fewer than three takes, a take outside 50 to 8000 mm, or takes that differ by more than 30 mm.
    """
    narrow, wide = _takes(opening, "width", opening.widths)
    low, tall = _takes(opening, "height", opening.heights)
    panels, laps = PANELS_AND_LAPS[layout]
    shrink = growth_range(wide / panels, climate, sheet)[0]
    width = panel_width(wide, track.lap - panels * shrink / laps, layout)
    height = low + track.top_groove - track.clearance - track.tolerance
    growth = growth_range(height, climate, sheet)
    wider = growth_range(width, climate, sheet)[1]
    lap = tuple((panels * (width + change) - across) / laps for change, across in ((shrink, wide), (wider, narrow)))
    lift = tuple(low + track.top_groove - height - track.tolerance - grown for grown in (0.0, growth[1]))
    running = low + track.top_groove + track.bottom_groove - height - track.tolerance - growth[1]
    engagement = height - track.tolerance + growth[0] - track.bottom_groove - tall
    cut = Cut(opening.name, panels, round(width, 1), round(height, 1), track.tolerance, _rests_on(opening, wide, low))
    return PanelPlan(
        (cut,),
        growth,
        (lap[0], lap[1]),
        (lift[0], lift[1]),
        running,
        engagement,
        _warnings(track, lift[1], running, engagement, growth),
        _working(opening, track, cut, growth, sheet),
    )


def _takes(opening: Opening, side: str, takes: tuple[float, ...]) -> tuple[float, float]:
    if len(takes) < 3:
        raise ValueError(
            f"{opening.name}: {len(takes)} takes of the {side}; write three or more, at both ends and the middle"
        )
    for take in takes:
        within(f"{opening.name}: a {side}", take, 50, 8000, "mm")
    if max(takes) - min(takes) > 30:
        raise ValueError(f"{opening.name}: takes of the {side} from {min(takes):g} to {max(takes):g} mm; measure again")
    return min(takes), max(takes)


def _rests_on(opening: Opening, wide: float, low: float) -> str:
    across, up = opening.widths.index(wide) + 1, opening.heights.index(low) + 1
    day = f" of {opening.taken}" if opening.taken else ""
    return f"width take {across} ({wide:g} mm, the widest), height take {up} ({low:g} mm, the lowest){day}"


def _warnings(
    track: Track, lift: float, running: float, engagement: float, growth: tuple[float, float]
) -> tuple[str, ...]:
    needed = top_groove_needed(track.bottom_groove, track.clearance, track.engagement)
    found = (
        (track.top_groove < needed,
         f"the top groove is {track.top_groove:g} mm deep; lifting in and holding needs {needed:g} mm"),
        (running <= 0, f"can bind: fully grown, a panel is {-running:.1f} mm too high for its grooves"),
        (running > 0 >= lift,
         f"fully grown (+{growth[1]:.1f} mm) a panel runs but cannot be lifted out; wait for drier, cooler days"),
        (engagement <= 0, f"can fall out: fully shrunk, a panel ends {-engagement:.1f} mm below the top groove"),
        (0 < engagement < track.engagement,
         f"fully shrunk, {engagement:.1f} mm stay in the top groove where {track.engagement:g} mm are wanted"),
    )  # fmt: skip
    return tuple(words for is_so, words in found if is_so)


def _working(opening: Opening, track: Track, cut: Cut, growth: tuple[float, float], sheet: Sheet) -> tuple[str, ...]:
    return (
        f"{opening.name}: widths {_list(opening.widths)} mm, heights {_list(opening.heights)} mm",
        f"width {cut.width:g} mm: the widest take with laps of {track.lap:g} mm left after shrinking, over {cut.count}",
        f"height {cut.height:g} mm: the lowest take + top groove {track.top_groove:g} - clearance {track.clearance:g} "
        f"- tolerance {track.tolerance:g}",
        f"growth of the height {growth[0]:+.1f} to {growth[1]:+.1f} mm, {sheet.name}: {sheet.source}",
    )


def _list(takes: tuple[float, ...]) -> str:
    return ", ".join(f"{take:g}" for take in takes)
