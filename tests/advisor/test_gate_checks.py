"""A gate is open only when every check is met; unknown never opens it, and both met and unmet is unmet."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from speaker import Speaker, filled, lives, say, small_book
from test_rule_problems import GATE
from test_rulebook import with_file

from reefjournal.advisor import chainer
from reefjournal.advisor.conclude import conclude
from reefjournal.advisor.gates import JudgedCheck, JudgedGate
from reefjournal.advisor.rules import Check, Gate, Template

CLEAR = say("latest", analyte="ammonia", days=3.0, high=0.1)
HIGH = say("latest", analyte="ammonia", low=0.6)
EATS = [say("latest", analyte="nitrite", low=0.6, high=1.4), say("latest", analyte="ammonia", low=0.0, high=0.1)]
NOTHING = Template("", ())


def states(*said: object) -> dict[str, str]:
    """The state of each check of the small book's gate, and of the gate."""
    (gate,) = conclude(small_book(), Speaker(said), chainer.find).gates  # type: ignore[arg-type]
    return {one.check.id: one.state for one in gate.checks} | {"gate": "open" if gate.open else "shut"}


def test_a_gate_that_knows_nothing_is_shut() -> None:
    assert states() == {"ammonia-clear": "unknown", "nobody-home": "unknown", "filter": "unknown", "gate": "shut"}


def test_a_gate_with_every_check_met_is_open() -> None:
    assert states(CLEAR, lives("no"), filled(), *EATS) == {
        "ammonia-clear": "met", "nobody-home": "met", "filter": "met", "gate": "open",
    }  # fmt: skip


def test_a_check_that_is_both_met_and_unmet_is_unmet() -> None:
    assert states(CLEAR, HIGH)["ammonia-clear"] == "unmet"


@pytest.mark.parametrize(("given", "state"), [("yes", "unknown"), ("no", "met")])
def test_a_check_that_a_test_of_ammonia_settles_is_not_met_where_some_was_given_since(
    given: str, state: str, tmp_path: Path
) -> None:
    book = with_file(tmp_path, GATE + 'test = "ammonia"\n')
    said = [filled(), say("ledger", known="yes", given_since=given)]
    gates = {gate.gate.id: gate for gate in conclude(book, Speaker(said), chainer.find).gates}
    assert [one.state for one in gates["mine"].checks] == [state]


LOW = 'met = [{ fact = "latest", analyte = "ammonia", days = 3.0, high = { below = 0.2 } }]'


@pytest.mark.parametrize(("given", "state"), [("yes", "unknown"), ("no", "met")])
def test_nor_is_a_check_that_only_asks_for_little_ammonia_in_its_patterns(
    given: str, state: str, tmp_path: Path
) -> None:
    book = with_file(tmp_path, GATE.replace('met = [{ fact = "system", water = "filled" }]', LOW))
    said = [CLEAR, say("ledger", known="yes", given_since=given)]
    gates = {gate.gate.id: gate for gate in conclude(book, Speaker(said), chainer.find).gates}
    assert [one.state for one in gates["mine"].checks] == [state]


def test_all_patterns_of_met_must_hold_together() -> None:
    assert states(lives("no"))["nobody-home"] == "unknown"
    assert states(lives("no"), filled())["nobody-home"] == "met"


def test_one_pattern_of_unmet_is_enough() -> None:
    assert states(lives("yes"), filled())["nobody-home"] == "unmet"
    assert states(lives("no"), filled(water="dry"))["nobody-home"] == "unmet"


def test_what_a_gate_waits_for_names_the_tests_that_are_missing_as_well() -> None:
    checks = tuple(Check(name, NOTHING, NOTHING, test=name) for name in ("ammonia", "nitrite", "salinity"))
    states = ("met", "unmet", "unknown")
    gate = Gate("small", "Small", (*checks, Check("count", NOTHING, NOTHING)))
    judged = JudgedGate(gate, tuple(JudgedCheck(*pair) for pair in zip(gate.checks, (*states, "unknown"), strict=True)))
    assert judged.first == checks[1]
    assert judged.also == ("salinity",)


def test_one_road_of_several_is_enough() -> None:
    assert states(*EATS)["filter"] == "met"
    assert states(say("count", of="check", days=7.0))["filter"] == "met"


def test_a_maybe_is_neither_met_nor_unmet() -> None:
    assert states(lives("maybe"), filled())["nobody-home"] == "unknown"


@given(st.lists(st.sampled_from(("met", "unmet", "unknown"))))
def test_no_set_of_checks_with_one_that_is_not_met_is_open(seen: list[str]) -> None:
    checks = tuple(JudgedCheck(Check(str(n), NOTHING, NOTHING), state) for n, state in enumerate(seen))  # type: ignore[arg-type]
    assert JudgedGate(Gate("g", "G", ()), checks).open == (len(seen) > 0 and set(seen) == {"met"})


@pytest.mark.parametrize(("first", "second"), [*product(("filled", "dry"), repeat=2)])
def test_a_gate_with_a_broken_check_never_opens(tmp_path: Path, first: str, second: str) -> None:
    broken = GATE.split("\n\n")[1].replace('"one"', '"two"').replace("water", "watr")
    book = with_file(tmp_path, GATE.replace("filled", first) + broken)
    gates = conclude(book, Speaker([filled(water=second)]), chainer.find).gates
    assert [gate.open for gate in gates if gate.gate.id == "mine"] == [False]


def test_a_gate_is_a_fact_for_the_advice_with_what_it_waits_for() -> None:
    found = conclude(small_book(), Speaker([CLEAR]), chainer.find)
    (gate,) = (fact for fact in found.facts if fact.kind == "gate")
    wanted = {"id": "crew", "open": "no", "first": "Nothing lives there"}
    assert wanted.items() <= gate.properties.items()


def test_texts_of_a_gate_are_filled_before_the_advice_sees_them() -> None:
    (gate,) = (fact for fact in conclude(small_book(), Speaker(), chainer.find).facts if fact.kind == "gate")
    assert gate.properties["first"] == "Ammonia at most 0.2 mg/L N"
    assert gate.properties["settle"] == "Test ammonia, at most 3 days before."


@pytest.mark.parametrize(("water", "behind"), [("filled", True), ("dry", False)])
def test_a_gate_is_behind_once_its_step_was_taken_and_may_be_shut_all_the_same(
    tmp_path: Path, water: str, behind: bool
) -> None:
    passed = GATE.replace('name = "Mine"', 'name = "Mine"\nbehind = [{ fact = "system", water = "filled" }]')
    shut = passed.replace('met = [{ fact = "system", water = "filled" }]', 'met = [{ fact = "undated" }]')
    found = conclude(with_file(tmp_path, shut), Speaker([filled(water=water)]), chainer.find)
    (gate,) = (gate for gate in found.gates if gate.gate.id == "mine")
    assert (gate.behind, gate.open) == (behind, False)
