"""`reefjournal forecast` as a person meets it."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from reefjournal.cli import main

SAMPLE = str(Path(__file__).parent.parent.parent / "sample_journal")
SVG = "{http://www.w3.org/2000/svg}"


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["forecast", SAMPLE, *words], prog_name="reefjournal", env={"COLUMNS": "300"})


def test_the_dates_come_first_then_what_they_rest_on_and_the_next_test() -> None:
    lines = run("--on", "2026-03-05").stdout.splitlines()
    assert lines[0] == "display, 5 March 2026"
    titles = [line for line in lines[1:-1] if line and not line.startswith(" ")]
    assert titles[:3] == ["What lies ahead", "The chance that it is so", "What this rests on"]
    assert titles[-1] == "What to test next"
    nitrite = next(line for line in lines if "Nitrite is likely to be gone between" in line)
    assert re.search(r"between \d+ \w+ and \d+ \w+; even odds for \d+ \w+\.", nitrite)
    assert lines[-1].startswith("A forecast informs. No gate opens on it")


def test_what_could_not_be_reckoned_with_is_said(tmp_path: Path) -> None:
    notes = tmp_path / "notes.md"
    notes.write_text(
        "## 2026-03-02\n- vessel: display, 300 L water\n- water: filled 300 L at 35 ppt\n"
        "- dose: ammonium chloride 2.3 g\n"
        "## 2026-03-04\n- dose: prawn\n- kit: ammonia, as N, card 0 0.25 0.5 1 2 4\n- ammonia 2\n",
        encoding="utf-8",
    )
    told = CliRunner().invoke(main, ["forecast", str(notes), "--on", "2026-03-05"], env={"COLUMNS": "300"}).stdout
    assert "Not reckoned with: how much nitrogen came with raw prawn on 4 March." in told
    assert "No temperature is written; 25 °C is taken." in told


def test_what_no_test_can_see_is_not_told_in_digits(tmp_path: Path) -> None:
    notes = tmp_path / "notes.md"
    notes.write_text(
        "## 2026-02-28\n- vessel: display, 300 L water\n- water: filled 300 L at 35 ppt\n- temp 25,0 C\n"
        "## 2026-03-02\n- dose: ammonium chloride 2.3 g\n",
        encoding="utf-8",
    )
    told = CliRunner().invoke(main, ["forecast", str(notes), "--on", "2026-03-03"], env={"COLUMNS": "300"}).stdout
    assert "The filter can oxidise nitrite at less than 0.01 mg N/L a day at 25 °C" in told
    assert "e-0" not in told
    assert "No temperature is written" not in told


def test_json_has_the_rows_of_the_advice_and_every_doubt() -> None:
    given = json.loads(run("--on", "2026-03-05", "--json").stdout)
    advice = json.loads(CliRunner().invoke(main, ["advise", SAMPLE, "--on", "2026-03-05", "--json"]).stdout)
    kept = ("id", "threshold", "median", "low", "high", "level", "beyond")
    assert [[row[name] for name in kept] for row in given["forecast"]] == [
        [row[name] for name in kept] for row in advice["forecast"]
    ]
    assert given["since"] == "2026-02-05"
    assert {"file", "line", "misread", "expected"} <= given["doubted"][0].keys()
    assert all(0 <= one["misread"] <= 1 for one in given["doubted"])
    assert given["next_test"]["analyte"] == "nitrite"


@pytest.mark.parametrize(
    ("day", "why"),
    [("2026-01-25", "The stage is: Dry."), ("2026-04-09", "The stage is: Cycled and proven."),
     ("2026-05-13", "The stage is: ")],
)  # fmt: skip
def test_where_nothing_can_be_forecast_one_line_says_so(day: str, why: str) -> None:
    result = run("--on", day)
    assert result.exit_code == 0
    assert len(result.output.splitlines()) == 1
    assert "there is nothing to forecast." in result.output
    assert why in result.output
    assert json.loads(run("--on", day, "--json").stdout)["forecast"] == []


def test_the_chart_is_a_drawing_with_title_description_and_both_courses(tmp_path: Path) -> None:
    files = [tmp_path / "one.svg", tmp_path / "two.svg"]
    for file in files:
        result = run("--on", "2026-03-05", "--chart", str(file))
        assert result.exit_code == 0
        assert "is written" in result.stderr
    assert files[0].read_bytes() == files[1].read_bytes()
    root = ElementTree.parse(files[0]).getroot()
    assert root.find(f"{SVG}title") is not None
    description = root.find(f"{SVG}desc")
    assert description is not None
    assert "Nitrite is likely to be gone" in (description.text or "")
    drawn = [element.get("class") for element in root.iter(f"{SVG}path")]
    assert drawn == [f"{a} {b}" for a in ("ammonia", "nitrite") for b in ("wide", "narrow", "middle")]


def test_a_chart_of_another_kind_is_refused_before_anything_is_read(tmp_path: Path) -> None:
    result = run("--chart", str(tmp_path / "chart.png"))
    assert result.exit_code == 2
    assert "charts are written as SVG; call it chart.svg." in result.output


def test_a_chart_that_cannot_be_written_is_told_in_one_line(tmp_path: Path) -> None:
    result = run("--on", "2026-03-05", "--chart", str(tmp_path / "missing" / "chart.svg"))
    assert result.exit_code == 1
    assert result.stderr.startswith("Error: ")
    assert "choose another place" in result.stderr


def test_an_unknown_vessel_is_told_with_those_there_are() -> None:
    result = run("--vessel", "bathtub")
    assert result.exit_code == 2
    assert "no vessel is called 'bathtub'; there are: display" in result.output
