"""Questions about what stands on the floor, what may run on to it, warmth, and electrical load."""

from __future__ import annotations

from reefjournal.chemistry.answer import Measured, ends
from reefjournal.cli.work_out.inputs import VOLUME
from reefjournal.cli.work_out.quantity import Named, Number, Unit
from reefjournal.cli.work_out.result import Result, number, of_workshop, over_ranges
from reefjournal.cli.work_out.topic import Input, Topic
from reefjournal.cli.work_out.units import (
    AMPERES,
    CELSIUS,
    CENTIMETRES,
    HOURS,
    KILOGRAMS,
    LITRES,
    MILLIMETRES,
    TIMES,
    VOLTS,
    WATTS,
)
from reefjournal.workshop.heating import Room, heater_watts, loss_w_per_degree, warm_up_hours
from reefjournal.workshop.loads import drain_down, floor_load, strip_load, water_mass_kg

LOSS = Unit("W a degree")


def floor(volume: Measured, part: tuple[tuple[str, float], ...], length: float, width: float) -> Result:
    """Mass and floor pressure, with the most water that there may be."""
    masses = {"water": water_mass_kg(ends(volume)[1])} | dict(part)
    if len(masses) != len(part) + 1:
        raise ValueError("each --part needs a name of its own, and water is counted already")
    found = floor_load(masses, length * width / 10_000)
    says = (
        f"Floor load: {number(found.mass_kg)} kg, {number(found.pressure_kn_m2)} kN/m2 under the footprint, "
        f"{number(found.times_room_load)} times what rooms are designed for on average"
    )
    return of_workshop(found, says)


def drained(length: float, width: float, fall: float, pipes: float, sump_room: float) -> Result:
    """What runs down when the pumps stop."""
    found = drain_down((length, width), fall, pipes, sump_room)
    left = f"{number(found.room_left)} L of the sump stay free" if found.room_left >= 0 else "more than the sump takes"
    return of_workshop(found, f"Drain-down: {number(found.litres)} L, {left}")


def warm_up(
    volume: Measured, start: Measured, to: float, watts: float, room: float | None, loss: float | None
) -> Result:
    """Hours to warm the water."""
    if (room is None) != (loss is None):
        raise ValueError("losses need both the room, --room in °C, and --loss in W a degree (see heat-loss)")
    around = Room(room, loss) if room is not None and loss is not None else None
    return over_ranges("warm-up", lambda v, s: warm_up_hours(v, s, to, watts, around), volume, start)


def heater(to: float, room: Measured, loss: Measured, reserve: float) -> Result:
    """Heater power."""
    return over_ranges("heater", lambda r, w: heater_watts(to, Room(r, w), reserve), room, loss)


def heat_loss(volume: Measured, start: Measured, end: Measured, room: Measured, hours: float) -> Result:
    """Loss from how the water cooled."""
    return over_ranges("heat loss", lambda v, s, e, r: loss_w_per_degree(v, s, e, r, hours), volume, start, end, room)


def strip(device: tuple[tuple[str, float], ...], volts: float, amperes: float) -> Result:
    """Load of an electrical strip."""
    if len(dict(device)) != len(device):
        raise ValueError("each --device needs a name of its own")
    found = strip_load(dict(device), volts, amperes)
    share = f"{100 * found.share:.0f} %"
    says = f"Strip load: {number(found.amperes)} A of {amperes:g} A, {share} ({number(found.watts)} W)"
    return of_workshop(found, says)


TOPICS = (
    Topic(
        "floor-load",
        "What the whole set-up weighs and how hard it presses on the floor.",
        "--volume 290 --part 'tank 75' --part 'stand 60' --part 'rock 22' --length 120 --width 55",
        (
            VOLUME,
            Input("part", "What else stands there; several times.", Named(KILOGRAMS), many=True, optional=True),
            Input("length", "Of what touches the floor; under feet, the feet.", Number(CENTIMETRES, single=True),
                  noted="length"),
            Input("width", "Of what touches the floor.", Number(CENTIMETRES, single=True), noted="width"),
        ),
        floor,
    ),
    Topic(
        "drain-down",
        "How much water runs down when the pumps stop, and whether the sump takes it.",
        "--length 150 --width 60 --fall 10 --sump-room 40",
        (
            Input("length", "Inside of the display.", Number(CENTIMETRES, single=True), noted="length"),
            Input("width", "Inside of the display.", Number(CENTIMETRES, single=True), noted="width"),
            Input("fall", "Running level down to the weir's teeth or the return's outlet, the lower one.",
                  Number(MILLIMETRES, single=True)),
            Input("pipes", "Water in pipes and vessels that empty.", Number(LITRES, single=True), default=0.0),
            Input("sump_room", "Sump above its running level.", Number(LITRES, single=True)),
        ),
        drained,
        in_notes="--fall 10 --sump-room 40",
    ),
    Topic(
        "warm-up",
        "How long a heater takes to warm the water.",
        "--volume 500 --start 20 --to 25 --watts 400",
        (
            VOLUME,
            Input("start", "Temperature now.", Number(CELSIUS), noted="temperature"),
            Input("to", "Temperature wanted.", Number(CELSIUS, single=True)),
            Input("watts", "Of all heaters.", Number(WATTS, single=True)),
            Input("room", "Temperature of the room, to count losses.", Number(CELSIUS, single=True), optional=True),
            Input("loss", "For each degree above the room; see heat-loss.", Number(LOSS, single=True), optional=True),
        ),
        warm_up,
        in_notes="--to 26 --watts 400",
    ),
    Topic(
        "heater",
        "What heater power holds a temperature in the coldest room.",
        "--to 25.5 --room 15 --loss 12",
        (
            Input("to", "Temperature wanted.", Number(CELSIUS, single=True)),
            Input("room", "At its coldest.", Number(CELSIUS)),
            Input("loss", "For each degree above the room; see heat-loss.", Number(LOSS)),
            Input("reserve", "In reserve.", Number(TIMES, single=True), default=1.5),
        ),
        heater,
    ),
    Topic(
        "heat-loss",
        "What the tank loses for each degree above the room, from how it cooled with the heaters off.",
        "--volume 290 --start 25.5 --end 23.8 --room 19 --hours 10",
        (
            VOLUME,
            Input("start", "Water when the heaters went off.", Number(CELSIUS)),
            Input("end", "Water at the end.", Number(CELSIUS)),
            Input("room", "Room in that time.", Number(CELSIUS)),
            Input("hours", "How long.", Number(HOURS, single=True)),
        ),
        heat_loss,
        in_notes="--start 25.5 --end 23.8 --room 19 --hours 10",
    ),
    Topic(
        "strip",
        "What the devices on one electrical strip draw, and how much of its rating that is.",
        "--device 'heater 300' --device 'return pump 40' --volts 230 --amperes 10",
        (
            Input("device", "What hangs on it; several times.", Named(WATTS), many=True),
            Input("volts", "Mains voltage.", Number(VOLTS, single=True)),
            Input("amperes", "Rating of the strip or its circuit, the lower one.", Number(AMPERES, single=True)),
        ),
        strip,
    ),
)  # fmt: skip
