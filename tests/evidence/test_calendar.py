"""What comes round by date: tests by their pace, meters, media."""

from __future__ import annotations

from statements import ON, TANK, facts

import reefjournal
from reefjournal.facts import Property, Query

PACE = Query("test-round", (("often", 3.0), ("slow", 14.0), ("weekly", 7.0)))


def round_of(notes: str) -> dict[str, Property]:
    journal = reefjournal.read_text(TANK + notes)
    found = [one for one in journal.witness(ON).facts(frozenset([PACE]), frozenset()) if one.kind == "test-round"]
    return dict(found[0].properties) if found else {}


def test_what_comes_due_first_is_the_next_round_and_the_one_after_it_follows() -> None:
    found = round_of("## 2026-04-09\n- salinity 35 ppt, alkalinity 8, calcium 420\n")
    assert (found["names"], found["ahead_days"]) == ("salinity", 2.0)
    assert found["when"] == "by 12 April, then alkalinity by 16 April"


def test_all_that_is_late_is_due_today() -> None:
    found = round_of("## 2026-03-20\n- alkalinity 8\n## 2026-04-01\n- salinity 35 ppt\n")
    assert (found["names"], found["ahead_days"], found["late_days"]) == ("alkalinity and salinity", 0.0, 14.0)
    assert found["when"] == "today"


def test_ammonia_is_left_to_the_rules_of_the_filter_until_its_slow_round_comes() -> None:
    assert round_of("## 2026-04-09\n- ammonia 0\n") == {}
    assert round_of("## 2026-03-27\n- ammonia 0\n")["names"] == "ammonia"


def test_a_test_that_was_never_done_is_not_asked_for() -> None:
    assert round_of("") == {}


def test_a_test_that_was_given_up_half_a_year_ago_is_not_asked_for() -> None:
    journal = reefjournal.read_text("## 2025-09-01\n- vessel: display, 290 L\n- magnesium 1300\n")
    assert [one for one in journal.witness(ON).facts(frozenset([PACE]), frozenset()) if one.kind == "test-round"] == []


def kept(notes: str) -> dict[tuple[str, str], float]:
    found = (one.properties for one in facts("upkeep", notes))
    return {(str(one["device"]), str(one["work"])): float(one["age_days"]) for one in found}


def test_the_last_renewal_of_a_device_counts() -> None:
    notes = "## 2026-03-11\n- gear: carbon reactor added\n## 2026-04-01\n- gear: carbon reactor replaced\n"
    assert kept(notes) == {("carbon reactor", "renewed"): 9.0}


def test_a_device_that_is_off_needs_no_upkeep() -> None:
    notes = "## 2026-03-11\n- gear: carbon reactor added\n## 2026-04-01\n- gear: carbon reactor off\n"
    assert kept(notes) == {}


def test_a_meter_is_known_by_what_it_reads() -> None:
    (found,) = facts("upkeep", "## 2026-04-01\n- gear: refractometer calibrated\n")
    assert (found.properties["work"], found.properties["reads"]) == ("calibrated", "salinity")
