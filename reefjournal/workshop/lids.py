"""Lifting lids: the force that gas struts or a counterweight must give over the whole swing.

The hinge is the origin; x runs level from it over the closed lid, y upwards, both in m. The angle is that of the lid
above level. What pulls or pushes runs from a point on the lid to a fixed point of the cabinet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.workshop.loads import GRAVITY
from reefjournal.workshop.ranges import within

HAND_LIMIT: Annotated[
    float, Believed("N", "what most people push at a lid's edge with one hand without strain", "common practice")
] = 60.0
FILLED_AT: Annotated[
    float, Believed("K", "the temperature at which struts are rated; their gas pushes in proportion", "common practice")
] = 293.15

STORED_ENERGY = (
    "Gas struts hold stored energy: never open, heat or drill one. They fade with age and cold, and salt eats them: "
    "prop the lid before you lean in. A lid that closes crushes fingers: fit struts with a second person holding it, "
    "into solid wood, rod downwards, and never over water without a cover."
)
COUNTERWEIGHT = (
    "A weight that falls crushes: run it in a closed box, on cord rated for ten times it, and prop the lid before you "
    "lean in. A lid made lighter later (lamp off, mesh dry) flies open."
)


@dataclass(frozen=True, slots=True)
class Lid:
    """A lid as used: mass kg, hinge to centre of gravity and to the front edge m, degrees closed and open."""

    mass_kg: float
    to_gravity_m: float
    to_edge_m: float
    closed: float = 0.0
    opened: Annotated[float, Believed("degrees", "how far a lid opens where it is not given", "common practice")] = 80.0


@dataclass(frozen=True, slots=True)
class Mount:
    """Fixing points: on the lid, m along it from the hinge and m below its hinge line; on the cabinet, x, y m."""

    along_lid_m: float
    below_lid_m: float
    fixed_x_m: float
    fixed_y_m: float


@dataclass(frozen=True, slots=True)
class Strut:
    """Gas struts: rated push of each in N, extended, at 20 °C; how many; and how many times that when pressed in."""

    newton: float
    number: int = 2
    progression: Annotated[
        float, Believed("times", "push of a strut pressed in over extended", "common practice", "1.2 to 1.4")
    ] = 1.3


@dataclass(frozen=True, slots=True)
class Position:
    """A lid at an angle: strut length and lever arm (m), push for balance of each strut and push it gives (N).

    ``edge`` is the hand's force at the front edge, square to the lid, N: above 0 the lid wants to rise and must be
    pushed shut, below 0 it wants to fall and must be held.
    """

    degrees: float
    length_m: float
    arm_m: float
    balance_n: float
    push_n: float
    edge_n: float


@dataclass(frozen=True, slots=True)
class Swing:
    """A lid over its whole swing, with what can go wrong, the working line by line, and the caution."""

    positions: tuple[Position, ...]
    warnings: tuple[str, ...]
    working: tuple[str, ...]
    caution: str = STORED_ENERGY


def balancing_force(mass_kg: float, to_gravity_m: float, arm_m: float, number: int = 2, degrees: float = 0.0) -> float:
    """Push, N, of each of ``number`` struts (1 to 8) that balances a lid at an angle (-90 to 90 degrees above level).

    ``mass_kg`` 0 to 200 kg, ``to_gravity_m`` hinge to centre of gravity 0 to 3 m, ``arm_m`` hinge to the strut's line,
    square to it, 0.005 to 3 m. Error: that of the measures; add 10 to 20 % for friction and age (common practice).
    Source: balance of moments about the hinge (statics); worked example in an engineering magazine's note on sizing gas
    springs (common practice).
    """
    within("the mass of the lid", mass_kg, 0, 200, "kg")
    within("hinge to centre of gravity", to_gravity_m, 0, 3, "m")
    within("the lever arm", arm_m, 0.005, 3, "m")
    within("the number of struts", number, 1, 8, "")
    within("the angle", degrees, -90, 90, "degrees")
    return mass_kg * GRAVITY * to_gravity_m * math.cos(math.radians(degrees)) / (number * arm_m)


def lever(mount: Mount, degrees: float) -> tuple[float, float]:
    """Length between the two fixing points and signed lever arm about the hinge, m, with the lid at an angle.

    The arm is above 0 where a push along the line lifts the lid, below 0 where it presses it down. Source: geometry.
    """
    turn = math.radians(degrees)
    x = mount.along_lid_m * math.cos(turn) + mount.below_lid_m * math.sin(turn)
    y = mount.along_lid_m * math.sin(turn) - mount.below_lid_m * math.cos(turn)
    length = math.hypot(x - mount.fixed_x_m, y - mount.fixed_y_m)
    within("the distance between the fixing points", length, 0.01, 5, "m")
    return length, (x * (y - mount.fixed_y_m) - y * (x - mount.fixed_x_m)) / length


def push_at(strut: Strut, pressed_in: float, temperature: float) -> float:
    """Push of a strut, N, pressed in by a share (0 extended to 1) at a temperature (-20 to 60 °C).

    Error: a tenth, new. Source (from memory): ideal gas, 0.34 % a degree; progression of 1.2 to 1.4 is usual (common
    practice), here in a straight line.
    """
    within("the share pressed in", pressed_in, 0, 1, "")
    within("the temperature", temperature, -20, 60, "°C")
    return strut.newton * (1 + (strut.progression - 1) * pressed_in) * (temperature + 273.15) / FILLED_AT


def swing(lid: Lid, mount: Mount, strut: Strut, temperature: float = 20.0, steps: int = 9) -> Swing:
    """A lid on its struts, at ``steps`` (2 to 181) even angles from closed to open, at a temperature in °C.

    Range, error and sources as `balancing_force` and `push_at`.
    """
    angles = _angles(lid, steps)
    lengths = [lever(mount, angle)[0] for angle in angles]
    short, long = min(lengths), max(lengths)
    pushes = [push_at(strut, (long - length) / (long - short or 1), temperature) for length in lengths]
    positions = tuple(_position(lid, mount, strut.number, *at) for at in zip(angles, pushes, strict=True))
    return Swing(
        positions,
        _warnings(positions),
        (
            f"moment of the lid when level: {lid.mass_kg:g} kg x 9.81 x {lid.to_gravity_m:g} m (statics)",
            f"{strut.number} struts of {strut.newton:.0f} N at {temperature:g} °C, 0.34 % a degree (ideal gas)",
            f"closed: {_forces(positions[0])}",
            f"open: {_forces(positions[-1])}",
            _holding(positions),
            f"length from {short:.3f} to {long:.3f} m: the stroke needed is the difference",
        ),
    )


def strut_needed(lid: Lid, mount: Mount, number: int = 2, coldest: float = 15.0, reserve: float = 1.15) -> float:
    """Rated push, N at 20 °C, of each strut so that the open lid stays up at the coldest temperature (°C).

    ``reserve`` 1 to 1.5 for friction and age (common practice: 10 to 20 %). Sources as `balancing_force`, `push_at`.

    Raises:
        ValueError: the line of the struts does not lift the lid when it is open.
    """
    within("the reserve", reserve, 1, 1.5, "times")
    arm = lever(mount, lid.opened)[1]
    balance = balancing_force(lid.mass_kg, lid.to_gravity_m, arm, number, lid.opened)
    return reserve * balance / push_at(Strut(1.0), 0.0, coldest)


@dataclass(frozen=True, slots=True)
class Counterweight:
    """A weight on a cord: ``kg`` to hang, what would balance at each angle (degrees, kg), and its travel (m)."""

    kg: float
    balance: tuple[tuple[float, float], ...]
    travel_m: float
    warnings: tuple[str, ...]
    working: tuple[str, ...]
    caution: str = COUNTERWEIGHT


def counterweight(lid: Lid, pulley: Mount, steps: int = 9) -> Counterweight:
    """Weight for a cord from a point of the lid over a fixed pulley, at ``steps`` (2 to 181) angles of the swing.

    It is the lightest that balances anywhere, so the lid never rises by itself; elsewhere the hand or a prop carries
    the rest. Error: friction, a tenth or more. Source: balance of moments about the hinge (statics).

    Raises:
        ValueError: somewhere in the swing the cord does not lift the lid.
    """
    balance, lengths = [], []
    for angle in _angles(lid, steps):
        length, arm = lever(pulley, angle)
        lengths.append(length)
        pull = balancing_force(
            lid.mass_kg, lid.to_gravity_m, within("the cord's lever arm", -arm, 0.005, 3, "m"), 1, angle
        )
        balance.append((angle, pull / GRAVITY))
    lightest, heaviest = min(kg for _, kg in balance), max(kg for _, kg in balance)
    left = (heaviest - lightest) * GRAVITY
    warnings = (f"up to {left:.0f} N of cord pull is left for the hand or a prop",) if left > HAND_LIMIT else ()
    return Counterweight(
        lightest,
        tuple(balance),
        max(lengths) - min(lengths),
        warnings,
        (
            f"moment of the lid when level: {lid.mass_kg:g} kg x 9.81 x {lid.to_gravity_m:g} m (statics)",
            f"balance from {lightest:.1f} to {heaviest:.1f} kg over {lid.closed:g} to {lid.opened:g} degrees",
        ),
    )


def _position(lid: Lid, mount: Mount, number: int, degrees: float, push: float) -> Position:
    length, arm = lever(mount, degrees)
    moment = lid.mass_kg * GRAVITY * lid.to_gravity_m * math.cos(math.radians(degrees))
    balance = moment / (number * arm) if arm > 0 else math.inf
    return Position(degrees, length, arm, balance, push, (number * push * arm - moment) / lid.to_edge_m)


def _forces(at: Position) -> str:
    return f"{at.balance_n:.0f} N each would balance, {at.push_n:.0f} N push, {at.edge_n:+.0f} N at the edge"


def _holding(positions: tuple[Position, ...]) -> str:
    """From which angle on the lid stays up without a hand."""
    falls = [position.degrees for position in positions if position.edge_n < 0]
    if not falls:
        return "the lid rises by itself over the whole swing"
    return f"the lid falls when let go at {falls[0]:.0f} to {falls[-1]:.0f} degrees, and holds elsewhere"


def _angles(lid: Lid, steps: int) -> list[float]:
    within("the mass of the lid", lid.mass_kg, 0, 200, "kg")
    within("hinge to the front edge", lid.to_edge_m, 0.05, 3, "m")
    within("hinge to centre of gravity", lid.to_gravity_m, 0, lid.to_edge_m, "m")
    within("the number of angles", steps, 2, 181, "")
    within("the open angle", lid.opened, lid.closed + 1, 120, "degrees")
    return [lid.closed + (lid.opened - lid.closed) * step / (steps - 1) for step in range(steps)]


def _warnings(positions: tuple[Position, ...]) -> tuple[str, ...]:
    closed, opened = positions[0], positions[-1]
    hand = max(abs(position.edge_n) for position in positions)
    found = (
        (opened.edge_n < 0, "the open lid does not stay up: stronger struts, or a mount farther from the hinge"),
        (closed.edge_n > 0, "the closed lid rises by itself: add a catch, or weaker struts"),
        (any(position.arm_m < 0 for position in positions), "at some angles the struts press the lid down, not up"),
        (hand > HAND_LIMIT, f"the hand must give up to {hand:.0f} N at the edge; above {HAND_LIMIT:g} N it is hard"),
    )
    return tuple(words for is_so, words in found if is_so)
