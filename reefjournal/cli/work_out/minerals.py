"""Questions about alkalinity, calcium and magnesium."""

from __future__ import annotations

from functools import partial
from typing import Literal

import click

from reefjournal.chemistry.answer import Measured
from reefjournal.chemistry.aragonite import aragonite
from reefjournal.chemistry.carbonate import ALKALINITY_SALTS, CALCIUM_SALTS, MAGNESIUM_SALTS, addition
from reefjournal.cli.work_out.inputs import PH_NBS, SALINITY, TEMPERATURE, VOLUME
from reefjournal.cli.work_out.quantity import Number, Unit
from reefjournal.cli.work_out.result import Result, of_answer
from reefjournal.cli.work_out.topic import Input, Topic
from reefjournal.cli.work_out.units import DKH, MG

Mineral = Literal["alkalinity", "calcium", "magnesium"]


def lift(of: Mineral, now: Measured, to: float, volume: Measured, salt: str) -> Result:
    """Grams of a salt for a level."""
    return of_answer(addition(of, salt, now, to, volume))


def saturation(
    alkalinity: Measured, ph: Measured, temperature: Measured, salinity: Measured, calcium: Measured
) -> Result:
    """Aragonite saturation of the water."""
    return of_answer(aragonite(alkalinity, ph, temperature, salinity, calcium))


def _lifting(of: Mineral, unit: Unit, salts: dict[str, float], levels: str) -> Topic:
    now, to = levels.split()
    return Topic(
        of,
        f"How many grams of a salt lift the {of} to a level.",
        f"--now {now} --to {to} --volume 290",
        (
            Input("now", "In the tank" + (" (or '2.9 meq/L')." if unit is DKH else "."), Number(unit), noted=of),
            Input("to", "Wanted.", Number(unit, single=True)),
            VOLUME,
            Input("salt", "What is added.", click.Choice(list(salts)), default=next(iter(salts))),
        ),
        partial(lift, of),
        in_notes=f"--to {to}",
    )


TOPICS = (
    _lifting("alkalinity", DKH, ALKALINITY_SALTS, "7.2 8"),
    _lifting("calcium", MG, CALCIUM_SALTS, "390 420"),
    _lifting("magnesium", MG, MAGNESIUM_SALTS, "1250 1320"),
    Topic(
        "aragonite",
        "How far the water is from laying down or dissolving the mineral of stony corals.",
        "--alkalinity 8 --ph 8.2 --temperature 25.5 --salinity 35 --calcium 420",
        (
            Input("alkalinity", "Or '2.9 meq/L'.", Number(DKH), noted="alkalinity"),
            PH_NBS,
            TEMPERATURE,
            SALINITY,
            Input("calcium", "In the water.", Number(MG), noted="calcium"),
        ),
        saturation,
    ),
)
