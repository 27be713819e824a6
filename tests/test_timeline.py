"""The state of a day, folded from events: volumes, signs, gear, animals and what may be present."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import reefjournal
from reefjournal import timeline
from reefjournal.timeline import Vessel

HEAD = """## 2026-03-01
- vessel: display, 290 L water
- vessel: quarantine, 55 L water
- water: filled 290 L at 35 ppt
"""


def display(text: str, on: date = date(2026, 3, 30)) -> Vessel:
    return reefjournal.read_text(HEAD + text).state(on).vessel("display")


def present(text: str, group: str = "any") -> str:
    return display(text).life(group).present


def test_nothing_written_means_that_nothing_lives_there() -> None:
    assert present("") == "no"


def test_added_animals_live_there() -> None:
    life = display("## 2026-03-02\n- stock: added 12 turban snails\n").life()
    assert (life.present, life.surely) == ("yes", 12)


def test_animals_that_were_all_lost_may_still_be_there() -> None:
    assert present("## 2026-03-02\n- stock: added 2 gobies\n- stock: lost 2 gobies\n") == "maybe"


def test_a_written_count_of_none_clears_what_came_before_it() -> None:
    text = "## 2026-03-02\n- stock: added 2 gobies\n## 2026-03-03\n- stock: none\n"
    assert present(text) == "no"
    assert present(text + "## 2026-03-04\n- stock: added 1 snail\n") == "yes"


def test_a_count_of_none_of_one_animal_leaves_the_others() -> None:
    text = "## 2026-03-02\n- stock: added 2 snails\n- stock: added 1 hermit crab\n## 2026-03-03\n- stock: no snails\n"
    assert present(text, "invertebrate") == "yes"


def test_moving_animals_empties_one_vessel_and_fills_the_other() -> None:
    text = (
        "## 2026-03-02\n- stock (quarantine): added 2 gobies\n"
        "## 2026-03-20\n- stock: moved 2 gobies quarantine -> display\n"
    )
    state = reefjournal.read_text(HEAD + text).state(date(2026, 3, 21))
    assert state.vessel("display").life("fish").present == "yes"
    assert state.vessel("quarantine").life("fish").present == "maybe"


@pytest.mark.parametrize(
    "line",
    ["- stok: aded 2 hermit crab's", "- stock: added 12 kg live rock", "Saw a snail on the glass today.",
     "- stock: added a thing"],
)  # fmt: skip
def test_whatever_may_name_an_animal_casts_doubt(line: str) -> None:
    assert present(f"## 2026-03-02\n\n{line}\n") != "no"


def test_the_note_that_casts_doubt_is_named() -> None:
    journal = reefjournal.read_text(f"{HEAD}## 2026-03-05\n\nThere is a prawn behind the rock.\n")
    why = journal.state(date(2026, 3, 10)).vessel("display").life().why
    assert why == "the notes speak of an animal (prawn, 2026-03-05)"


def test_an_undated_line_that_names_an_animal_casts_doubt_on_every_day() -> None:
    journal = reefjournal.read_text(HEAD + "## 2.3.2026\n- stock: added 2 gobies\n")
    assert journal.state(date(2026, 3, 1)).vessel("display").life().present == "maybe"


def test_algae_are_no_animals() -> None:
    assert present("## 2026-03-02\n- stock: added some chaeto\n") == "no"


def test_a_withdrawn_record_of_animals_leaves_a_doubt() -> None:
    text = "## 2026-03-02\n- stock: added 2 gobies\n## 2026-03-03\n- discard: stock 2026-03-02, wrong tank\n"
    assert present(text) != "no"


def test_a_later_vessel_record_changes_the_volume_from_that_day() -> None:
    journal = reefjournal.read_text(HEAD + "## 2026-03-10\n- vessel: display, 280 L water\n")
    assert journal.state(date(2026, 3, 9)).vessel("display").volume == (290, 290)
    assert journal.state(date(2026, 3, 10)).vessel("display").volume == (280, 280)


def test_a_discarded_reading_is_no_reading() -> None:
    text = "## 2026-03-02\n- ammonia 2\n## 2026-03-05\n- discard: ammonia 2026-03-02, expired reagent\n"
    journal = reefjournal.read_text(HEAD + text)
    assert len(journal.state(date(2026, 3, 4)).vessel("display").readings) == 1
    assert journal.state(date(2026, 3, 5)).vessel("display").readings == ()


def test_a_discard_with_a_clock_leaves_the_other_readings_of_its_day() -> None:
    day = "## 2026-03-02\n- 19:00 ammonia 4\n- 19:30 ammonia 1\n- 19:00 nitrite 0\n- ammonia 2\n"
    there = "- 19:00 test (quarantine): ammonia 3\n"
    text = f"{day}{there}## 2026-03-05\n- discard: ammonia 2026-03-02 19:00, misread\n"
    state = reefjournal.read_text(f"{HEAD}- vessel: quarantine, 40 L\n{text}").state(date(2026, 3, 5))
    kept = [(one.analyte, one.low > 3) for one in state.vessel("display").readings]
    assert sorted(kept) == [("ammonia", False), ("ammonia", False), ("nitrite", False)]
    assert len(state.vessel("quarantine").readings) == 1


def test_a_sign_lasts_until_it_is_gone() -> None:
    text = "## 2026-03-02\n- seen: haze\n## 2026-03-04\n- seen: haze still\n## 2026-03-05\n- seen: haze gone\n"
    journal = reefjournal.read_text(HEAD + text)
    then = journal.state(date(2026, 3, 4)).vessel("display").signs
    now = journal.state(date(2026, 3, 5)).vessel("display").signs
    assert [(one.sign, one.gone is None) for one in then] == [("haze", True)]
    assert [(one.sign, one.gone is None) for one in now] == [("haze", False)]


def test_what_is_on_is_the_last_word_on_a_device() -> None:
    gear = display("## 2026-03-02\n- gear: skimmer on\n## 2026-03-04\n- gear: skimmer off\n").gear
    assert gear["skimmer"].action == "off"


def test_untimed_notes_make_a_range_of_hours() -> None:
    readings = display("## 2026-03-02\n- ammonia 2\n## 2026-03-03\n- ammonia 1\n").readings
    assert timeline.hours_between(*readings) == (0, 48)


def test_timed_notes_make_an_exact_number_of_hours() -> None:
    readings = display("## 2026-03-02 09:00\n- ammonia 2\n## 2026-03-03 21:30\n- ammonia 1\n").readings
    assert timeline.hours_between(*readings) == (36.5, 36.5)


def test_a_moment_sees_only_what_can_have_happened_by_then() -> None:
    journal = reefjournal.read_text(HEAD + "## 2026-03-02\n- 09:00 ammonia 2\n- 21:00 ammonia 1\n")
    seen = journal.state(datetime(2026, 3, 2, 12)).vessel("display").readings
    assert [one.readers[0].written for one in seen] == ["2"]


@given(cut=st.integers(0, 400))
@settings(max_examples=30, deadline=None)
def test_folding_in_two_parts_equals_folding_at_once(cut: int) -> None:
    journal = reefjournal.read("sample_journal")
    events = journal.events[:400]
    once = timeline.fold(events)
    twice = timeline.fold(events[cut:], onto=timeline.fold(events[:cut]))
    assert dict(once.logs) == dict(twice.logs)


@pytest.mark.parametrize(
    ("notes", "present"),
    [
        ("## 2026-04-06\n- stock: added 2 gobies\n- stock: none\n", "no"),
        ("## 2026-04-06 In the evening\n- stock: added 2 gobies\n## 2026-04-06 In the morning\n- stock: none\n", "yes"),
        ("## 2026-04-06 20:00\n- stock: added 2 gobies\n## 2026-04-06\n- stock: none\n", "yes"),
        ("## 2026-04-06 20:00\n- stock: added 2 gobies\n## 2026-04-06 21:00\n- stock: none\n", "no"),
    ],
)
def test_a_count_of_none_clears_what_came_before_it_by_the_clock_or_within_one_entry_alone(
    notes: str, present: str
) -> None:
    state = reefjournal.read_text(f"## 2026-03-01\n- vessel: display, 290 L water\n{notes}").state(date(2026, 4, 7))
    assert state.vessel("display").life().present == present


@pytest.mark.parametrize(
    ("note", "group", "present"),
    [
        ("- seen: gasping", "any", "maybe"),
        ("- seen: eating well", "any", "maybe"),
        ("- seen: open polyps", "coral", "maybe"),
        ("- seen: open polyps", "fish", "no"),
        ("- treat: copper, start", "any", "maybe"),
        ("- seen: ich", "fish", "maybe"),
        ("- seen: velvet", "fish", "maybe"),
        ("- seen: corpse", "any", "maybe"),
        ("- seen: dying", "any", "maybe"),
        ("- seen: die-off", "any", "maybe"),
        ("- seen: little bugs", "invertebrate", "maybe"),
        ("- seen: hitch hiker", "fish", "maybe"),
        ("- seen: aiptasia", "coral", "maybe"),
        ("- dose: live sand 5 kg", "invertebrate", "maybe"),
        ("- dose: bacterial culture 50 ml", "any", "no"),
        ("A pair of ocellaris, at last.", "fish", "maybe"),
        ("Bristleworms under every stone.", "invertebrate", "maybe"),
        ("- seen: haze", "any", "no"),
        ("- seen: gasping\n- stock: none", "any", "no"),
    ],
)
def test_a_sign_that_an_animal_shows_or_a_treatment_means_that_one_may_live_there(
    note: str, group: str, present: str
) -> None:
    assert display(f"## 2026-03-10\n{note}\n").life(group).present == present


@pytest.mark.parametrize(
    ("notes", "group", "present"),
    [
        ("- seen: white spots on fish\n## 2026-04-02\n- stock: no fish\n", "any", "no"),
        ("- stock: no fish\n## 2026-04-02\n- seen: white spots on fish\n", "fish", "maybe"),
        ("- seen: bleaching\n## 2026-04-02\n- stock: no corals\n", "any", "no"),
        ("- seen: dead snail\n## 2026-04-02\n- stock: no fish\n", "invertebrate", "maybe"),
        ("- seen: dead crab\n- seen: dead snail\n## 2026-04-02\n- stock: no snails\n", "invertebrate", "maybe"),
        ("- seen: rubbing\n## 2026-04-02\n- stock: no fish\n", "any", "maybe"),
        ("- a goby hid\n- seen: white spots on fish\n## 2026-04-02\n- stock: no fish\n", "fish", "maybe"),
    ],
)
def test_a_later_count_of_none_takes_back_what_was_seen_of_those_animals_and_no_prose(
    notes: str, group: str, present: str
) -> None:
    state = reefjournal.read_text(f"## 2026-04-01\n- vessel: display, 290 L water\n{notes}").state(date(2026, 4, 7))
    assert state.vessel("display").life(group).present == present
