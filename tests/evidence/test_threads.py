"""Loose ends of old notes, tests that contradict each other, and readings that may be of another water."""

from __future__ import annotations

from datetime import date

import pytest
from statements import TANK, facts

BOTH = TANK + "- vessel: quarantine, 60 L\n"


def loose(notes: str, on: date = date(2026, 4, 10)) -> dict[str, str]:
    return {str(one.properties["what"]): str(one.properties["name"]) for one in facts("thread", notes, on)}


def test_a_plan_hangs_from_the_day_after_its_day_until_the_animals_come() -> None:
    plan = "## 2026-03-20\n- plan: 2 gobies 2026-04-05\n"
    assert loose(plan, date(2026, 4, 5)) == {}
    assert loose(plan) == {"plan": "2026-04-05"}
    assert loose(plan + "## 2026-04-06\n- stock: added 2 gobies\n") == {}


def test_a_test_that_could_not_be_read_hangs_until_it_is_done_again() -> None:
    test = "## 2026-03-20\n- alkalinity unreadable\n"
    assert loose(test) == {"unread": "alkalinity"}
    assert loose(test + "## 2026-03-25\n- alkalinity 8 dKH\n") == {}


def test_a_sight_hangs_until_it_is_written_as_gone_but_for_those_that_stay() -> None:
    notes = "## 2026-03-20\n- seen: egg smell, coralline\n"
    assert loose(notes) == {"sign": "egg smell"}
    assert loose(notes + "## 2026-04-01\n- seen: egg smell gone\n") == {}


def test_a_pump_that_was_switched_off_hangs_until_it_is_on_or_removed() -> None:
    off = "## 2026-03-20\n- gear: wavemaker off\n"
    assert loose(off) == {"off": "wavemaker"}
    assert loose(off + "## 2026-03-21\n- gear: wavemaker on\n") == {}
    assert loose(off + "## 2026-03-21\n- gear: wavemaker removed\n") == {}


def test_the_oldest_of_a_sort_is_told_and_the_others_are_counted() -> None:
    notes = "## 2026-03-20\n- seen: egg smell\n## 2026-03-25\n- seen: foam\n"
    (thread,) = facts("thread", notes)
    assert (thread.properties["name"], thread.properties["others"]) == ("egg smell", 1.0)


def contradicted(notes: str) -> list[str]:
    return [str(one.properties["analyte"]) for one in facts("contradiction", notes)]


def test_two_tests_of_one_day_contradict_each_other_where_nothing_came_between() -> None:
    first, second = "- alkalinity 8 dKH\n", "- alkalinity 6 dKH\n"
    assert contradicted(f"## 2026-04-09\n{first}{second}") == ["alkalinity"]
    assert contradicted(f"## 2026-04-09\n{first}- water: changed 100 L at 35 ppt\n{second}") == []
    assert contradicted("## 2026-04-09\n- 08:00 alkalinity 8 dKH\n- 20:00 alkalinity 6 dKH\n") == []
    assert contradicted(f"## 2026-04-09\n{first}{second}## 2026-04-10\n{second}") == []


def test_a_reading_that_fits_another_vessel_better_is_told() -> None:
    notes = BOTH + "## 2026-04-07\n- alkalinity 8 dKH\n- test (quarantine): alkalinity 6 dKH\n"
    odd = "## 2026-04-09\n- alkalinity 6 dKH\n"
    (found,) = facts("misplaced", notes + odd)
    assert (found.properties["other"], found.properties["written"]) == ("quarantine", "6 dKH")
    assert facts("misplaced", f"{notes}## 2026-04-08\n- water: changed 200 L at 35 ppt\n{odd}") == []
    assert facts("misplaced", notes + odd.replace("6 dKH", "7 dKH")) == []


def test_ammonia_that_falls_to_what_another_vessel_shows_is_no_mistake() -> None:
    notes = BOTH + "## 2026-04-07\n- ammonia 1\n- test (quarantine): ammonia 0\n## 2026-04-09\n- ammonia 0\n"
    assert facts("misplaced", notes) == []


def test_a_record_that_withdraws_readings_says_how_many() -> None:
    notes = "## 2026-04-02\n- ammonia 1\n## 2026-04-03\n- ammonia 2\n## 2026-04-09\n"
    (found,) = facts("correction", f"{notes}- discard: ammonia 2026-04-02 to 2026-04-03, old reagent\n")
    assert (found.properties["times"], found.properties["reason"]) == (2.0, "old reagent")
    says = "2 readings of ammonia were withdrawn (2026-04-02 to 2026-04-03): old reagent"
    assert found.properties["words"] == says


@pytest.mark.parametrize(
    ("record", "says"),
    [
        ("ammonia 2026-04-02, dirty vial", "2 readings of ammonia were withdrawn (2026-04-02): dirty vial"),
        ("ammonia 2026-04-02 19:00, dirty vial", "1 reading of ammonia was withdrawn (2026-04-02 19:00): dirty vial"),
        ("ammonia 2026-04-02 19:00", "1 reading of ammonia was withdrawn (2026-04-02 19:00)"),
    ],
)
def test_withdrawn_readings_are_told_in_good_english(record: str, says: str) -> None:
    notes = "## 2026-04-02\n- 19:00 ammonia 4\n- 19:30 ammonia 1\n## 2026-04-09\n"
    (found,) = facts("correction", f"{notes}- discard: {record}\n")
    assert found.properties["words"] == says
