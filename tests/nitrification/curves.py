"""The reference curves in data/; parameter sets, states and readings built from plain numbers."""

import csv
import math
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from reefjournal.nitrification.model import Array, Kinetics, State
from reefjournal.nitrification.run import Analyte, Dose, Reading, Run

DATA = Path(__file__).parent / "data"
CURVE_KINETICS = {"growth1": 0.6, "growth2": 0.45, "half1": 0.5, "half2": 0.5, "decay1": 0.02, "decay2": 0.02}


def table(name: str) -> dict[str, Array]:
    """The columns of a data file by their header names."""
    lines = (line for line in (DATA / name).read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    rows = list(csv.DictReader(lines))
    return {column: np.array([float(row[column]) for row in rows]) for column in rows[0]}


def kinetics(n: int = 1, **values: float) -> Kinetics:
    """n equal parameter sets: those of the reference curves, with these values in their place."""
    plain = {"theta1": 1.08, "theta2": 1.06, "inhibition": 0.6, "release": 0.2, "loss": 0.0}
    return Kinetics(**{name: np.full(n, value) for name, value in (plain | CURVE_KINETICS | values).items()})


def state(n: int = 1, **values: float) -> State:
    """n equal states: 2 mg N/L ammonia and the unseeded filter of the reference curves, with these values."""
    plain = {"ammonia": 2.0, "nitrite": 0.0, "nitrate": 0.0, "capacity1": 4e-4, "capacity2": 9e-4, "tissue": 0.0}
    return State(**{name: np.full(n, value) for name, value in (plain | values).items()})


# A card with the colours 0, 0.25, 0.5, 1, 2, 4, 8 mg N/L: its intervals end at geometric midpoints.
CARD = (0.0, 0.125, 0.354, 0.707, 1.41, 2.83, 5.66, math.inf)


def interval(shown: float, card: tuple[float, ...] = CARD) -> tuple[float, float]:
    """The interval of the card's colour nearest to what the kit shows."""
    colour = int(np.searchsorted(card, shown, side="right")) - 1
    return card[colour], card[colour + 1]


def reading(analyte: Analyte, day: float, shown: float | None, kit: str = "home") -> Reading:
    """One reader's reading of what the kit shows; None was unreadable."""
    look = None if shown is None else interval(shown)
    return Reading(f"{analyte} {day:g}", day, analyte, kit, (look,))


def cycle(days: Iterable[float], *, ammonia_offset: float = 0.0, **shown: float) -> Run:
    """Reference curve A read without error on these days, but for an offset, and for other values on single days."""
    curve = table("ref_A_unseeded.csv")
    readings = []
    for day in days:
        for analyte, column in (("ammonia", "TAN_mgN_L"), ("nitrite", "NO2_mgN_L")):
            truth = float(np.interp(day, curve["day"], curve[column]))
            value = shown.get(f"{analyte}{day:g}", truth + ammonia_offset * (analyte == "ammonia"))
            readings.append(reading(analyte, day, value))
    return Run(doses=(Dose(0, 2.0),), readings=tuple(readings))
