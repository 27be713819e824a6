"""How the water moves: from one reading to the next, by food, by light, by evaporation, against new water."""

from __future__ import annotations

import pytest
from statements import TANK, facts, stated

TWO = "## 2026-04-01\n- alkalinity 9\n{}## 2026-04-09\n- alkalinity 8.2\n"


def test_two_readings_make_a_change_a_day_and_what_surely_moved() -> None:
    found = stated("drift", TWO.format(""))
    assert (found["change"], found["days"], found["a_day"], found["used"]) == (-0.8, 8.0, -0.1, 0.1)
    # 9 and 8.2 on a test of steps of 0.5 are 8.75 to 9.25 and 7.95 to 8.45: 0.3 lies between.
    assert found["surely"] == pytest.approx(0.3)
    assert (found["given"], found["changed"]) == ("no", "no")


@pytest.mark.parametrize(
    ("between", "given"),
    [
        ("## 2026-04-02\n- dose: sodium bicarbonate 3 g\n", "yes"),
        ("## 2026-04-02\n- dose: calcium chloride 3 g\n", "no"),
    ],
)
def test_only_what_raises_an_analyte_counts_as_given(between: str, given: str) -> None:
    assert stated("drift", TWO.format(between))["given"] == given


def test_a_standing_dose_from_before_is_given_between_two_readings() -> None:
    notes = "## 2026-03-20\n- dose: sodium bicarbonate 3 g every day\n" + TWO.format("")
    assert stated("drift", notes)["given"] == "yes"


@pytest.mark.parametrize(("stop", "given"), [("2026-03-28", "no"), ("2026-04-03", "yes")])
def test_a_standing_dose_counts_until_it_is_stopped(stop: str, given: str) -> None:
    standing = "## 2026-03-20\n- dose: sodium bicarbonate 3 g every day\n"
    notes = standing + f"## {stop}\n- dose: sodium bicarbonate stop\n" + TWO.format("")
    assert stated("drift", notes)["given"] == given


def test_a_water_change_between_two_readings_is_told() -> None:
    assert stated("drift", TWO.format("## 2026-04-02\n- water: changed 40 L\n"))["changed"] == "yes"


def test_two_readings_of_one_day_are_a_day_apart_at_least() -> None:
    found = stated("drift", "## 2026-04-01\n- 09:00 alkalinity 8\n- 15:00 alkalinity 9\n")
    assert (found["days"], found["a_day"]) == (1.0, 1.0)


def test_new_water_is_held_against_the_tank() -> None:
    notes = "## 2026-04-09\n- salinity 35 ppt\n- test (mixing bin): salinity 33 ppt\n"
    found = stated("new-water", notes)
    assert (found["apart"], found["distance"]) == (-2.0, 2.0)


def test_new_water_that_was_tested_long_ago_is_not_spoken_of() -> None:
    assert facts("new-water", "## 2026-04-01\n- test (mixing bin): salinity 33 ppt\n- salinity 35 ppt\n") == []


def test_light_is_hours_times_per_cent() -> None:
    notes = "## 2026-04-01\n- gear: lights 8 h at 50 %\n## 2026-04-08\n- gear: lights 10 h at 60 %\n"
    assert stated("light-step", notes)["times"] == pytest.approx(10 * 60 / (8 * 50))


def test_what_a_setting_leaves_out_is_taken_as_unchanged() -> None:
    notes = "## 2026-04-01\n- gear: lights 8 h at 50 %\n## 2026-04-08\n- gear: lights at 60 %\n"
    assert stated("light-step", notes)["times"] == pytest.approx(1.2)


def test_a_reservoir_that_runs_in_lowers_salinity_by_its_share_of_the_whole() -> None:
    # 290 L at 35 and 20 L of pure water: 35 x 20 / 310 = 2.26 less. Source: the conservation of mass.
    found = stated("reservoir", TANK + "- vessel: reservoir, 20 L\n")
    assert found["drop"] == pytest.approx(35 * 20 / 310, abs=1e-4)


def test_evaporation_is_litres_a_day_against_the_weeks_before() -> None:
    tops = "".join(f"## 2026-{day}\n- water: topped up {litres} L RO\n" for day, litres in
                   (("03-21", 7), ("03-28", 7), ("04-07", 14)))  # fmt: skip
    found = stated("evaporation", tops)
    assert found["a_day"] == pytest.approx(2.0)
    assert found["before"] == pytest.approx(1.0)


def test_food_makes_as_much_nitrate_as_it_holds_nitrogen() -> None:
    # 0.38 g x 0.4 x 0.092 = 14.0 mg N a day; in 14 days and 290 L 0.675 mg/L N.
    # Source (from memory): Timmons and Ebeling, Recirculating Aquaculture: ammonia is 0.092 of the protein.
    fed = "- fed: 0.38 g pellets 40 % protein every day\n"
    found = stated("nitrate-from-food", f"{fed}## 2026-03-20\n- nitrate 0.5\n## 2026-04-03\n- nitrate 2.5\n")
    assert found["expected"] == pytest.approx(0.38 * 0.4 * 92 * 14 / 290, rel=1e-3)
    assert found["rise"] == pytest.approx(1.9)


def test_nitrate_is_not_held_against_food_where_water_was_changed() -> None:
    fed = "- fed: 0.38 g pellets 40 % protein every day\n"
    notes = f"{fed}## 2026-03-20\n- nitrate 0.5\n## 2026-03-25\n- water: changed 40 L\n## 2026-04-03\n- nitrate 2.5\n"
    assert facts("nitrate-from-food", notes) == []


def test_the_nearest_pair_of_an_alkalinity_and_a_calcium_dose_is_told() -> None:
    given = "## 2026-04-08\n- 08:00 dose: sodium bicarbonate 5 g\n- 09:00 dose: sodium bicarbonate 5 g\n"
    assert stated("dose-pair", f"{given}- 09:20 dose: calcium chloride 5 g\n")["minutes"] == 20


def test_doses_without_a_time_make_no_pair() -> None:
    assert facts("dose-pair", "## 2026-04-08\n- dose: sodium bicarbonate 5 g\n- dose: calcium chloride 5 g\n") == []
