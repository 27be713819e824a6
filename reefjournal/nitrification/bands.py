"""The course of ammonia and nitrite as bands of probability, for a chart."""

from __future__ import annotations

import numpy as np

from reefjournal.nitrification.fit import fit
from reefjournal.nitrification.results import Band
from reefjournal.nitrification.run import Run

PER_DAY = 2
SHARES = (0.1, 0.25, 0.5, 0.75, 0.9)


def bands(run: Run, last: float) -> tuple[Band, ...]:
    """What the readings leave possible from the start of the run to day `last`, twice a day. Fits the run."""
    course = fit(run).course(last)
    days = np.arange(0, last + 0.5 / PER_DAY, 1 / PER_DAY)
    found = []
    for analyte in ("ammonia", "nitrite"):
        values = np.quantile(course.at(analyte, days), SHARES, axis=1)
        found.append(Band(analyte, tuple(map(float, days)), tuple(tuple(map(float, row)) for row in values)))
    return tuple(found)
