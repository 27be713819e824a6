"""`reefjournal rules` and `reefjournal sources`: the book to look things up in, and a keeper's own rules checked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from reefjournal.advisor.rulebook import load
from reefjournal.advisor.shelf import in_full
from reefjournal.cli import main, rules_text

MINE = '''\
[[threshold]]
id = "warm"
value = 26.0
unit = "degrees C"
means = "Warm for this tank"
source = "custom"

[[rule]]
id = "warm-tank"
layer = "diagnosis"
title = "Warm"
says = "The water is warm, {water.written}."
source = ["custom"]
when = [{ as = "water", fact = "latest", analyte = "temperature", low = { at_least = "@warm" } }]

[[rule.example]]
on = 2026-03-05
fires = true
journal = """
## 2026-03-05
- vessel: display, 290 L water
- test: temperature 27 C
"""

[[rule.example]]
on = 2026-03-05
fires = false
journal = """
## 2026-03-05
- vessel: display, 290 L water
- test: temperature 25 C
"""
'''


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), prog_name="reefjournal", env={"COLUMNS": "88"})


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    (tmp_path / "mine.toml").write_text(MINE, encoding="utf-8")
    return tmp_path


def change(folder: Path, old: str, new: str) -> None:
    file = folder / "mine.toml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_list_names_every_rule_gate_and_stage_with_its_title() -> None:
    book = load(examples=False)
    listed = {(row["sort"], row["id"]): row["title"] for row in json.loads(run("rules", "--json").output)}
    assert listed == {
        **{("rule", name): rule.title for name, rule in book.rules.items()},
        **{("gate", name): gate.name for name, gate in book.gates.items()},
        **{("stage", name): stage.name for name, stage in book.stages.items()},
    }


def test_the_list_is_sorted_by_topic_and_layer() -> None:
    lines = run("rules").output.splitlines()
    cycle = lines[lines.index("cycle") :]
    assert cycle.index("  diagnosis") < cycle.index("  advice") < cycle.index("")
    assert "    - feed-the-filter: Feed the filter while nitrite is high (likely)" in cycle


def test_one_rule_is_shown_with_conditions_numbers_sources_cautions_and_what_would_make_it_wrong(mine: Path) -> None:
    change(mine, 'source = ["custom"]', 'source = ["custom"]\nwrong_if = "the sun stood on the sensor"')
    shown = run("rules", "warm-tank", "--check", str(mine)).output
    assert "  - water (latest): analyte is temperature, low is at least 26 degrees C (warm)" in shown
    assert "It says: The water is warm, [water: written]." in shown
    assert "  - 26 degrees C, warm: Warm for this tank. reef keepers" in shown
    assert "It is wrong if: the sun stood on the sensor" in shown
    assert "Examples: it fires in 1 and rests in 1" in shown
    assert "temperature 27 C" not in shown


def test_examples_are_shown_where_they_are_asked_for(mine: Path) -> None:
    shown = run("rules", "warm-tank", "--check", str(mine), "--examples").output
    assert "  - fires on 2026-03-05" in shown
    assert "    | - test: temperature 27 C" in shown


def test_a_gate_is_shown_with_its_checks_and_what_settles_each() -> None:
    found = json.loads(run("rules", "first-fish", "--json").output)
    (gate,) = (one for one in found if one["sort"] == "gate")
    checks = {check["id"]: check for check in gate["checks"]}
    assert len(checks) == len(load(examples=False).gates["first-fish"].checks)
    assert all(check["settle"] and check["met"] for check in checks.values())


def test_everything_in_the_book_can_be_shown_in_full() -> None:
    book = load()
    for name in (*book.rules, *book.gates, *book.stages):
        found = in_full(book, name)
        assert name in rules_text.in_full(found, examples=True)
        assert all(one.more.get("when") or one.more.get("checks") or one.more.get("means") for one in found)


def test_an_unknown_id_offers_the_nearest() -> None:
    result = run("rules", "feed-filter")
    assert result.exit_code == 2
    assert "no rule, gate or stage is called 'feed-filter'. Did you mean feed-the-filter?" in result.output


def test_an_id_of_a_number_sends_to_the_sources() -> None:
    assert "`reefjournal sources ammonia-clear` tells of it" in " ".join(run("rules", "ammonia-clear").output.split())


def test_a_good_folder_passes_with_its_examples_run(mine: Path) -> None:
    result = run("rules", "--check", str(mine))
    assert result.output == "1 rule, 2 examples run, 0 errors, 0 warnings, 0 built-in tables replaced.\n"
    assert result.exit_code == 0


def test_a_mistake_is_told_with_file_line_column_and_what_to_write(mine: Path) -> None:
    change(mine, 'analyte = "temperature"', 'analyte = "temperature", lov = 3')
    result = run("rules", "--check", str(mine))
    assert f'{mine / "mine.toml"}:14:67: error: rule "warm-tank", when 1: there is no key "lov".' in result.output
    assert 'Did you mean "low"?' in result.output
    assert result.exit_code == 1


def test_an_example_that_comes_out_otherwise_is_an_error_at_its_line(mine: Path) -> None:
    change(mine, "temperature 25 C", "temperature 26.5 C")
    result = run("rules", "--check", str(mine))
    assert result.output.startswith(
        f'{mine / "mine.toml"}:25:1: error: rule "warm-tank", example 2: the rule fires here. '
        "Change the rule or the example, or write fires = true."
    )
    assert result.exit_code == 1


def test_a_line_of_an_example_that_is_not_understood_is_an_error(mine: Path) -> None:
    change(mine, "- test: temperature 25 C", "- test: temperature 25 C\n- test: nitrt 0")
    result = run("rules", "--check", str(mine))
    assert "example 2: line 4 of its journal is not understood: " in result.output
    assert result.exit_code == 1


def test_an_example_about_a_vessel_that_is_not_there_is_an_error(mine: Path) -> None:
    change(mine, "fires = false", 'fires = false\nvessel = "quarantine"')
    result = run("rules", "--check", str(mine))
    assert "no vessel is called 'quarantine'" in result.output
    assert result.exit_code == 1


def test_a_rule_that_replaces_a_built_in_one_says_so(mine: Path) -> None:
    (mine / "mine.toml").write_text(MINE.replace('"warm-tank"', '"feed-the-crew"'), encoding="utf-8")
    result = run("rules", "--check", str(mine))
    assert 'warning: this rule "feed-the-crew" replaces the one at rules/' in result.output
    assert "1 built-in table replaced" in result.output


def test_a_check_as_json_has_the_problems_one_by_one(mine: Path) -> None:
    change(mine, "temperature 25 C", "temperature 26.5 C")
    found = json.loads(run("rules", "--check", str(mine), "--json").output)
    assert [(problem["line"], problem["severity"]) for problem in found["problems"]] == [(25, "error")]
    assert found["rules"] == ["warm-tank"]
    assert found["examples"] == 2


def test_sources_are_filtered_by_all_the_words() -> None:
    found = json.loads(run("sources", "ammonia", "published", "--json").output)
    assert {"free-ammonia-acute", "chemistry.ammonia.EPA_ACUTE"} <= {row["id"] for row in found}
    assert all("ammonia" in json.dumps(row).casefold() and row["kind"] == "published" for row in found)


def test_sources_as_text_give_value_unit_meaning_kind_and_place() -> None:
    lines = run("sources", "DOSE_LIMIT").output.splitlines()
    assert lines[0] == "chemistry.dosing.DOSE_LIMIT: 4 mg N/L"
    assert lines[1].startswith("  the most ammonia that is ever given")
    assert lines[3:5] == ["  common practice (4 to 5 mg/L)", "  reefjournal/chemistry/dosing.py"]


def test_words_that_no_source_names_are_told() -> None:
    assert run("sources", "unobtainium").output == (
        "Nothing names unobtainium. `reefjournal sources` lists everything.\n"
    )
