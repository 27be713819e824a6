"""Heating a tank: the power that holds it, the time to warm it, and the loss learned from how it cools."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.workshop.ranges import within

KJ_PER_L_K: Annotated[
    float,
    Believed(
        "kJ/(L K)", "heat that sea water at salinity 35 and 25 °C takes up",
        "from memory: 3.99 kJ/(kg K) times 1.023 kg/L, held to gsw in the tests",
    ),
] = 4.09  # fmt: skip

HEATER = (
    "A heater that runs dry shatters or burns: switch it off before the level falls. Two heaters of half the power and "
    "a separate cut-out 1 °C higher keep one that sticks from cooking the tank; all of it behind a residual-current "
    "device, by local codes."
)


@dataclass(frozen=True, slots=True)
class Heating:
    """An answer about heating: value and unit, the working line by line, and the caution."""

    value: float
    unit: str
    working: tuple[str, ...]
    caution: str = HEATER


@dataclass(frozen=True, slots=True)
class Room:
    """The room around a tank: its temperature, °C, and the W lost to it for each degree that the water is warmer."""

    temperature: float
    loss: float


def loss_w_per_degree(volume_l: float, start: float, end: float, room: float, hours: float) -> Heating:
    """Heat loss, W for each degree above the room, from how an unheated tank cooled from ``start`` to ``end`` (°C).

    ``volume_l`` 1 to 100,000 L, ``room`` °C, ``hours`` 0.1 to 200. Error: a fifth; an open lid or a fan changes it.
    Source: Newton's law of cooling.
    """
    _check(volume_l, start, room)
    within("the time", hours, 0.1, 200, "hours")
    within("the temperature at the end", end, room + 0.1, start - 0.01, "°C")
    loss = volume_l * KJ_PER_L_K * 1000 / (hours * 3600) * math.log((start - room) / (end - room))
    fell = f"{volume_l:g} L fell from {start:g} to {end:g} °C in {hours:g} hours"
    return Heating(loss, "W a degree", (f"{fell}, room {room:g} °C (Newton's law of cooling)",))


def heater_watts(target: float, coldest: Room, reserve: float = 1.5) -> Heating:
    """Heater power, W, that holds ``target`` (°C, to 40) in the room at its coldest, loss 0.1 to 1000 W a degree.

    ``reserve`` 1 to 3 times (common practice: 1.5). Error: that of the loss. Source: heat in equals heat out.
    """
    within("the loss", coldest.loss, 0.1, 1000, "W a degree")
    within("the reserve", reserve, 1, 3, "times")
    within("the temperature wanted", target, coldest.temperature, 40, "°C")
    watts = reserve * coldest.loss * (target - coldest.temperature)
    held = f"{coldest.loss:.3g} W a degree x ({target:g} - {coldest.temperature:g}) °C x {reserve:g} in reserve"
    return Heating(watts, "W", (f"{held} (heat in equals heat out)",))


def warm_up_hours(volume_l: float, start: float, target: float, watts: float, room: Room | None = None) -> Heating:
    """Hours to warm ``volume_l`` litres (1 to 100,000) from ``start`` to ``target`` (°C, 0 to 40) with ``watts``.

    Without a ``room`` no loss is counted, and the answer is a lower bound. Error: that of the loss. Source: Newton's
    law of cooling with a steady source.

    Raises:
        ValueError: the heater cannot reach the target against the loss.
    """
    within("the start", start, 0, target, "°C")
    within("the heater", watts, 1, 20_000, "W")
    _check(volume_l, target, room.temperature if room else start)
    heat = volume_l * KJ_PER_L_K * 1000 / 3600
    kwh = f"{volume_l:g} L x {KJ_PER_L_K} kJ x {target - start:g} °C = {heat * (target - start) / 1000:.2f} kWh"
    if room is None or room.loss == 0:
        return Heating(heat * (target - start) / watts, "hours", (kwh, f"with {watts:g} W, no losses counted"))
    reach = room.temperature + watts / within("the loss", room.loss, 0.1, 1000, "W a degree")
    if reach <= target:
        raise ValueError(f"{watts:g} W reach {reach:.1f} °C at most in this room, not {target:g} °C")
    hours = heat / room.loss * math.log((reach - start) / (reach - target))
    lost = f"with {watts:g} W, less {room.loss:.3g} W for each degree above {room.temperature:g} °C"
    return Heating(hours, "hours", (kwh, lost))


def _check(volume_l: float, warm: float, room: float) -> None:
    within("the volume", volume_l, 1, 100_000, "L")
    within("the water", warm, 0, 40, "°C")
    within("the room", room, -20, 45, "°C")
