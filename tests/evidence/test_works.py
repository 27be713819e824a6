"""The work of the build: how each thing stands by its newest note, what comes before water, and what comes down."""

from __future__ import annotations

import math
from datetime import date

import pytest
from statements import facts, stated

from reefjournal.facts import Property

NO_SIZE = "## 2026-03-01\n- vessel: display, 290 L water\n"


def thing(name: str, *notes: str) -> dict[str, Property]:
    """What is stated of one thing of the build after these notes, a day apart."""
    days = "".join(f"## 2026-03-{day:02}\n- {note}\n" for day, note in enumerate(notes, 10))
    return dict(next(one.properties for one in facts("build", days) if one.properties["thing"] == name))


@pytest.mark.parametrize(
    ("notes", "state", "there"),
    [
        (("build: leak test passed",), "passed", "yes"),
        (("build: leak test passed", "build: leak test failed"), "failed", "yes"),
        (("build: leak test started",), "begun", "no"),
        (("build: leak test skipped",), "skipped", "no"),
        (("build: leak test, 48 h",), "", "yes"),
        (("build: leak test tomorrow",), "unsure", "no"),
        (("[x] leak test",), "done", "yes"),
        (("[x] order the leak test gear",), "lacking", "no"),
    ],
)
def test_the_newest_note_says_how_a_test_stands(notes: tuple[str, ...], state: str, there: str) -> None:
    found = thing("leak test", *notes)
    assert (found["state"], found["there"]) == (state, there)


def test_a_ticked_job_does_not_say_how_a_test_ended() -> None:
    assert thing("leak test", "build: leak test failed", "[x] leak test")["state"] == "failed"
    assert thing("leak test", "build: leak test passed", "[x] leak test")["state"] == "passed"


@pytest.mark.parametrize(
    "over",
    [
        "build: leak mended", "build: no leak", "build: leak mended, no further drip", "build: union no longer leaking",
        "build: nothing drips",
    ],
)  # fmt: skip
def test_a_trouble_that_is_done_with_is_gone(over: str) -> None:
    assert thing("leak", "build: a drip at the union", over)["there"] == "no"


def test_a_trouble_that_is_only_to_be_mended_is_still_there() -> None:
    journal = "## 2026-03-10\n- build: a drip at the union, needs a new washer\n"
    assert [one.properties["there"] for one in facts("build", journal) if one.properties["thing"] == "leak"] == ["yes"]


def test_an_open_job_makes_nothing() -> None:
    assert facts("build", "## 2026-03-10\n- [ ] fit the RCD\n") == []


def test_a_thing_is_dated_by_its_newest_and_its_first_note() -> None:
    found = thing("panel", "build: acrylic panels fitted", "build: panels run freely")
    assert (found["days"], found["first_days"]) == (30, 31)


@pytest.mark.parametrize(
    ("job", "before"),
    [("drip loops on the cables", "water"), ("order mesh for the hood", "fish"), ("order door panels", "later")],
)
def test_a_job_comes_before_water_before_fish_or_later(job: str, before: str) -> None:
    assert stated("build-job", f"## 2026-03-10\n- [ ] {job}\n")["before"] == before


def test_jobs_that_come_round_and_jobs_that_are_done_are_not_open_work() -> None:
    mesh = "- [ ] order mesh\n## 2026-03-11\n- [x] order mesh\n"
    notes = f"## 2026-03-10\n- [ ] press the RCD test button every 30 days\n{mesh}"
    assert facts("build-job", notes) == []


def test_the_build_has_begun_with_its_first_note() -> None:
    found = stated("bench", "## 2026-03-10\n- measure: alcove width 1310 mm\n## 2026-03-20\n- build: drain plumbed\n")
    assert (found["wet_side"], found["first_days"]) == ("yes", 31)
    assert facts("bench", "## 2026-03-10\n- pH 8.1\n") == []


def test_the_worst_take_tells_how_far_a_stand_is_out_of_level() -> None:
    notes = "## 2026-03-10\n- measure: stand top left to right out of level 1/2.5/2 mm\n"
    assert stated("out-of-level", notes)["mm"] == 2.5


def test_a_tank_is_lifted_by_as_many_as_carry_twenty_kilograms_each() -> None:
    found = stated("mass", "## 2026-03-10\n- measure: tank mass 85 kg\n")
    assert (found["kg"], found["people"]) == (85, 5)


def test_a_centimetre_of_a_tank_of_150_by_60_is_nine_litres() -> None:
    """By hand: 150 cm x 60 cm x 1 cm = 9000 cm3."""
    found = stated("drain-down", "## 2026-03-01\n- vessel: display, 150 x 60 x 60 cm\n")
    assert found["per_cm"] == pytest.approx(9.0)
    assert math.isnan(float(found["litres"]))


def test_the_deepest_outlet_tells_how_much_is_siphoned() -> None:
    """By hand: 120 cm x 55 cm x 4 cm = 26.4 L."""
    notes = (
        "## 2026-03-01\n- vessel: display, 120 x 55 x 50 cm\n- measure: return outlet 40 mm below surface\n"
        "- measure: weir teeth 15 mm below surface\n"
    )
    found = stated("drain-down", notes, date(2026, 3, 2))
    assert (found["fall_mm"], found["litres"]) == (40, pytest.approx(26.4))


def test_without_a_size_nothing_comes_down() -> None:
    assert facts("drain-down", NO_SIZE) == []


def test_openings_know_how_long_the_tank_had_stood_full_when_they_were_measured() -> None:
    sides = "- measure: left opening width 588/588/587 mm\n- measure: left opening height 702/701/702 mm\n"
    assert stated("panels", f"## 2026-03-09\n{sides}")["full_days"] == 8
    assert stated("panels", f"{NO_SIZE}{sides}")["full_days"] < 0


DRIP, DRY = "- build: a drip at the return union\n", "- build: union sealed, paper dry\n"


@pytest.mark.parametrize(
    ("notes", "there"),
    [
        (f"## 2026-03-10\n{DRIP}{DRY}", "no"),
        (f"## 2026-03-10\n{DRY}{DRIP}", "yes"),
        (f"## 2026-03-10 Noon\n{DRIP}## 2026-03-10 Later\n{DRY}", "yes"),
        (f"## 2026-03-10 12:00\n{DRIP}## 2026-03-10 15:00\n{DRY}", "no"),
        (f"## 2026-03-10\n{DRIP}## 2026-03-11\n{DRY}", "no"),
        (f"## 2026-03-10\n{DRIP}## 2026-03-11\n- [x] union sealed, paper dry\n", "no"),
        (f"## 2026-03-10\n{DRIP}## 2026-03-11\n- build: union sealed, no dry paper yet\n", "yes"),
    ],
)
def test_paper_that_stayed_dry_after_the_newest_word_on_a_leak_ends_it(notes: str, there: str) -> None:
    (leak,) = [fact.properties for fact in facts("build", notes) if fact.properties["thing"] == "leak"]
    assert leak["there"] == there
