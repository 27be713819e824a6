"""Every built-in rule fires on its own examples that say so, and on none of its near misses."""

from __future__ import annotations

import pytest
from trials import Trial, book, trials

from reefjournal.advisor import engine
from reefjournal.advisor.chainer import find
from reefjournal.advisor.conclude import Conclusions, conclude, observe
from reefjournal.evidence import TOPICS
from reefjournal.evidence.scene import Scene

UNREAD = {"mend-unread", "date-the-note", "date-the-animal-note"}
"""Rules that are about lines which can't be understood."""


@pytest.mark.parametrize("trial", trials(), ids=str)
def test_a_rule_fires_on_its_examples_and_rests_on_its_near_misses(trial: Trial) -> None:
    fired = {firing.rule.id for firing in trial.day.conclusions.firings}
    assert (trial.rule.id in fired) == trial.example.fires


@pytest.mark.parametrize("trial", trials(), ids=str)
def test_every_line_of_an_example_is_understood(trial: Trial) -> None:
    if trial.rule.id not in UNREAD:
        assert [fact.properties["text"] for fact in trial.day.conclusions.facts if fact.kind == "unread"] == []


@pytest.mark.parametrize("name", sorted(book().rules))
def test_a_rule_has_an_example_that_fires_and_a_near_miss(name: str) -> None:
    assert {example.fires for example in book().rules[name].examples} == {True, False}


@pytest.mark.parametrize("trial", trials(), ids=str)
def test_the_compiled_engine_concludes_what_the_plain_chainer_does(trial: Trial) -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    assert told(conclude(book(), trial.day.witness, engine.find)) == told(trial.day.conclusions)


def told(found: Conclusions) -> tuple[object, ...]:
    """Everything that was concluded, in a form that can be compared."""
    firings = [(firing.rule.id, [fact.key for fact in firing.facts]) for firing in found.firings]
    gates = [(gate.gate.id, [(one.check.id, one.state) for one in gate.checks]) for gate in found.gates]
    return ([fact.key for fact in found.facts], firings, gates, found.stages)


@pytest.mark.parametrize("trial", trials()[::20], ids=str)
def test_every_topic_states_the_kind_under_which_it_stands(trial: Trial) -> None:
    witness = trial.day.witness
    scene = Scene(witness.state, witness.state.vessel(witness.vessel))
    assert {fact.kind for kind, topic in TOPICS.items() for fact in topic(scene) if fact.kind != kind} == set()


@pytest.mark.parametrize("trial", trials()[::20], ids=str)
def test_the_stage_of_a_day_needs_none_of_the_facts_that_are_left_out_of_its_replay(trial: Trial) -> None:
    assert observe(book(), trial.day.witness, find).stages == trial.day.conclusions.stages
