"""A day that was mistyped into the future is told, and does not come true unseen when that day comes."""

from __future__ import annotations

from datetime import date

import pytest

import reefjournal

HEAD = "## 2026-04-01\n- vessel: display, 290 L water\n- water: filled 290 L at 35 ppt\n"


def entry(day: str, record: str = "ammonia 0, nitrite 0 as N") -> str:
    return f"## 2026-04-{day}\n- {record}\n"


def doubted(days: str) -> list[int]:
    """The days of April that are doubted, of entries in this order."""
    journal = reefjournal.read_text(HEAD + "".join(entry(f"{int(day):02}") for day in days.split()))
    lines = [one.line for one in journal.problems if "lies in time after" in one.message]
    return [one.day.day for one in journal.entries if one.line in lines and one.day]


@pytest.mark.parametrize(
    ("days", "found"),
    [
        ("5 14 5 6 7 8", [14]),
        ("5 14 14 5 6 7 8", [14, 14]),
        ("5 14 5 6 8 9 14 15", [14]),
        ("5 6 7 8 14", []),  # the day has not come yet
        ("5 14 7 6 8 9", [14]),  # with a note that was written down late among them
        ("5 14 6 7 15", []),  # two notes that were written down late
        ("15 14 8 7 6 5", []),  # the newest first
        ("5 6 7 14 2 3 4 5", []),  # an older time below
        ("5 5 5 5 5", []),
    ],
)
def test_an_entry_that_overtakes_those_below_it_is_doubted(days: str, found: list[int]) -> None:
    assert doubted(days) == found


def test_hours_tell_the_order_of_one_day() -> None:
    notes = "".join(entry(hour) for hour in ("05 08:00", "06 20:00", "05 09:00", "05 20:00", "06 09:00"))
    (problem,) = (one for one in reefjournal.read_text(HEAD + notes).problems if "lies in time after" in one.message)
    assert (problem.line, problem.severity) == (6, "error")


def test_snails_of_a_mistyped_day_hold_the_ammonia_back() -> None:
    """They may be there since the day on which the note was written."""
    days = [entry("05", "ammonia 0, nitrite 0 as N"), entry("06"), entry("07"), entry("08")]
    slip = entry("15", "stock: added 3 turban snails")
    for notes, held in ((HEAD + days[0] + slip + "".join(days[1:]), True), (HEAD + "".join(days), False)):
        advice = reefjournal.read_text(notes).advise(date(2026, 4, 9), forecast=False)
        assert (advice.actions[0].rule == "mend-the-day") is held
        assert any(one.amount and one.amount.substance == "ammonium chloride" for one in advice.actions) is not held


def test_the_first_entry_of_a_file_may_be_mistyped_too() -> None:
    notes = "".join(entry(day) for day in ("15", "04", "05", "06"))
    (problem,) = (one for one in reefjournal.read_text(notes).problems if "lies in time after" in one.message)
    assert problem.line == 1


@pytest.mark.parametrize(
    "record", ["seen: gasping", "seen: eating", "treat: copper 0.5 mg/L", "discard: stock of 2026-04-02"]
)
def test_whatever_tells_of_animals_holds_the_ammonia_back(record: str) -> None:
    notes = HEAD + entry("05") + entry("15", record) + entry("06") + entry("07") + entry("08")
    advice = reefjournal.read_text(notes).advise(date(2026, 4, 9), forecast=False)
    assert not any(one.amount and one.amount.substance == "ammonium chloride" for one in advice.actions)


@pytest.mark.parametrize("record", ["stock (qt): added 2 clownfish", "stock: moved 2 clownfish from display to qt"])
def test_the_doubt_goes_with_the_water_that_a_record_names(record: str) -> None:
    head = HEAD + "- vessel: qt, quarantine, 60 L water\n- water (qt): filled 60 L at 35 ppt\n"
    tests = [entry(f"{day:02}", "test (qt): ammonia 0, nitrite 0 as N") for day in (5, 6, 7, 8)]
    notes = head + tests[0] + entry("15", record) + "".join(tests[1:])
    advice = reefjournal.read_text(notes).advise(date(2026, 4, 9), "qt", forecast=False)
    assert not any(one.amount and one.amount.substance == "ammonium chloride" for one in advice.actions)


def test_a_dose_of_a_mistyped_day_keeps_the_gates_shut() -> None:
    tests = "".join(entry(f"{day:02}") for day in range(5, 17))
    slip = entry("12 09:00", "dose: ammonium chloride 1.6 g")
    notes = HEAD + entry("02", "ammonia 2 as N, nitrite 1 as N") + slip + tests
    gates = {one.id: one for one in reefjournal.read_text(notes).advise(date(2026, 4, 16), forecast=False).gates}
    for name in ("clean-up-crew", "first-fish"):
        states = {one.id: one.state for one in gates[name].checks}
        assert (states["notes-understood"], gates[name].open) == ("unmet", False)
