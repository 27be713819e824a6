"""What must hold of the advice on any notes whatever: no ammonia where something may live, no gate on the unknown."""

from __future__ import annotations

from datetime import timedelta

import both_engines
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_notes import BEGINNINGS, CLOCKS, CYCLE, REEF, Drawn, ajar, broken_by, broken_order, written

import reefjournal

SETTINGS = settings(max_examples=60, deadline=None)
records = st.sampled_from(CYCLE) | st.sampled_from(REEF)
entry = st.tuples(st.integers(0, 2), st.sampled_from(CLOCKS), st.lists(records, max_size=4))
journals = st.tuples(st.sampled_from(BEGINNINGS), st.lists(entry, min_size=1, max_size=14))


@given(journals)
@SETTINGS
def test_ammonia_is_advised_only_where_nothing_lives_and_the_rest_is_known_and_copper_never_near_an_invertebrate(
    drawn: Drawn,
) -> None:
    text, day = written(drawn)
    journal = reefjournal.read_text(text)
    for vessel in journal.state(day).names:
        for action in journal.advise(day, vessel, forecast=False, engine="plain").actions:
            assert list(broken_by(journal, day, vessel, action)) == []


@given(journals)
@SETTINGS
def test_a_gate_is_open_only_where_every_check_is_met_and_for_animals_never_without_tests_and_food(
    drawn: Drawn,
) -> None:
    text, day = written(drawn)
    journal = reefjournal.read_text(text)
    assert list(ajar(journal, day, journal.advise(day, forecast=False, engine="plain"))) == []


@given(journals)
@SETTINGS
def test_what_is_more_urgent_stands_above_people_first_and_emergencies_before_the_rest(drawn: Drawn) -> None:
    text, day = written(drawn)
    journal = reefjournal.read_text(text)
    assert list(broken_order(journal, journal.advise(day, forecast=False, engine="plain"))) == []


@given(journals)
@SETTINGS
def test_animals_with_ammonia_are_an_alarm_and_only_people_or_a_leak_come_before(drawn: Drawn) -> None:
    text, day = written(drawn)
    day += timedelta(days=1)
    journal = reefjournal.read_text(f"{text}\n## {day}\n- stock: added 2 gobies\n- ammonia 2 as N\n")
    advice = journal.advise(day, forecast=False)
    book = journal.rulebook()
    steps = {one.rule: book.rules[one.rule].step for one in advice.actions}
    first = [rule for rule, step in steps.items() if step and step.precedence == "emergency"]
    assert "ammonia-alarm" in first
    assert advice.stage is not None
    assert advice.stage.id == "ammonia-alarm"


@given(journals)
@SETTINGS
def test_both_engines_say_the_same(drawn: Drawn) -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    text, day = written(drawn)
    journal = reefjournal.read_text(text)
    for vessel in journal.state(day).names:
        both_engines.agree(journal.rulebook(), journal.witness(day, vessel))
