"""What the program believes is listed from where it is used, with unit, meaning and source, and nothing is left out."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from reefjournal import sources
from reefjournal.advisor.rulebook import load
from reefjournal.believed import Believed
from reefjournal.chemistry import ammonia

PACKAGE = Path(sources.__file__).parent
NO_BELIEF = {
    "advisor/amounts.py": "OPEN_UPWARDS stands for no number",
    "advisor/engine.py": "the limits of the compiled engine",
    "advisor/patterns.py": "how large a rule may be",
    "advisor/replay.py": "how far the replay looks one by one",
    "advisor/tables.py": "how much a message shows",
    "advisor/text.py": "how much a screen shows",
    "advisor/values.py": "the limits of the compiled engine",
    "advisor/wording.py": "OPEN_UPWARDS stands for no number",
    "cache.py": "how much is kept",
    "diary/charts.py": "sizes of a drawing",
    "journal/files.py": "how large a file may be",
    "markdown.py": "how deep lists may nest",
    "nitrification/assess.py": "how exactly is reckoned",
    "nitrification/bands.py": "how exactly is reckoned",
    "nitrification/fit.py": "how exactly is reckoned",
}
"""Files whose numbers say nothing of water, animals, people or notes."""
PLAIN = {
    ("chemistry/ph.py", "KELVIN"): "a definition",
    ("chemistry/salinity.py", "REFERENCES"): "definitions",
    ("chemistry/salinity.py", "PER_T90"): "a definition",
    ("evidence/forecast_cache.py", "AHEAD"): "the days that a forecast tells a chance for",
    ("evidence/outlook.py", "LEVEL"): "which range is told",
    ("evidence/outlook.py", "_SURE"): "how a chance is worded",
    ("evidence/outlook.py", "_LEAST"): "how a chance is worded",
    ("evidence/outlook.py", "_MUCH"): "how a chance is worded",
    ("evidence/outlook.py", "_ODDS"): "how a chance is worded",
    ("evidence/emergency.py", "_BODIES"): "words and what they mean",
    ("evidence/lids.py", "ACROSS"): "signs of a direction",
    ("evidence/lids.py", "ALONG"): "signs of a direction",
    ("evidence/lids.py", "UNDER"): "signs of a direction",
    ("evidence/lids.py", "UP"): "signs of a direction",
    ("evidence/forecast_cache.py", "MOST_KEPT"): "how much is kept",
    ("evidence/life.py", "(_WEEK, _SECOND_WEEK)"): "the calendar",
    ("evidence/scene.py", "OPEN"): "stands for no number",
    ("evidence/top_up.py", "_WEEK"): "the calendar",
    ("journal/amounts.py", "HALVES"): "signs and what they mean",
    ("journal/cards.py", "ONE"): "changes nothing",
    ("journal/dates.py", "SMALL"): "numbers and their names",
    ("journal/dates.py", "YEARS"): "years that a date may have",
    ("journal/verdicts.py", "NEAR"): "how far back a word is looked for",
    ("journal/vocabulary.py", "SLIPS"): "how short a word may be to be a slip",
    ("journal/waters.py", "SHARE_WORDS"): "words and what they mean",
    ("journal/words.py", "LONGEST"): "how long a phrase may be",
    ("journal/works.py", "DAYS"): "the calendar",
    ("journal/works.py", "COUNTS"): "numbers and their names",
    ("nitrification/forecast.py", "CHALLENGE_SETS"): "how exactly is reckoned",
    ("nitrification/likelihood.py", "OFFSETS"): "words and what they mean",
    ("nitrification/model.py", "_GAMMA"): "a number of the method",
    ("workshop/panels.py", "PANELS_AND_LAPS"): "words and what they mean",
}
"""Numbers that need no source, and why."""


@pytest.fixture(scope="module")
def rows() -> dict[str, sources.Row]:
    found = sources.rows(load(examples=False))
    by_id = {row.id: row for row in found}
    assert len(by_id) == len(found)
    return by_id


def bare_numbers() -> Iterator[tuple[str, str]]:
    """File and name of every number that a module assigns at its top without a `Believed` beside it."""
    for file in sorted(PACKAGE.rglob("*.py")):
        shown = file.relative_to(PACKAGE).as_posix()
        if shown.startswith("cli/") or shown in NO_BELIEF:
            continue
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            if isinstance(node, (ast.Assign, ast.AnnAssign)) and node.value and numeric(node.value):
                target = node.targets[0] if isinstance(node, ast.Assign) else node.target
                if not (isinstance(node, ast.AnnAssign) and "Annotated" in ast.unparse(node.annotation)):
                    yield shown, ast.unparse(target)


def numeric(value: ast.expr) -> bool:
    """Whether an expression brings a number of its own: one that counts atoms or places among names brings none."""
    keys = {key for one in ast.walk(value) if isinstance(one, ast.Dict) for key in one.keys}
    inner = [one for one in ast.walk(value) if one not in keys]
    if any(isinstance(one, (ast.Call, ast.JoinedStr, ast.Subscript)) for one in inner):
        return any(isinstance(one, ast.Call) and ast.unparse(one.func) in {"timedelta", "Interval"} for one in inner)
    numbers = [one for one in inner if isinstance(one, ast.Constant) and type(one.value) in (int, float)]
    return bool(numbers) and not any(isinstance(one, ast.Name) for one in inner)


def test_no_number_in_the_code_is_without_unit_meaning_and_source() -> None:
    """Annotate a new one: ``Annotated[float, Believed("days", "what it stands for", "common practice")]``."""
    assert [found for found in bare_numbers() if found not in PLAIN] == []


def test_the_list_of_plain_numbers_names_no_number_that_is_gone() -> None:
    assert set(PLAIN) <= set(bare_numbers())


def test_every_number_has_a_meaning_a_source_and_a_place(rows: dict[str, sources.Row]) -> None:
    assert [row.id for row in rows.values() if not (row.means and row.source and row.where)] == []


def test_every_threshold_of_the_rulebook_is_listed(rows: dict[str, sources.Row]) -> None:
    book = load(examples=False)
    assert book.thresholds
    assert {name: one.value for name, one in book.thresholds.items()}.items() <= {
        name: row.value for name, row in rows.items()
    }.items()


def test_the_list_holds_what_the_code_counts_with(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ammonia, "EPA_CHRONIC", 0.03)
    listed = {row.id: row.value for row in sources.rows(load(examples=False))}
    assert listed["chemistry.ammonia.EPA_CHRONIC"] == 0.03
    assert ammonia.epa_criteria(8.1, 25.0, 35.0).chronic == pytest.approx(0.03 / 0.035 * 0.511, rel=0.01)


@pytest.mark.parametrize(
    "name",
    [
        "chemistry.ammonia.ASSUMED.pH",
        "chemistry.weights.N",
        "chemistry.dosing.DOSE_LIMIT",
        "chemistry.ammonia.pk_bell_2008",
        "workshop.loads.ROOM_LOAD",
        "workshop.panels.Track.lap",
        "nitrification.priors.KINETICS.growth1",
        "nitrification.likelihood.CHANCES.ammonia.stuck at zero",
        "evidence.life._PROTEIN",
        "timeline._NET_OF_OUTER",
        "analytes.ammonia.step",
        "substances.ammonium chloride.nitrogen",
    ],
)
def test_numbers_of_every_part_are_listed(rows: dict[str, sources.Row], name: str) -> None:
    assert name in rows


@pytest.mark.parametrize("source", ["hearsay", "published", "from memory", "our judgment: typo"])
def test_a_source_without_kind_or_name_is_refused(source: str) -> None:
    with pytest.raises(ValueError, match="must begin with one of published, common practice"):
        Believed("mg/L", "something", source)
