"""Every built-in rule fires on its own examples that say so, and on none of its near misses."""

from __future__ import annotations

import pytest
from trials import Trial, book, trials_of

from reefjournal.advisor import engine
from reefjournal.advisor.chainer import find
from reefjournal.advisor.conclude import Conclusions, conclude, observe
from reefjournal.advisor.rules import Rule
from reefjournal.evidence import TOPICS
from reefjournal.evidence.scene import Scene

UNREAD = {"mend-unread", "mend-the-day", "date-the-note", "date-the-animal-note"}
"""Rules that are about lines which can't be understood."""


def test_a_rule_has_an_example_that_fires_and_a_near_miss(rule: Rule) -> None:
    assert {example.fires for example in rule.examples} == {True, False}


def test_a_rule_fires_on_its_examples_and_rests_on_its_near_misses(rule: Rule) -> None:
    fired = {str(trial): rule.id in fired_on(trial) for trial in trials_of(rule)}
    assert fired == {str(trial): trial.example.fires for trial in trials_of(rule)}


def fired_on(trial: Trial) -> set[str]:
    return {firing.rule.id for firing in trial.day.conclusions.firings}


def test_every_line_of_an_example_is_understood(rule: Rule) -> None:
    if rule.id not in UNREAD:
        facts = (fact for trial in trials_of(rule) for fact in trial.day.conclusions.facts)
        assert [fact.properties["text"] for fact in facts if fact.kind == "unread"] == []


def test_the_layers_one_by_one_are_what_is_concluded(rule: Rule) -> None:
    day = trials_of(rule)[0].day
    assert told(conclude(book(), day.witness, find)) == told(day.conclusions)


def test_the_compiled_engine_concludes_what_the_plain_chainer_does(rule: Rule) -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    for trial in trials_of(rule):
        assert told(conclude(book(), trial.day.witness, engine.find)) == told(trial.day.conclusions), str(trial)


def told(found: Conclusions) -> tuple[object, ...]:
    """Everything that was concluded, in a form that can be compared."""
    firings = [(firing.rule.id, [fact.key for fact in firing.facts]) for firing in found.firings]
    gates = [(gate.gate.id, [(one.check.id, one.state) for one in gate.checks]) for gate in found.gates]
    return ([fact.key for fact in found.facts], firings, gates, found.stages)


def test_every_topic_states_the_kind_under_which_it_stands(rule: Rule) -> None:
    witness = trials_of(rule)[0].day.witness
    scene = Scene(witness.state, witness.state.vessel(witness.vessel))
    assert {fact.kind for kind, topic in TOPICS.items() for fact in topic(scene) if fact.kind != kind} == set()


def test_the_stage_of_a_day_needs_none_of_the_rules_and_facts_that_are_left_out_of_its_replay(rule: Rule) -> None:
    day = trials_of(rule)[0].day
    assert observe(book().grounds, day.witness, find).stages == day.conclusions.stages
