"""The compiled engine finds what the plain chainer finds, whatever the rules and facts within the format.

On the examples of the rules this is held by ``tests/rules/test_examples.py``, on random notes by
``tests/test_invariants.py``, and on the sample journal here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from unittest.mock import patch

import both_engines
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from speaker import say

import reefjournal
from reefjournal.advisor import chainer, engine
from reefjournal.advisor.rules import Clause, Condition, Pattern, Reference
from reefjournal.facts import Fact

pytest.importorskip("durable.engine", exc_type=ImportError)

NUMBERS = (0.0, -0.0, 0.1, 0.2, 0.3, 1.0, 2.0, 1e9, -1.0)
TEXTS = ("", "a", "b", "A", "a ")
SAMPLE = Path(__file__).parents[2] / "sample_journal"
KINDS = {
    "latest": (("analyte", "day"), ("low", "high", "days")),
    "sign": (("name", "state"), ("low", "high")),
    "process": (("name", "state"), ()),
}


@st.composite
def facts(draw: st.DrawFn) -> Fact:
    kind = draw(st.sampled_from(sorted(KINDS)))
    texts, numbers = KINDS[kind]
    given_texts = {name: draw(st.sampled_from(TEXTS)) for name in texts}
    given_numbers = {name: draw(st.sampled_from((*NUMBERS, math.nan, 0.1 + 0.2))) for name in numbers}
    return say(kind, **given_texts, **given_numbers)


@st.composite
def clauses(draw: st.DrawFn) -> Clause:
    found: list[Pattern] = []
    for place in range(draw(st.integers(1, 3))):
        kind = draw(st.sampled_from(sorted(KINDS)))
        pattern = Pattern(f"p{place}", kind, ())
        conditions = draw(st.lists(condition([*found, pattern]), max_size=4))
        found.append(Pattern(pattern.alias, kind, tuple(conditions)))
    return tuple(found)


@st.composite
def condition(draw: st.DrawFn, patterns: list[Pattern]) -> Condition:
    """A test on the last pattern: against a plain value, or a property of itself or of an earlier one."""
    texts, numbers = KINDS[patterns[-1].kind]
    other = draw(st.sampled_from(patterns))
    if draw(st.booleans()) or not numbers:
        name = draw(st.sampled_from(texts))
        if draw(st.booleans()):
            return Condition(name, "=", Reference(other.alias, draw(st.sampled_from(KINDS[other.kind][0]))))
        return Condition(name, draw(st.sampled_from(("=", "!="))), draw(st.sampled_from(TEXTS)))
    name = draw(st.sampled_from(numbers))
    if KINDS[other.kind][1] and draw(st.booleans()):
        right = Reference(other.alias, draw(st.sampled_from(KINDS[other.kind][1])))
        return Condition(name, draw(st.sampled_from(("=", "<", "<=", ">", ">="))), right)
    op = draw(st.sampled_from(("=", "!=", "<", "<=", ">", ">=", "known", "unknown")))
    return Condition(name, op, "" if op.endswith("known") else draw(st.sampled_from(NUMBERS)))


@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.lists(clauses(), max_size=12), st.lists(facts(), max_size=10))
def test_both_engines_find_the_same(rules: list[Clause], known: list[Fact]) -> None:
    assert engine.find(rules, known) == chainer.find(rules, known)


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.lists(clauses(), min_size=30, max_size=50), st.lists(facts(), min_size=5, max_size=12))
def test_both_engines_find_the_same_for_many_rules(rules: list[Clause], known: list[Fact]) -> None:
    """Here every fact is told to the engine, also those of which the adapter knows that they fill nothing."""
    with patch.object(engine, "could_fill", lambda fact, wanted: fact.kind in wanted):
        assert engine.find(rules, known) == chainer.find(rules, known)


@cache
def sample() -> reefjournal.Journal:
    return reefjournal.read(SAMPLE)


def days_of(vessel: str) -> Iterator[date]:
    """Every day from the first note of a vessel to its last."""
    noted = [one.day for one in sample().events if one.day and one.vessel == vessel]
    return (min(noted) + timedelta(days=n) for n in range((max(noted) - min(noted)).days + 1))


# A month a test, so that several cores share the year.
@pytest.mark.parametrize("month", range(1, 11))
def test_both_engines_find_the_same_on_every_day_of_the_sample_journal_in_every_vessel(month: int) -> None:
    vessels = sample().state(date.max).names
    asked = [(day, vessel) for vessel in vessels for day in days_of(vessel) if day.month == month]
    assert asked
    for day, vessel in asked:
        both_engines.agree(sample().rulebook(), sample().witness(day, vessel))


def test_no_day_of_the_sample_journal_is_left_out() -> None:
    assert sample().state(date.max).names == ("display", "rock bin", "quarantine")
    assert {(day.year, day.month) for day in days_of("display")} == {(2026, month) for month in range(1, 11)}
