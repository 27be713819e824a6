"""One reading decides nothing: a second test bears a challenge out, and one that shows more again takes it back."""

from __future__ import annotations

from datetime import date, datetime

import pytest

import reefjournal

DOSE = """
## 2026-05-01
- vessel: display, 100 L water
- kit: ammonia, as N, card 0 0.2 0.5 1 2
- kit: nitrite, as N, card 0 0.1 0.25 0.5 1
- water: filled 100 L at 35 ppt
- stock: none
- plan: food 0.2 g pellets 45 % protein every day
## 2026-05-10
- 09:00 test: ammonia 2, nitrite 0.5, salinity 35 ppt, temperature 25 C
## 2026-05-15
- 09:00 test: ammonia 0, nitrite 0
- 10:00 dose: ammonium chloride 0.4 g
- 20:00 test: ammonia 0.5, nitrite 0.5
"""
DAY = "## 2026-05-16\n- 09:00 test: ammonia 0.2, nitrite 0\n"
NOON = "- 12:00 test: ammonia 0, nitrite {}\n"
EVENING = "- 20:00 test: ammonia 0, nitrite {}\n"
LATER = "## 2026-05-17\n- 18:00 test: ammonia 0, nitrite 0\n## 2026-05-18\n- 18:00 test: ammonia 0, nitrite 0\n"


def asked(notes: str, on: date = date(2026, 5, 18)) -> tuple[str, str]:
    """The stage, and the state of what the first fish ask of the filter."""
    journal = reefjournal.read_text(DOSE + notes)
    assert journal.problems == ()
    advice = journal.advise(on, forecast=False)
    (gate,) = (one for one in advice.gates if one.id == "first-fish")
    assert advice.stage is not None
    return advice.stage.id, next(one.state for one in gate.checks if one.id == "capacity")


@pytest.mark.parametrize("colour", ["0", "0.1"])
def test_a_second_test_the_same_noon_bears_a_challenge_out(colour: str) -> None:
    assert asked(DAY + NOON.format(colour) + LATER) == ("cycled", "met")


@pytest.mark.parametrize("colour", ["0", "0.1"])
def test_what_is_gone_in_the_evening_does_not_bear_out_that_it_was_within_a_day(colour: str) -> None:
    assert asked(DAY + EVENING.format(colour) + LATER) == ("cycled", "unknown")


def test_a_challenge_that_one_reading_answers_does_not_speak_for_fish() -> None:
    assert asked(DAY + LATER) == ("cycled", "unknown")


def test_a_challenge_is_not_cleared_where_more_shows_again_the_same_day() -> None:
    assert asked(DAY + EVENING.format("0.5") + LATER)[0] == "cycle-unproven"


def test_a_test_of_the_same_moment_by_the_same_kit_bears_nothing_out() -> None:
    assert asked(DAY + "- 09:00 test: ammonia 0.2, nitrite 0\n" + LATER)[1] == "unknown"


def test_a_test_of_the_same_moment_by_another_hand_bears_it_out() -> None:
    assert asked(DAY + "- 09:00 ammonia 0.05 as N by shop, nitrite 0 as N by shop\n" + LATER)[1] == "met"


SLOW = f"{DAY.replace('nitrite 0', 'nitrite 0.5')}{EVENING}## 2026-05-17\n- 09:00 ammonia 0, nitrite 0\n"


def test_what_took_two_days_is_borne_out_by_another_test_that_shows_nothing() -> None:
    assert asked(SLOW.format("0") + LATER) == ("cycled", "met")


def test_what_was_still_there_after_a_day_and_a_half_takes_four_tests() -> None:
    three = SLOW.format("0.5") + "".join(f"- {hour}:00 ammonia 0, nitrite 0\n" for hour in (10, 11))
    assert asked(three + LATER) == ("cycled", "unknown")
    assert asked(three + "- 12:00 ammonia 0, nitrite 0\n" + LATER) == ("cycled", "met")


@pytest.mark.parametrize("colour", ["0.1", "0.5"])
def test_the_lowest_step_bears_nothing_out_that_took_two_days(colour: str) -> None:
    assert asked(SLOW.format(colour) + LATER) == ("cycled", "unknown")


def test_one_slip_among_three_clear_tests_takes_nothing_back() -> None:
    assert asked(DAY + EVENING.format("0") + "## 2026-05-17\n- 09:00 ammonia 0, nitrite 0.5\n" + LATER)[0] == "cycled"


def test_what_is_written_twice_of_one_moment_is_one_test_against_a_slip() -> None:
    slip = "## 2026-05-17\n- 09:00 ammonia 0, nitrite 0.5\n"
    assert asked(DAY + "- 09:00 test: ammonia 0.2, nitrite 0\n" + slip + LATER)[0] == "cycle-unproven"


def test_a_test_half_an_hour_late_is_in_time_and_one_an_hour_late_is_not() -> None:
    day = DAY.replace("09:00", "10:30")
    assert asked(day + EVENING.format("0.1") + LATER)[0] == "cycled"
    late = day.replace("10:30", "11:00").replace("ammonia 0.2", "ammonia 0.2, temperature 25 C")
    again = EVENING.format("0.1").replace("ammonia 0,", "ammonia 0.2,")
    assert asked(late + again + LATER)[0] == "cycle-unproven"


@pytest.mark.parametrize("shop", ["- 12:00 check: ammonia by shop 1", "- check: ammonia by shop 1"])
def test_a_kit_that_shows_far_less_than_the_shop_that_day_opens_no_gate(shop: str) -> None:
    again = f"{DAY}{NOON.format('0')}{LATER}"
    trusted = {}
    for notes in (again, f"{again}{shop} as N\n"):
        advice = reefjournal.read_text(DOSE + notes).advise(date(2026, 5, 18), forecast=False)
        (gate,) = (one for one in advice.gates if one.id == "first-fish")
        trusted[notes] = (gate.open, next(one.state for one in gate.checks if one.id == "ammonia-test-trusted"))
    assert list(trusted.values()) == [(True, "met"), (False, "unmet")]


def test_a_test_without_an_hour_that_may_be_late_bears_nothing_out() -> None:
    untimed = "## 2026-05-17\n- test: ammonia 0, nitrite 0\n## 2026-05-18\n- test: ammonia 0, nitrite 0\n"
    evening = DAY + EVENING.format("0")
    assert asked(evening + untimed)[1] == "unknown"
    assert asked(evening + untimed.replace("- test", "- 11:00 test", 1))[1] == "met"


def test_a_filter_that_went_hungry_since_its_challenge_does_not_speak_for_fish() -> None:
    passed = DAY + NOON.format("0") + LATER
    assert asked(f"{passed}## 2026-05-19\n- 18:00 test: ammonia 0, nitrite 0\n", date(2026, 5, 19))[1] == "met"
    assert asked(f"{passed}## 2026-05-20\n- 18:00 test: ammonia 0, nitrite 0\n", date(2026, 5, 20))[1] == "unknown"


def left(notes: str) -> list[str]:
    """The advice of the evening on which a challenge that took two days came down, where it asks for one more test."""
    advice = reefjournal.read_text(DOSE + notes).advise(date(2026, 5, 17), forecast=False)
    return [one.do for one in advice.actions if one.rule == "bear-out-the-challenge"]


def test_one_clear_test_after_two_days_asks_for_another_until_four_hours_later() -> None:
    (asked_for,) = left(SLOW.format("0.5"))
    assert "before 14:00 on 2026-05-17" in asked_for  # 52 hours after 10:00


def test_one_test_after_a_day_asks_for_another_until_four_hours_later() -> None:
    advice = reefjournal.read_text(DOSE + DAY).advise(date(2026, 5, 16), forecast=False)
    (asked_for,) = [one.do for one in advice.actions if one.rule == "bear-out-the-day"]
    assert "before 14:00 on 2026-05-16" in asked_for  # 28 hours after 10:00


def test_a_test_that_showed_more_again_is_settled_by_another_and_two_are_not() -> None:
    once = SLOW.format("0.5") + "- 10:00 ammonia {}, nitrite {}\n"
    for ammonia, nitrite in (("0", "0.1"), ("0.5", "0")):
        assert left(once.format(ammonia, nitrite))
        assert not left(once.format(ammonia, nitrite) + "- 11:00 ammonia 0, nitrite 0.1\n" * 2)
    assert not left(once.format("0.5", "0.1"))  # one of each
    assert not left(once.format("0", "0.5"))  # a single test before it can't be kept by another after it


def test_a_pass_that_a_slip_took_back_is_borne_out_anew() -> None:
    slip = SLOW.format("0.5") + "- 09:30 ammonia 0.5, nitrite 0\n"
    hours = [f"- {hour} ammonia 0, nitrite 0\n" for hour in ("10:00", "10:30", "11:00", "11:30")]
    more = [asked(slip + "".join(hours[:count]) + LATER) for count in (3, 4)]
    assert more == [("cycled", "unknown"), ("cycled", "met")]


def test_what_was_taken_back_was_gone_only_when_it_showed_as_gone_again() -> None:
    """A misread colour makes no challenge a faster one: neither for the load, nor one that is clear early."""
    early = DOSE.replace("food 0.2 g", "food 1.0 g").replace(
        "- 20:00 test: ammonia 0.5, nitrite 0.5\n",
        "- 11:00 ammonia 1\n- 18:00 test: ammonia 0, nitrite 0\n- 18:30 test: ammonia 0, nitrite 0\n{}",
    )
    day = "## 2026-05-16\n- 09:00 test: ammonia 0, nitrite 0\n- 10:00 test: ammonia 0, nitrite 0\n"
    again = "- 22:00 test: ammonia 0, nitrite 0.5\n"
    for between, state in (("", "met"), (again, "unknown")):
        advice = reefjournal.read_text(early.format(between) + day + LATER).advise(date(2026, 5, 18), forecast=False)
        (gate,) = (one for one in advice.gates if one.id == "first-fish")
        assert next(one.state for one in gate.checks if one.id == "capacity") == state
    late = DAY.replace("nitrite 0", "nitrite 0.5") + "- 20:00 test: ammonia 0, nitrite 0\n- 22:00 nitrite 0.1\n"
    morning = "## 2026-05-17\n- 08:00 test: ammonia 0, nitrite 0\n- 09:00 test: ammonia 0, nitrite 0\n"
    assert asked(late + morning + LATER)[1] == "unknown"
    assert asked(late.replace("- 22:00 nitrite 0.1\n", "") + morning + LATER)[1] == "met"


@pytest.mark.parametrize(
    "denial",
    ["- test: ammonia 1, nitrite 1\n", "- 10:00 water: changed 5 L at 35 ppt\n- 12:00 test: ammonia 1, nitrite 1\n"],
)
def test_a_test_that_may_be_in_time_takes_a_pass_back_whatever_was_done_to_the_water(denial: str) -> None:
    passed = DAY + "- 09:30 test: ammonia 0, nitrite 0\n"
    assert asked(passed + LATER)[1] == "met"
    assert asked(passed + denial + LATER)[1] == "unknown"


@pytest.mark.parametrize(
    ("early", "passed"),
    [
        ("- 11:00 ammonia 0.2\n", False),
        ("- 11:00 ammonia 0.2\n- 11:40 ammonia 1\n", False),
        ("- 11:00 ammonia 0.2\n- 11:40 ammonia 1\n- 11:50 ammonia 1\n", False),
        ("- 11:00 ammonia 0.2\n- 11:40 ammonia 1\n- 12:10 ammonia 1\n", True),
        ("- 11:00 ammonia 1\n- 11:40 ammonia 0.2\n- 12:10 ammonia 1\n", True),
        ("- 11:00 ammonia 0.2\n- 11:40 ammonia 1\n- 14:00 ammonia 1\n", True),
        ("- 11:00 ammonia 0.2\n- 11:40 ammonia <2\n- 12:10 ammonia <2\n", False),
        ("- 11:00 ammonia 0.2\n- 11:40 ammonia 0.2\n" + "".join(f"- 12:{m} ammonia 1\n" for m in (0, 20, 40)), False),
        ("- 11:00 ammonia 0.05 as N by shop\n- 11:40 ammonia 1\n- 12:10 ammonia 1\n", False),
    ],
)
def test_a_dose_that_a_test_did_not_see_arrive_takes_two_that_did(early: str, passed: bool) -> None:
    notes = DOSE.replace("- 20:00 test", early + "- 20:00 test") + DAY + NOON.format("0") + LATER
    advice = reefjournal.read_text(notes).advise(date(2026, 5, 18), forecast=False)
    assert advice.stage is not None
    assert (advice.stage.id == "cycled") is passed


def test_a_first_test_that_shows_too_little_of_a_dose_is_repeated_within_three_hours_of_it() -> None:
    notes = DOSE.replace("- 20:00 test: ammonia 0.5, nitrite 0.5\n", "- 11:00 ammonia 0.2\n")
    for hour, early in ((12, True), (14, False)):
        advice = reefjournal.read_text(notes).advise(datetime(2026, 5, 15, hour), forecast=False)
        first = advice.actions[0]
        assert (first.rule == "test-the-arrival-again") is early
        assert ("before 13:00" in first.do) is early


def test_a_dose_that_no_test_ever_saw_does_not_speak_for_fish() -> None:
    unseen = DOSE.replace("- 20:00 test: ammonia 0.5, nitrite 0.5\n", "")
    clear = "## 2026-05-16\n- 09:00 test: ammonia 0, nitrite 0\n- 10:00 test: ammonia 0, nitrite 0\n"
    for notes, state in ((DOSE, "met"), (unseen, "unknown")):
        advice = reefjournal.read_text(notes + clear + LATER).advise(date(2026, 5, 18), forecast=False)
        (gate,) = (one for one in advice.gates if one.id == "first-fish")
        assert next(one.state for one in gate.checks if one.id == "capacity") == state


def test_tests_in_the_first_hours_after_a_dose_are_no_answer() -> None:
    early = DOSE.replace("- 20:00 test: ammonia 0.5, nitrite 0.5\n", "- {0} test: ammonia 0, nitrite 0\n- {1} {2}")
    for first, second, answered in (("17:00", "17:40", False), ("18:30", "19:10", True)):
        notes = early.format(first, second, "test: ammonia 0, nitrite 0\n")
        advice = reefjournal.read_text(notes).advise(date(2026, 5, 15), forecast=False)
        assert advice.stage is not None
        assert (advice.stage.id == "cycled") is answered


@pytest.mark.parametrize("record", ["water: changed 40 L at 35 ppt", "dose: ammonia binder 10 ml"])
def test_a_test_after_water_was_changed_or_ammonia_bound_bears_nothing_out(record: str) -> None:
    assert asked(f"{DAY}- 10:00 {record}\n{NOON.format('0')}{LATER}")[1] == "unknown"


@pytest.mark.parametrize("again", ["- test: ammonia 0.2, nitrite 0\n", "- 09:10 test: ammonia 0.2, nitrite 0\n"])
def test_a_test_within_minutes_or_without_its_hour_is_no_second_one(again: str) -> None:
    assert asked(DAY + again + LATER)[1] == "unknown"


def test_a_third_test_without_its_hour_takes_nothing_from_two_with_theirs() -> None:
    assert asked(DAY + NOON.format("0") + "- test: ammonia 0, nitrite 0\n" + LATER)[1] == "met"


def test_the_two_clear_days_count_from_the_dose_on() -> None:
    clear = "## 2026-05-16\n- 09:00 test: ammonia 0, nitrite 0\n- 10:00 test: ammonia 0, nitrite 0\n"
    notes = DOSE.replace("- 20:00 test: ammonia 0.5, nitrite 0.5\n", "- 11:00 ammonia by shop 0.9 as N\n") + clear
    advice = reefjournal.read_text(notes).advise(date(2026, 5, 16), forecast=False)
    (gate,) = (one for one in advice.gates if one.id == "first-fish")
    states = {one.id: one.state for one in gate.checks}
    assert (states["ammonia-clear"], states["nitrite-clear"]) == ("unknown", "unknown")


def test_a_test_on_the_day_of_a_feed_without_an_hour_is_no_clear_day_after_it() -> None:
    passed = DAY + NOON.format("0") + "## 2026-05-18\n- 08:00 test: ammonia 0, nitrite 0\n"
    clear = "## 2026-05-19\n- 09:00 test: ammonia 0, nitrite 0\n"
    feed = "## 2026-05-18\n- dose: ammonium chloride 0.53 g\n"
    for between, state in ((feed, "unknown"), ("", "met")):
        advice = reefjournal.read_text(DOSE + passed + between + clear).advise(date(2026, 5, 19), forecast=False)
        (gate,) = (one for one in advice.gates if one.id == "first-fish")
        assert next(one.state for one in gate.checks if one.id == "nitrite-clear") == state


def test_an_hour_that_is_past_is_not_named() -> None:
    journal = reefjournal.read_text(DOSE + DAY)
    for hour, told in ((13, True), (15, False)):
        advice = journal.advise(datetime(2026, 5, 16, hour), forecast=False)
        assert ("bear-out-the-day" in [one.rule for one in advice.actions]) is told


def test_beside_animals_no_second_test_of_a_challenge_is_asked_for() -> None:
    snails = f"{DAY}- 10:00 stock: added 2 snails\n- 12:00 test: ammonia 0.2\n"
    advice = reefjournal.read_text(DOSE + snails).advise(date(2026, 5, 16), forecast=False)
    assert not [one for one in advice.actions if one.rule.startswith("bear-out")]


def test_what_shows_again_after_an_early_nothing_begins_the_counting_anew() -> None:
    early = DAY.replace("ammonia 0.2, nitrite 0", "ammonia 0.5, nitrite 0.5") + EVENING.format("0")
    again = "## 2026-05-17\n- 01:00 ammonia 0.2, nitrite 0.1\n- 05:00 ammonia 0.2, nitrite 0.1\n"
    late = "- 09:30 ammonia 0, nitrite 0\n" + LATER.removeprefix("## 2026-05-17\n")
    assert asked(early + "## 2026-05-17\n" + late) == ("cycled", "met")
    assert asked(early + again + late) == ("cycled", "unknown")


def test_two_early_slips_and_a_late_nothing_do_not_outvote_two_that_show_it() -> None:
    slips = "- 20:30 test: ammonia 0, nitrite 0\n- 21:30 test: ammonia 0, nitrite 0\n"
    shows = "## 2026-05-16\n- 09:00 ammonia 0.5, nitrite 0.25\n- 12:00 ammonia 0.5, nitrite 0.25\n"
    more = "- 16:00 ammonia 0.5, nitrite 0.25\n"
    late = "## 2026-05-17\n- 09:00 ammonia 0, nitrite 0\n" + LATER.removeprefix("## 2026-05-17\n")
    assert asked(slips + shows + more + late) == ("cycled", "unknown")


def test_a_test_that_stands_above_its_dose_answers_it_only_where_the_newest_is_on_top() -> None:
    """A day that was mistyped by a few days puts tests of before a dose after it."""
    head, dose = DOSE.split("## 2026-05-15\n")
    dose = "## 2026-05-15\n- 10:00 dose: ammonium chloride 0.4 g\n- 20:00 test: ammonia 0.5, nitrite 0.5\n"
    before = "## 2026-05-14\n- 09:00 test: ammonia 0, nitrite 0\n"
    tests = DAY + NOON.format("0")
    later = LATER.removeprefix("\n")

    def state(*entries: str) -> str:
        return reefjournal.read_text("".join(entries)).advise(date(2026, 5, 18), forecast=False).stage.id  # type: ignore[union-attr]

    assert state(head, before, dose, tests, later) == "cycled"
    assert state(head, before, tests, dose, later) != "cycled"
    stray = "## 2026-05-17\n- 09:00 test: ammonia 2, nitrite 0\n"  # no answer, and no pass beside it either
    assert state(head, before, stray, dose, tests, "## 2026-05-18\n- 18:00 test: ammonia 0, nitrite 0\n") != "cycled"
    newest_first = [f"## {part}" for part in later.split("## ")[1:]][::-1]
    assert state("".join(newest_first), tests, dose, before, head) == "cycled"


def test_of_two_rules_that_would_repeat_a_challenge_one_dose_is_told() -> None:
    evening = "## 2026-05-16\n- 10:00 ammonia 0.5, nitrite 0.5\n- 20:00 ammonia 0.5, nitrite 0.5\n"
    tests = (("08:00", 0), ("09:00", 0.5), ("10:00", 0.1))
    morning = "".join(f"- {hour} ammonia 0, nitrite {colour}\n" for hour, colour in tests)
    notes = f"{DOSE}{evening}## 2026-05-17\n{morning}## 2026-05-18\n- 18:00 ammonia 0, nitrite 0\n"
    advice = reefjournal.read_text(notes).advise(date(2026, 5, 18), forecast=False)
    doses = [one.rule for one in advice.actions if one.amount and one.amount.substance == "ammonium chloride"]
    assert doses == ["repeat-the-challenge"]
