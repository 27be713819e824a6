"""The nitrogen given to a tank is held against what is found, where nitrate can be read and every amount is known."""

from __future__ import annotations

import pytest
from statements import TANK, facts, stated

# 4.4 g NH4Cl bring 4.4 x 261.87 = 1152.2 mg N. Source (published): IUPAC 2021 abridged standard atomic weights.
DOSED = "## 2026-03-02\n- dose: 4.4 g ammonium chloride\n"
GIVEN = 4.4 * 261.87 / 290
TESTED = "## 2026-04-10\n- test: ammonia 0, nitrite 0, nitrate 4\n"


def test_all_that_was_given_is_expected_where_nothing_was_changed() -> None:
    found = stated("balance", DOSED + TESTED)
    assert found["expected_low"] == pytest.approx(GIVEN, rel=1e-4)
    assert found["expected_high"] == pytest.approx(GIVEN, rel=1e-4)


def test_a_change_of_half_the_water_takes_half_of_what_was_given_before() -> None:
    found = stated("balance", f"{DOSED}## 2026-04-01\n- water: changed 145 L\n{TESTED}")
    assert found["expected_high"] == pytest.approx(GIVEN / 2, rel=1e-4)
    assert found["changes"] == 1


def test_a_dose_after_the_change_is_not_thinned_by_it() -> None:
    again = "- dose: 4.4 g ammonium chloride\n"
    late = stated("balance", f"{DOSED}## 2026-04-01\n- water: changed 145 L\n{again}{TESTED}")
    early = stated("balance", f"{DOSED}## 2026-04-01\n{again}- water: changed 145 L\n{TESTED}")
    assert late["expected_high"] == pytest.approx(1.5 * GIVEN, rel=1e-4)
    assert early["expected_high"] == pytest.approx(GIVEN, rel=1e-4)


def test_a_dose_noted_below_the_nitrate_test_of_the_same_day_is_not_yet_in_it() -> None:
    found = stated("balance", f"{DOSED}{TESTED}- dose: 1 g ammonium chloride\n")
    assert found["expected_high"] == pytest.approx(GIVEN, rel=1e-4)


def test_a_standing_dose_counts_once_a_day_until_the_test() -> None:
    found = stated("balance", f"## 2026-04-01\n- dose: 0.1 g ammonium chloride every day\n{TESTED}")
    assert found["expected_high"] == pytest.approx(10 * 0.1 * 261.87 / 290, rel=1e-4)


def test_food_counts_with_the_range_of_its_protein() -> None:
    # 1 g with 45 % protein brings 1000 x 0.45 x 0.092 = 41.4 mg N.
    # Source (from memory): Timmons and Ebeling, Recirculating Aquaculture: 0.092 g of ammonia nitrogen a g of protein.
    known = stated("balance", f"{DOSED}## 2026-03-20\n- fed: 10 g pellets 45 % protein\n{TESTED}")
    guessed = stated("balance", f"{DOSED}## 2026-03-20\n- fed: 10 g pellets\n{TESTED}")
    assert known["expected_high"] == pytest.approx(GIVEN + 414 / 290, rel=1e-2)
    assert guessed["expected_low"] < known["expected_low"] < guessed["expected_high"]


def test_nitrogen_that_was_there_before_is_expected_to_stay() -> None:
    found = stated("balance", f"## 2026-03-01\n- test: nitrate 2\n{DOSED}{TESTED}")
    assert found["expected_low"] == pytest.approx(GIVEN + 1.95, abs=0.06)


def test_the_share_spans_what_was_found_over_what_was_expected() -> None:
    found = stated("balance", DOSED + TESTED)
    assert found["share_low"] < 4 / GIVEN < found["share_high"]
    assert found["share_low"] < found["share"] < found["share_high"]


def test_it_rests_on_the_dose_the_change_and_the_tests() -> None:
    (fact,) = facts("balance", f"{DOSED}## 2026-04-01\n- water: changed 145 L\n{TESTED}")
    assert [line.line for line in fact.events] == [8, 10, 12]


@pytest.mark.parametrize(
    "notes",
    [
        f"{DOSED}## 2026-04-10\n- test: ammonia 0, nitrite 0.05, nitrate 4\n",
        f"{DOSED}## 2026-04-10\n- test: ammonia 0, nitrate 4\n",
        f"{DOSED}## 2026-04-10\n- test: nitrite 0, nitrate 4\n",
        f"{DOSED}## 2026-04-06\n- test: ammonia 0, nitrite 0\n## 2026-04-10\n- test: nitrate 4\n",
        f"{DOSED}## 2026-04-10\n- test: ammonia 0, nitrite 0\n",
        TESTED,
        f"{DOSED}## 2026-03-03\n- dose: raw prawn\n{TESTED}",
        f"{DOSED}## 2026-03-03\n- fed: pellets\n{TESTED}",
        f"## 2025-12-01\n- dose: 4.4 g ammonium chloride\n{TESTED}",
        f"{DOSED}## 2026-04-01\n- water: filled at 35 ppt\n{TESTED}",
        TANK.replace(", 290 L water", "") + DOSED + TESTED,
    ],
    ids=[
        "nitrite is there", "nitrite was not tested", "ammonia was not tested", "tests too far apart",
        "nitrate was not tested", "nothing was given", "tissue of unknown nitrogen", "food of unknown mass",
        "more than four months ago", "a fill of unknown size", "volume unknown",
    ],
)  # fmt: skip
def test_no_balance_is_struck_where_something_it_needs_is_not_known(notes: str) -> None:
    assert facts("balance", notes) == []
