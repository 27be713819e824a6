"""How acrylic and polycarbonate sheet grows and shrinks with warmth and damp."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.workshop.ranges import within


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet plastic: growth per degree, and growth from dry at relative humidities (%, rising, share of length)."""

    name: str
    per_degree: float
    by_humidity: tuple[tuple[float, float], ...]
    source: str


ACRYLIC_PER_DEGREE: Annotated[
    float, Believed("1/°C", "growth of acrylic sheet: 0.002 inch in 48 inch per °F", "common practice: sheet data")
] = 0.002 / 48 * 1.8
ACRYLIC_BY_HUMIDITY: Annotated[
    dict[float, float],
    Believed("of the length", "growth of acrylic sheet from dry, at % humidity", "common practice: sheet data"),
] = {0: 0.0, 60: 0.002, 80: 0.003, 100: 0.006}
POLYCARBONATE_PER_DEGREE: Annotated[
    float, Believed("1/°C", "growth of polycarbonate sheet", "from memory: handbook value")
] = 7.0e-5
POLYCARBONATE_BY_HUMIDITY: Annotated[
    dict[float, float],
    Believed(
        "of the length", "growth of polycarbonate sheet from dry, at most, at % relative humidity",
        "from memory: handbook value",
    ),
] = {0: 0.0, 100: 0.001}  # fmt: skip
ACRYLIC = Sheet(
    "acrylic",
    ACRYLIC_PER_DEGREE,
    tuple(ACRYLIC_BY_HUMIDITY.items()),
    "sheet data: 0.002 inch in 48 inch per °F; 0.2, 0.3 and 0.6 % at 60, 80 and 100 % humidity (common practice)",
)
POLYCARBONATE = Sheet(
    "polycarbonate",
    POLYCARBONATE_PER_DEGREE,
    tuple(POLYCARBONATE_BY_HUMIDITY.items()),
    "7 hundred-thousandths per °C, 0.1 % at most from moisture (from memory)",
)
SHEETS = {sheet.name: sheet for sheet in (ACRYLIC, POLYCARBONATE)}


@dataclass(frozen=True, slots=True)
class Climate:
    """Temperature (°C) and relative humidity (%) when a sheet is cut, and the range in which it then lives."""

    cut_temperature: float
    cut_humidity: float
    temperature: tuple[float, float]
    humidity: tuple[float, float]


def thermal_growth(length_mm: float, degrees: float, sheet: Sheet = ACRYLIC) -> float:
    """Growth, mm, of ``length_mm`` (0 to 4000 mm) that is warmed by ``degrees`` (°C, -60 to 60; below 0: shrinkage).

    Error: a tenth. Source: that of the sheet.
    """
    within("the length", length_mm, 0, 4000, "mm")
    return length_mm * sheet.per_degree * within("the change in temperature", degrees, -60, 60, "°C")


def moisture_growth(length_mm: float, humidity: float, sheet: Sheet = ACRYLIC) -> float:
    """Growth from dry, mm, of ``length_mm`` (0 to 4000 mm) that has settled at a relative humidity (0 to 100 %).

    Settling takes weeks; a sheet damp on one side bows instead. Error: a third between makes. Source: that of the
    sheet, straight lines between its points.
    """
    within("the length", length_mm, 0, 4000, "mm")
    within("the relative humidity", humidity, 0, 100, "%")
    for (dry, less), (damp, more) in pairwise(sheet.by_humidity):
        if humidity <= damp:
            return length_mm * (less + (more - less) * (humidity - dry) / (damp - dry))
    raise ValueError(f"{sheet.name} has no growth at {humidity:g} % humidity")


def growth_range(length_mm: float, climate: Climate, sheet: Sheet = ACRYLIC) -> tuple[float, float]:
    """Most shrinkage (0 or below) and most growth (0 or above), mm, of a length as cut, over its climate.

    Range, error and source as `thermal_growth` and `moisture_growth`, which add up.
    """
    as_cut = moisture_growth(length_mm, climate.cut_humidity, sheet)
    cold, warm = (thermal_growth(length_mm, t - climate.cut_temperature, sheet) for t in climate.temperature)
    dry, damp = (moisture_growth(length_mm, humidity, sheet) - as_cut for humidity in climate.humidity)
    return min(cold + dry, 0.0), max(warm + damp, 0.0)
