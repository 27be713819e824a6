"""What stands on the floor, what runs down when the pumps stop, and what hangs on an electrical strip."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.workshop.ranges import within

GRAVITY: Annotated[float, Believed("m/s2", "acceleration of free fall", "from memory: usual engineering value")] = 9.81
SEA_WATER_KG_PER_L: Annotated[
    float, Believed("kg/L", "sea water at salinity 35 and 25 °C", "computed: EOS-80, UNESCO 1983")
] = 1.023
GLASS_KG_PER_L: Annotated[float, Believed("kg/L", "soda-lime glass", "from memory: handbook value")] = 2.5

ROOM_LOAD: Annotated[
    float,
    Believed(
        "kN/m2", "design load of a dwelling's floor, spread over the room: 40 lb per square foot",
        "published: International Code Council, International Residential Code 2024, table R301.5",
    ),
] = 1.915  # fmt: skip
ROOM_LOAD_EUROPE: Annotated[
    float,
    Believed(
        "kN/m2", "the same in Europe, category A, recommended", "from memory: EN 1991-1-1, table 6.2",
        "1.5 to 2.0, set by each country",
    ),
] = 2.0  # fmt: skip
ROOM_LOADS = (
    (ROOM_LOAD, "International Residential Code 2024, table R301.5: 40 lb per square foot (published)"),
    (ROOM_LOAD_EUROPE, "EN 1991-1-1, table 6.2, category A: 1.5 to 2.0 kN/m2, set by each country (from memory)"),
)

STRUCTURE = (
    "These are loads for rooms, not limits of your floor: what it bears depends on span, joists and walls. A suspended "
    "floor needs a structural engineer's answer before delivery; local codes rule."
)
OVERFLOW = (
    "Prove it: fill to the running level, stop the pumps, wait until nothing moves, with an eye on the sump. A siphon "
    "hole that is blocked by growth or a snail lets far more down; water on the floor meets mains plugs."
)
ELECTRICITY = (
    "Salt water and mains kill: every socket behind a residual-current device of 30 mA or less (or the class A device "
    "of your country), drip loops, nothing under the sump's rim. Fixed wiring is a licensed electrician's work; local "
    "codes rule."
)


@dataclass(frozen=True, slots=True)
class FloorLoad:
    """What stands on the floor: mass kg, pressure kN/m2 under the footprint, and times the usual design load."""

    mass_kg: float
    pressure_kn_m2: float
    times_room_load: float
    working: tuple[str, ...]
    caution: str = STRUCTURE


def water_mass_kg(litres: float) -> float:
    """Mass, kg, of sea water (0 to 100,000 L). Error: 0.5 % over reef salinities and temperatures.

    Source: `SEA_WATER_KG_PER_L`.
    """
    return SEA_WATER_KG_PER_L * within("the water", litres, 0, 100_000, "L")


def glass_tank_mass_kg(inside_cm: tuple[float, float, float], thickness_mm: float) -> float:
    """Mass, kg, of an open glass box: inside length, width, height in cm (5 to 500), one thickness in mm (3 to 40).

    Error: a tenth, for braces and silicone. Source: geometry; density of soda-lime glass 2.5 kg/L (from memory).
    """
    within("the glass", thickness_mm, 3, 40, "mm")
    length, width, height = (within("a side", side, 5, 500, "cm") for side in inside_cm)
    glass = thickness_mm / 10
    outside = (length + 2 * glass) * (width + 2 * glass) * (height + glass)
    return (outside - length * width * height) / 1000 * GLASS_KG_PER_L


def floor_load(masses_kg: Mapping[str, float], footprint_m2: float) -> FloorLoad:
    """Mass and pressure of a set-up from the masses of its parts (kg, 0 to 20,000) on a footprint (m2, 0.01 to 50).

    The footprint is what touches the floor: under four feet it is the feet. Error: that of the masses. Source: weight
    over area (statics), compared with the least of `ROOM_LOADS`.
    """
    within("the footprint", footprint_m2, 0.01, 50, "m2")
    mass = sum(within(f"the mass of {part}", kg, 0, 20_000, "kg") for part, kg in masses_kg.items())
    pressure = mass * GRAVITY / footprint_m2 / 1000
    return FloorLoad(
        mass,
        pressure,
        pressure / ROOM_LOADS[0][0],
        (
            " + ".join(f"{part} {kg:.0f} kg" for part, kg in masses_kg.items()) + f" = {mass:.0f} kg",
            f"{mass:.0f} kg x 9.81 m/s2 over {footprint_m2:g} m2 = {pressure:.1f} kN/m2",
            *(f"rooms are designed for {load:.3g} kN/m2: {source}" for load, source in ROOM_LOADS),
        ),
    )


@dataclass(frozen=True, slots=True)
class DrainDown:
    """Litres that run down when the pumps stop, litres left in the sump then (below 0: on the floor), and the rest."""

    litres: float
    room_left: float
    warnings: tuple[str, ...]
    working: tuple[str, ...]
    caution: str = OVERFLOW


def drain_down(plan_cm: tuple[float, float], fall_mm: float, pipes_l: float, sump_room_l: float) -> DrainDown:
    """What runs down when the pumps stop, and whether the sump takes it.

    ``plan_cm`` inside length and width of the display (5 to 500 cm); ``fall_mm`` running level less the lowest point
    that its water can fall to, weir teeth or return outlet (0 to 500 mm); ``pipes_l`` pipes and vessels that empty
    (0 to 500 L); ``sump_room_l`` sump above its running level (0 to 2000 L). Error: that of the levels, 1 mm on
    150 x 60 cm is 0.9 L. Source: geometry; a fifth of the sump's room in reserve is common practice.
    """
    length, width = (within("a side", side, 5, 500, "cm") for side in plan_cm)
    within("the fall of the level", fall_mm, 0, 500, "mm")
    down = length * width * fall_mm / 10_000 + within("the pipes", pipes_l, 0, 500, "L")
    left = within("the room in the sump", sump_room_l, 0, 2000, "L") - down
    found = (
        (left < 0, f"{-left:.0f} L go on the floor: lower the sump's running level or raise the return outlet"),
        (0 <= left < 0.2 * sump_room_l, f"only {left:.0f} L of {sump_room_l:.0f} L stay free; keep a fifth"),
    )
    return DrainDown(
        down,
        left,
        tuple(words for is_so, words in found if is_so),
        (
            f"{length:g} x {width:g} cm x {fall_mm:g} mm = {down - pipes_l:.1f} L; pipes {pipes_l:g} L (geometry)",
            f"sump room {sump_room_l:g} L - {down:.1f} L = {left:.1f} L",
        ),
    )


@dataclass(frozen=True, slots=True)
class StripLoad:
    """What hangs on one strip: watts, amperes, share of its rating, with warnings, working and caution."""

    watts: float
    amperes: float
    share: float
    warnings: tuple[str, ...]
    working: tuple[str, ...]
    caution: str = ELECTRICITY


def strip_load(watts: Mapping[str, float], volts: float, rated_amperes: float) -> StripLoad:
    """Load of an electrical strip from the rated watts of what hangs on it (0 to 10,000 W each).

    ``volts`` 100 to 250 V, ``rated_amperes`` of the strip or its circuit, 1 to 32 A. Error: motors draw more at start
    and have a power factor below 1, so a fifth is kept free (common practice). Source: power over voltage.
    """
    within("the voltage", volts, 100, 250, "V")
    within("the rating", rated_amperes, 1, 32, "A")
    total = sum(within(f"the power of {device}", power, 0, 10_000, "W") for device, power in watts.items())
    amperes = total / volts
    share = amperes / rated_amperes
    found = (
        (share > 1, f"{amperes:.1f} A is more than the strip's {rated_amperes:g} A: split it at once"),
        (0.8 < share <= 1, f"{100 * share:.0f} % of the rating; keep a fifth free for motors that start"),
    )
    return StripLoad(
        total,
        amperes,
        share,
        tuple(words for is_so, words in found if is_so),
        (
            " + ".join(f"{device} {power:g} W" for device, power in watts.items()) + f" = {total:g} W",
            f"{total:g} W / {volts:g} V = {amperes:.2f} A of {rated_amperes:g} A",
        ),
    )
