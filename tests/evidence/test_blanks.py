"""A blank takes its colour off the readings of its kit, unless these readings deny it."""

from __future__ import annotations

from datetime import date

import pytest
from statements import facts

NOTES = """
## 2026-03-02
- vessel: display, 290 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2
- check: ammonia blank {}
"""


def level(blank: str, *readings: str) -> float:
    """The low end of a last reading of 0.5, as facts tell it."""
    days = "".join(f"## 2026-03-{day:02}\n- {one}\n" for day, one in enumerate(readings, 3))
    notes = f"{NOTES.format(blank)}{days}## 2026-03-20\n- ammonia 0.5\n"
    (low,) = (one.properties["low"] for one in facts("level", notes, date(2026, 3, 20)))
    return float(low)


@pytest.mark.parametrize(
    ("blank", "readings"),
    [("0.5", ()), ("0.5", ("ammonia 0",)), ("0.5", ("ammonia 0.25", "ammonia 0.25")), ("0.25", ("ammonia 0",) * 5),
     ("0.5", ("ammonia 0 as N by shop",) * 3)],
    ids=["no other reading", "one slip", "a step below", "a blank of one step", "another hand"],
)  # fmt: skip
def test_a_blank_is_taken_off(blank: str, readings: tuple[str, ...]) -> None:
    assert level(blank, *readings) < level("0")


def test_a_blank_far_above_two_readings_of_its_own_kit_is_not_taken_off() -> None:
    assert level("0.5", "ammonia 0", "ammonia 0") == level("0")
    assert level("1", "ammonia 0", "ammonia 0") == level("0")
