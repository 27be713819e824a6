"""One slip in a valid record gives the same event, or a problem on that line, never another event in silence."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from valid_records import OPENING, RECORDS

from reefjournal.journal import Notes, items, living, read_text, sightings, waters
from reefjournal.journal.vocabulary import builtin, units
from reefjournal.journal.words import fold, key

HEADING = "## 2026-03-14 A day"
LINE = OPENING.count("\n") + 3
# What a keeper says in words of their own: a slip there is other words, not another fact.
FREE = {
    "source",
    "remark",
    "where",
    "text",
    "setting",
    "on",
    "subject",
    "reason",
    "name",
    "target_words",
    "about",
    "written",
    "words",
    "why",
}
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def notes_of(record: str, heading: str = HEADING) -> Notes:
    return read_text(f"{OPENING}{heading}\n\n- {record}\n")


def facts_of(notes: Notes) -> list[Any]:
    """The events of the last entry, without the words that say nothing more than themselves."""
    return [bare(event.model_dump()) for event in notes.events if event.source.line >= LINE]


def bare(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: bare(part) for name, part in value.items() if name not in FREE}
    return [bare(part) for part in value] if isinstance(value, list | tuple) else value


def known_words() -> frozenset[str]:
    """Every single word that means something in some place: a slip that makes one of them cannot be seen."""
    words = builtin()
    lexicons = (
        words.analytes, words.substances, words.animals, words.signs, words.devices, words.nouns, words.verdicts,
        items.WORDS,
    )  # fmt: skip
    phrases = [phrase for lexicon in lexicons for phrase in lexicon.meanings]
    phrases += [*units(), *waters.ACTIONS, *sightings.ACTIONS, *sightings.STRENGTH, *living.ACTIONS, *living.COUNTS]
    return frozenset(word for phrase in phrases for word in re.split(r"[ /]", phrase))


KNOWN = known_words()
FUNCTION_WORDS = frozenset(
    {*"axbspncflgmhi", *"an the on of for in at by to with from and or no is be as not ro".split(" ")}  # noqa: SIM905
)


def is_other_word(record: str, slipped: str) -> bool:
    """Whether a slip made another word of the language, or touched none."""
    before, after = set(re.findall(r"[^\s,:()/]+", fold(record))), re.findall(r"[^\s,:()/]+", fold(slipped))
    return all(word in KNOWN or word in FUNCTION_WORDS for word in after if word not in before)


def told(notes: Notes) -> bool:
    return any(problem.line >= LINE - 2 for problem in notes.problems)


@pytest.mark.parametrize("record", RECORDS)
def test_every_record_is_read_without_a_problem(record: str) -> None:
    """The records that the slips are made in are right themselves."""
    assert not notes_of(record).problems
    assert facts_of(notes_of(record))


@settings(max_examples=500, deadline=None)
@given(st.sampled_from(RECORDS), st.data())
def test_a_typo_is_harmless_or_told(record: str, data: st.DataObject) -> None:
    """A letter lost, doubled, swapped or mistaken anywhere gives the same facts or a problem."""
    at = data.draw(st.sampled_from([place for place, letter in enumerate(record) if letter.isalpha()]))
    kind = data.draw(st.sampled_from(["lost", "doubled", "swapped", "mistaken"]))
    other = data.draw(st.sampled_from(LETTERS))
    slipped = {
        "lost": record[:at] + record[at + 1 :],
        "doubled": record[:at] + record[at] + record[at:],
        "swapped": record[:at] + record[at + 1 : at + 2] + record[at] + record[at + 2 :],
        "mistaken": record[:at] + other + record[at + 1 :],
    }[kind]
    assume(key(slipped) != key(record) and not is_other_word(record, slipped))
    changed = notes_of(slipped)
    assert told(changed) or facts_of(changed) == facts_of(notes_of(record)), slipped


@pytest.mark.parametrize("record", [record for record in RECORDS if ":" in record.split(" ")[0] or "):" in record])
def test_a_lost_colon_is_told(record: str) -> None:
    """A record word without its colon is a problem, or still the same record."""
    changed = notes_of(record.replace(":", "", 1))
    assert told(changed) or facts_of(changed) == facts_of(notes_of(record))


UNIT = re.compile(r"(?<=\d )(?:ppm|ppt|C|dKH|mg/L|g|ml|L|mm)\b")


@pytest.mark.parametrize("unit", ["kW", "furlongs", "lux", "V", "kg/m2", "xx"])
@pytest.mark.parametrize("record", [record for record in RECORDS if UNIT.search(record)])
def test_a_wrong_unit_is_told(record: str, unit: str) -> None:
    """A unit that measures something else, or none, is a problem wherever a unit counts."""
    assert told(notes_of(UNIT.sub(unit, record, count=1)))


@pytest.mark.parametrize(
    "date",
    ["2026-3-14", "2026-03-4", "14.3.2026", "14.03.2026", "03/14/2026", "2026/03/14", "2026-02-30", "2026-13-01",
     "20260314", "2026 03 14", "14 Mar", "March 14", "March 2026", "14th", "2026-03-14-", "2026-0314", "2026_03_14",
     "14 Marhc 2026"],
)  # fmt: skip
@pytest.mark.parametrize("marks", ["## ", "# ", "### ", "##", "**"])
def test_a_broken_date_is_told_and_lands_on_no_other_day(date: str, marks: str) -> None:
    """Records below a heading whose date is wrong have no day."""
    notes = notes_of("ammonia 0.5", f"{marks}{date}")
    assert told(notes)
    assert [event.day for event in notes.events if event.kind == "reading" and event.source.line >= LINE] == [None]


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from(
        ["test (quarantine): pH 8.1", "stock (quarantine): added 2 gobies", "water (quarantine): changed 4 L"]
    ),
    st.data(),
)
def test_a_slip_in_a_vessel_is_told(record: str, data: st.DataObject) -> None:
    """A vessel that nobody defined is never taken for the default one."""
    start, end = record.index("(") + 1, record.index(")")
    at = data.draw(st.integers(start, end - 1))
    slipped = record[:at] + data.draw(st.sampled_from(["", *LETTERS])) + record[at + 1 :]
    assume(slipped != record)
    assert told(notes_of(slipped))


@settings(max_examples=120, deadline=None)
@given(
    st.sampled_from(RECORDS),
    st.sampled_from(["", "  ", "\t"]),
    st.sampled_from([str.upper, str.lower, str.title, str.strip]),
)
def test_case_and_space_do_not_matter(record: str, space: str, case: Any) -> None:
    """Case and the spaces between words change no fact."""
    spaced = case(record).replace(", ", f",{space}") if space else case(record)
    assert facts_of(notes_of(spaced)) == facts_of(notes_of(record))
