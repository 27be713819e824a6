"""Questions about changing water, about how much there is of it, and about its oxygen."""

from __future__ import annotations

from dataclasses import replace

import click

from reefjournal.chemistry.ammonia import EPA_CHRONIC
from reefjournal.chemistry.answer import Answer, Measured, ends, middle, shown, through
from reefjournal.chemistry.oxygen import oxygen_percent, oxygen_saturation_mg_l
from reefjournal.chemistry.salt import SALT_FACTOR, volume_from_dose, volume_from_salt
from reefjournal.chemistry.water_change import NEW_WATER_PH, Water, emergency_change, water_change
from reefjournal.cli.work_out.inputs import PH_NBS, SALINITY, TEMPERATURE, VOLUME
from reefjournal.cli.work_out.quantity import Number
from reefjournal.cli.work_out.result import Result, number, of_answer, spread
from reefjournal.cli.work_out.topic import Input, Topic
from reefjournal.cli.work_out.units import (
    CENTIMETRES,
    FACTOR,
    GRAMS,
    KILOGRAMS,
    LITRES,
    MG,
    MG_N,
    MG_NH3,
    MG_NO2,
    MG_NO3,
    MG_PO4,
    MILLIGRAMS,
    MILLIMETRES,
    PH,
    PPT,
)
from reefjournal.workshop.volumes import box_volume_l, inside_cm, net_volume

OF = {"nitrate": MG_NO3, "nitrite": MG_NO2, "phosphate": MG_PO4}


def change(of: str, now: Measured, to: float, new: Measured, volume: Measured) -> Result:
    """Litres to change for a target."""
    unit = OF[of].words
    found = water_change(now, to, volume, new, unit)
    if found.high <= 0:
        return of_answer(found, f"Water to change: none; {of} is at {to:g} {unit} or below")
    share = 100 * found.value / middle(volume)
    says = f"Water to change: {number(found.value)} L{spread(found.low, found.high, ' L')}, {share:.0f} % of the volume"
    return of_answer(found, says)


def emergency(
    ammonia: Measured,
    to: float,
    volume: Measured,
    ph: Measured,
    temperature: Measured,
    salinity: Measured,
    new_ph: float,
) -> Result:
    """Litres to change at once for un-ionised ammonia, the most that may be needed; new water differs in its pH."""
    tank = Water(ends(ph)[1], ends(temperature)[1], ends(salinity)[0])
    found = emergency_change(ammonia, to, volume, tank, Water(new_ph, tank.temperature, tank.salinity))
    if found.high <= 0:
        return of_answer(found, f"Water to change: none, {to:g} mg NH3/L is not passed")
    unsure = "" if number(found.low) == number(found.high) else f", the high end of {shown((found.low, found.high))} L"
    return of_answer(replace(found, value=found.high), f"Water to change: {number(found.high)} L{unsure}")


def net(length: float, width: float, depth: float, glass: float, sump: float, rock: float, sand: float) -> Result:
    """Net volume from sizes, from outside ones unless the glass is 0."""
    if glass:
        length, width, _ = inside_cm((length, width, 1000), glass)
    vessels = {"tank": box_volume_l(length, width, depth)} | ({"sump": sump} if sump else {})
    found = net_volume(vessels, rock, sand)
    inside = (f"tank: {length:g} x {width:g} x {depth:g} cm inside, to the water line (geometry)",)
    return of_answer(
        Answer("net volume", found.value, found.low, found.high, "L", (*inside, *found.working), found.caution)
    )


def by_dose(dose: Measured, before: Measured, after: Measured) -> Result:
    """Net volume from a dose and the reading after it."""
    return of_answer(volume_from_dose(dose, before, after), more=["nothing of it may be used up before the reading"])


def by_salt(grams: Measured, before: Measured, after: Measured, factor: Measured) -> Result:
    """Net volume from a salting."""
    return of_answer(volume_from_salt(grams, before, after, factor))


def oxygen(temperature: Measured, salinity: Measured, measured: Measured | None) -> Result:
    """What the water can hold, and the share of it that was measured."""
    if measured is not None:
        return of_answer(oxygen_percent(measured, temperature, salinity))
    value, low, high = through(oxygen_saturation_mg_l, temperature, salinity)
    work = ("at sea level, by Garcia and Gordon 1992; air pressure counts in proportion, so 1000 m up it is 12 % less",)
    return of_answer(Answer("oxygen in balance with the air", value, low, high, "mg/L", work))


TOPICS = (
    Topic(
        "water-change",
        "How many litres to change so that a concentration comes down to a target.",
        "--now 40 --to 10 --volume 290",
        (
            Input("of", "What is to come down; the numbers may be of anything in one unit.", click.Choice(list(OF)),
                  default="nitrate"),
            Input("now", "In the tank.", Number(MG_NO3), noted="what is to come down"),
            Input("to", "Wanted.", Number(MG_NO3, single=True)),
            Input("new", "In the new water.", Number(MG_NO3), default=0.0),
            VOLUME,
        ),
        change,
        in_notes="--to 10",
    ),
    Topic(
        "emergency-change",
        "How many litres to change at once so that un-ionised ammonia no longer harms.",
        "--ammonia 1 --ph 8.2 --temperature 25.5 --salinity 35 --volume 290",
        (
            Input("ammonia", "Total ammonia; a kit that counts NH4: '1 as NH4'.", Number(MG_N), noted="ammonia"),
            Input("to", "Un-ionised ammonia that is borne.", Number(MG_NH3, single=True), default=EPA_CHRONIC),
            VOLUME,
            PH_NBS,
            TEMPERATURE,
            SALINITY,
            Input("new_ph", "pH of the new water.", Number(PH, single=True), default=NEW_WATER_PH),
        ),
        emergency,
    ),
    Topic(
        "net-volume",
        "How much water a tank holds, from its size, its rock and its sand: an estimate.",
        "--length 120 --width 55 --depth 45 --glass 10 --sump 40 --rock 22",
        (
            Input("length", "Outside; inside with --glass 0.", Number(CENTIMETRES, single=True), noted="length"),
            Input("width", "Outside; inside with --glass 0.", Number(CENTIMETRES, single=True), noted="width"),
            Input("depth", "Depth of the water.", Number(CENTIMETRES, single=True)),
            Input("glass", "Its thickness; 0 where the sizes are from inside.", Number(MILLIMETRES, single=True)),
            Input("sump", "Water in the sump while the pumps run.", Number(LITRES, single=True), default=0.0),
            Input("rock", "Rock in the water.", Number(KILOGRAMS, single=True), default=0.0),
            Input("sand", "Sand in the water.", Number(KILOGRAMS, single=True), default=0.0),
        ),
        net,
        in_notes="--depth 45 --glass 10",
    ),
    Topic(
        "volume-by-dose",
        "The net volume, from a dose and the readings before and after it.",
        "--dose 458 --before 0.4 --after '1.9-2.1'",
        (
            Input("dose", "Mass that went in, of what the test counts.", Number(MILLIGRAMS)),
            Input("before", "Reading before it.", Number(MG), default=0.0),
            Input("after", "Reading once it has mixed.", Number(MG)),
        ),
        by_dose,
    ),
    Topic(
        "volume-by-salt",
        "The net volume, from the salt that was mixed in and the salinity it reached.",
        "--grams 10.8kg --after 34.6",
        (
            Input("grams", "Salt that went in.", Number(GRAMS)),
            Input("before", "Salinity before it.", Number(PPT), default=0.0),
            Input("after", "Salinity once it has dissolved.", Number(PPT)),
            Input("factor", "Salt for a litre and unit of salinity; see salt-factor.", Number(FACTOR),
                  default=SALT_FACTOR),
        ),
        by_salt,
    ),
    Topic(
        "oxygen",
        "How much oxygen the water can hold, and what share of it a reading is.",
        "--temperature 78F --salinity 35 --measured 6.1",
        (
            TEMPERATURE,
            SALINITY,
            Input("measured", "Oxygen that was measured.", Number(MG), optional=True, noted="oxygen"),
        ),
        oxygen,
    ),
)  # fmt: skip
