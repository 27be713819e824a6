"""Examples inside rules are run, and a condition that no example needs is found."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

from rule_examples import dead_weight, misfires, moved
from speaker import Speaker, filled, small_book

from reefjournal.advisor import chainer
from reefjournal.advisor.conclude import conclude
from reefjournal.advisor.rulebook import load_only
from reefjournal.advisor.rules import Rulebook

RULE = """\
[[source]]
id = "custom"
who = "keepers"
title = "custom of the trade"
kind = "common practice"

[[threshold]]
id = "large"
value = 250
unit = "L"
means = "a large tank"
source = "custom"

[[rule]]
id = "mine"
layer = "diagnosis"
title = "Mine"
says = "It is so."
source = ["custom"]
when = [{ fact = "system", water = "filled", volume_low = { at_least = "@large" } }]
example = [
    { on = 2026-03-12, fires = true, journal = "filled 290" },
    { on = 2026-03-12, fires = false, journal = "filled 130" },
]
"""
NEAR_MISS = '    { on = 2026-03-12, fires = false, journal = "dry 290" },\n]'


def consult(book: Rulebook, journal: str, on: date | datetime, vessel: str) -> set[str]:
    """Reads a "journal" of two words: the state of the water, and its volume."""
    water, volume = journal.split()
    found = conclude(book, Speaker([filled(water=water, volume_low=float(volume))]), chainer.find)
    return {firing.rule.id for firing in found.firings}


def book_of(folder: Path, text: str) -> Rulebook:
    (folder / "mine.toml").write_text(text)
    book = load_only([folder])
    assert [one.message for one in book.problems] == []
    return book


def test_an_example_that_does_not_do_what_it_says_is_told(tmp_path: Path) -> None:
    assert list(misfires(book_of(tmp_path, RULE), consult)) == []
    wrong = RULE.replace('"filled 130"', '"filled 260"')
    assert list(misfires(book_of(tmp_path, wrong), consult)) == ["mine, example 2: fires"]


def test_a_rule_without_examples_is_told() -> None:
    assert "is-fed lacks an example that fires, or a near miss" in list(misfires(small_book(), consult))


def test_a_condition_that_no_example_needs_is_dead_weight(tmp_path: Path) -> None:
    assert list(dead_weight(book_of(tmp_path, RULE), consult)) == ["mine: when system without water"]
    missed = RULE.removesuffix("]\n") + NEAR_MISS
    assert list(dead_weight(book_of(tmp_path, missed), consult)) == []


def test_a_moved_threshold_moves_in_the_question_too() -> None:
    rule = small_book().rules["test-again"]
    ((what, changed),) = moved(rule, 2.0)
    assert what == "test-days times 2"
    assert changed.when[0].query is not None
    assert changed.when[0].query["days"] == 6.0
