"""Questions about salinity, salt and the water that evaporates."""

from __future__ import annotations

import click

from reefjournal.chemistry.answer import Answer, Measured, ends, through
from reefjournal.chemistry.salinity import REFERENCES, Reference, salinity_of_reading
from reefjournal.chemistry.salt import (
    SALT_FACTOR,
    fresh_water_to_exchange,
    salinity_after_evaporation,
    salt_factor,
    salt_to_add,
    top_up,
)
from reefjournal.cli.work_out.inputs import VOLUME
from reefjournal.cli.work_out.quantity import Number
from reefjournal.cli.work_out.result import Result, number, of_answer, spread
from reefjournal.cli.work_out.topic import Input, Topic
from reefjournal.cli.work_out.units import CELSIUS, CONDUCTIVITY, FACTOR, GRAMS, GRAVITY, LITRES, NET_LITRES, PPT

TARGET = Input("to", "Salinity wanted.", Number(PPT, single=True), default=35.0)
ANY_SCALE = "unknown"


def salt(volume: Measured, to: float, now: Measured, factor: Measured) -> Result:
    """Salt to add, or water to replace by pure water where it is too salty."""
    if ends(now)[0] > to:
        return of_answer(fresh_water_to_exchange(volume, now, to))
    found = salt_to_add(volume, now, to, factor)
    heavy = number(found.value / 1000) + " kg" + spread(found.low / 1000, found.high / 1000, " kg")
    return of_answer(found, f"Salt: {heavy}" if found.value >= 1000 else "")


def own_factor(grams: Measured, volume: Measured, before: Measured, after: Measured) -> Result:
    """The keeper's own salt factor."""
    return of_answer(salt_factor(grams, volume, before, after))


def salinity(
    hydrometer: Measured | None,
    refractometer: Measured | None,
    conductivity: Measured | None,
    temperature: Measured | None,
    scale: str,
) -> Result:
    """Salinity from the one instrument that was read."""
    given = [reading for reading in (hydrometer, refractometer, conductivity) if reading is not None]
    if len(given) != 1:
        raise ValueError("one reading is needed: --hydrometer or --refractometer (SG), or --conductivity (mS/cm)")
    if refractometer is None and temperature is None:
        raise ValueError("the temperature of the water that was read is needed: --temperature, in °C (or 78F)")
    reference: Reference | None = next((name for name in REFERENCES if name == scale), None)
    unit = "hydrometer" if hydrometer is not None else "SG" if refractometer is not None else "mS/cm"
    found = salinity_of_reading(given[0], unit, 25.0 if temperature is None else temperature, reference)  # type: ignore[arg-type]
    more = ["0.001 in specific gravity is 1.3 in salinity"] if conductivity is None else []
    says = f"Salinity: {number(found.value)}{spread(found.low, found.high)}; it has no unit, and people call it ppt"
    return of_answer(found, says, more)


def topped(volume: Measured, now: Measured, to: float) -> Result:
    """Pure water that evaporation took."""
    return of_answer(top_up(volume, now, to))


def evaporation(volume: Measured, salinity: Measured, lost: Measured) -> Result:
    """Salinity once water has evaporated."""
    value, low, high = through(salinity_after_evaporation, salinity, volume, lost)
    work = ("salt stays behind: salinity x volume over what is left of it (conservation of mass)",)
    found = Answer("salinity", value, low, high, "ppt", work, "Top up with pure water, never with salt water.")
    return of_answer(found)


TOPICS = (
    Topic(
        "salt",
        "How much salt to mix or to add for a salinity, or how much water to replace where it is too salty.",
        "--volume 290 --to 35",
        (
            VOLUME,
            TARGET,
            Input("now", "Salinity now; 0 is pure water.", Number(PPT), default=0.0, noted="salinity"),
            Input("factor", "Salt for a litre and unit of salinity; see salt-factor.", Number(FACTOR),
                  default=SALT_FACTOR),
        ),
        salt,
    ),
    Topic(
        "salt-factor",
        "How much of your own salt a litre takes for one unit of salinity, from a batch you mixed and read.",
        "--grams 1900 --volume 50 --after 35",
        (
            Input("grams", "Salt that was weighed.", Number(GRAMS)),
            Input("volume", "Water that was measured.", Number(NET_LITRES)),
            Input("before", "Salinity before it.", Number(PPT), default=0.0),
            Input("after", "Salinity once it has dissolved.", Number(PPT)),
        ),
        own_factor,
    ),
    Topic(
        "salinity",
        "What salinity a hydrometer, a refractometer or a conductivity meter has read.",
        "--hydrometer 1.0245 --temperature 78F --scale 60/60F",
        (
            Input("hydrometer", "Read in the water as it is, not corrected.", Number(GRAVITY), optional=True),
            Input("refractometer", "Read, and corrected by the instrument.", Number(GRAVITY), optional=True),
            Input("conductivity", "At the water's own temperature, not compensated.", Number(CONDUCTIVITY),
                  optional=True),
            Input("temperature", "Of the water that was read.", Number(CELSIUS), optional=True, noted="temperature"),
            Input("scale", "What is printed on the instrument.", click.Choice([*REFERENCES, ANY_SCALE]),
                  default=ANY_SCALE),
        ),
        salinity,
        in_notes="--conductivity 54",
    ),
    Topic(
        "top-up",
        "How much pure water evaporation has taken, by the salinity.",
        "--volume 290 --now 36.2",
        (VOLUME, Input("now", "Salinity with the water low.", Number(PPT), noted="salinity"), TARGET),
        topped,
    ),
    Topic(
        "evaporation",
        "What the salinity becomes when water evaporates and is not topped up.",
        "--volume 290 --salinity 35 --lost 12",
        (
            VOLUME,
            Input("salinity", "With the water full.", Number(PPT), noted="salinity"),
            Input("lost", "Water that evaporates.", Number(LITRES)),
        ),
        evaporation,
        in_notes="--lost 12",
    ),
)  # fmt: skip
