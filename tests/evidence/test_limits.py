"""The limits of ammonia and the oxygen that this very water holds, from its own newest readings."""

from __future__ import annotations

import math

import pytest
from statements import facts, stated

WATER = "## 2026-04-10\n- test: ammonia 0.5, pH 8.0, temperature 25 C, salinity 30 ppt\n"


def test_the_limits_hold_the_printed_ones_of_the_same_water() -> None:
    # pH 8.0, 25 degrees C, salinity 30, mg NH3/L: acute 5.0, chronic 0.75; times 0.8224 as N (IUPAC 2021 weights).
    # Source (published for the acute table; the chronic one from memory): US EPA 1989, EPA 440/5-88-004.
    found = stated("criteria", WATER)
    assert found["acute_low"] < 5.0 * 0.8224 < found["acute_high"]
    assert found["chronic_low"] < 0.75 * 0.8224 < found["chronic_high"]


def test_the_margin_is_what_the_high_end_of_the_reading_leaves_to_the_strict_end_of_the_limit() -> None:
    found = stated("criteria", WATER)
    ammonia = stated("level", "## 2026-04-10\n- test: ammonia 0.5\n")
    assert found["chronic_margin"] == pytest.approx(found["chronic_low"] - ammonia["high"])
    assert found["acute_margin"] == pytest.approx(found["acute_low"] - ammonia["high"])


def test_a_reading_that_is_open_upwards_leaves_an_unknown_margin() -> None:
    found = stated("criteria", WATER.replace("ammonia 0.5", "ammonia >8"))
    assert math.isnan(float(found["chronic_margin"]))


def test_salinity_that_was_not_measured_is_assumed_and_said_so() -> None:
    found = stated("criteria", WATER.replace(", salinity 30 ppt", ""))
    known = stated("criteria", WATER)
    assert (found["assumed"], known["assumed"]) == ("salinity", "")
    assert found["acute_low"] < known["acute_low"] < found["acute_high"]


@pytest.mark.parametrize("gone", ["ammonia 0.5, ", "pH 8.0, ", "temperature 25 C, "])
def test_without_ammonia_ph_or_temperature_no_limit_is_stated(gone: str) -> None:
    assert facts("criteria", WATER.replace(gone, "")) == []


def test_an_old_ph_is_no_ground_for_a_limit() -> None:
    old = "## 2026-04-01\n- test: pH 8.0\n## 2026-04-10\n- test: ammonia 0.5, temperature 25 C\n"
    assert facts("criteria", old) == []


def test_sea_water_at_25_degrees_holds_the_published_oxygen() -> None:
    # 6.771 mg/L at salinity 35, 25 degrees C: computed with gsw.O2sol_SP_pt (TEOS-10), 206.77 micromol/kg, times
    # density and 31.9988 g/mol; that function follows Garcia and Gordon 1992, Limnology and Oceanography 37:1307.
    found = stated("oxygen", "## 2026-04-10\n- test: temperature 25 C, salinity 35 ppt\n")
    assert found["saturation_low"] < 6.77 < found["saturation_high"]
    assert found["saturation_high"] == pytest.approx(6.77, rel=0.02)
    assert math.isnan(float(found["low"]))


def test_a_reading_in_milligrams_and_one_in_per_cent_say_the_same() -> None:
    water = "## 2026-04-10\n- test: temperature 25 C, salinity 35 ppt, oxygen"
    litre, share = stated("oxygen", f"{water} 5.4 mg/L\n"), stated("oxygen", f"{water} 80 %\n")
    assert litre["percent_low"] < 80 < litre["percent_high"]
    assert share["low"] < 5.4 < share["high"]


def test_oxygen_without_a_temperature_is_stated_with_what_was_assumed() -> None:
    found = stated("oxygen", "## 2026-04-10\n- test: oxygen 5.4 mg/L\n")
    assert found["assumed"] == "temperature, salinity"
    assert found["low"] < 5.4 < found["high"]


def test_nothing_is_stated_of_water_that_was_not_measured() -> None:
    assert facts("oxygen", "") + facts("criteria", "") == []
