"""What came before a sign or a move of a reading: the weightiest change, its rivals, and the last time."""

from __future__ import annotations

from datetime import date
from itertools import chain

import pytest
from statements import TANK

import reefjournal
from reefjournal.advisor.rulebook import load
from reefjournal.evidence.sorts import SORTS
from reefjournal.facts import Property, Query
from reefjournal.journal.vocabulary import builtin

ON = date(2026, 4, 30)
TABLE = {"strong": "gear/skimmer/off, dose/tissue", "medium": "dose/culture", "weak": "dose"}
FILM = {"symptom": "surface film", "days": 10.0, **TABLE}
FALL = {"symptom": "alkalinity down", "days": 14.0, "by": 1.0, **TABLE}


def suspects(notes: str, table: dict[str, Property] = FILM) -> list[dict[str, Property]]:
    query = Query("suspect", tuple(sorted(table.items())))
    journal = reefjournal.read_text(TANK + notes)
    assert journal.problems == ()
    found = journal.witness(ON).facts(frozenset([query]), frozenset())
    return [dict(fact.properties) for fact in found if fact.kind == "suspect"]


def film(before: str) -> dict[str, Property]:
    (found,) = suspects(f"{before}## 2026-04-30\n- seen: surface film\n")
    return found


def test_what_is_often_found_before_it_outweighs_what_is_nearer() -> None:
    found = film("## 2026-04-21\n- gear: skimmer off\n## 2026-04-30\n- dose: bacterial culture 50 ml\n")
    assert found["change"] == '"gear: skimmer off" (2026-04-21, 9 days before)'
    assert 'Less speaks for "dose: bacterial culture 50 ml"' in str(found["more"])


def test_of_two_alike_the_nearer_stands_first_and_the_other_is_a_rival() -> None:
    found = film("## 2026-04-22\n- gear: skimmer off\n## 2026-04-28\n- dose: raw prawn 60 g\n")
    assert found["change"] == '"dose: raw prawn 60 g" (2026-04-28, 2 days before)'
    assert found["rivals"] == 1.0
    assert "can't be told apart" in str(found["more"])


def test_what_came_after_the_sign_or_before_the_window_is_not_told() -> None:
    assert suspects("## 2026-04-30\n- seen: surface film\n- gear: skimmer off\n") == []
    assert suspects("## 2026-04-19\n- gear: skimmer off\n## 2026-04-30\n- seen: surface film\n") == []


def test_a_sign_that_is_gone_is_no_question_any_more() -> None:
    notes = "## 2026-04-28\n- gear: skimmer off\n## 2026-04-29\n- seen: surface film\n## 2026-04-30\n"
    assert suspects(f"{notes}- seen: surface film gone\n") == []


def test_a_change_that_was_made_twice_for_nothing_weighs_less() -> None:
    often = "".join(
        f"## 2026-03-{day}\n- gear: skimmer off\n## 2026-03-{day + 1}\n- gear: skimmer on\n" for day in (10, 20)
    )
    recent = "## 2026-04-28\n- gear: skimmer off\n- dose: bacterial culture 50 ml\n"
    assert (film(recent)["spared"], film(recent)["rivals"]) == (0.0, 0.0)
    assert (film(often + recent)["spared"], film(often + recent)["rivals"]) == (2.0, 1.0)


def test_the_last_time_is_told_with_what_came_before_it_and_how_long_it_lasted() -> None:
    found = film(
        "## 2026-03-05\n- gear: skimmer off\n## 2026-03-08\n- seen: surface film\n## 2026-03-14\n"
        "- gear: skimmer on\n- seen: surface film gone\n## 2026-04-28\n- gear: skimmer off\n"
    )
    again = 'from 2026-03-08 to 2026-03-14 (6 days), after "gear: skimmer off" (2026-03-05, 3 days before)'
    assert again in str(found["more"])


def alkalinity(*readings: tuple[str, float]) -> str:
    return "".join(f"## 2026-04-{day}\n- alkalinity {value} dKH\n" for day, value in readings)


def test_a_reading_that_fell_by_enough_is_held_against_the_one_it_fell_from() -> None:
    cause = "## 2026-04-18\n- gear: skimmer off\n"
    (found,) = suspects(cause + alkalinity(("20", 8.0), ("25", 7.9), ("28", 6.0)), FALL)
    assert (found["from_written"], found["written"], found["began"]) == ("7.9 dKH", "6.0 dKH", "2026-04-28")


@pytest.mark.parametrize(
    "readings",
    [
        (("20", 8.0), ("28", 7.4)),
        (("20", 6.5), ("28", 8.0)),
        (("20", 8.0), ("24", 6.5), ("28", 7.8)),
        (("10", 8.0), ("20", 6.5)),
    ],
    ids=["too little", "the other way", "it came back", "too long ago"],
)
def test_a_reading_that_did_not_fall_or_came_back_is_no_question(readings: tuple[tuple[str, float], ...]) -> None:
    assert suspects("## 2026-04-09\n- gear: skimmer off\n" + alkalinity(*readings), FALL) == []


def tables() -> dict[str, list[str]]:
    queries = (query for query in load().queries("diagnosis", "advice") if query.kind == "suspect")
    return {
        str(query["symptom"]): [
            entry.strip()
            for name in ("strong", "medium", "weak")
            for entry in str(query.get(name)).split(",")
            if entry.strip()
        ]
        for query in queries
    }


def known_names() -> set[str]:
    words = builtin()
    plain = chain(words.signs.meanings.values(), words.devices.meanings.values(), words.nouns.meanings.values())
    substances = chain.from_iterable((one.name, one.role) for one in words.substances.meanings.values())
    animals = chain.from_iterable((one.name, one.group) for one in words.animals.meanings.values())
    return {"", *plain, *substances, *animals}


@pytest.mark.parametrize(("symptom", "entries"), sorted(tables().items()), ids=sorted(tables()))
def test_every_change_that_the_book_looks_for_has_a_name_that_notes_can_have(symptom: str, entries: list[str]) -> None:
    split = [(*entry.split("/"), "", "")[:2] for entry in entries]
    assert [sort for sort, _ in split if sort not in SORTS] == []
    assert [name for _, name in split if name not in known_names()] == []
