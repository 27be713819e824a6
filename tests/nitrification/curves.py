"""The reference curves in data/, and parameter sets and states built from plain numbers."""

import csv
from pathlib import Path

import numpy as np

from reefjournal.nitrification.model import Array, Kinetics, State

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
