"""What this very water allows: the published limits of ammonia at its pH, and the oxygen that it can hold."""

from __future__ import annotations

from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.chemistry.ammonia import ASSUMED, epa_criteria
from reefjournal.chemistry.oxygen import oxygen_saturation_mg_l
from reefjournal.evidence.harm import FRESH_DAYS
from reefjournal.evidence.scene import OPEN, Sample, Scene
from reefjournal.facts import UNKNOWN, Fact
from reefjournal.quantities import Interval

_RANGE: Annotated[
    dict[str, tuple[float, float]],
    Believed(
        ("NBS", "°C", "practical"), "readings outside the range of the EPA formula count as not measured",
        "our judgement: its tables end at 35 °C, its salt term near 40",
    ),
] = {"pH": (5.0, 10.0), "temperature": (0.0, 35.0), "salinity": (0.0, 40.0)}  # fmt: skip


def _own(scene: Scene, analyte: str) -> Sample | None:
    """The newest reading, where it is fresh and in range."""
    newest = scene.newest(analyte)
    low, high = _RANGE[analyte]
    if newest is None or scene.age_days(newest.reading) > FRESH_DAYS[analyte]:
        return None
    return newest if low <= newest.low <= newest.high <= high else None


def _span(sample: Sample | None, analyte: str) -> Interval:
    """What was measured, else the range of reef tanks."""
    return Interval(sample.low, sample.high) if sample else Interval(*ASSUMED[analyte])


def _assumed(**own: Sample | None) -> str:
    return ", ".join(name for name, sample in own.items() if sample is None)


def criteria(scene: Scene) -> list[Fact]:
    """The EPA limits as total ammonia, mg N/L, where pH and temperature were measured, and what is left to them.

    The share un-ionised rises with pH and warmth and falls with salt, so the ends of the limits lie at opposite ends.
    """
    ammonia, ph, temperature = scene.newest("ammonia"), _own(scene, "pH"), _own(scene, "temperature")
    if ammonia is None or ph is None or temperature is None:
        return []
    salt = _own(scene, "salinity")
    salinity = _span(salt, "salinity")
    strict = epa_criteria(ph.high, temperature.high, salinity.low)
    mild = epa_criteria(ph.low, temperature.low, salinity.high)
    high = UNKNOWN if ammonia.high >= OPEN else ammonia.high
    return [
        scene.fact(
            "criteria",
            [ammonia.reading, ph.reading, temperature.reading, salt.reading if salt else None],
            day=ammonia.day,
            written=ammonia.written,
            ph=ph.written,
            temperature=temperature.written,
            assumed=_assumed(salinity=salt),
            age_days=scene.age_days(ammonia.reading),
            acute_low=strict.acute,
            acute_high=mild.acute,
            chronic_low=strict.chronic,
            chronic_high=mild.chronic,
            acute_margin=strict.acute - high,
            chronic_margin=strict.chronic - high,
        )
    ]


def oxygen(scene: Scene) -> list[Fact]:
    """What the water holds in balance with air at sea level, and the newest oxygen reading in mg/L and per cent.

    Warm and salt water holds least.
    """
    temperature, salt = _own(scene, "temperature"), _own(scene, "salinity")
    newest = scene.newest("oxygen")
    if newest is None and temperature is None:
        return []
    warmth, salinity = _span(temperature, "temperature"), _span(salt, "salinity")
    least = oxygen_saturation_mg_l(warmth.high, salinity.high)
    most = oxygen_saturation_mg_l(warmth.low, salinity.low)
    known: dict[str, str | float] = {}
    if newest and newest.high < OPEN:
        litre, percent = _both(newest, Interval(least, most))
        known = {
            "day": newest.day, "written": newest.written, "age_days": scene.age_days(newest.reading),
            "low": litre.low, "high": litre.high, "percent_low": percent.low, "percent_high": percent.high,
        }  # fmt: skip
    return [
        scene.fact(
            "oxygen",
            [one.reading for one in (newest, temperature, salt) if one],
            assumed=_assumed(temperature=temperature, salinity=salt),
            saturation_low=least,
            saturation_high=most,
            **known,
        )
    ]


def _both(newest: Sample, full: Interval) -> tuple[Interval, Interval]:
    """An oxygen reading in mg/L and in per cent of saturation, whichever it was written in."""
    own = Interval(newest.low, newest.high)
    if newest.reading.unit == "%":
        return full.over(own.times(1 / 100)), own
    return own, Interval(100 * own.low / full.high, 100 * own.high / full.low)
