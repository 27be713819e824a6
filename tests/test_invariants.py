"""What must hold of the advice on any notes whatever: no ammonia where something may live, no gate on the unknown."""

from __future__ import annotations

import random
from datetime import timedelta

import both_engines
import invariants
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_notes import BEGINNINGS, CLOCKS, CYCLE, GAPS, REEF, Drawn, written

import reefjournal

SETTINGS = settings(max_examples=60, deadline=None)
records = st.sampled_from(CYCLE) | st.sampled_from(REEF)
entry = st.tuples(st.sampled_from(GAPS), st.sampled_from(CLOCKS), st.lists(records, max_size=4))
journals = st.tuples(st.sampled_from(BEGINNINGS), st.lists(entry, min_size=1, max_size=14))
HOLDS = (
    invariants.doses, invariants.medicines, invariants.lists, invariants.bringing, invariants.promising,
    invariants.ajar, invariants.ready_in_alarm, invariants.broken_order, invariants.printed,
)  # fmt: skip


@given(journals)
@settings(max_examples=120, deadline=None)
def test_nothing_that_must_hold_of_any_advice_is_broken(drawn: Drawn) -> None:
    text, day = written(drawn)
    journal = reefjournal.read_text(text)
    for vessel in journal.state(day).names:
        advice = journal.advise(day, vessel, forecast=False, engine="plain")
        assert [what for holds in HOLDS for what in holds(journal, day, advice)] == []


@given(journals, st.randoms(use_true_random=False))
@SETTINGS
def test_one_note_against_it_shuts_a_gate_and_silences_a_dose(drawn: Drawn, chance: random.Random) -> None:
    text, day = written(drawn)
    assert list(invariants.unspoilt(text, reefjournal.read_text(text), day, chance.choice)) == []


@given(journals)
@SETTINGS
def test_no_gate_for_animals_outlasts_forty_days_without_a_note(drawn: Drawn) -> None:
    text, day = written(drawn)
    assert list(invariants.outlasting(reefjournal.read_text(text), day)) == []


@given(journals, journals)
@settings(max_examples=20, deadline=None)
def test_advice_on_a_day_does_not_depend_on_what_was_written_after_it(drawn: Drawn, after: Drawn) -> None:
    text, day = written(drawn)
    later, _ = written(("", after[1]), day + timedelta(days=1))
    assert list(invariants.hindsight(text, later, day)) == []


@given(journals)
@settings(max_examples=20, deadline=None)
def test_advice_does_not_depend_on_what_was_asked_before(drawn: Drawn) -> None:
    text, day = written(drawn)
    assert list(invariants.forgetful(text, reefjournal.read_text(text), day)) == []


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
