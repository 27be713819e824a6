"""Which test on which day would narrow the forecast most: expected spread of the finishing day after each of them."""

from __future__ import annotations

from typing import Annotated

import numpy as np

from reefjournal.believed import Believed
from reefjournal.nitrification.likelihood import LEAST_NOISE, NOISE
from reefjournal.nitrification.model import Array, Course
from reefjournal.nitrification.results import NextTest
from reefjournal.nitrification.run import Analyte

DAYS_AHEAD: Annotated[int, Believed("days", "how far ahead the next test is looked for", "our judgement")] = 7
# Nitrate is left out, nitrite spoils it.
CARDS: Annotated[
    dict[Analyte, tuple[float, ...]],
    Believed("mg N/L", "edges between the colours of a common card, to say what a test could show", "common practice"),
] = {
    "ammonia": (0.1, 0.35, 0.7, 1.4, 2.8),
    "nitrite": (0.1, 0.3, 0.6, 1.2, 2.4),
}
_MISREAD: Annotated[float, Believed("chance", "that the next test is misread", "our judgement")] = 0.05


def next_test(course: Course, finish: Array, on: float) -> NextTest | None:
    """The best test of the coming days for the finishing days (n,), clipped at the horizon; None if they are known."""
    before = float(np.std(finish))
    if before < 0.5:
        return None
    days = on + np.arange(1, DAYS_AHEAD + 1, dtype=float)
    found = [
        NextTest(analyte, float(day), 1 - _spread_after(shown, finish, card) / before)
        for analyte, card in CARDS.items()
        for day, shown in zip(days, course.at(analyte, days), strict=True)
    ]
    return max(found, key=lambda test: round(test.narrows, 2))


def _spread_after(shown: Array, finish: Array, card: tuple[float, ...]) -> float:
    """Expected standard deviation of the finish once the colour is known, over all colours that it may be."""
    floor, edges = card[0], np.log1p(np.array(card) / card[0])
    noise = max(NOISE * float(np.median(np.diff(edges))), LEAST_NOISE)
    below = 1 / (1 + np.exp(-(edges[:, None] - np.log1p(shown / floor)) / noise))
    colours = np.diff(np.vstack([np.zeros_like(shown), below, np.ones_like(shown)]), axis=0)
    colours = (1 - _MISREAD) * colours + _MISREAD / len(colours)
    share = colours.sum(axis=1)
    mean = (colours * finish).sum(axis=1) / share
    variance = (colours * (finish - mean[:, None]) ** 2).sum(axis=1) / share
    return float(share @ np.sqrt(variance) / share.sum())
