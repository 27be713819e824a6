"""The commands as a person meets them: what they print, where, and with which exit code."""

from __future__ import annotations

import json
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from reefjournal.cli import main

SAMPLE = str(Path(__file__).parent.parent.parent / "sample_journal")
NOTES = """## 2026-03-02
- vessel: display, 290 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4
- kit: nitrite, as N, card 0 0.05 0.2 0.5 1 2
- water: filled 290 L at 35 ppt

## 2026-03-05
- ammonia 0, nitrite 0
"""


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), prog_name="reefjournal")


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    file = tmp_path / "notes.md"
    file.write_text(NOTES, encoding="utf-8")
    return file


def commands(group: click.Group, *before: str) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    for name, command in group.commands.items():
        found.append((*before, name))
        if isinstance(command, click.Group):
            found += commands(command, *before, name)
    return found


@pytest.mark.parametrize("words", commands(main), ids=" ".join)
def test_every_command_has_help_that_says_what_it_does(words: tuple[str, ...]) -> None:
    result = run(*words, "--help")
    assert result.exit_code == 0
    assert len(result.output.split("\n\n")[1].strip()) > 20


def test_a_day_after_all_notes_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.md").write_text("## 2026-03-01\n- dose: ammonium chloride 1 g every day\n", encoding="utf-8")
    found = CliRunner().invoke(main, ["advise", str(tmp_path), "--on", "9999-12-31"])
    assert found.exit_code == 2
    assert "is after all notes that there can be: they end with 2199." in found.output


def test_advice_begins_with_the_stage_and_the_one_next_step(notes: Path) -> None:
    lines = run("advise", str(notes), "--on", "2026-03-05").output.splitlines()
    assert lines[0] == "display, 5 March 2026"
    assert lines[1].startswith("Filled, nothing to eat")
    place = next(place for place, line in enumerate(lines) if line.startswith("Next:"))
    assert lines[place].startswith("Next: Before any ammonia goes in, show what is not shown yet.")
    after = lines[lines.index("After that") + 1]
    assert after.startswith("  - Dissolve 2.2 g ammonium chloride")


def test_advice_as_json_has_every_part_of_the_contract(notes: Path) -> None:
    advice = json.loads(run("advise", str(notes), "--on", "2026-03-05", "--json").output)
    parts = {
        "on", "vessel", "engine", "unread", "stage", "tracks", "growth", "findings", "actions", "gates", "forecast",
        "doubts", "cautions", "due",
    }  # fmt: skip
    assert set(advice) == parts
    assert set(advice["actions"][0]) == {"rule", "do", "why", "urgency", "by", "amount", "because"}
    assert set(advice["actions"][0]["because"]) == {"facts", "events", "thresholds", "rules"}
    assert {gate["id"] for gate in advice["gates"]} == {
        "fill-with-salt-water", "start-the-cycle", "clean-up-crew", "first-fish", "next-fish", "quarantine-ready",
        "leave-quarantine", "rest-over",
    }  # fmt: skip


def test_why_walks_back_to_note_lines_and_sources(notes: Path) -> None:
    output = run("advise", str(notes), "--on", "2026-03-05", "--why").output
    assert "notes.md:5" in output
    assert "common practice" in output


def test_advice_is_plain_when_piped(notes: Path) -> None:
    assert "\x1b[" not in run("advise", str(notes), "--on", "2026-03-05").output


def test_a_moment_of_a_day_can_be_asked_about(notes: Path) -> None:
    assert run("advise", str(notes), "--on", "2026-03-05T12:00").exit_code == 0


@pytest.mark.parametrize(
    ("words", "says", "code"),
    [
        (("advise", "{}", "--on", "2026-02-01"), "the first entry is of 2026-03-02, after 2026-02-01", 1),
        (("advise", "{}", "--on", "5.3.2026"), "write 2026-03-14", 2),
        (("advise", "{}", "--on", "2026-03-05", "--vessel", "pond"), "no vessel is called 'pond'; there are:", 2),
        (("advise", "nowhere"), "there is no such file or folder", 1),
        (("check", "nowhere"), "there is no such file or folder", 1),
        (("help", "nonsense"), "there is no help on 'nonsense'", 2),
    ],
)
def test_what_cannot_be_done_is_said_in_a_line(notes: Path, words: tuple[str, ...], says: str, code: int) -> None:
    result = run(*(word.format(notes) for word in words))
    assert says in result.output
    assert (result.exit_code, "Traceback" in result.output) == (code, False)


def test_an_empty_folder_is_said_in_a_line(tmp_path: Path) -> None:
    result = run("advise", str(tmp_path))
    assert (result.exit_code, "no dated entry was found" in result.output) == (1, True)


def test_check_is_silent_and_content_with_clean_notes(notes: Path) -> None:
    result = run("check", str(notes))
    assert (result.exit_code, result.output) == (0, "2 entries, 6 records read; 0 errors, 0 warnings.\n")


def test_check_counts_one_in_the_singular(tmp_path: Path) -> None:
    (tmp_path / "notes.md").write_text("## 2026-03-14\n- ammonia 1\n", encoding="utf-8")
    assert run("check", str(tmp_path)).output.splitlines()[-1] == "1 entry, 1 record read; 0 errors, 1 warning."


def test_check_names_file_line_and_column_and_fails_on_an_error(notes: Path) -> None:
    notes.write_text(NOTES + "- amonia 0.5\n", encoding="utf-8")
    result = run("check", str(notes))
    assert result.exit_code == 1
    assert "notes.md:9:3: error: " in result.output


def test_check_of_the_sample_shows_its_two_errors() -> None:
    result = run("check", SAMPLE)
    assert result.exit_code == 1
    assert result.output.splitlines()[-1].endswith("; 2 errors, 2 warnings.")


def test_check_as_json_lists_problems(notes: Path) -> None:
    notes.write_text(NOTES + "- amonia 0.5\n", encoding="utf-8")
    problems = json.loads(run("check", str(notes), "--json").output)["problems"]
    assert [(one["line"], one["severity"]) for one in problems] == [(9, "error")]


def test_check_shows_how_each_line_was_understood(notes: Path) -> None:
    assert "ammonia" in run("check", str(notes), "--read").output


def test_a_file_that_is_not_utf8_is_a_problem_and_the_others_are_read(notes: Path) -> None:
    (notes.parent / "old.md").write_bytes("## 2026-03-06\n- für\n".encode("latin-1"))
    result = run("check", str(notes.parent))
    assert (result.exit_code, "old.md" in result.output, "2 entries" in result.output) == (1, True, True)


def test_a_file_of_20_megabytes_is_a_problem_and_the_others_are_read(notes: Path) -> None:
    (notes.parent / "huge.md").write_bytes(b"x" * 20_000_000)
    result = run("check", str(notes.parent))
    assert (result.exit_code, "huge.md" in result.output, "2 entries" in result.output) == (1, True, True)


def test_start_makes_a_first_entry_that_reads_cleanly_and_gives_advice(tmp_path: Path) -> None:
    folder = tmp_path / "tank"
    assert run("start", str(folder)).exit_code == 0
    assert run("check", str(folder)).exit_code == 0
    assert "Next:" in run("advise", str(folder)).output


def test_start_never_overwrites(tmp_path: Path) -> None:
    run("start", str(tmp_path / "tank"))
    before = {file: file.read_bytes() for file in (tmp_path / "tank").iterdir()}
    result = run("start", str(tmp_path / "tank"))
    assert (result.exit_code, "nothing was changed" in result.output) == (1, True)
    assert {file: file.read_bytes() for file in (tmp_path / "tank").iterdir()} == before


def test_the_diary_is_written_and_never_read_as_notes(notes: Path) -> None:
    out = notes.parent / "diary"
    result = run("diary", str(notes.parent), "--on", "2026-03-05", "--out", str(out))
    assert (result.exit_code, (out / "index.html").exists()) == (0, True)
    assert "2 entries" in run("check", str(notes.parent)).output


def test_the_language_fits_on_a_page() -> None:
    result = run("help", "language")
    assert result.exit_code == 0
    assert 30 < len(result.output.splitlines()) <= 100


def test_a_rule_folder_of_ones_own_is_laid_over_the_built_in_one(notes: Path, tmp_path: Path) -> None:
    rules = tmp_path / "rules"
    rules.mkdir()
    (rules / "mine.toml").write_text(
        '[[rule]]\nid = "nothing-to-eat"\nlayer = "diagnosis"\ntitle = "Mine"\nsays = "My own words."\n'
        'source = ["custom"]\nwhen = [{ as = "tank", fact = "system", source = "no" }]\n'
    )
    output = run("advise", str(notes), "--on", "2026-03-05", "--rules", str(rules)).output
    assert "My own words." in output


def test_advice_since_a_day_tells_what_changed(notes: Path) -> None:
    text = run("advise", str(notes), "--since", "2026-03-02", "--on", "2026-03-05").stdout
    assert text.splitlines()[:2] == ["display, 5 March 2026", "Since 2 March 2026:"]
    found = json.loads(run("advise", str(notes), "--since", "2026-03-02", "--on", "2026-03-05", "--json").stdout)
    assert (found["since"], found["on"], found["lines"]) == ("2026-03-02", "2026-03-05", 1)


def test_advice_since_a_later_day_is_refused(notes: Path) -> None:
    result = run("advise", str(notes), "--since", "2026-03-09", "--on", "2026-03-05")
    assert result.exit_code == 2
    assert "2026-03-09 is not before 2026-03-05" in result.output


def test_advice_without_a_forecast_has_none() -> None:
    asked = ("advise", SAMPLE, "--on", "2026-03-20", "--json")
    assert json.loads(run(*asked).stdout)["forecast"]
    assert json.loads(run(*asked, "--no-forecast").stdout)["forecast"] == []
