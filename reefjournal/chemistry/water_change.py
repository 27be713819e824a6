"""Water changes: how much to change for a target, in one go, in several, or by a steady stream, and in an emergency."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.chemistry.ammonia import free_ammonia, total_ammonia_mg_n, unionised_fractions
from reefjournal.chemistry.answer import Answer, Measured, middle, shown, through
from reefjournal.chemistry.scalars import Number, functions_for, within

MATCHED = (
    "New water must be fully mixed and match the tank in temperature (within 1 °C) and salinity (within 1); "
    "heaters and pumps that will run dry are switched off first (common practice)."
)

NEW_WATER_PH: Annotated[
    float, Believed("NBS", "new salt water, freshly mixed and aired; higher is the protective side", "common practice")
] = 8.3


@dataclass(frozen=True, slots=True)
class Water:
    """What decides how much of its ammonia is un-ionised: pH (NBS), temperature (°C) and practical salinity."""

    ph: float
    temperature: float
    salinity: float


def after_changes(now: Number, new: Number, share: Number, times: int = 1) -> Number:
    """A concentration after ``times`` equal changes of a ``share`` (0 to 1), each drained first and then filled.

    ``now`` in the tank and ``new`` in the new water, in one unit, 0 or more; numbers or arrays that broadcast. Error:
    none beside the readings, where nothing is made or used meanwhile. Source: the conservation of mass.
    """
    within("the concentration", now, 0, math.inf, "")
    within("the concentration of the new water", new, 0, math.inf, "")
    within("the share changed", share, 0, 1, "")
    return new + (now - new) * (1 - share) ** times


def after_stream(now: Number, new: Number, volumes: Number) -> Number:
    """A concentration after ``volumes`` tank volumes have been streamed in while as much ran out (0 to 10).

    Arguments and error as `after_changes`, with perfect mixing. Weaker than draining first: 0.5 volumes change 39 %.
    Source: the conservation of mass.
    """
    within("the concentration", now, 0, math.inf, "")
    within("the concentration of the new water", new, 0, math.inf, "")
    within("the water streamed through", volumes, 0, 10, "tank volumes")
    streamed: Number = new + (now - new) * functions_for(volumes).exp(-volumes)
    return streamed


def share_needed(now: float, target: float, new: float = 0.0) -> float:
    """Share of the water (0 to 1) to drain and replace in one go so that ``now`` becomes ``target``.

    All in one unit; 0 where the target is met already. Error: that of the readings. Source: the conservation of mass.

    Raises:
        ValueError: the new water is not below the target, so no change of any size reaches it.
    """
    for name, value in (("the concentration", now), ("the target", target), ("that of the new water", new)):
        within(name, value, 0, math.inf, "")
    if now <= target:
        return 0.0
    if new > target:
        raise ValueError(f"new water at {new:g} cannot bring the tank to {target:g}; use cleaner water")
    return (now - target) / (now - new)


def share_each(share: float, times: int) -> float:
    """Share of each of ``times`` (1 to 100) equal changes that together do what one change of ``share`` does.

    ``share`` 0 to 1. Source: the conservation of mass.
    """
    within("the share changed", share, 0, 1, "")
    within("the number of changes", float(times), 1, 100, "")
    return float(1 - (1 - share) ** (1 / times))


def stream_volumes(share: float) -> float:
    """Tank volumes to stream through to do what draining and replacing ``share`` (0 to 0.9999) does.

    Source: the conservation of mass, with perfect mixing.
    """
    return -math.log1p(-within("the share changed", share, 0, 0.9999, ""))


def water_change(now: Measured, target: float, volume_l: Measured, new: Measured = 0.0, unit: str = "mg/L") -> Answer:
    """Litres to drain and replace in one go so that ``now`` becomes ``target``; concentrations in one unit.

    Numbers or ranges. Raises ValueError where the new water cannot reach the target. Source as `share_needed`.
    """
    value, low, high = through(lambda n, w, v: share_needed(n, target, w) * v, now, new, volume_l)
    share = value / middle(volume_l)
    lines = [
        f"share: ({shown(now)} - {target:g}) / ({shown(now)} - {shown(new)}) {unit} = {100 * share:.0f} % "
        f"of {shown(volume_l)} L, drained first and then filled (conservation of mass)",
    ]
    if 0 < share < 0.9999:
        several = ", ".join(f"{times} x {share_each(share, times) * 100:.0f} %" for times in (2, 3, 4))
        stream = stream_volumes(share) * middle(volume_l)
        lines.append(f"the same in several changes: {several}; as a steady stream: {stream:.0f} L")
    return Answer("water to change", value, low, high, "L", tuple(lines), caution=MATCHED)


def emergency_change(
    total_mg_n: Measured,
    target_mg_nh3: float,
    volume_l: Measured,
    tank: Water,
    new: Water,
) -> Answer:
    """Litres to change so that un-ionised ammonia falls to ``target_mg_nh3`` (mg NH3/L) at the pH that follows.

    Total ammonia in mg N/L, number or range; the new water holds none. Nothing where the target is surely met now. The
    pH after the change lies between the two and cannot be told without the carbon dioxide of both, so the higher one is
    taken, with the higher temperature, the lower salinity, and the share by the formula that gives most. Source: the
    conservation of mass and `free_ammonia`.
    """
    before = free_ammonia(total_mg_n, tank.ph, tank.temperature, tank.salinity)
    now = f"un-ionised now: {shown((before.low, before.high))} mg NH3/L at pH {tank.ph:g}; wanted {target_mg_nh3:g}"
    if before.high <= target_mg_nh3:
        return Answer("water to change", 0.0, 0.0, 0.0, "L", (now, "nothing to change: the target is met"))
    ph, temperature = max(tank.ph, new.ph), max(tank.temperature, new.temperature)
    salinity = min(tank.salinity, new.salinity)
    fraction = max(unionised_fractions(ph, temperature, salinity).values())
    goal = total_ammonia_mg_n(target_mg_nh3, fraction)
    value, low, high = through(lambda n, v: share_needed(n, goal) * v, total_mg_n, volume_l)
    return Answer(
        "water to change", value, low, high, "L",
        (
            now,
            f"after the change: pH up to {ph:g}, {temperature:g} °C, so {100 * fraction:.1f} % is un-ionised and "
            f"total ammonia must fall from {shown(total_mg_n)} to {goal:.3g} mg N/L",
            f"litres: share changed x {shown(volume_l)} L (conservation of mass); measure again an hour later",
        ),
        caution=f"{MATCHED} Ammonia keeps coming while its cause is there: find and remove the cause.",
    )  # fmt: skip
