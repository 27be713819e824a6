"""How much of a thing a step asks for. A rule names one of these functions; it never holds an expression."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.chemistry.carbonate import alkalinity_salt_grams, calcium_salt_grams, magnesium_salt_grams
from reefjournal.chemistry.dosing import ammonium_chloride_grams
from reefjournal.chemistry.salt import fresh_water_to_exchange, salt_to_add, top_up
from reefjournal.chemistry.water_change import share_needed
from reefjournal.chemistry.weights import PO4_PER_P, PROTEIN_PER_N
from reefjournal.facts import Fact, Property

Arguments = Mapping[str, float]
Grams = Callable[[float, float, str], float]
OPEN_UPWARDS = 1e9
FOOD_PHOSPHORUS: Annotated[float, Believed("g P/g", "phosphorus in dry food", "common practice", "0.8 to 1.5 %")] = 0.01
FOOD_PROTEIN: Annotated[float, Believed("of the mass", "the most protein in dry food", "common practice")] = 0.6
VOLUME_UNKNOWN = "the water volume is not known"


@dataclass(frozen=True)
class Worked:
    """An amount that was worked out. ``nitrogen`` is the most by which it lifts the ammonia, in mg N/L."""

    value: float
    unit: str
    substance: str
    nitrogen: float = 0.0

    @property
    def written(self) -> str:
        """The amount as a reader sees it."""
        return f"{self.value:g} {self.unit} {'of ' * (self.unit == 'L')}{self.substance}"


@dataclass(frozen=True)
class Function:
    """A named amount function: the numbers it takes, with their units, and what it gives to the water."""

    takes: Mapping[str, str]
    work: Callable[[Sequence[Fact], Arguments], Worked | str]
    gives: str = ""


def ammonium_chloride(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Grams that lift the ammonia by ``target`` mg N/L at the low end of the volume, rounded down: never above it."""
    volume = volume_low(facts)
    if volume is None:
        return VOLUME_UNKNOWN
    grams = rounded_down(ammonium_chloride_grams(arguments["target"], volume))
    return Worked(grams, "g", "ammonium chloride", nitrogen=arguments["target"])


def ammonium_chloride_up_to(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Grams that lift the ammonia to ``target`` mg N/L from the middle of its reading; below detection is nothing."""
    level = stated(facts, "level", analyte="ammonia")
    there = number(level, "middle") if number(level, "rank") > 0 else 0.0
    lift = arguments["target"] - there
    if lift <= 0:
        return "enough ammonia may be there already"
    return ammonium_chloride(facts, {"target": lift})


def alkalinity_step(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Grams of sodium bicarbonate towards ``target`` dKH from the latest reading, at most ``most`` dKH at once."""
    volume, now = volume_low(facts), number(stated(facts, "level", analyte="alkalinity"), "middle")
    if volume is None:
        return VOLUME_UNKNOWN
    if math.isnan(now):
        return "alkalinity was not measured"
    rise = min(arguments["target"] - now, arguments["most"])
    if rise <= 0:
        return "alkalinity is high enough"
    grams = alkalinity_salt_grams(rise, volume, "sodium bicarbonate")
    return Worked(rounded_down(grams), "g", "sodium bicarbonate")


def alkalinity_used(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Grams of sodium bicarbonate a day that make good what alkalinity lost between two readings, ``most`` dKH."""
    volume, used = volume_low(facts), -number(stated(facts, "drift", analyte="alkalinity"), "a_day")
    if volume is None:
        return VOLUME_UNKNOWN
    if not used > 0:
        return "alkalinity does not fall"
    grams = alkalinity_salt_grams(min(used, arguments["most"]), volume, "sodium bicarbonate")
    return Worked(rounded_down(grams), "g", "sodium bicarbonate")


def mineral_step(analyte: str, salt: str, grams: Grams) -> Callable[[Sequence[Fact], Arguments], Worked | str]:
    """Grams of a salt towards ``target`` mg/L from the latest reading of an analyte, at most ``most`` mg/L at once."""

    def work(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
        volume, now = volume_low(facts), number(stated(facts, "level", analyte=analyte), "middle")
        if volume is None:
            return VOLUME_UNKNOWN
        rise = min(arguments["target"] - now, arguments["most"])
        if not rise > 0:
            return f"{analyte} is high enough, or was not measured"
        return Worked(rounded_down(grams(rise, volume, salt)), "g", salt)

    return work


def water_to_top_up(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Litres of pure water that evaporation took, by the latest salinity against ``target`` g/kg when full.

    At most ``most`` g/kg at once where something may live.
    """
    volume, now = volume_low(facts), number(stated(facts, "level", analyte="salinity"), "low")
    if volume is None:
        return VOLUME_UNKNOWN
    target = max(arguments["target"], now - at_once(facts, arguments["most"]))
    return Worked(rounded_down(top_up(volume, now, target).low), "L", "pure water")


def nitrate_step(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Litres to change towards ``target`` mg N/L from the middle of the latest nitrate, at most a ``most`` share."""
    now = number(stated(facts, "level", analyte="nitrate"), "middle")
    if math.isnan(now):
        return "nitrate was not measured"
    return water_change(facts, {"share": min(arguments["most"], share_needed(now, arguments["target"]))})


def food_for_phosphate(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Grams of dry food that bring ``target`` mg/L of phosphate once they have rotted, and some nitrogen with it."""
    volume = volume_low(facts)
    if volume is None:
        return VOLUME_UNKNOWN
    grams = rounded_down(arguments["target"] * volume / 1000 / PO4_PER_P / FOOD_PHOSPHORUS)
    return Worked(grams, "g", "dry food", nitrogen=grams * 1000 * FOOD_PROTEIN / PROTEIN_PER_N / volume)


def salt_to_reach(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Grams of bought salt from the latest salinity to ``target`` g/kg, the least that any mix would take.

    At most ``most`` g/kg at once where something may live.
    """
    volume, now = volume_low(facts), number(stated(facts, "level", analyte="salinity"), "high")
    if volume is None:
        return VOLUME_UNKNOWN
    target = min(arguments["target"], now + at_once(facts, arguments["most"]))
    return Worked(rounded_down(salt_to_add(volume, now, target).low), "g", "salt mix")


def fresh_water_for(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Litres of pure water to put in the place of tank water, from the latest salinity down to ``target`` g/kg.

    At most ``most`` g/kg at once where something may live.
    """
    volume, now = volume_low(facts), number(stated(facts, "level", analyte="salinity"), "low")
    if volume is None:
        return VOLUME_UNKNOWN
    target = max(arguments["target"], now - at_once(facts, arguments["most"]))
    return Worked(rounded_down(fresh_water_to_exchange(volume, now, target).low), "L", "pure water")


def at_once(facts: Sequence[Fact], most: float) -> float:
    """How far something may be moved at once: ``most``, and without bound only where nothing lives."""
    return math.inf if stated(facts, "animals", group="any", present="no") else most


def change_for(analyte: str) -> Callable[[Sequence[Fact], Arguments], Worked | str]:
    """Litres to change so that the latest reading of an analyte, at its high end, comes down to ``target`` mg/L."""

    def work(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
        level = stated(facts, "level", analyte=analyte)
        now = number(level, "high") if number(level, "high") < OPEN_UPWARDS else number(level, "low")
        if math.isnan(now):
            return f"{analyte} was not measured"
        return water_change(facts, {"share": share_needed(now, arguments["target"])})

    return work


def change_for_nitrate(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Litres to change so that nitrate, at its low end, comes down to ``target`` mg N/L.

    A number whose basis is not known may be four times what is there, and a second change is easier than one too large.
    """
    now = number(stated(facts, "level", analyte="nitrate"), "low")
    if math.isnan(now):
        return "nitrate was not measured"
    return water_change(facts, {"share": share_needed(now, arguments["target"])})


def change_for_free_ammonia(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Litres to change so that free ammonia comes down to ``target`` mg NH3/L, from ``least`` to ``most`` of the water.

    The pH of the new water counts too: the share is worked out anew from the next reading.
    """
    now = number(stated(facts, "free-ammonia"), "value")
    if math.isnan(now):
        return "free ammonia is not known"
    share = max(arguments["least"], share_needed(now, arguments["target"]))
    return water_change(facts, {"share": min(arguments["most"], share)})


def water_change(facts: Sequence[Fact], arguments: Arguments) -> Worked | str:
    """Litres that are a ``share`` (0 to 1) of the volume."""
    volume = volume_low(facts)
    if volume is None:
        return VOLUME_UNKNOWN
    return Worked(rounded_down(arguments["share"] * volume), "L", "new salt water")


FUNCTIONS: Mapping[str, Function] = {
    "ammonium-chloride": Function({"target": "mg N/L"}, ammonium_chloride, gives="ammonia"),
    "ammonium-chloride-up-to": Function({"target": "mg N/L"}, ammonium_chloride_up_to, gives="ammonia"),
    "water-change": Function({"share": "of the volume, 0 to 1"}, water_change),
    "change-for-ammonia": Function({"target": "mg N/L"}, change_for("ammonia")),
    "change-for-nitrate": Function({"target": "mg N/L"}, change_for_nitrate),
    "change-for-free-ammonia": Function(
        {"target": "mg NH3/L", "least": "of the volume, 0 to 1", "most": "of the volume, 0 to 1"},
        change_for_free_ammonia,
    ),
    "salt-to-reach": Function({"target": "g/kg", "most": "g/kg at once with animals"}, salt_to_reach),
    "fresh-water-for": Function({"target": "g/kg", "most": "g/kg at once with animals"}, fresh_water_for),
    "food-for-phosphate": Function({"target": "mg PO4/L"}, food_for_phosphate),
    "alkalinity-step": Function({"target": "dKH", "most": "dKH at once"}, alkalinity_step),
    "alkalinity-used": Function({"most": "dKH a day"}, alkalinity_used),
    "calcium-step": Function(
        {"target": "mg/L", "most": "mg/L at once"},
        mineral_step("calcium", "calcium chloride dihydrate", calcium_salt_grams),
    ),
    "magnesium-step": Function(
        {"target": "mg/L", "most": "mg/L at once"},
        mineral_step("magnesium", "magnesium chloride hexahydrate", magnesium_salt_grams),
    ),
    "nitrate-step": Function({"target": "mg N/L", "most": "of the volume, 0 to 1"}, nitrate_step),
    "top-up": Function({"target": "g/kg", "most": "g/kg at once with animals"}, water_to_top_up),
}


def work_out(name: str, facts: Sequence[Fact], arguments: Mapping[str, Property]) -> Worked | str:
    """The amount, or the reason why it cannot be had."""
    numbers = {key: float(value) for key, value in arguments.items()}
    try:
        return FUNCTIONS[name].work(facts, numbers)
    except ValueError as reason:
        return str(reason)


def stated(facts: Sequence[Fact], kind: str, **wanted: str) -> Fact | None:
    """The first fact of a kind about the vessel itself with these properties."""
    for fact in facts:
        here = fact.kind == kind and fact.properties.get("where") == "here"
        if here and all(fact.properties.get(name) == value for name, value in wanted.items()):
            return fact
    return None


def number(fact: Fact | None, name: str) -> float:
    """A number property, NaN where the fact or the number is missing."""
    value = fact.properties.get(name, math.nan) if fact else math.nan
    return value if isinstance(value, (int, float)) else math.nan


def volume_low(facts: Sequence[Fact]) -> float | None:
    """The low end of the vessel's water volume in L, where it is known."""
    system = stated(facts, "system", volume_known="yes")
    volume = number(system, "volume_low")
    return volume if 0 < volume < math.inf else None


def rounded_down(value: float) -> float:
    """To two figures, and never more."""
    if value <= 0:
        return 0.0
    if not math.isfinite(value):
        raise ValueError("more than can be reckoned with")
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return round(math.floor(value / step + 1e-9) * step, 6)
