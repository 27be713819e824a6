"""Questions about ammonia, what becomes of it, and what the filter can take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from reefjournal.chemistry.ammonia import epa_criteria, free_ammonia
from reefjournal.chemistry.answer import Answer, Measured, ends, middle, shown
from reefjournal.chemistry.dosing import ammonia_dose, ammonium_chloride_mg_n, dose_added_mg_n_per_l
from reefjournal.chemistry.nitrogen import (
    Changed,
    Given,
    capacity_mg_n_per_day,
    food_load_mg_n_per_day,
    load_over_capacity,
    nitrogen_balance,
)
from reefjournal.chemistry.weights import NO2_PER_N, NO3_PER_N
from reefjournal.cli.work_out.inputs import PH_NBS, SALINITY, TEMPERATURE, VOLUME
from reefjournal.cli.work_out.quantity import Number, Unit
from reefjournal.cli.work_out.result import Result, number, of_answer, spread
from reefjournal.cli.work_out.topic import Input, Topic, Values
from reefjournal.cli.work_out.units import GRAMS, HOURS, MG_N, MG_NO2, MG_NO3, PERCENT

if TYPE_CHECKING:
    from reefjournal.cli.work_out.from_notes import Notes

PURITY = Input("purity", "Ammonium chloride in the salt.", Number(PERCENT, single=True), default=100.0)
BARE = "The notes were not asked: that nothing lives in this water is for you to know."


def ammonia(to: float, volume: Measured, now: Measured, purity: float) -> Result:
    """The dose of ammonium chloride; the low end of its range is the one to weigh."""
    found = ammonia_dose(to, volume, now, purity / 100)
    if found.low <= 0:
        says = f"Ammonium chloride: none, since {to:g} mg N/L may be there already"
    elif number(found.low) == number(found.high):
        says = f"Ammonium chloride: {number(found.low)} g"
    else:
        span = shown((found.low, found.high))
        says = f"Ammonium chloride: {number(found.low)} g, the low end of {span} g, so that {to:g} mg N/L is not passed"
    return of_answer(replace(found, value=found.low), says)


def harmless(notes: Notes | None, result: Result, values: Values) -> Result:
    """The dose, where the notes show that it harms nothing; bare, with the caution that they were not asked."""
    if notes is None:
        return replace(result, caution=f"{result.caution} {BARE}")
    grams = result.found.value
    notes.refuse_ammonia(grams, float(ammonium_chloride_mg_n(grams, values["purity"] / 100)), values["volume"])
    return result


def dose_added(grams: Measured, volume: Measured, purity: float) -> Result:
    """What a dose really added."""
    return of_answer(dose_added_mg_n_per_l(grams, volume, purity / 100))


def free(ammonia: Measured, ph: Measured | None, temperature: Measured | None, salinity: Measured | None) -> Result:
    """Un-ionised ammonia, held against the criteria where the water is known."""
    found = free_ammonia(ammonia, ph, temperature, salinity)
    if ph is None or temperature is None or salinity is None:
        return of_answer(found)
    limits = epa_criteria(middle(ph), middle(temperature), min(middle(salinity), 40.0))
    held = (
        f"most marine life bears {limits.chronic:.2g} mg N/L of total ammonia for four days in this water, and "
        f"{limits.acute:.2g} for an hour (US EPA 1989, EPA 440/5-88-004; the times from memory)"
    )
    return of_answer(found, more=[held])


def balance(
    given: Measured,
    changed: Measured,
    start: Measured,
    ammonia: Measured,
    nitrite: Measured,
    nitrate: Measured,
    volume: Measured | None,
    given_since: Sequence[Given | Changed] | None,
) -> Result:
    """Nitrogen found against nitrogen expected; without notes all was given first, and water changed then."""
    low, high = ends(changed)
    steps = given_since
    if steps is None or volume is None:
        steps, volume = (Given(given), Changed((low / 100, high / 100))), 1.0
    found = {
        "ammonia": ammonia,
        "nitrite": (ends(nitrite)[0] / NO2_PER_N, ends(nitrite)[1] / NO2_PER_N),
        "nitrate": (ends(nitrate)[0] / NO3_PER_N, ends(nitrate)[1] / NO3_PER_N),
    }
    answer = nitrogen_balance(steps, volume, found, start)
    line = f"Nitrogen found less expected: {shown(answer.value, 2)} mg N/L{spread(answer.low, answer.high, ' mg N/L')}"
    says = f"{line}; {verdict(answer)}" if answer.low < answer.high else line
    return of_answer(answer, says, ["nitrite spoils most nitrate tests (common practice)"])


def verdict(answer: Answer) -> str:
    """What a nitrogen balance says, with its error bar."""
    if answer.high < 0:
        return "some is missing: taken up, gone as gas, or a kit reads low"
    return "more came in than was written, or a kit reads high" if answer.low > 0 else "it adds up"


def capacity(
    dose: Measured,
    left: Measured,
    hours: Measured,
    volume: Measured,
    food: Measured | None,
    protein: Measured,
    load: Measured | None,
) -> Result:
    """What the filter has shown that it clears, and how the load of food stands against it."""
    proven = capacity_mg_n_per_day(dose, volume, hours, left)
    if food is not None:
        low, high = ends(protein)
        eaten = food_load_mg_n_per_day(food, (low / 100, high / 100))
        load, working = (eaten.low, eaten.high), (*eaten.working, *proven.working)
    else:
        working = proven.working
    if load is None:
        says = f"Proven capacity: {number(proven.low)} mg N a day (only the low end of the range is proof)"
        return of_answer(replace(proven, value=proven.low), says)
    held = load_over_capacity(load, (proven.low, proven.high))
    says = f"The load is {shown((held.low, held.high), 2)} times the proven capacity of {number(proven.low)} mg N a day"
    return of_answer(replace(held, working=(*working, *held.working), caution=MARGIN), says)


MARGIN = "Add animals a few at a time, and test ammonia and nitrite after each (common practice)."

TOPICS = (
    Topic(
        "ammonia",
        "How many grams of ammonium chloride bring the ammonia to a level, where nothing lives.",
        "--volume 290 --to 2",
        (
            Input("to", "Ammonia wanted, at most 4.", Number(MG_N, single=True)),
            VOLUME,
            Input("now", "Ammonia that is there.", Number(MG_N), default=0.0, noted="ammonia"),
            PURITY,
        ),
        ammonia,
        judged=harmless,
        in_notes="--to 2",
    ),
    Topic(
        "dose-added",
        "How much ammonia a dose of ammonium chloride really added.",
        "--grams 1.75 --volume 290",
        (Input("grams", "Ammonium chloride that went in.", Number(GRAMS)), VOLUME, PURITY),
        dose_added,
        in_notes="--grams 1.75",
    ),
    Topic(
        "free-ammonia",
        "How much of the ammonia is un-ionised, the poisonous form.",
        "--ammonia 0.5 --ph 8.2 --temperature 25.5 --salinity 35",
        (
            Input("ammonia", "Total ammonia; a kit that counts NH4: '0.5 as NH4'.", Number(MG_N), noted="ammonia"),
            replace(PH_NBS, optional=True),
            replace(TEMPERATURE, optional=True),
            replace(SALINITY, optional=True),
        ),
        free,
    ),
    Topic(
        "nitrogen-balance",
        "Whether the nitrogen that was given is found again in the tests.",
        "--given 4 --changed 20 --nitrate 14",
        (
            Input("given", "Ammonia given in all.", Number(MG_N), default=0.0),
            Input("changed", "Water changed after that, of the volume.", Number(PERCENT), default=0.0),
            Input("start", "All nitrogen before.", Number(MG_N), default=0.0, noted="nitrogen at the start"),
            Input("ammonia", "Found now.", Number(MG_N), default=0.0, noted="ammonia"),
            Input("nitrite", "Found now.", Number(MG_NO2), default=0.0, noted="nitrite"),
            Input("nitrate", "Found now.", Number(MG_NO3), noted="nitrate"),
            replace(VOLUME, says="Needed with --notes only.", optional=True),
            Input("given_since", "", Number(MG_N), optional=True, noted="nitrogen since the start", hidden=True),
        ),
        balance,
    ),
    Topic(
        "capacity",
        "How much ammonia the filter has shown that it clears in a day, and the load of food against that.",
        "--dose 1 --hours 24 --volume 290 --food 2 --protein 48",
        (
            Input("dose", "Ammonia that the challenge added.", Number(MG_N), noted="challenge dose"),
            Input("left", "Ammonia found after it.", Number(MG_N), default=0.0),
            Input("hours", "From the dose to that reading.", Number(HOURS), noted="challenge hours"),
            VOLUME,
            Input("food", "Dry food.", Number(Unit("g", "g a day")), optional=True),
            Input("protein", "Protein in the food.", Number(PERCENT), default=(30.0, 50.0)),
            Input("load", "Nitrogen of all food.", Number(Unit("mg N a day")), optional=True, noted="load"),
        ),
        capacity,
    ),
)  # fmt: skip
