"""The plain matcher, and the compiled engine beside it, on facts that can be counted by hand."""

from __future__ import annotations

import math

import pytest
from speaker import say

from reefjournal.advisor import chainer, engine
from reefjournal.advisor.chainer import Find, Match
from reefjournal.advisor.rules import Condition, Op, Pattern, Reference
from reefjournal.facts import Fact

ENGINES = [chainer.find, engine.find]


@pytest.fixture(params=ENGINES, ids=["plain", "compiled"])
def find(request: pytest.FixtureRequest) -> Find:
    """Each engine in turn."""
    if request.param is engine.find:
        pytest.importorskip("durable.engine", exc_type=ImportError)
    return request.param  # type: ignore[no-any-return]


def latest(low: float, high: float = math.nan, analyte: str = "ammonia") -> Fact:
    return say("latest", analyte=analyte, low=low, high=high)


def one(*conditions: Condition, alias: str = "a") -> Pattern:
    return Pattern(alias, "latest", conditions)


@pytest.mark.parametrize(
    ("op", "right", "expected"),
    [
        ("=", 1.0, {1}), ("!=", 1.0, {0, 2}), ("<", 1.0, {0}), ("<=", 1.0, {0, 1}), (">", 1.0, {2}),
        (">=", 1.0, {1, 2}), ("known", "", {0, 1, 2}), ("unknown", "", {3}),
    ],
)  # fmt: skip
def test_an_unknown_number_fails_every_test_but_unknown(
    find: Find, op: Op, right: float | str, expected: set[int]
) -> None:
    facts = [latest(0.5), latest(1.0), latest(1.5), latest(math.nan)]
    assert find([(one(Condition("low", op, right)),)], facts) == [Match(0, (place,)) for place in sorted(expected)]


def test_numbers_count_to_four_decimals(find: Find) -> None:
    facts = [latest(0.1 + 0.2), latest(0.30006), latest(-0.0)]
    assert find([(one(Condition("low", "=", 0.3)),), (one(Condition("low", "=", 0.0)),)], facts) == [
        Match(0, (0,)), Match(1, (2,)),
    ]  # fmt: skip


def test_an_infinite_number_is_unknown(find: Find) -> None:
    assert find([(one(Condition("low", ">", 0.0)),)], [latest(math.inf), latest(1e14)]) == []


def test_a_blank_text_equals_a_blank_text_only(find: Find) -> None:
    facts = [latest(0, analyte=""), latest(0, analyte="pH")]
    assert find([(one(Condition("analyte", "=", "")),)], facts) == [Match(0, (0,))]
    assert find([(one(Condition("analyte", "!=", "")),)], facts) == [Match(0, (1,))]


def test_one_fact_never_fills_two_patterns_of_one_rule(find: Find) -> None:
    pair = (one(), one(alias="b"))
    assert find([pair], [latest(1)]) == []
    assert find([pair], [latest(1), latest(2)]) == [Match(0, (0, 1)), Match(0, (1, 0))]


def test_a_join_compares_with_the_fact_that_fills_another_pattern(find: Find) -> None:
    rising = (one(), one(Condition("low", ">", Reference("a", "high")), alias="b"))
    assert find([rising], [latest(1, 2), latest(3, math.nan), latest(2, 2)]) == [Match(0, (0, 1)), Match(0, (2, 1))]


def test_a_fact_can_be_compared_with_itself(find: Find) -> None:
    narrow = (one(Condition("low", "=", Reference("a", "high"))),)
    assert find([narrow], [latest(1, 2), latest(2, 2), latest(math.nan, math.nan)]) == [Match(0, (1,))]


def test_odd_texts_match_themselves(find: Find) -> None:
    odd = ['a"b', "a\\b", "a\nb", "\x00", "é", "日", "😀", '{"a":1}', "ends\\", " ", "x" * 70_000, "\ud800"]
    facts = [latest(0, analyte=text) for text in odd]
    clauses = [(one(Condition("analyte", "=", text)),) for text in odd]
    assert find(clauses, facts) == [Match(place, (place,)) for place in range(len(odd))]


def test_more_patterns_than_one_ruleset_may_hold(find: Find) -> None:
    clauses = [(one(Condition("low", ">=", float(level))),) for level in range(300)]
    assert len(find(clauses, [latest(1000.0)])) == 300


def test_nothing_to_match_is_no_match(find: Find) -> None:
    assert find([], [latest(1)]) == []
    assert find([(one(),)], []) == []
