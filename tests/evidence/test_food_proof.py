"""A proof by food speaks of the filter: of food that was there to be taken up, in water that stayed in the tank."""

from __future__ import annotations

from datetime import date

import pytest
import statements

import reefjournal
from reefjournal.facts import Query

CYCLE = """
## 2026-04-01
- vessel: display, 290 L water
- kit: ammonia, as N, card 0 0.2 0.5 1 2
- kit: nitrite, as N, card 0 0.1 0.5 1
- water: filled 290 L at 35 ppt
- stock: none
## 2026-04-04
- 09:00 test: ammonia 2, nitrite 0.5
"""
TESTS = "".join(f"## 2026-04-{day:02}\n- 09:00 test: ammonia 0, nitrite 0\n" for day in (8, 11, 15))
FED = "## 2026-04-07\n- fed: 0.4 g pellets 45 % protein every day\n"


def stage(notes: str) -> str:
    return statements.stage(f"{CYCLE}{TESTS}{notes}", date(2026, 4, 15))


@pytest.mark.parametrize(
    "notes",
    [
        FED,
        "".join(f"## 2026-04-{day:02}\n- fed: 1 g pellets 45 % protein\n" for day in (8, 11, 14)),
        f"{FED}## 2026-04-10\n- water: changed 40 L at 35 ppt\n",
    ],
    ids=["every day", "every third day", "a small water change"],
)
def test_food_that_leaves_nothing_over_on_three_days_of_a_week_is_a_proof(notes: str) -> None:
    assert stage(notes) == "cycled"


@pytest.mark.parametrize(
    "notes",
    [
        "## 2026-04-15\n- 20:00 fed: 4 g pellets 45 % protein\n",
        "## 2026-04-15\n- 20:00 fed: 4 g pellets 45 % protein every day\n",
        "## 2026-04-08\n- 08:00 fed: 4 g pellets 45 % protein\n",
        f"{FED}## 2026-04-10\n- water: changed 200 L at 35 ppt\n",
        f"{FED}## 2026-04-10\n- dose: ammonia binder 10 ml\n",
    ],
    ids=["a meal after the last test", "a ration begun after it", "one meal a week before", "new water", "a binder"],
)
def test_food_is_no_proof_where_little_was_fed_between_the_tests_or_something_else_cleared_the_water(
    notes: str,
) -> None:
    assert stage(notes) == "cycle-unproven"


PELLETS = "".join(f"## 2026-04-{day:02}\n- fed: 0.4 g pellets 45 % protein\n" for day in range(7, 15))
ASKED = Query("fed-proof", (("ammonia", 0.2), ("days", 7.0), ("nitrite", 0.1), ("times", 3.0)))


@pytest.mark.parametrize(
    ("notes", "rations"),
    [(FED, 1), (PELLETS, 1), (FED + PELLETS, 1), (FED + PELLETS.replace("pellets", "mysis"), 2)],
    ids=["a ration", "its meals", "a ration and each meal of it", "a ration and another food"],
)
def test_a_ration_that_is_written_again_meal_by_meal_counts_once(notes: str, rations: int) -> None:
    witness = reefjournal.read_text(f"{CYCLE}{TESTS}{notes}").witness(date(2026, 4, 15))
    found = witness.facts(frozenset([ASKED]), frozenset())
    (proof,) = (one for one in found if one.kind == "fed-proof")
    # From memory (Timmons and Ebeling): 0.092 g N a g of protein; 0.4 g of 45 % are 16.56 mg N a day.
    assert proof.properties["ration_low"] == pytest.approx(rations * 0.4 * 0.45 * 92, rel=1e-6)
