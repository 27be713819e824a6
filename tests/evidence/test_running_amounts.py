"""Amounts of a running reef: salts for this volume and for one day, water to top up and to change."""

from __future__ import annotations

from datetime import date

import pytest

import reefjournal

NOTES = """## 2026-03-01
- vessel: display, 200 L water
- water: filled at 35 ppt
- stock: added 2 gobies
- stock: added 3 soft corals
"""


def value(rule: str, *lines: str, notes: str = NOTES) -> float:
    journal = reefjournal.read_text(f"{notes}{''.join(lines)}")
    advice = journal.advise(date(2026, 4, 10), forecast=False)
    (action,) = [one for one in advice.actions if one.rule == rule]
    assert action.amount is not None
    return action.amount.value


OFF = "## 2026-04-01\n- salinity 35 ppt\n- gear: auto top-off off\n"


def on(day: str, words: str) -> str:
    return f"## 2026-04-{day}\n- {words}\n"


def test_a_day_of_alkalinity_is_one_degree_whatever_is_missing() -> None:
    # 0.35665 mmol/L (a degree: 10 mg/L CaO, 56.077 g/mol) x 84.006 g/mol x 200 L = 5.99 g; down to two figures.
    # Source (published): IUPAC 2021 abridged standard atomic weights.
    assert value("alkalinity-low", on("09", "alkalinity 5")) == pytest.approx(5.9)


def test_calcium_is_lifted_by_20_a_day_at_most() -> None:
    # 20 mg/L / 40.078 x 147.01 g/mol x 200 L = 14.67 g. Source (published): IUPAC 2021.
    assert value("calcium-low", on("09", "calcium 340")) == pytest.approx(14.0)


def test_magnesium_is_lifted_by_100_a_day_at_most() -> None:
    # 100 mg/L / 24.305 x 203.30 g/mol x 200 L = 167.3 g. Source (published): IUPAC 2021.
    assert value("magnesium-low", on("09", "magnesium 1000")) == pytest.approx(160.0)


def test_what_is_used_in_a_day_is_given_back_in_a_day() -> None:
    # 0.8 dKH in 4 days is 0.2 a day: 0.2 x 5.99 g = 1.198 g in 200 L. Source (published): IUPAC 2021.
    found = value("replace-what-is-used", on("05", "alkalinity 8.8"), on("09", "alkalinity 8.0"))
    assert found == pytest.approx(1.1)


def test_a_stopped_top_off_is_made_good_by_what_evaporated() -> None:
    # 200 L x (1 - 35 / 36.25) = 6.90 L, 36.5 on a meter of steps of 0.5. Source: the conservation of mass.
    found = value("top-up-by-hand", OFF, on("09", "salinity 36.5 ppt"))
    assert found == pytest.approx(6.8)


def test_a_top_up_of_one_day_lowers_salinity_by_two_at_most() -> None:
    # 200 L x 2 / 39.75 = 10.06 L. Source: the conservation of mass.
    found = value("top-up-by-hand", OFF, on("09", "salinity 40 ppt"))
    assert found == pytest.approx(10.0)


def test_nitrate_is_thinned_by_a_quarter_of_the_water_at_once_at_most() -> None:
    assert value("nitrate-high-corals", on("09", "nitrate 60 as NO3")) == pytest.approx(50.0)


def test_less_is_changed_where_less_is_needed() -> None:
    # 6 mg/L N down to 2.25 would take 62 %; down from 2.8 it would take a fifth; 25 % is the most: 50 L of 200 L.
    fish = NOTES.replace("- stock: added 3 soft corals\n", "")
    assert value("nitrate-high-fish", on("09", "nitrate 9.5 as N"), notes=fish) == pytest.approx(50.0)


def test_no_amount_is_given_where_the_volume_is_not_known() -> None:
    journal = reefjournal.read_text(NOTES.replace(", 200 L water", "") + on("09", "calcium 340"))
    (action,) = [one for one in journal.advise(date(2026, 4, 10), forecast=False).actions if one.rule == "calcium-low"]
    assert action.amount is None
    assert "not known yet" in action.do
