"""Quarantine and illness: what starts the days again, who has left, what was given, and when the days are full."""

from __future__ import annotations

from datetime import date

import pytest

import reefjournal
from reefjournal.advisor.rulebook import load
from reefjournal.facts import Fact, Property, Query

TANKS = """## 2026-05-01
- vessel: display, 290 L water
- vessel: quarantine, 60 L water
"""
CAME = """## 2026-05-03 (quarantine)
- stock: added 2 gobies
"""
SICK = TANKS + """- stock: added 2 gobies
## 2026-05-08
- seen: white spots on fish
"""
LEFT = SICK + """## 2026-05-10
- stock: moved 2 gobies display -> quarantine
- stock: no fish
"""
FULL = frozenset(
    Query("days-full", (("days", days), ("of", of))) for of, days in (("watching", 30.0), ("fallow", 76.0))
)


def facts(kind: str, notes: str, on: str, vessel: str = "quarantine") -> list[Fact]:
    journal = reefjournal.read_text(notes)
    assert journal.problems == ()
    found = journal.witness(date.fromisoformat(on), vessel).facts(FULL, frozenset())
    return [fact for fact in found if fact.kind == kind]


def stated(kind: str, notes: str, on: str, vessel: str = "quarantine") -> dict[str, Property]:
    (fact,) = facts(kind, notes, on, vessel)
    return dict(fact.properties)


@pytest.mark.parametrize(
    ("later", "reason", "day"),
    [
        ("", "arrival", 3),
        ("14: stock: added 1 blenny", "arrival", 14),
        ("14: stock: moved 1 blenny display -> quarantine", "arrival", 14),
        ("14: stock: lost 1 goby", "death", 14),
        ("14: treat: praziquantel, start; 17: treat: praziquantel, stop", "treatment", 17),
        ("14: seen: rubbing; 16: seen: rubbing gone", "sign", 16),
        ("14: seen: rubbing; 17: seen: all well", "sign", 17),
        ("04: seen: not eating; 06: seen: all well", "arrival", 3),
        ("14: seen: not eating; 16: seen: all well", "sign", 16),
        ("14: seen: not eating; 16: seen: both gobies eating", "sign", 16),
        ("04: seen: not eating; 06: seen: eating", "arrival", 3),
        ("04: seen: not eating; 11: seen: eating", "sign", 11),
    ],
)
def test_the_days_count_from_the_newest_thing_that_starts_them_again(later: str, reason: str, day: int) -> None:
    entries = (one.split(": ", 1) for one in later.split("; ") if one)
    notes = TANKS + CAME + "".join(f"## 2026-05-{on} (quarantine)\n- {record}\n" for on, record in entries)
    watched = stated("watched", notes, "2026-05-20")
    assert (watched["reason"], watched["day"], watched["counting"]) == (reason, f"2026-05-{day:02}", "yes")


def test_nothing_counts_while_a_sign_lasts() -> None:
    notes = TANKS + CAME + "## 2026-05-14 (quarantine)\n- seen: rubbing\n"
    assert stated("watched", notes, "2026-05-20")["counting"] == "no"
    assert facts("days-full", notes, "2026-05-20") == []


def test_a_word_of_all_well_on_the_day_of_a_sign_does_not_end_it() -> None:
    notes = TANKS + CAME + "## 2026-05-14 (quarantine)\n- seen: rubbing\n- seen: all well\n"
    assert stated("watched", notes, "2026-05-20")["ill"] == "rubbing"


def test_nobody_is_watched_once_all_have_left() -> None:
    notes = TANKS + CAME + "## 2026-06-05\n- stock: moved 2 gobies quarantine -> display\n"
    assert facts("watched", notes, "2026-06-10") == []


def test_a_new_batch_after_an_empty_tank_is_one_batch() -> None:
    notes = TANKS + CAME + "## 2026-06-05\n- stock: moved 2 gobies quarantine -> display\n"
    notes += "## 2026-06-10 (quarantine)\n- stock: added 1 blenny\n"
    assert stated("watched", notes, "2026-06-12")["batches"] == 1
    assert stated("watched", notes, "2026-06-12")["first_day"] == "2026-06-10"


def test_the_longest_silence_is_counted_from_the_start_of_the_days() -> None:
    looks = "".join(f"## 2026-05-{day} (quarantine)\n- seen: all well\n" for day in ("08", "20"))
    notes = TANKS + CAME + looks
    watched = stated("watched", notes, "2026-05-22")
    assert (watched["gap_days"], watched["looked_days"]) == (12, 2)


def test_the_days_of_watching_are_full_on_the_thirtieth_day_after() -> None:
    assert stated("days-full", TANKS + CAME, "2026-05-20")["until"] == "2026-06-02"


def test_nothing_calls_for_days_without_fish_where_none_was_ill() -> None:
    notes = LEFT.replace("white spots on fish", "all well")
    assert stated("fallow", notes, "2026-05-20", "display")["called"] == "no"


def test_the_days_without_fish_count_from_the_last_fish() -> None:
    fallow = stated("fallow", LEFT, "2026-05-20", "display")
    assert (fallow["called"], fallow["day"], fallow["fish"]) == ("yes", "2026-05-10", "no")


@pytest.mark.parametrize(
    ("fast", "later", "over"),
    [
        ("not eating", "eating", True),
        ("not eating", "all eating", True),
        ("not eating", "both gobies eating", True),
        ("one goby not eating", "both gobies eating", True),
        ("one goby not eating", "all fish eating", True),
        ("one goby not eating", "goby eating", False),
        ("one goby not eating", "all blennies eating", False),
        ("not eating", "all blennies eating", False),
        ("not eating", "eating, slight", False),
        ("not eating", "eating gone", False),
        ("not eating", "eating; 14: seen: not eating", False),
    ],
)
def test_a_fast_is_over_once_all_that_did_not_eat_were_seen_eating(fast: str, later: str, over: bool) -> None:
    notes = f"{TANKS}{CAME}## 2026-05-12 (quarantine)\n- seen: {fast}\n"
    for part in f"13: seen: {later}".split("; "):
        day, record = part.split(": ", 1)
        notes += f"## 2026-05-{day} (quarantine)\n- {record}\n"
    assert (facts("illness", notes, "2026-05-20") == []) is over


@pytest.mark.parametrize(
    "brought",
    [
        "stock: added 1 leather coral",
        "stock: added 3 turban snails",
        "stock: added 2 kg live rock",
        "water: 20 L from quarantine",
    ],
)
def test_what_comes_out_of_other_water_starts_the_days_without_fish_again(brought: str) -> None:
    fallow = stated("fallow", f"{LEFT}## 2026-05-15\n- {brought}\n", "2026-05-20", "display")
    assert fallow["day"] == "2026-05-15"


def test_a_fish_that_is_spoken_of_after_the_count_makes_it_doubtful_until_it_is_counted_again() -> None:
    seen = LEFT + "## 2026-05-15\n- a goby looked out from behind the weir\n"
    assert stated("fallow", seen, "2026-05-20", "display")["fish"] == "maybe"
    assert stated("fallow", seen + "## 2026-05-16\n- stock: no fish\n", "2026-05-20", "display")["fish"] == "no"


def test_one_fish_of_two_that_moved_out_leaves_no_days_without_fish() -> None:
    notes = SICK + "## 2026-05-10\n- stock: moved 1 goby display -> quarantine\n"
    assert stated("fallow", notes, "2026-05-20", "display")["called"] == "no"


def test_signs_on_fish_that_have_left_are_seen_no_more() -> None:
    assert facts("illness", LEFT, "2026-05-20", "display") == []
    assert stated("illness", SICK, "2026-05-20", "display")["name"] == "white spots on fish"


@pytest.mark.parametrize(
    ("words", "vet"),
    [
        ("- treat: copper, start", "no"),
        ("- treat: copper, start -- plan of the aquatic vet", "yes"),
        ("- treat: copper, start\n- [x] ring the vet", "yes"),
        ("- treat: copper, start\n- [ ] ring the vet", "no"),
    ],
)
def test_a_vet_is_named_in_the_course_or_in_a_job_that_was_done(words: str, vet: str) -> None:
    assert stated("course", f"{TANKS}{CAME}{words}\n", "2026-05-05")["vet"] == vet


@pytest.mark.parametrize(
    ("notes", "invertebrates"),
    [
        ("- stock: added 6 turban snails", "yes"),
        ("- stock: added 2 kg live rock", "yes"),
        ("- stock: added 2 gobies", "no"),
        ("- stock: added 2 gobies\n\nNo snail in here.", "named"),
    ],
)
def test_a_course_tells_whether_invertebrates_live_in_its_water(notes: str, invertebrates: str) -> None:
    found = stated("course", f"{TANKS}{notes}\n\n- treat: copper, start\n", "2026-05-05", "display")
    assert found["invertebrates"] == invertebrates


def test_a_plan_to_test_for_copper_is_no_plan_to_give_it() -> None:
    notes = TANKS + "- plan: test for copper 2026-05-09\n"
    assert facts("course", notes, "2026-05-05", "display") == []


def test_the_days_without_fish_outlast_every_published_cyst_with_its_swimmers() -> None:
    """Cysts 3 to 28 days, swimmers 24 to 48 h: Colorni, Dis. Aquat. Org. 1:19 (1985). A cyst of 72 days: Colorni and
    Burgess, Aquar. Sci. Conserv. 1:217 (1997), from memory. 60 % began to hatch on day 8 at 25 C, 40 % by day 10
    at 20: Cheung, Nigrelli and Ruggieri, J. Fish Dis. 2:93 (1979).
    """
    limits = load().thresholds
    swimmers = 48 / 24
    assert limits["fallow-days"].value >= 72 + swimmers > 28 + swimmers
    assert 20 < limits["fallow-warmth"].value <= 25
    assert limits["unseen-days"].value < 28


@pytest.mark.parametrize(
    ("given", "state", "begun"),
    [
        ("03: dose: copper 1 ml every day", "running", 3),
        ("03: dose: copper 1 ml every day; 20: dose: copper stop", "ended", 3),
        ("03: dose: copper 1 ml; 10: dose: copper 1 ml; 20: dose: copper 1 ml", "running", 3),
        ("03: dose: copper 1 ml; 20: dose: copper 1 ml", "running", 20),
        ("03: dose: copper 1 ml; 10: dose: copper 1 ml", "ended", 3),
        ("03: treat: copper, start; 05: treat: copper, stop; 20: dose: copper 1 ml", "running", 20),
        ("03: treat: copper, start; 05: dose: copper 1 ml", "running", 3),
    ],
)
def test_a_medicine_runs_from_its_first_dose_to_its_stop_or_two_weeks_after_the_last(
    given: str, state: str, begun: int
) -> None:
    entries = (one.split(": ", 1) for one in given.split("; "))
    notes = "".join(f"## 2026-05-{day} (quarantine)\n- {note}\n" for day, note in entries)
    course = stated("course", TANKS + notes, "2026-05-29")
    assert (course["state"], course["day"]) == (state, f"2026-05-{begun:02}")
