"""Un-ionised ammonia of the latest reading: what it may be, and what had to be assumed."""

from __future__ import annotations

from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.chemistry.ammonia import free_ammonia
from reefjournal.evidence.scene import OPEN, Sample, Scene
from reefjournal.facts import Fact

FRESH_DAYS: Annotated[
    dict[str, float],
    Believed("days", "how old a reading may be to reckon free ammonia with", "common practice"),
] = {"pH": 7.0, "temperature": 3.0, "salinity": 14.0}
_RANGE: Annotated[
    dict[str, tuple[float, float]],
    Believed(
        ("NBS", "°C", "practical"), "readings outside count as not measured: no tank, or no formula, reaches there",
        "our judgement",
    ),
] = {"pH": (7.0, 9.0), "temperature": (5.0, 35.0), "salinity": (5.0, 45.0)}  # fmt: skip


def _newest(scene: Scene, analyte: str) -> Sample | None:
    newest = scene.newest(analyte)
    low, high = _RANGE[analyte]
    if newest and scene.age_days(newest.reading) <= FRESH_DAYS[analyte]:
        return newest if low <= newest.low <= newest.high <= high else None
    return None


def harm(scene: Scene) -> list[Fact]:
    """Free ammonia in mg NH3/L, low to high over the formulas, the reading and what was assumed."""
    samples = scene.usable("ammonia")
    if not samples:
        return []
    last = samples[-1]
    own = {analyte: _newest(scene, analyte) for analyte in _RANGE}
    spans = {analyte: (s.low, s.high) if s else None for analyte, s in own.items()}
    total = (min(last.low, 1000.0), min(last.high, 1000.0))
    answer = free_ammonia(total, spans["pH"], spans["temperature"], spans["salinity"])
    # Of a reading that is open upwards only the low end is known: its middle would be made up.
    share = answer.value / sum(total) * 2 if sum(total) else 0.0
    return [
        scene.fact(
            "free-ammonia",
            [last.reading, *(s.reading for s in own.values() if s)],
            low=answer.low,
            high=OPEN if last.high >= OPEN else answer.high,
            value=share * total[0] if last.high >= OPEN else answer.value,
            assumed=", ".join(answer.assumed),
            day=last.day,
            written=last.written,
            age_days=scene.age_days(last.reading),
            total_low=last.low,
            total_high=last.high,
        )
    ]
