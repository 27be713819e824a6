"""Salt to mix or to correct with, water that evaporates, and the net volume that a dose or a salting reveals."""

from __future__ import annotations

import math
from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.chemistry.answer import Answer, Measured, ends, shown, through
from reefjournal.chemistry.salinity import density
from reefjournal.chemistry.scalars import Number, within

# The low end is dry sea salt itself (computed: 35.165 g/kg at salinity 35, density by EOS-80 at 25 °C).
SALT_FACTOR: Annotated[
    tuple[float, float],
    Believed(
        "g/L per unit of salinity", "bought salt, where neither a record nor a label tells; it holds some water",
        "common practice",
    ),
] = (1.03, 1.15)  # fmt: skip

RAISE_SLOWLY = "Mix the salt apart, never in a tank with animals in it; raise a stocked tank by at most 1 a day."


def dry_salt_g_per_l(salinity: Number, temperature: Number) -> Number:
    """Grams of dry sea salt in a litre of sea water.

    ``salinity`` practical (0 to 42), ``temperature`` °C (0 to 40); numbers or arrays that broadcast. Error: 0.1 %, for
    the composition of the sea; a bought mix holds water beside. Source (published): Millero, Feistel, Wright and
    McDougall 2008, Deep-Sea Research I 55:50: 35.16504 g/kg at salinity 35; density by EOS-80.
    """
    return salinity * 35.16504 / 35 * density(salinity, temperature) / 1000


def salinity_after_evaporation(salinity: Number, volume_l: Number, evaporated_l: Number) -> Number:
    """Salinity of ``volume_l`` litres (0.001 to 100,000) after ``evaporated_l`` of them have gone as vapour.

    ``salinity`` 0 to 42; numbers or arrays that broadcast; refused where more than half would go. Error: that of the
    volumes. Source: the conservation of mass.
    """
    within("the salinity", salinity, 0, 42, "(practical)")
    within("the volume", volume_l, 1e-3, 100_000, "L")
    within("the evaporated share", evaporated_l / volume_l, 0, 0.5, "of the volume")
    return salinity * volume_l / (volume_l - evaporated_l)


def salt_to_add(volume_l: Measured, now: Measured, target: float, factor: Measured = SALT_FACTOR) -> Answer:
    """Grams of bought salt that bring ``volume_l`` litres from salinity ``now`` (0: fresh water) to ``target``.

    ``factor`` grams a litre and unit of salinity: from `salt_factor` and the keeper's own mixing, or the label divided
    by its salinity, else the stated range. Nothing where it is salty enough. Numbers or ranges. Error: the range.
    """
    within("the target salinity", target, 0, 42, "(practical)")
    within("the salt factor", ends(factor)[0], 0.9, 1.5, "g/L")

    def grams(volume: float, salinity: float, per_unit: float) -> float:
        return max(target - within("the salinity", salinity, 0, 42, "(practical)"), 0.0) * volume * per_unit

    value, low, high = through(grams, volume_l, now, factor)
    return Answer(
        "salt", value, low, high, "g",
        (
            f"salinity {shown(now)} now, {target:g} wanted, in {shown(volume_l)} L",
            f"{shown(factor)} g a litre and unit: dry sea salt is 1.03 (Millero et al. 2008), bought salt holds water "
            "(common practice); weigh what you mix and read what you get, and the factor becomes your own",
        ),
        caution=f"Add the low figure first, let it run an hour, read again. {RAISE_SLOWLY}",
    )  # fmt: skip


def salt_factor(grams: Measured, volume_l: Measured, before: Measured, after: Measured) -> Answer:
    """Grams a litre and unit of salinity that the keeper's own mixing shows; numbers or ranges.

    Raises ValueError where the salinity did not surely rise. Error: the range. Source: the keeper's record.
    """
    _must_rise(before, after, "salinity")
    value, low, high = through(lambda g, v, b, a: g / (v * (a - b)), grams, volume_l, before, after)
    work = (f"{shown(grams)} g took {shown(volume_l)} L from salinity {shown(before)} to {shown(after)}",)
    return Answer("salt factor", value, low, high, "g/L for each unit", work)


def fresh_water_to_exchange(volume_l: Measured, now: Measured, target: float) -> Answer:
    """Litres of tank water to replace by pure water so that salinity falls from ``now`` to ``target``.

    Numbers or ranges; nothing where it is low enough. Error: the range. Source: the conservation of mass.
    """
    within("the target salinity", target, 0, 42, "(practical)")
    within("the salinity", ends(now)[0], 0.1, 60, "(practical)")
    value, low, high = through(lambda v, s: v * max(1 - target / s, 0.0), volume_l, now)
    return Answer(
        "tank water to replace by pure water", value, low, high, "L",
        (f"{shown(volume_l)} L x (1 - {target:g} / {shown(now)}) (conservation of mass)",),
        caution="Lower a stocked tank by at most 2 a day (common practice).",
    )  # fmt: skip


def top_up(volume_l: Measured, now: Measured, target: float) -> Answer:
    """Litres of pure water that evaporation took from a tank of ``volume_l`` litres when full, by its salinity.

    ``now`` with the water low, ``target`` when full; numbers or ranges; nothing where it is not too salty. Error: the
    range. Source: the conservation of mass.
    """
    within("the target salinity", target, 1, 42, "(practical)")
    within("the salinity", ends(now)[0], 0.1, 60, "(practical)")
    value, low, high = through(lambda v, s: v * max(1 - target / s, 0.0), volume_l, now)
    work = (f"{shown(volume_l)} L when full x (1 - {target:g} / {shown(now)}) (conservation of mass)",)
    return Answer(
        "pure water to top up", value, low, high, "L", work, caution="Top up with pure water, never with salt."
    )


def volume_from_dose(dose_mg: Measured, before_mg_l: Measured, after_mg_l: Measured) -> Answer:
    """Net volume, L, from a dose (mg) and the readings before it and after it has mixed (mg/L, same basis).

    Numbers or ranges; ``high`` is infinite where the readings could be equal. Error: the range; nothing may be used up
    meanwhile. Source: the conservation of mass. Raises ValueError where the reading did not rise.
    """
    value, low, high = _volume(dose_mg, before_mg_l, after_mg_l, "reading")
    work = (f"{shown(dose_mg)} mg lifted the reading from {shown(before_mg_l)} to {shown(after_mg_l)} mg/L",)
    return Answer("net volume", value, low, high, "L", work)


def volume_from_salt(grams: Measured, before: Measured, after: Measured, factor: Measured = SALT_FACTOR) -> Answer:
    """Net volume, L, from the salt (g) that took it from salinity ``before`` to ``after``; ``factor`` as `salt_to_add`.

    Numbers or ranges; ``high`` is infinite where the readings could be equal. Error: the range. Source: the
    conservation of mass. Raises ValueError where salinity did not rise.
    """
    within("the salt factor", ends(factor)[0], 0.9, 1.5, "g/L")
    (few, many), (small, large) = ends(grams), ends(factor)
    value, low, high = _volume((few / large, many / small), before, after, "salinity")
    work = (
        f"{shown(grams)} g at {shown(factor)} g a litre and unit took salinity from {shown(before)} to {shown(after)}",
    )
    return Answer("net volume", value, low, high, "L", work)


def _volume(dose: Measured, before: Measured, after: Measured, what: str) -> tuple[float, float, float]:
    if sum(ends(after)) <= sum(ends(before)):
        raise ValueError(f"the {what} went from {shown(before)} to {shown(after)}: no rise, so no volume follows")
    return through(lambda d, b, a: d / (a - b) if a > b else math.inf, dose, before, after)


def _must_rise(before: Measured, after: Measured, what: str) -> None:
    if ends(after)[0] <= ends(before)[1]:
        raise ValueError(f"the {what} went from {shown(before)} to {shown(after)}: it must surely have risen")
