"""Openings become sliding panels where enough was measured; the outer size tells what stands on the floor."""

from __future__ import annotations

import math
from datetime import date

import pytest
from statements import facts, stated

import reefjournal
from reefjournal.evidence.bench import ROOM
from reefjournal.workshop.growth import ACRYLIC
from reefjournal.workshop.panels import Opening, Track, sliding_panels

SIDES = """## 2026-03-05
- measure: left opening width 1192/1191/1192.5 mm
- measure: left opening height 452/451/452 mm
"""
GROOVES = "- measure: left opening bottom groove 6 mm\n- measure: left opening top groove 16 mm\n"


def test_three_takes_and_the_grooves_give_the_pair_of_the_workshop() -> None:
    found = stated("panels", SIDES + GROOVES)
    opening = Opening("left opening", (1192.0, 1191.0, 1192.5), (452.0, 451.0, 452.0))
    plan = sliding_panels(opening, Track(6.0, 16.0), ACRYLIC, ROOM)
    assert (found["width"], found["height"]) == (plan.cuts[0].width, plan.cuts[0].height)
    assert (found["running"], found["lift"]) == (plan.running, plan.lift_clearance[1])
    assert (found["fits"], found["warning"]) == ("yes", "")


def test_the_growth_is_that_of_acrylic_from_the_room_where_it_is_cut_to_the_dampest_and_warmest() -> None:
    # From 50 % (0.167 % by the line to 0.2 % at 60 %) to 80 % humidity (0.3 %), and 9 degrees C of warmth at
    # 7.5e-5: 0.201 % of a height of 464.5 mm. Source (common practice): sheet data, 0.2 % at 60 and 0.3 % at 80 %.
    found = stated("panels", SIDES + GROOVES)
    assert found["height"] == 464.5
    assert found["growth"] == pytest.approx(464.5 * (0.003 - 0.001667 + 9 * 7.5e-5), rel=1e-3)


def test_without_the_grooves_no_size_is_given() -> None:
    found = stated("panels", SIDES)
    assert (found["takes"], found["fits"]) == (3, "")
    assert math.isnan(float(found["width"]))


def test_the_side_with_fewer_takes_counts() -> None:
    found = stated("panels", SIDES.replace("452/451/452", "452") + GROOVES)
    assert (found["takes"], found["fits"]) == (1, "")


def test_the_newest_measure_of_a_side_counts() -> None:
    found = stated("panels", f"{SIDES}## 2026-03-08\n- measure: left opening height 450/449/450 mm\n{GROOVES}")
    assert found["height"] == 462.5


def test_shallow_grooves_do_not_fit() -> None:
    found = stated("panels", SIDES + GROOVES.replace("16", "8"))
    assert found["fits"] == "no"
    assert "the top groove is 8 mm deep" in str(found["warning"])


def test_takes_that_contradict_each_other_do_not_fit() -> None:
    found = stated("panels", SIDES.replace("452/451/452", "452/401/452") + GROOVES)
    assert found["fits"] == "no"
    assert "measure again" in str(found["warning"])


def test_what_is_no_opening_or_lacks_a_side_is_left_alone() -> None:
    notes = "## 2026-03-05\n- measure: alcove width 1312 mm\n- measure: alcove height 648 mm\n"
    assert facts("panels", f"{notes}- measure: hood opening width 588 mm\n- measure: hood opening depth 541 mm\n") == []


def test_a_full_tank_presses_on_its_footprint_with_its_depth_of_sea_water() -> None:
    # 0.5 m of sea water of 1023 kg/m3: 1023 x 9.81 x 0.5 = 5018 Pa. Source: statics; density UNESCO 1983 (EOS-80).
    # 40 pounds per square foot are 1.915 kN/m2. Source (published): International Residential Code 2024, R301.5.
    found = stated("floor-load", "")
    assert found["kn_m2"] == pytest.approx(5.018, rel=1e-3)
    assert found["times_room"] == pytest.approx(5.018 / 1.915, rel=1e-3)
    assert found["mass_kg"] == pytest.approx(1.2 * 0.55 * 0.5 * 1023, rel=1e-3)


def test_without_a_size_nothing_is_said_of_the_floor() -> None:
    assert facts("floor-load", "## 2026-03-01\n- vessel: display, 290 L water\n") == []


def test_openings_wait_behind_the_filling_of_a_dry_tank_and_the_floor_comes_before_it() -> None:
    one_take = SIDES.replace("1192/1191/1192.5", "1192")
    notes = f"## 2026-03-01\n- vessel: display, 120 x 55 x 50 cm\n{one_take}"
    advice = reefjournal.read_text(notes).advise(date(2026, 3, 6), forecast=False)
    told = [action.rule for action in advice.actions]
    assert told.index("ask-about-the-floor") < told.index("leak-test-then-fill") < told.index("measure-in-three-places")
