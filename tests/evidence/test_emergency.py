"""Power cuts, deaths and what takes oxygen, as the notes tell of them."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from statements import TANK, facts, stated

import reefjournal

FISH = "- stock: added 2 gobies\n"


def outage(notes: str, on: datetime) -> dict[str, object]:
    journal = reefjournal.read_text(TANK + notes)
    (fact,) = [one for one in journal.witness(on).facts(frozenset(), frozenset()) if one.kind == "outage"]
    return dict(fact.properties)


def test_a_power_cut_lasts_from_its_note_to_now() -> None:
    found = outage("## 2026-04-10\n- 12:30 seen: power cut\n", datetime(2026, 4, 10, 15, 30))
    assert (found["state"], found["hours_low"], found["hours_high"]) == ("on", 3.0, 3.0)


def test_mains_that_are_on_again_end_a_power_cut_that_was_seen() -> None:
    notes = "## 2026-04-10\n- 12:30 seen: power cut\n- 14:00 gear: power supply on\n"
    found = outage(notes, datetime(2026, 4, 10, 20, 0))
    assert (found["state"], found["hours_low"], found["hours_high"]) == ("over", 1.5, 1.5)


def test_a_power_cut_without_a_time_may_have_lasted_all_day() -> None:
    found = outage("## 2026-04-09\n- gear: power supply off\n", datetime(2026, 4, 10, 12, 0))
    assert (found["hours_low"], found["hours_high"]) == (12.0, 36.0)


def test_a_generator_or_a_battery_is_not_the_mains() -> None:
    notes = "## 2026-04-10\n- 12:00 gear: power off\n- 12:30 gear: generator on, UPS on\n"
    assert outage(notes, datetime(2026, 4, 10, 13, 0))["state"] == "on"


@pytest.mark.parametrize(
    ("notes", "count"),
    [
        ("## 2026-04-09\n- stock: lost 1 goby\n## 2026-04-10\n- stock: lost 2 gobies\n", 3.0),
        ("## 2026-04-08\n- stock: lost 1 goby\n## 2026-04-10\n- stock: lost 1 goby\n", 1.0),
        ("## 2026-04-10\n- stock: lost 1 goby\n- seen: dead fish, in the weir\n", 1.0),
        ("## 2026-04-10\n- seen: everything dead\n", 2.0),
    ],
    ids=["neighbouring days", "days apart", "the body of the one that was lost", "no number"],
)
def test_deaths_of_neighbouring_days_are_counted_together_and_a_body_is_not_counted_twice(
    notes: str, count: float
) -> None:
    assert stated("deaths", notes)["count"] == count


def test_what_is_missing_is_a_death_without_a_body() -> None:
    assert stated("deaths", "## 2026-04-10\n- stock: missing 1 goby\n")["body"] == "missing"
    assert stated("deaths", "## 2026-04-10\n- stock: lost 1 goby\n")["body"] == "found"


def test_what_takes_oxygen_counts_while_it_is_fresh() -> None:
    notes = "## 2026-04-09\n- seen: haze\n- gear: return pump off\n- temperature 28.6 C\n"
    assert stated("oxygen-risk", notes)["words"] == "haze, warm water, return pump off"
    assert facts("oxygen-risk", notes, date(2026, 4, 12)) == []


def test_where_nothing_lives_nothing_is_an_emergency() -> None:
    assert facts("scare", "## 2026-04-10\n- seen: gasping\n- stock: none\n") == []
    assert stated("scare", f"{FISH}## 2026-04-10\n- seen: gasping\n")["words"] == "gasping"


def test_silence_is_counted_from_the_last_note_of_this_vessel() -> None:
    notes = "- vessel: quarantine, 60 L\n## 2026-04-02\n- ammonia 0\n## 2026-04-09\n- test (quarantine): ammonia 0\n"
    assert stated("silence", TANK + notes)["days"] == 8.0


@pytest.mark.parametrize(
    ("away", "a_day"), [("", 2), ("2026-03-25 to 2026-04-08", 2 / 14), ("2026-03-01 to 2026-03-10", 2)]
)
def test_deaths_that_were_found_after_an_absence_are_spread_over_its_days(away: str, a_day: float) -> None:
    plan = f"- plan: away {away}\n" if away else ""
    notes = f"## 2026-03-02\n- stock: added 6 turban snails\n{plan}## 2026-04-09\n- stock: lost 2 turban snails\n"
    assert stated("deaths", TANK + notes)["a_day"] == a_day
