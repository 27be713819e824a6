"""The nitrogen cycle in numbers: what ammonia becomes, what that costs, what was accounted for, and what is cleared."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.chemistry.answer import Answer, Measured, ends, middle, shown, through
from reefjournal.chemistry.dosing import feed_ammonia_mg_n
from reefjournal.chemistry.scalars import Number, within
from reefjournal.chemistry.weights import MEQ_PER_DKH, NO3_PER_N, O2, N

# Per nitrogen atom: two oxygen molecules, and two equivalents of alkalinity, with nothing built into bacteria.
_RATIO = "computed: ratio of IUPAC 2021 weights"
OXYGEN_PER_N: Annotated[float, Believed("mg O2/mg N", "oxygen used when ammonia becomes nitrate", _RATIO)] = 2 * O2 / N
DKH_PER_MG_N: Annotated[float, Believed("dKH per mg N/L", "alkalinity used when ammonia becomes nitrate", _RATIO)] = (
    2 / N / MEQ_PER_DKH
)
PROTEIN: Annotated[
    tuple[float, float], Believed("of the mass", "protein in dry food where none is written", "common practice")
] = (0.3, 0.5)


def expected_nitrate_mg_l(ammonia_mg_n: Number) -> Number:
    """Nitrate, mg NO3/L, that ``ammonia_mg_n`` (mg N/L, 0 to 1000) becomes; number or array.

    Error: a ceiling; a few per cent go into bacteria, more into algae or gas. Source (published): IUPAC 2021 weights.
    """
    return NO3_PER_N * within("the ammonia", ammonia_mg_n, 0, 1000, "mg N/L")


def oxygen_used_mg_l(ammonia_mg_n: Number) -> Number:
    """Oxygen, mg/L, used when ``ammonia_mg_n`` (mg N/L, 0 to 1000) becomes nitrate; number or array.

    Error: a ceiling, 5 % less once bacteria are built. Source (from memory for the citation, the ratio computed from
    IUPAC 2021 weights): US EPA, Nitrogen Control, 1993, EPA/625/R-93/010, 4.57 mg a mg.
    """
    return OXYGEN_PER_N * within("the ammonia", ammonia_mg_n, 0, 1000, "mg N/L")


def alkalinity_used_dkh(ammonia_mg_n: Number) -> Number:
    """Alkalinity, dKH, used when ``ammonia_mg_n`` (mg N/L, 0 to 1000) becomes nitrate; number or array.

    Error: 12 % less to 4 % more in attached growth. Source (from memory for the citation, the ratio computed from
    IUPAC 2021 weights): US EPA, Nitrogen Control, 1993, EPA/625/R-93/010, 7.14 mg CaCO3 a mg.
    """
    return DKH_PER_MG_N * within("the ammonia", ammonia_mg_n, 0, 1000, "mg N/L")


@dataclass(frozen=True, slots=True)
class Given:
    """Nitrogen that went into the vessel, mg N in all."""

    mg_n: Measured


@dataclass(frozen=True, slots=True)
class Changed:
    """A water change: the share of the water (0 to 1), and the inorganic nitrogen of the new water, mg N/L."""

    share: Measured
    new_mg_n: Measured = 0.0


def expected_nitrogen(
    steps: Iterable[Given | Changed], volume_l: Measured, start_mg_n: Measured = 0.0
) -> tuple[float, float]:
    """Inorganic nitrogen, mg N/L from low to high, that should be in the water after ``steps`` in time order.

    ``volume_l`` L, ``start_mg_n`` mg N/L at the beginning; numbers or ranges. Nothing is taken up and nothing leaves
    but by water changes, so it is a ceiling where algae grow or gas escapes. Error: the range itself. Source: the
    conservation of mass.
    """
    small, large = ends(volume_l)
    within("the volume", small, 1e-3, 100_000, "L")
    low, high = ends(start_mg_n)
    for step in steps:
        if isinstance(step, Given):
            least, most = ends(step.mg_n)
            low, high = low + least / large, high + most / small
            continue
        (least, most), (new_low, new_high) = ends(step.share), ends(step.new_mg_n)
        within("the share changed", least, 0, 1, "")
        within("the share changed", most, 0, 1, "")
        low = min(low + share * (new_low - low) for share in (least, most))
        high = max(high + share * (new_high - high) for share in (least, most))
    return low, high


def nitrogen_balance(
    steps: Iterable[Given | Changed],
    volume_l: Measured,
    found_mg_n: Mapping[str, Measured],
    start_mg_n: Measured = 0.0,
) -> Answer:
    """Nitrogen found less nitrogen expected, mg N/L, with its error bar.

    ``found_mg_n`` the readings that make up the inorganic nitrogen (ammonia, nitrite, nitrate), each in mg N/L.

    Below nothing even at its high end: nitrogen is missing (taken up, gone as gas, or a kit reads low). Above nothing
    even at its low end: more came in than was written (food, rot, the fill water), or a kit reads high.
    """
    expected = expected_nitrogen(steps, volume_l, start_mg_n)
    found = tuple(map(sum, zip(*map(ends, found_mg_n.values()), strict=True)))
    low, high = found[0] - expected[1], found[1] - expected[0]
    return Answer(
        "nitrogen found less expected", sum(found) / 2 - sum(expected) / 2, low, high, "mg N/L",
        (
            f"expected from what was given and changed: {shown(expected)} mg N/L (conservation of mass)",
            "found: " + ", ".join(f"{name} {shown(reading)} mg N/L" for name, reading in found_mg_n.items()),
        ),
    )  # fmt: skip


def capacity_mg_n_per_day(
    dose_mg_n_per_l: Measured, volume_l: Measured, hours: Measured, left_mg_n_per_l: Measured = 0.0
) -> Answer:
    """Ammonia nitrogen that the filter cleared, mg N a day, from a challenge: a measured dose and a later reading.

    ``hours`` from dose to reading: where the reading found nothing left, the low end is the last reading that still
    found some (or 0), and the high end of the answer is then open. Only ``low`` is proof. Error: the range itself.
    Source: the conservation of mass, with no other loss.
    """
    for end in ends(hours):
        within("the time from dose to reading", end, 0, 24 * 30, "hours")
    within("the dose", ends(dose_mg_n_per_l)[1], 0, 20, "mg N/L")

    def rate(dose: float, left: float, volume: float, time: float) -> float:
        return max(dose - left, 0.0) * volume / time * 24 if time > 0 else math.inf

    value, low, high = through(rate, dose_mg_n_per_l, left_mg_n_per_l, volume_l, hours)
    return Answer(
        "ammonia cleared", value, low, high, "mg N a day",
        (
            f"dose {shown(dose_mg_n_per_l)} mg N/L, left {shown(left_mg_n_per_l)} mg N/L, in {shown(volume_l)} L",
            f"cleared within {shown(hours)} hours; times 24 for a day",
            f"proven: {low:.3g} mg N a day, from the smallest dose and volume and the longest time",
        ),
    )  # fmt: skip


def food_load_mg_n_per_day(grams_per_day: Measured, protein: Measured = PROTEIN) -> Answer:
    """Ammonia nitrogen that food brings, mg N a day, from grams of food a day and its protein (share of the mass).

    Numbers or ranges; protein that is not known is that of `PROTEIN`. The range holds a
    third more and less for what animals keep. Source (from memory): Timmons and Ebeling, Recirculating Aquaculture.
    """
    value, low, high = through(feed_ammonia_mg_n, grams_per_day, protein)
    return Answer(
        "ammonia from food", value, low * 2 / 3, high * 4 / 3, "mg N a day",
        (
            f"{shown(grams_per_day)} g a day x protein {shown(protein)} x 92 mg N a gram of protein "
            "(Timmons and Ebeling, Recirculating Aquaculture; from memory)",
            "a third more or less, since animals keep and waste different shares (common practice)",
        ),
    )  # fmt: skip


def load_over_capacity(load_mg_n: Measured, capacity_mg_n: Measured) -> Answer:
    """How many times the proven capacity a load is, both in mg N a day; above 1 the filter has not shown that it can.

    ``value`` compares the middle load with the low end of the capacity, the only end that a challenge proves.
    """
    least, most = ends(capacity_mg_n)
    within("the capacity", least, 1e-6, 1e9, "mg N a day")
    low, high = ends(load_mg_n)
    return Answer(
        "load over capacity", middle(load_mg_n) / least, low / most, high / least, "times",
        (f"load {shown(load_mg_n)} mg N a day over proven capacity {least:.3g} mg N a day",),
    )  # fmt: skip
