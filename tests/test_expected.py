"""What an expert said by hand, before the rules were written, of days of the sample and of small made-up notes."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import reefjournal
from reefjournal.advisor.advice import Advice

HERE = Path(__file__).parent
CASES = sorted((HERE / "expected").glob("*.toml"))


@cache
def sample() -> reefjournal.Journal:
    return reefjournal.read(HERE.parent / "sample_journal")


@cache
def asked(case: Path) -> tuple[dict[str, Any], Advice]:
    expected = tomllib.loads(case.read_text(encoding="utf-8"))
    journal = sample() if expected.get("sample") else reefjournal.read_text(expected["journal"])
    asked_of = {name: expected.get(name) for name in ("on", "vessel")}
    return expected, journal.advise(**asked_of, forecast=expected.get("forecast", False))


def fired(advice: Advice) -> set[str]:
    """Every rule that spoke: what is so, what is doubted, what to do."""
    rows = (*advice.findings, *advice.doubts, *advice.actions)
    return {row.rule for row in rows}


def test_there_are_at_least_thirty_days() -> None:
    assert len(CASES) >= 30


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_the_stage_is_what_an_expert_would_say(case: Path) -> None:
    expected, advice = asked(case)
    assert advice.stage is not None
    assert advice.stage.id == expected["stage"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_the_other_tracks_stand_where_an_expert_would_say(case: Path) -> None:
    expected, advice = asked(case)
    tracks = {row.track: row.id for row in advice.tracks}
    assert expected.get("tracks", {}).items() <= tracks.items()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_the_next_step_is_what_an_expert_would_say(case: Path) -> None:
    expected, advice = asked(case)
    assert advice.actions[0].rule in expected["next"], [action.rule for action in advice.actions]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_else_must_be_said_is_said(case: Path) -> None:
    expected, advice = asked(case)
    assert set(expected.get("also", ())) <= fired(advice)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_gates_stand_as_an_expert_would_have_them(case: Path) -> None:
    expected, advice = asked(case)
    gates = {gate.id: gate.open for gate in advice.gates}
    assert [gate for gate in expected.get("closed", ()) if gates[gate]] == []
    assert [gate for gate in expected.get("open", ()) if not gates[gate]] == []


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_nothing_is_given_that_must_not_be(case: Path) -> None:
    expected, advice = asked(case)
    given = {action.amount.substance for action in advice.actions if action.amount}
    assert given & set(expected.get("never", ())) == set()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_must_be_doubted_is_doubted(case: Path) -> None:
    expected, advice = asked(case)
    facts = [fact.properties for doubt in advice.doubts for fact in doubt.because.facts]
    said = [(fact.get("analyte"), fact.get("day")) for fact in facts]
    for doubted in expected.get("doubted", ()):
        assert (doubted["analyte"], doubted["day"].isoformat()) in said


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_is_visible_is_named(case: Path) -> None:
    expected, advice = asked(case)
    visible = {sign.id for sign in advice.growth}
    assert visible == set(expected.get("growth", visible))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_must_not_be_said_is_not_said(case: Path) -> None:
    expected, advice = asked(case)
    assert set(expected.get("silent", ())) & fired(advice) == set()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_is_due_is_listed(case: Path) -> None:
    expected, advice = asked(case)
    due = " / ".join(f"{row.what}: {row.says}" for row in advice.due)
    assert [word for word in expected.get("due", ()) if word not in due] == []


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_what_must_be_named_is_named(case: Path) -> None:
    expected, advice = asked(case)
    said = [row.says for row in (*advice.findings, *advice.doubts)] + [step.do + step.why for step in advice.actions]
    said += [caution.says for caution in advice.cautions]
    assert [words for words in expected.get("words", ()) if words not in " ".join(said)] == []
