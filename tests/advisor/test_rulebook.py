"""Loading a rulebook: what is wrong is left out and told, and takes nothing else down with it."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from speaker import BOOK, TANK, small_book
from test_rule_problems import ADVICE, GATE, RULE

from reefjournal.advisor.rulebook import built_in, load, load_only
from reefjournal.advisor.rules import Rulebook
from reefjournal.facts import Query

ONE_OF_EACH = [
    (BOOK / "ground.toml").read_text()[(BOOK / "ground.toml").read_text().index(f"[[{table}]]") :]
    for table in ("source", "threshold", "caution", "stage")
]


def with_file(folder: Path, text: str) -> Rulebook:
    """The small book with one more folder beside it."""
    folder.mkdir(exist_ok=True)
    (folder / "mine.toml").write_text(text, encoding="utf-8")
    return load_only([BOOK, folder])


def errors(book: Rulebook) -> list[str]:
    return [problem.message for problem in book.problems if problem.severity == "error"]


def test_the_built_in_book_has_no_mistake() -> None:
    assert built_in().is_dir()
    assert errors(load()) == []
    assert len(load().rules) > 0


def test_the_built_in_book_without_its_examples_is_the_same_book_otherwise() -> None:
    whole, quick = load(), load(examples=False)
    assert all(rule.examples for rule in whole.rules.values())
    bare = {name: replace(rule, examples=()) for name, rule in whole.rules.items()}
    assert quick.rules == bare
    for table in ("sources", "thresholds", "cautions", "stages", "gates", "problems"):
        assert getattr(quick, table) == getattr(whole, table)
    assert {which: str(place) for which, place in quick.places.items()} == {
        which: str(place) for which, place in whole.places.items()
    }


def test_the_small_book_has_no_mistake_and_holds_every_layer() -> None:
    assert errors(small_book()) == []
    assert {rule.layer for rule in small_book().rules.values()} == {"trust", "evidence", "stage", "diagnosis", "advice"}


def test_one_broken_rule_leaves_the_others_of_its_file(tmp_path: Path) -> None:
    book = with_file(tmp_path, RULE + RULE.replace('"mine"', '"broken"').replace('"filled"', "3"))
    assert "mine" in book.rules
    assert "broken" not in book.rules


@pytest.mark.parametrize("content", [b"[[rule", b"\xff\xfe", b"a = 1\n", b"rule = 3\n", b"rule = [3]\n", b"[rule]\n"])
def test_one_broken_file_leaves_the_other_files(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "broken.toml").write_bytes(content)
    book = with_file(tmp_path, RULE)
    assert "mine" in book.rules
    assert "is-fed" in book.rules
    assert {problem.file for problem in book.problems if problem.severity == "error"} == {str(tmp_path / "broken.toml")}


def test_a_folder_that_does_not_exist_is_told(tmp_path: Path) -> None:
    book = load_only([BOOK, tmp_path / "none"])
    assert errors(book) == ["this folder of rules does not exist or cannot be read."]


def test_a_keepers_rule_replaces_the_one_of_the_same_id_and_says_so(tmp_path: Path) -> None:
    book = with_file(tmp_path, RULE.replace('"mine"', '"first-half-works"'))
    assert book.rules["first-half-works"].title == "Mine"
    assert [str(one) for one in book.replaced] == [
        f'{tmp_path / "mine.toml"}:1:1: warning: this rule "first-half-works" replaces the one at '
        f"{BOOK / 'beliefs.toml'}:63."
    ]
    assert errors(book) == []


def test_a_keepers_broken_rule_leaves_the_built_in_one(tmp_path: Path) -> None:
    book = with_file(tmp_path, RULE.replace('"mine"', '"first-half-works"').replace('"filled"', "3"))
    assert book.rules["first-half-works"].title == "The first half works"
    assert book.replaced == ()


def test_a_keepers_rule_that_does_not_fit_the_others_leaves_the_built_in_one(tmp_path: Path) -> None:
    denies = RULE.replace('"mine"', '"filter-eats"').replace('"diagnosis"', '"evidence"')
    denies += 'unless = [{ fact = "process", name = "filter" }]\n'
    book = with_file(tmp_path, denies + 'concludes = { fact = "process", name = "a", state = "b" }\n')
    assert book.rules["filter-eats"].title == "The filter eats"
    assert any("denies a process" in message for message in errors(book))


def test_a_keepers_folder_may_have_the_name_of_the_built_in_one(tmp_path: Path) -> None:
    book = with_file(tmp_path / "book", RULE.replace('"mine"', '"first-half-works"'))
    assert book.rules["first-half-works"].title == "Mine"


def test_a_threshold_of_the_keeper_counts_in_the_built_in_rules(tmp_path: Path) -> None:
    text = '[[threshold]]\nid = "clear"\nvalue = 0.1\nunit = "mg/L N"\nmeans = "m"\nsource = "custom"\n'
    tests = with_file(tmp_path, text).rules["filter-eats"].when[1].conditions
    assert [test.right for test in tests if test.threshold == "clear"] == [0.1]


def test_a_broken_check_stays_in_its_gate_and_can_never_be_met(tmp_path: Path) -> None:
    book = with_file(tmp_path, GATE + GATE.split("\n\n")[1].replace('"one"', '"two"').replace('"filled"', "3"))
    checks = book.gates["mine"].checks
    assert [(check.id, bool(check.met)) for check in checks] == [("one", True), ("two", False)]


def test_a_keepers_broken_gate_leaves_the_built_in_one(tmp_path: Path) -> None:
    book = with_file(tmp_path, GATE.replace('id = "mine"', 'id = "crew"').replace('"filled"', "3"))
    assert book.gates["crew"].name == "Crew"


def test_advice_outranks_what_its_followers_outrank(tmp_path: Path) -> None:
    chain = "".join(
        ADVICE.replace('"mine"', f'"{name}"') + f'before = ["{after}"]\n' for name, after in (("a", "b"), ("b", "c"))
    )
    book = with_file(tmp_path, chain + ADVICE.replace('"mine"', '"c"'))
    step = book.rules["a"].step
    assert step is not None
    assert step.before == {"b", "c"}


def test_the_windows_of_a_layer_are_asked_with_the_values_of_the_thresholds() -> None:
    book = small_book()
    assert book.queries("evidence") == {
        Query("latest", (("analyte", "nitrite"),)),
        Query("latest", (("analyte", "ammonia"),)),
    }
    assert Query("absent", (("days", 3.0), ("name", "ammonia"), ("of", "reading"))) in book.queries("advice")
    assert Query("latest", (("analyte", "ammonia"), ("days", 3.0))) in book.queries("gate")


def test_a_pattern_meets_the_answers_to_its_own_question_only() -> None:
    unasked = {test.name: test.op for test in small_book().rules["filter-eats"].when[0].conditions}
    assert unasked["days"] == "unknown"
    assert TANK not in unasked


def test_line_numbers_look_past_texts_that_look_like_tables(tmp_path: Path) -> None:
    text = RULE.replace('"a"', '"""\n[[rule]]\nid = 3\n"""') + RULE.replace('"mine"', '"ours"').replace('"filled"', "3")
    (problem,) = (one for one in with_file(tmp_path, text).problems if one.severity == "error")
    assert problem.line == text.splitlines().index('when = [{ fact = "system", water = 3 }]') + 1


def test_any_value_in_any_place_is_told_or_taken_and_never_a_crash(tmp_path: Path) -> None:
    whole = "".join(table.split("\n\n")[0] + "\n" for table in (*ONE_OF_EACH, ADVICE)) + GATE
    tried = 0
    for found in re.finditer(r"(?<== )[^\n,{}\[\]]+(?=\n| \}|,)", whole):
        for value in ("3", "-1e300", "nan", "true", '""', '"{x"', "[]", "{}", "[[1]]", "{ a = 1 }", "2026-03-12"):
            text = whole[: found.start()] + value + whole[found.end() :]
            (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
            book = load_only([tmp_path])
            assert book.problems or book.rules
            tried += 1
    assert tried > 250
