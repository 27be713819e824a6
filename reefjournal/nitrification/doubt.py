"""What should not be trusted: single readings, whole kits, and a nitrogen sum that does not come out even."""

from __future__ import annotations

import math
from typing import Annotated

import numpy as np

from reefjournal.believed import Believed
from reefjournal.nitrification.fit import Fit
from reefjournal.nitrification.likelihood import KIT_STATES
from reefjournal.nitrification.model import Course
from reefjournal.nitrification.results import DoubtedReading, KitFinding, NitrogenBalance
from reefjournal.nitrification.run import ANALYTES, Analyte, Reading, Run

FRESH_DAYS: Annotated[
    float, Believed("days", "how far apart the readings may be that make up a nitrogen sum", "our judgement")
] = 4.0


def doubted(fit: Fit, course: Course) -> tuple[tuple[DoubtedReading, ...], tuple[KitFinding, ...]]:
    """Every reading's probability of being a misreading, and what is to be thought of every kit."""
    readings, kits = [], []
    for kit in fit.readings.kits:
        states, misread = kit.verdict(course, fit.z, fit.unknowns)
        truth = np.quantile(course.at(kit.analyte, kit.times), (0.1, 0.5, 0.9), axis=1).T
        for reading, chance, (low, middle, high) in zip(kit.readings, misread, truth, strict=True):
            readings.append(DoubtedReading(reading.id, float(chance), (float(low), float(middle), float(high))))
        named = tuple((s.name, float(p)) for s, p in zip(KIT_STATES[kit.analyte], states, strict=True))
        kits.append(_finding(fit.unknowns.run, kit.analyte, kit.name, named, kit.step))
    return tuple(sorted(readings, key=lambda r: -r.misread)), (*kits, *_silent(fit))


def _finding(
    run: Run, analyte: Analyte, name: str, states: tuple[tuple[str, float], ...], step: float | None = None
) -> KitFinding:
    tried = [r for r in run.readings if (r.analyte, r.kit) == (analyte, name) and not r.discarded]
    return KitFinding(analyte, name, states, len(tried), sum(not r.seen for r in tried), step)


def _silent(fit: Fit) -> list[KitFinding]:
    """Kits of which not one reading could be used."""
    run = fit.unknowns.run
    tried = {(r.analyte, r.kit) for r in run.readings if not r.discarded}
    return [_finding(run, *key, ()) for key in sorted(tried - set(fit.unknowns.kits))]


def balance(run: Run, allowed: Course) -> NitrogenBalance | None:
    """Nitrogen put in (courses of the prior) against nitrogen found; None until all three have been read lately."""
    latest = [_latest(run, analyte) for analyte in ANALYTES]
    usable = [reading for reading in latest if reading is not None]
    day = max((reading.time for reading in usable), default=0.0)
    if len(usable) < len(ANALYTES) or any(reading.time < day - FRESH_DAYS for reading in usable):
        return None
    ends = [(min(low for low, _ in r.seen), max(high for _, high in r.seen)) for r in usable]
    put_in = sum(allowed.at(analyte, np.array([day])) for analyte in ANALYTES)
    low, high = np.quantile(put_in, (0.1, 0.9))
    least, most = (sum(column) for column in zip(*ends, strict=True))
    found = (least, most if math.isfinite(most) else None)
    return NitrogenBalance(day, (float(low), float(high)), found, nitrite_present=ends[1][0] > 0)


def _latest(run: Run, analyte: Analyte) -> Reading | None:
    usable = [r for r in run.readings if r.analyte == analyte and r.counts]
    return max(usable, key=lambda reading: reading.time, default=None)
