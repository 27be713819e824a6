"""What changed between two advices: stages, the next step, gates with their checks, statements that came and went."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click
import pytest

import reefjournal
from reefjournal.advisor import changes_text
from reefjournal.advisor.advice import (
    Action,
    Advice,
    Because,
    CheckRow,
    Doubt,
    Finding,
    GateRow,
    GrowthRow,
    NoteLine,
    SeenFact,
    StageRow,
    TrackRow,
)
from reefjournal.advisor.changes import Changes, changes

OLD, NEW = NoteLine(file="a.md", line=3, text="test: ammonia 2"), NoteLine(file="a.md", line=9, text="test: ammonia 0")
SAMPLE = Path(__file__).parent.parent.parent / "sample_journal"


def on(*lines: NoteLine) -> Because:
    return Because(events=lines)


def stage(name: str, *lines: NoteLine) -> StageRow:
    return StageRow(id=name, name=name, since=None, because=on(*lines))


def step(rule: str, do: str = "", *lines: NoteLine) -> Action:
    return Action(rule=rule, do=do or rule, why="", urgency="today", by=None, amount=None, because=on(*lines))


def gate(state: str, *lines: NoteLine) -> GateRow:
    check = CheckRow.model_validate(
        {"id": "clear", "says": "Ammonia clear", "state": state, "settle": "", "because": on(*lines)}
    )
    return GateRow(id="first-fish", name="First fish", open=state == "met", checks=(check,))


def advice(day: int, **rows: object) -> Advice:
    return Advice.model_validate({"on": date(2026, 3, day), "vessel": "display", "engine": "plain", **rows})


def between(before: dict[str, object], after: dict[str, object]) -> Changes:
    return changes(advice(10, **before), advice(20, **after), {("a.md", 9)})


def test_the_same_advice_on_a_later_day_is_no_change() -> None:
    rows = {"stage": stage("rising"), "actions": (step("wait"),), "gates": (gate("unmet"),)}
    assert between(rows, rows).none


def test_a_stage_that_moved_on_is_told_with_its_new_line() -> None:
    found = between({"stage": stage("rising", OLD)}, {"stage": stage("falling", OLD, NEW)})
    assert [(one.track, one.before, one.after) for one in found.stages] == [("nitrogen", "rising", "falling")]
    assert found.rests_on == (NEW,)


def test_a_track_that_began_and_one_that_ended_are_told() -> None:
    track = TrackRow(track="build", **stage("plumbing").model_dump())
    assert [(one.before, one.after) for one in between({}, {"tracks": (track,)}).stages] == [(None, "plumbing")]
    assert [(one.before, one.after) for one in between({"tracks": (track,)}, {}).stages] == [("plumbing", None)]


def test_another_next_step_is_told_and_a_new_amount_of_the_same_is_not() -> None:
    found = between({"actions": (step("dose", "Dissolve 2.2 g"),)}, {"actions": (step("test"), step("dose"))})
    assert (found.next and found.next.before, found.next and found.next.after) == ("Dissolve 2.2 g", "test")
    assert between({"actions": (step("dose", "2.2 g"),)}, {"actions": (step("dose", "2.1 g"),)}).none


@pytest.mark.parametrize(
    ("before", "after", "change"),
    [("unknown", "met", "opened"), ("met", "unmet", "shut"), ("unmet", "unknown", "stays shut")],
)
def test_a_gate_is_told_with_the_check_that_changed(before: str, after: str, change: str) -> None:
    (found,) = between({"gates": (gate(before),)}, {"gates": (gate(after, NEW),)}).gates
    assert found.change == change
    assert [(one.id, one.before, one.after) for one in found.checks] == [("clear", before, after)]


def test_a_gate_whose_step_was_taken_is_done() -> None:
    behind = gate("met").model_copy(update={"behind": True})
    (found,) = between({"gates": (gate("met"),)}, {"gates": (behind,)}).gates
    assert found.change == "done"


def test_findings_doubts_steps_and_signs_come_and_go() -> None:
    sign = GrowthRow(id="haze", name="haze", since=None, because=on())
    finding = Finding(rule="works", says="It works", sureness="shown", because=on(NEW))
    doubt = Doubt(rule="odd", says="Odd", because=on())
    found = between({"growth": (sign,), "doubts": (doubt,)}, {"findings": (finding,), "actions": (step("wait"),)})
    assert [row.id for row in found.findings.new] == ["works"]
    assert [row.id for row in found.actions.new] == ["wait"]
    assert [row.id for row in found.doubts.ended] == ["odd"]
    assert [row.id for row in found.growth.ended] == ["haze"]
    assert found.rests_on == (NEW,)


def test_a_finding_about_another_analyte_is_another_finding() -> None:
    def level(analyte: str) -> Finding:
        fact = SeenFact(kind="latest", vessel="display", properties={"analyte": analyte})
        return Finding(rule="clear", says=analyte, sureness="shown", because=Because(facts=(fact,)))

    found = between({"findings": (level("ammonia"),)}, {"findings": (level("ammonia"), level("nitrite"))})
    assert [row.says for row in found.findings.new] == ["nitrite"]


def test_what_comes_with_time_alone_rests_on_no_new_line() -> None:
    found = between({"stage": stage("proven", OLD)}, {"stage": stage("unproven", OLD)})
    assert found.rests_on == ()
    assert "No new record: it came with the passing of time." in changes_text.render(found)


def test_the_next_step_is_not_told_twice() -> None:
    text = changes_text.render(between({}, {"actions": (step("wait", "Wait a day"), step("test", "Test"))}))
    assert text.count("Wait a day") == 1
    assert "- new: Test" in text


def test_nothing_new_is_told_in_one_sentence() -> None:
    text = click.unstyle(changes_text.render(changes(advice(10), advice(20), ()), width=96))
    assert text.splitlines() == [
        "display, 20 March 2026",
        "Since 10 March 2026 nothing has changed in the advice. No record was written in between.",
    ]


def test_between_two_days_of_the_sample_only_lines_of_these_days_are_cited() -> None:
    journal = reefjournal.read(SAMPLE)
    found = journal.changes(date(2026, 3, 31), date(2026, 4, 8))
    days = {(one.source.file, one.source.line): one.day for one in journal.events}
    assert found.rests_on
    assert {
        date(2026, 3, 31) < (days[line.file, line.line] or date.min) <= date(2026, 4, 8) for line in found.rests_on
    } == {True}


def test_a_day_that_is_not_before_is_refused() -> None:
    journal = reefjournal.read(SAMPLE)
    with pytest.raises(ValueError, match="2026-04-08 is not before 2026-04-08"):
        journal.changes(date(2026, 4, 8), date(2026, 4, 8))
