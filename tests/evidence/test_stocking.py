"""What came in, what was tested since, how the animals are, what is planned, what the food will bring."""

from __future__ import annotations

import math
from datetime import date

import pytest
from statements import TANK, facts, stated

import reefjournal
from reefjournal.facts import Fact, Property, Query

FISH = "## 2026-03-20\n- stock: added 2 gobies\n"
CLEAR = "- ammonia 0, nitrite 0\n"


def addition(group: str, notes: str) -> dict[str, Property]:
    return next(dict(one.properties) for one in facts("addition", notes) if one.properties["group"] == group)


def asked(notes: str, kind: str, **parameters: Property) -> list[Fact]:
    query = Query(kind, tuple(sorted(parameters.items())))
    found = reefjournal.read_text(TANK + notes).witness(date(2026, 4, 10)).facts(frozenset([query]), frozenset())
    return [fact for fact in found if fact.kind == kind]


def test_nothing_that_came_states_no_addition() -> None:
    assert facts("addition", "## 2026-03-20\n- stock: added 12 kg live rock\n") == []


def test_days_of_additions_are_counted_and_the_gap_between_the_last_two_is_told() -> None:
    found = addition("fish", FISH + "- stock: added 1 blenny\n## 2026-03-27\n- stock: added 1 firefish\n")
    assert (found["times"], found["gap_days"], found["age_days"]) == (2, 7, 14)


def test_animals_that_are_moved_in_are_an_addition_and_those_moved_out_are_none() -> None:
    tank = f"{TANK}## 2026-03-10\n- vessel: quarantine, 55 L\n"
    moved = tank + "## 2026-03-20\n- stock: moved 2 gobies quarantine -> display\n"
    away = tank + "## 2026-03-20\n- stock: moved 2 gobies display -> quarantine\n"
    assert addition("fish", moved)["day"] == "2026-03-20"
    assert facts("addition", away) == []


def test_tests_of_the_day_on_which_something_came_say_nothing_of_it() -> None:
    found = addition("fish", FISH + CLEAR)
    assert (found["ammonia_days"], found["untested_days"]) == (0, 21)
    assert math.isnan(float(found["ammonia_high"]))


def test_clear_days_are_counted_back_to_the_last_reading_that_showed_something() -> None:
    found = addition("fish", f"{FISH}## 2026-03-22\n{CLEAR}## 2026-03-25\n- nitrite 0.2\n## 2026-03-28\n{CLEAR}{CLEAR}")
    assert (found["ammonia_days"], found["nitrite_days"]) == (2, 1)
    assert (found["shown"], found["shown_days"]) == ("nitrite 0.2 (2026-03-25)", 16)


def test_the_older_of_both_tests_says_since_when_the_water_was_not_tested() -> None:
    found = addition("fish", f"{FISH}## 2026-03-22\n{CLEAR}## 2026-04-08\n- ammonia 0\n")
    assert found["untested_days"] == 19


def test_losses_before_the_last_addition_do_not_count_against_it() -> None:
    found = addition("fish", "## 2026-03-12\n- stock: added 1 blenny\n## 2026-03-15\n- stock: lost 1 blenny\n" + FISH)
    assert found["lost"] == 0


@pytest.mark.parametrize(
    ("notes", "state"),
    [
        ("", ""),
        ("- seen: all well\n", "well"),
        ("- seen: rubbing\n", "amiss"),
        ("- seen: all well\n- seen: rubbing\n", "amiss"),
        ("- seen: rubbing\n## 2026-03-22\n- seen: all well\n", "well"),
        ("- seen: all well\n## 2026-03-22\n- seen: rubbing\n## 2026-03-23\n- seen: rubbing gone\n", "well"),
    ],
)
def test_the_last_word_on_the_animals_holds(notes: str, state: str) -> None:
    assert stated("health", FISH + notes)["state"] == state


def test_losses_are_counted_by_the_animal_within_their_days() -> None:
    notes = FISH + "## 2026-04-02\n- stock: lost 1 goby\n## 2026-04-04\n- stock: lost 1 goby\n"
    assert [one.properties["number"] for one in asked(notes, "losses", group="fish", days=7.0)] == [1]
    assert asked(notes, "losses", group="coral", days=7.0) == []


def test_a_plan_needs_things_so_many_days_before_it() -> None:
    (found,) = asked("## 2026-04-01\n- plan: 2 gobies 2026-05-20\n", "lead", days=30.0)
    assert (found.properties["by"], found.properties["left"], found.properties["held"]) == ("2026-04-20", 10, "no")


def test_an_animal_that_waits_in_quarantine_is_held_there_until_it_leaves() -> None:
    held = f"{TANK}## 2026-04-01\n- vessel: quarantine, 55 L\n- stock (quarantine): added 2 watchman gobies\n"
    plan = "- plan: 2 gobies 2026-05-20\n"
    assert stated("arrival", held + plan)["held"] == "yes"
    assert stated("arrival", held + plan + "- stock (quarantine): lost 2 watchman gobies\n")["held"] == "no"


@pytest.mark.parametrize(
    ("animal", "name", "value"),
    [
        ("1 pink montipora", "listed", "yes"),
        ("1 leather coral", "listed", "no"),
        ("1 blue damsel", "nature", "bold"),
        ("1 mandarin", "nature", "late"),
        ("3 fish", "named", "no"),
    ],
)
def test_a_planned_animal_is_known_by_its_kind(animal: str, name: str, value: str) -> None:
    assert stated("arrival", f"## 2026-04-01\n- plan: {animal} 2026-05-20\n")[name] == value


def test_what_is_planned_anew_replaces_the_plan_before() -> None:
    notes = "## 2026-04-01\n- plan: 2 gobies 2026-05-20\n## 2026-04-02\n- plan: 2 gobies 2026-06-20\n"
    assert stated("arrival", notes)["day"] == "2026-06-20"


# Nitrogen of a gram of food with 45 % protein: 0.092 of the protein, 41.4 mg. Source (from memory): Timmons and
# Ebeling, Recirculating Aquaculture.
A_GRAM = 1000 * 0.45 * 0.092


def test_food_planned_with_animals_comes_on_top_of_what_is_fed() -> None:
    fed = f"{FISH}- fed: 0.5 g pellets 45 % protein every day\n## 2026-04-05\n"
    found = stated("load", fed + "- plan: 1 firefish 2026-05-20, 0.3 g pellets 45 % protein every day\n")
    assert found["high"] == pytest.approx(0.8 * A_GRAM, rel=1e-3)
    assert found["covers"] == "yes"


def test_food_planned_by_itself_is_the_whole_ration() -> None:
    fed = f"{FISH}- fed: 0.5 g pellets 45 % protein every day\n## 2026-04-05\n"
    found = stated("load", fed + "- plan: food 0.8 g pellets 45 % protein every day\n")
    assert found["high"] == pytest.approx(0.8 * A_GRAM, rel=1e-3)
    assert stated("load", fed + "- plan: food 0.5 g pellets 45 % protein every day\n")["covers"] == "no"


def test_on_the_day_of_a_new_ration_only_the_new_one_counts() -> None:
    half, whole = ("- fed: 0.5 g pellets 45 % protein every day\n", "- fed: 1 g pellets 45 % protein every day\n")
    plan = "## 2026-04-10\n- plan: food 1.2 g pellets 45 % protein every day\n"
    found = stated("load", f"{FISH}{half}## 2026-04-04\n{whole}{plan}")
    assert found["fed_high"] == pytest.approx(A_GRAM, rel=1e-3)


def test_fish_that_nobody_wrote_food_for_leave_the_load_unknown() -> None:
    notes = FISH + "- plan: 1 firefish 2026-05-20, 0.3 g pellets 45 % protein every day\n"
    assert stated("load", notes)["known"] == "no"


@pytest.mark.parametrize(
    ("notes", "state", "hours"),
    [
        ("- gear: lights 6 h at 50 %\n", "on", 6.0),
        ("- gear: lights 6 h\n## 2026-03-22\n- gear: lights off\n", "off", 6.0),
    ],
)
def test_the_lights_are_told_with_their_hours(notes: str, state: str, hours: float) -> None:
    found = stated("light", "## 2026-03-20\n" + notes)
    assert (found["state"], found["hours"]) == (state, hours)


def test_what_grazers_eat_is_visible_gone_or_was_never_seen() -> None:
    assert stated("grazing", FISH)["state"] == ""
    assert stated("grazing", FISH + "- seen: green film\n")["state"] == "visible"
    gone = stated("grazing", FISH + "- seen: green film\n## 2026-04-01\n- seen: green film gone\n")
    assert (gone["state"], gone["days"]) == ("gone", 9)
