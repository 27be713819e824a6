"""Questions about what is made of sheet, wood and hinges: panels that slide and lids that lift."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import click

from reefjournal.chemistry.answer import Answer, Measured, ends, shown, through
from reefjournal.cli.work_out.quantity import Number, Takes, Unit
from reefjournal.cli.work_out.result import Result, number, of_answer, of_workshop
from reefjournal.cli.work_out.topic import Input, Topic, Values
from reefjournal.cli.work_out.units import (
    CELSIUS,
    CENTIMETRES,
    DEGREES,
    EITHER_SIDE,
    KILOGRAMS,
    MILLIMETRES,
    NEWTONS,
    PERCENT,
)
from reefjournal.workshop.growth import SHEETS, Climate
from reefjournal.workshop.lids import (
    STORED_ENERGY,
    Lid,
    Mount,
    Strut,
    balancing_force,
    counterweight,
    strut_needed,
    swing,
)
from reefjournal.workshop.panels import PANELS_AND_LAPS, Cut, Layout, Opening, Track, sliding_panels

LAYOUTS: dict[str, Layout] = {name.replace(",", "").replace(" ", "-"): name for name in PANELS_AND_LAPS}
DEPTHS = ("bottom_groove", "top_groove", "lap", "clearance", "engagement", "tolerance")
COUNT = Unit("struts")


def panels(
    opening: str | None, width: tuple[float, ...], height: tuple[float, ...], layout: str, sheet: str, **given: Any
) -> Result:
    """The cut list for one opening; ``given`` holds the depths of the track, and the room."""
    room = Climate(given["cut_at"], given["cut_humidity"], ends(given["temperature"]), ends(given["humidity"]))
    track = Track(**{name: given[name] for name in DEPTHS})
    plan = sliding_panels(Opening(opening or "opening", width, height), track, SHEETS[sheet], room, LAYOUTS[layout])
    says = "; ".join(f"{cut.count} panels of {cut.width:g} x {cut.height:g} mm" for cut in plan.cuts)
    climate = (
        f"the sheet is cut at {room.cut_temperature:g} °C and {room.cut_humidity:g} % humidity and lives at "
        f"{shown(room.temperature)} °C and {shown(room.humidity)} %"
    )
    left = (
        f"left once it has grown or shrunk: laps {shown(plan.lap)} mm, lifting in {plan.lift_clearance[1]:.1f} mm, "
        f"running {plan.running:.1f} mm, hold in the top groove {plan.engagement:.1f} mm"
    )
    return of_workshop(plan, f"Panels: {says}", _cut_list(plan.cuts), (climate, left))


def _cut_list(cuts: tuple[Cut, ...]) -> tuple[tuple[str, ...], ...]:
    rows = (
        (f"{cut.count}", f"{cut.width:g}", f"{cut.height:g}", f"±{cut.tolerance:g}", cut.rests_on) for cut in cuts
    )
    return ("pieces", "width mm", "height mm", "saw mm", "rests on"), *rows


def struts(mass: Measured, to_gravity: Measured, arm: Measured, struts: float, angle: float) -> Result:
    """The push of each strut that balances a lid, from the lever arm."""
    value, low, high = through(
        lambda m, g, a: balancing_force(m, g / 100, a / 100, round(struts), angle), mass, to_gravity, arm
    )
    work = (
        f"{shown(mass)} kg x 9.81 m/s2 x {shown(to_gravity)} cm at {angle:g} degrees, over {struts:g} struts with a "
        f"lever arm of {shown(arm)} cm (balance of moments, statics)",
        "friction, cold and age: 10 to 20 % more (common practice)",
    )
    found = Answer("push of each strut for balance", value, low, high, "N", work, STORED_ENERGY)
    return of_answer(found)


def lid(**given: float) -> Result:
    """A lid over its swing, on the struts that were given or on those it needs."""
    made, mount, count = _lid(given), _mount(given), round(given["struts"])
    wanted = given["newton"] or strut_needed(made, mount, count, given["coldest"])
    found = swing(made, mount, Strut(wanted, count), given["temperature"])
    why = "as given" if given["newton"] else f"so that the open lid stays up at {given['coldest']:g} °C"
    rows = (
        (f"{at.degrees:.0f}", number(at.balance_n), number(at.push_n), f"{at.edge_n:+.0f}", f"{100 * at.length_m:.1f}")
        for at in found.positions
    )
    table = (("degrees", "balance N", "push N", "at the edge N", "strut cm"), *rows)
    edge = "at the edge: above 0 the lid must be pushed shut, below 0 it must be held"
    return of_workshop(found, f"Gas struts: {count} of {number(wanted)} N, {why}", table, (edge,))


def hung(**given: float) -> Result:
    """A counterweight for a lid."""
    found = counterweight(_lid(given), _mount(given))
    table = (("degrees", "balance kg"), *((f"{angle:.0f}", f"{kg:.1f}") for angle, kg in found.balance))
    return of_workshop(found, f"Counterweight: {found.kg:.1f} kg, travel {100 * found.travel_m:.0f} cm", table)


def _lid(given: Values) -> Lid:
    return Lid(given["mass"], given["to_gravity"] / 100, given["to_edge"] / 100, 0.0, given["opened"])


def _mount(given: Values) -> Mount:
    return Mount(*(given[name] / 100 for name in ("along", "below", "across", "up")))


def _one(name: str, says: str, unit: Unit, default: float | None = None, **more: Any) -> Input:
    return Input(name, says, Number(unit, single=True), default=default, **more)


LID = (
    _one("mass", "Of the lid with all that hangs on it.", KILOGRAMS, noted="lid: mass"),
    _one("to_gravity", "Hinge to centre of gravity.", CENTIMETRES, noted="lid: gravity"),
    _one("to_edge", "Hinge to front edge.", CENTIMETRES, noted="lid: depth"),
    _one("opened", "Open, above level.", DEGREES, 80.0),
)


def _points(lid_point: str, fixed_point: str, *, noted: bool = False) -> tuple[Input, ...]:
    """The two fixing points; ``noted`` where the notes may hold them."""
    points = (
        _one("along", f"{lid_point}: along the lid from the hinge.", CENTIMETRES, noted="lid: along"),
        _one("below", f"{lid_point}: below the line of the hinge; above it is negative.", EITHER_SIDE, 0.0,
             noted="lid: under"),
        _one("across", f"{fixed_point}: level from the hinge; behind it is negative.", EITHER_SIDE,
             noted="lid: across"),
        _one("up", f"{fixed_point}: above the hinge; below it is negative.", EITHER_SIDE, noted="lid: up"),
    )  # fmt: skip
    return points if noted else tuple(replace(one, noted="") for one in points)


STRUTS = _one("struts", "How many.", COUNT, 2.0)
PUSH = "Push of each strut; left out, the push that is needed."
TOPICS = (
    Topic(
        "panels",
        "What sizes to cut sliding panels to, so that they run, lift in and do not bind.",
        "--width 1192/1191/1192.5 --height 452/451/452 --bottom-groove 6 --top-groove 16",
        (
            Input("opening", "The opening that is measured in the notes.", click.STRING, optional=True),
            Input("width", "Takes between the stops, three or more.", Takes(MILLIMETRES), noted="width of the opening"),
            Input("height", "Takes from lip to lip, three or more.", Takes(MILLIMETRES), noted="height of the opening"),
            Input("layout", "How the panels stand.", click.Choice(list(LAYOUTS)), default="pair"),
            Input("sheet", "What they are cut from.", click.Choice(list(SHEETS)), default="acrylic"),
            _one("bottom_groove", "Its depth.", MILLIMETRES),
            _one("top_groove", "Its depth.", MILLIMETRES),
            _one("lap", "How far neighbours lap.", MILLIMETRES, 40.0),
            _one("clearance", "Left to lift a panel in.", MILLIMETRES, 2.0),
            _one("engagement", "Held by the top groove when standing.", MILLIMETRES, 5.0),
            _one("tolerance", "Of the saw, either way.", MILLIMETRES, 0.5),
            _one("cut_at", "Temperature when it is cut.", CELSIUS, 21.0),
            _one("cut_humidity", "Humidity when it is cut.", PERCENT, 50.0),
            Input("temperature", "Lowest and highest later.", Number(CELSIUS), default=(18.0, 30.0)),
            Input("humidity", "Lowest and highest later.", Number(PERCENT), default=(35.0, 80.0)),
        ),
        panels,
        in_notes="--opening 'left door opening' --bottom-groove 6 --top-groove 16",
    ),
    Topic(
        "struts",
        "How hard each gas strut must push to balance a lid, from its lever arm.",
        "--mass 50 --to-gravity 80 --arm 25",
        (
            Input("mass", "Of the lid with all that hangs on it.", Number(KILOGRAMS)),
            Input("to_gravity", "Hinge to centre of gravity.", Number(CENTIMETRES)),
            Input("arm", "Hinge to the line of the strut, square to it.", Number(CENTIMETRES)),
            STRUTS,
            _one("angle", "Of the lid above level.", DEGREES, 0.0),
        ),
        struts,
    ),
    Topic(
        "lid",
        "How a lid behaves on its gas struts from closed to open, and what struts it needs.",
        "--mass 8 --to-gravity 30 --to-edge 60 --along 25 --below 2 --across 8 --up -22",
        (
            *LID,
            *_points("Strut on the lid", "Strut on the cabinet", noted=True),
            replace(STRUTS, noted="number of struts"),
            _one("newton", PUSH, NEWTONS, optional=True, noted="push of the struts"),
            _one("temperature", "Of the struts.", CELSIUS, 20.0),
            _one("coldest", "At which the open lid must stay up.", CELSIUS, 15.0),
        ),
        lid,
    ),
    Topic(
        "counterweight",
        "What weight on a cord over a pulley carries a lid.",
        "--mass 8 --to-gravity 30 --to-edge 60 --along 60 --across 0 --up 90",
        (*LID, *_points("Cord on the lid", "Pulley")),
        hung,
        in_notes="--along 60 --across 0 --up 90",
    ),
)
