"""Advice as data: the next step first, every statement with its reasons, nothing that was not said."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest
from speaker import BOOK, Speaker, filled, ledger, lives, say, small_book
from test_layers import AMMONIA, NITRITE
from test_rule_problems import ADVICE
from test_rulebook import with_file

from reefjournal.advisor.advice import Advice
from reefjournal.advisor.advise import advise, stage_on
from reefjournal.facts import Fact, Line

OLD = say("absent", of="reading", name="ammonia", days=3.0)
DAY = date(2026, 3, 12)


def advice(*said: Fact) -> Advice:
    return advise(small_book(), Speaker(said), engine="plain")


def test_nothing_said_gives_no_stage_no_step_and_a_shut_gate() -> None:
    given = advice()
    assert (given.stage, given.actions, given.findings, given.doubts) == (None, (), (), ())
    assert [gate.open for gate in given.gates] == [False]


def test_the_json_has_the_rows_that_were_agreed() -> None:
    given = json.loads(advice(filled(), lives("no"), ledger(), OLD, NITRITE, AMMONIA).model_dump_json())
    assert list(given) == [
        "on", "vessel", "engine", "unread", "stage", "tracks", "growth", "findings", "actions", "gates", "forecast",
        "doubts", "cautions", "due",
    ]  # fmt: skip
    assert given["on"] == "2026-03-12"
    assert set(given["stage"]) == {"id", "name", "since", "because"}
    assert set(given["actions"][0]) == {"rule", "do", "why", "urgency", "by", "amount", "because"}
    assert set(given["findings"][0]) == {"rule", "says", "sureness", "because"}
    assert set(given["gates"][0]) == {"id", "name", "open", "behind", "checks"}
    assert set(given["gates"][0]["checks"][0]) == {"id", "says", "state", "settle", "because"}
    assert set(given["stage"]["because"]) == {"facts", "events", "thresholds", "rules"}


def test_the_same_moment_gives_the_same_json_in_both_engines() -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    speaker = Speaker([filled(), lives("no"), ledger(), OLD, NITRITE, AMMONIA])
    plain = advise(small_book(), speaker, engine="plain")
    compiled = advise(small_book(), speaker, engine="compiled")
    assert compiled.model_copy(update={"engine": "plain"}).model_dump_json() == plain.model_dump_json()


def test_a_moment_inside_a_day_is_told_with_its_time() -> None:
    class Noon(Speaker):
        @property
        def on(self) -> datetime:
            return datetime(2026, 3, 12, 12, 0)

    assert advise(small_book(), Noon([filled()]), engine="plain").on == datetime(2026, 3, 12, 12, 0)


def test_precedence_comes_first_then_what_outranks_then_urgency() -> None:
    given = advice(filled(), lives("no"), ledger(), OLD, say("unread", text="x"), say("planned", what="animals"))
    assert [action.rule for action in given.actions] == ["mend-the-line", "wait-for-crew", "test-again", "give-ammonia"]


def test_a_step_that_is_more_urgent_waits_for_the_one_that_outranks_it(tmp_path: Path) -> None:
    first = ADVICE.replace('"mine"', '"first"').replace('"soon"', '"plan"') + 'before = ["second"]\n'
    book = with_file(tmp_path, first + ADVICE.replace('"mine"', '"second"').replace('"soon"', '"now"'))
    rules = [action.rule for action in advise(book, Speaker([filled(source="x")]), engine="plain").actions]
    assert rules == ["first", "second"]


@pytest.mark.parametrize(("urgency", "told"), [("soon", ["first"]), ("plan", ["second", "first"])])
def test_a_step_is_left_out_where_one_that_is_told_before_it_covers_it(
    tmp_path: Path, urgency: str, told: list[str]
) -> None:
    first = ADVICE.replace('"mine"', '"first"').replace('"soon"', f'"{urgency}"') + 'covers = ["second"]\n'
    book = with_file(tmp_path, first + ADVICE.replace('"mine"', '"second"'))
    assert [action.rule for action in advise(book, Speaker([filled(source="x")]), engine="plain").actions] == told


def test_what_suits_any_day_is_not_spoken_of_where_something_must_be_done_now(tmp_path: Path) -> None:
    rules = [
        ADVICE.replace('"mine"', f'"is-{urgency}"').replace('"soon"', f'"{urgency}"')
        for urgency in ("plan", "wait", "now")
    ]
    book = with_file(tmp_path, "".join(rules))
    told = [action.rule for action in advise(book, Speaker([filled(source="x")]), engine="plain").actions]
    assert told == ["is-now", "is-wait"]


def test_an_amount_is_worked_out_and_written_into_the_step() -> None:
    (action,) = advice(filled(), lives("no"), ledger()).actions
    assert action.amount is not None
    assert (action.amount.value, action.amount.unit, action.amount.substance) == (2.2, "g", "ammonium chloride")
    assert action.do == "Dissolve 2.2 g ammonium chloride and pour it in."
    assert action.why == "Nothing feeds the filter yet; 2 mg/L N begin a cycle."


def test_a_deadline_counts_from_the_day() -> None:
    steps = {action.rule: action.by for action in advice(OLD, say("unread", text="x")).actions}
    assert steps == {"mend-the-line": date(2026, 3, 14), "test-again": DAY}


def test_a_deadline_beyond_all_days_is_none(tmp_path: Path) -> None:
    book = with_file(tmp_path, ADVICE + "by_days = 1e12\n")
    assert [step.by for step in advise(book, Speaker([filled(source="x")]), engine="plain").actions] == [None]


def test_firings_that_ask_for_the_same_are_one_step() -> None:
    lines = [say("unread", Line("notes.md", n, "x"), text="x", day=f"2026-03-0{n}") for n in (1, 2)]
    (action,) = advice(*lines).actions
    assert [event.line for event in action.because.events] == [1, 2]


def test_a_statement_can_be_walked_back_to_note_lines_thresholds_sources_and_rules() -> None:
    finding = next(row for row in advice(NITRITE, AMMONIA).findings if row.rule == "first-half-works")
    assert [(event.file, event.line) for event in finding.because.events] == [("notes.md", 5), ("notes.md", 6)]
    assert [fact.kind for fact in finding.because.facts] == ["latest", "latest", "process"]
    assert {limit.id: limit.source for limit in finding.because.thresholds} == {
        "present": "keepers, custom of the trade (common practice)",
        "clear": "A. Author, On filters, 1990, Journal of Invented Results 1:1 (published)",
    }
    assert finding.because.rules == ("filter-eats", "first-half-works")
    assert finding.says == "Nitrite reads 0.6 and more, at least 0.5 mg/L N."


def test_an_unknown_number_is_null_in_the_reasons() -> None:
    row = advice(filled(filled_days=float("nan")), lives("no")).gates[0].checks[1]
    assert row.because.facts[1].properties["filled_days"] is None


def test_cautions_come_with_the_steps_that_call_for_them() -> None:
    assert [row.id for row in advice(filled(), lives("no"), ledger()).cautions] == ["bleach"]
    assert advice(filled(), lives("yes"), ledger()).cautions == ()


def test_what_grows_or_clouds_the_water_and_is_visible_becomes_growth() -> None:
    signs = [
        say("sign", name="surface film", sort="growth", state="visible", day="2026-03-10"),
        say("sign", name="haze", sort="growth", state="gone", day="2026-03-01"),
        say("sign", name="slime", sort="growth", state="visible"),
        say("sign", name="rubbing", sort="animals", state="visible"),
    ]
    assert [(row.id, row.since) for row in advice(*signs).growth] == [
        ("slime", None),
        ("surface-film", date(2026, 3, 10)),
    ]


def test_lines_that_were_not_understood_are_listed_with_what_they_may_name() -> None:
    line = Line("notes.md", 7, "- stok: 2 gobies")
    (row,) = advice(say("unread", line, text="stok: 2 gobies", may_name="animal, fish")).unread
    assert (row.file, row.line, row.text, row.may_name) == ("notes.md", 7, "stok: 2 gobies", ("animal", "fish"))


def test_tests_that_cannot_be_read_are_doubts_not_findings() -> None:
    given = advice(say("count", of="unreadable", name="ammonia", days=14.0, times=2.0))
    assert [row.says for row in given.doubts] == ["2 ammonia tests could not be read."]
    assert given.findings == ()


def test_a_reading_that_trust_rejects_is_a_doubt() -> None:
    reading = say("reading", id="r", analyte="ammonia", written="0", day="2026-03-12", kit_never_moves="yes")
    (row,) = advise(small_book(), Speaker([], [reading]), engine="plain").doubts
    assert row.says == "ammonia 0 on 2026-03-12 was read with a blind kit."


def test_what_is_due_is_sorted_by_day() -> None:
    jobs = [
        say("job", text="order panels", state="due", due="2026-03-15"),
        say("job", text="some day", state="open"),
        say("job", text="clean pump", state="overdue", due="2026-03-01"),
    ]
    assert [(row.what, row.by) for row in advice(OLD, *jobs).due] == [
        ("clean pump", date(2026, 3, 1)),
        ("ammonia test", DAY),
        ("order panels", date(2026, 3, 15)),
    ]


@pytest.mark.parametrize(
    ("past", "expected"),
    [
        ([("2026-03-12", "yes"), ("2026-03-10", "yes"), ("2026-03-08", "no")], date(2026, 3, 10)),
        ([("2026-03-12", "yes"), ("2026-03-10", "no")], date(2026, 3, 12)),
        ([("2026-03-10", "no")], None),
        ([("2026-03-10", "yes"), ("2026-03-01", "yes")], date(2026, 3, 1)),
        ([], None),
    ],
    ids=["two noted days", "came today", "by lapse of time", "from the first note", "no notes"],
)
def test_since_is_the_first_of_the_noted_days_in_a_row(past: list[tuple[str, str]], expected: date | None) -> None:
    days = [Speaker([filled(source=source)], day=day) for day, source in past]
    speaker = Speaker([filled(source="yes")], past=days)
    given = advise(small_book(), speaker, engine="plain")
    assert given.stage is not None
    assert (given.stage.id, given.stage.since) == ("fed", expected)
    assert stage_on(small_book(), speaker) == given.stage


def test_a_rule_that_the_keeper_left_out_is_not_missed() -> None:
    book = replace(small_book(), rules={}, gates={}, stages={})
    assert advise(book, Speaker([filled()]), engine="plain").actions == ()


def test_the_advisor_loads_neither_numpy_nor_scipy() -> None:
    code = (
        "import sys; from pathlib import Path; sys.path.insert(0, sys.argv[1])\n"
        "from speaker import Speaker, filled, small_book\n"
        "from reefjournal.advisor.advise import advise\n"
        "from reefjournal.advisor import text\n"
        "text.render(advise(small_book(), Speaker([filled()])))\n"
        "print(sorted({'numpy', 'scipy', 'matplotlib', 'markdown_it', 'jinja2'} & sys.modules.keys()))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(BOOK.parent)], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
