"""Lids that were weighed and measured: what struts they need, and how they stand on those that are fitted."""

from __future__ import annotations

import math

import pytest
from statements import facts, stated

from reefjournal.workshop.lids import Lid, Mount, Strut, strut_needed, swing

WEIGHED = """## 2026-03-05
- measure: lid mass 8 kg
- measure: lid depth 600 mm
"""
MOUNTS = """- measure: strut lid mount 250 mm
- measure: strut frame mount 220 mm below hinge
- measure: strut frame mount 80 mm in front of hinge
"""
LID, MOUNT = Lid(8.0, 0.30, 0.60), Mount(0.25, 0.0, 0.08, -0.22)


def test_a_plain_lid_balances_half_way_and_that_is_said() -> None:
    found = stated("lid", WEIGHED)
    assert (found["mass_kg"], found["depth_mm"], found["gravity_mm"]) == (8, 600, 300)
    assert (found["assumed"], found["mounted"], found["fitted"]) == ("half the depth, as in a plain sheet", "no", "no")


def test_a_measured_centre_of_gravity_counts() -> None:
    found = stated("lid", f"{WEIGHED}- measure: lid centre of gravity 270 mm\n")
    assert (found["gravity_mm"], found["assumed"]) == (270, "")


def test_with_its_mounts_it_needs_the_struts_of_the_workshop() -> None:
    found = stated("lid", WEIGHED + MOUNTS)
    assert found["needed"] == pytest.approx(strut_needed(LID, MOUNT, 2, 15.0))
    assert (found["mounted"], found["fits"]) == ("yes", "")


def test_the_struts_that_are_fitted_are_tried_over_the_whole_swing_from_cold_to_warm() -> None:
    found = stated("lid", f"{WEIGHED}{MOUNTS}- gear: gas strut added, 2 of 40 N\n")
    edges = [at.edge_n for degrees in (15.0, 30.0) for at in swing(LID, MOUNT, Strut(40.0), degrees).positions]
    assert (found["holds"], found["fits"], found["newton"], found["number"]) == ("yes", "yes", 40, 2)
    assert found["closing"] == pytest.approx(max(edges))
    assert found["lifting"] == pytest.approx(-min(edges))


def test_weak_struts_do_not_hold_and_strong_ones_lift_the_closed_lid() -> None:
    weak = stated("lid", f"{WEIGHED}{MOUNTS}- gear: gas strut added, 2 of 20 N\n")
    strong = stated("lid", f"{WEIGHED}{MOUNTS}- gear: gas strut added, 2 of 200 N\n")
    assert (weak["holds"], weak["fits"]) == ("no", "no")
    assert "does not stay up" in str(weak["warning"])
    assert (strong["holds"], strong["fits"]) == ("yes", "no")
    assert "rises by itself" in str(strong["warning"])


@pytest.mark.parametrize("missing", MOUNTS.splitlines())
def test_a_point_that_was_not_measured_is_never_guessed(missing: str) -> None:
    found = stated("lid", WEIGHED + MOUNTS.replace(f"{missing}\n", ""))
    assert found["mounted"] == "no"
    assert math.isnan(float(found["needed"]))


def test_mounts_from_which_nothing_lifts_are_told() -> None:
    behind = MOUNTS.replace("80 mm in front of", "300 mm behind").replace("220", "100")
    found = stated("lid", WEIGHED + behind)
    assert found["fits"] == "no"
    assert math.isnan(float(found["needed"]))


@pytest.mark.parametrize("off", ["gear: gas strut removed", "gear: gas strut added, strong ones"])
def test_struts_that_are_off_or_whose_push_is_not_written_are_none(off: str) -> None:
    assert stated("lid", f"{WEIGHED}{MOUNTS}- {off}\n")["fitted"] == "no"


def test_of_two_lids_each_needs_points_under_its_own_name() -> None:
    second = "- measure: left lid mass 3 kg\n- measure: left lid depth 400 mm\n"
    own = MOUNTS.replace("strut", "left lid strut")
    found = {str(one.properties["lid"]): one.properties for one in facts("lid", WEIGHED + second + MOUNTS + own)}
    assert {name: one["mounted"] for name, one in found.items()} == {"lid": "no", "left lid": "yes"}


def test_without_mass_or_depth_nothing_is_said() -> None:
    assert facts("lid", "## 2026-03-05\n- measure: lid depth 600 mm\n") == []
    assert facts("lid", "## 2026-03-05\n- measure: lid mass 8 kg\n") == []
