"""Litres from dimensions: an estimate until a dose or a salting has shown the true net volume."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.workshop.ranges import within

ESTIMATE = (
    "An estimate: before any medicine or dose that depends on it, learn the true volume from the water that went in, "
    "from the salt it took, or from a harmless dose and the reading after it."
)


ROCK_L_PER_KG: Annotated[
    tuple[float, float],
    Believed("L/kg", "water kept out by reef rock, whose closed pores may be dry", "common practice"),
] = (0.35, 0.6)
SAND_L_PER_KG: Annotated[tuple[float, float], Believed("L/kg", "water kept out by sand", "common practice")] = (
    0.34, 0.38,
)  # fmt: skip


def box_volume_l(length_cm: float, width_cm: float, level_cm: float) -> float:
    """Litres in a box from its inside length and width and the water's depth, cm (1 to 1000 each).

    Error: 1 % for 3 mm in 30 cm. Source: geometry.
    """
    sides = {"the length": length_cm, "the width": width_cm, "the depth of water": level_cm}
    for name, side in sides.items():
        within(name, side, 1, 1000, "cm")
    return length_cm * width_cm * level_cm / 1000


def inside_cm(outside_cm: tuple[float, float, float], thickness_mm: float) -> tuple[float, float, float]:
    """Inside length, width and height, cm, of an open box from the outside ones (5 to 1000) and its wall (1 to 60 mm).

    The floor is as thick as the walls. Source: geometry.
    """
    length, width, height = (within("a side", side, 5, 1000, "cm") for side in outside_cm)
    wall = within("the wall", thickness_mm, 1, 60, "mm") / 10
    return within("the inside", length - 2 * wall, 1, 1000, "cm"), width - 2 * wall, height - wall


def displaced_l(rock_kg: float, sand_kg: float) -> tuple[float, float]:
    """Litres, from low to high, that rock and sand (kg, 0 to 5000 each) keep water out of.

    By `ROCK_L_PER_KG` and `SAND_L_PER_KG`; the carbonate mineral itself is 2.7 to 2.9 kg/L (from memory).
    """
    rock, sand = within("the rock", rock_kg, 0, 5000, "kg"), within("the sand", sand_kg, 0, 5000, "kg")
    low, high = (of_rock * rock + of_sand * sand for of_rock, of_sand in zip(ROCK_L_PER_KG, SAND_L_PER_KG, strict=True))
    return low, high


@dataclass(frozen=True, slots=True)
class NetVolume:
    """Net litres of a system: the middle, the range, the working line by line, and the caution."""

    value: float
    low: float
    high: float
    working: tuple[str, ...]
    caution: str = ESTIMATE


def net_volume(vessels_l: Mapping[str, float], rock_kg: float = 0.0, sand_kg: float = 0.0) -> NetVolume:
    """Net litres of vessels that share their water: what each would hold at running level, less rock and sand.

    ``vessels_l`` L of each (0 to 50,000), 2 % unsure. Error: the range. Source: geometry and `displaced_l`.
    """
    water = sum(within(f"the volume of {name}", litres, 0, 50_000, "L") for name, litres in vessels_l.items())
    least, most = displaced_l(rock_kg, sand_kg)
    low, high = 0.98 * water - most, 1.02 * water - least
    within("the net volume", low, 0, 100_000, "L")
    return NetVolume(
        (low + high) / 2,
        low,
        high,
        (
            " + ".join(f"{name} {litres:.0f} L" for name, litres in vessels_l.items())
            + f" = {water:.0f} L, 2 % unsure",
            f"less {least:.0f} to {most:.0f} L for {rock_kg:g} kg of rock and {sand_kg:g} kg of sand (common practice)",
        ),
    )
