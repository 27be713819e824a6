"""A vessel that was drained and filled anew has everything still to show."""

from __future__ import annotations

from datetime import date

import pytest

import reefjournal

PROVEN = """
## 2026-05-01
- vessel: display, 100 L water
- water: filled 100 L at 35 ppt
- stock: none
- kit: ammonia, as N, card 0 0.2 0.5 1 2
- kit: nitrite, as N, card 0 0.1 0.5 1
## 2026-05-10
- 09:00 test: ammonia 2, nitrite 0.5
## 2026-05-14
- 09:00 test: ammonia 0, nitrite 0
## 2026-05-15
- 09:00 test: ammonia 0, nitrite 0
- 10:00 dose: ammonium chloride 0.4 g
- 12:00 test: ammonia 1
## 2026-05-16
- 09:00 test: ammonia 0, nitrite 0
"""
DRAINED = "## 2026-05-18\n- water: drained all\n"
ANEW = "## 2026-05-20\n- water: filled 100 L at 35 ppt\n- stock: none\n- 19:00 test: ammonia 0, nitrite 0\n"


@pytest.mark.parametrize(
    ("more", "stage"), [("", "cycled"), (DRAINED, "dry"), (DRAINED + ANEW, "filled"), (ANEW, "cycled")]
)
def test_a_proof_and_a_stage_end_with_the_water_that_they_were_read_in(more: str, stage: str) -> None:
    row = reefjournal.read_text(PROVEN + more).stage_on(date(2026, 5, 21))
    assert row is not None
    assert row.id == stage
