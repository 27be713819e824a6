"""The forecast as the keeper gets it: the run made of notes, its dates in words, and the cache of it."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path

import pytest

import reefjournal
from reefjournal.advisor.rulebook import load
from reefjournal.evidence import Witness, forecast_cache, outlook
from reefjournal.evidence.cycle import Cycle, cycle
from reefjournal.evidence.forecast_cache import folder
from reefjournal.evidence.outlook import LEVEL
from reefjournal.evidence.scene import Scene, reading_id
from reefjournal.facts import FITTED
from reefjournal.nitrification.forecast import FEED, MEAL
from reefjournal.nitrification.results import Assessment
from reefjournal.nitrification.run import Culture, Dose, Run
from reefjournal.nitrification.seeds import SEEDS

SAMPLE = Path(__file__).parent.parent.parent / "sample_journal"
FILLED = """## 2026-03-01
- vessel: display, 300 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4
- kit: nitrite, as N, card 0 0.05 0.2 0.5 1 2
- water: filled 300 L at 35 ppt
"""
DOSED = "## 2026-03-02\n- 18:00 dose: ammonium chloride 2.29 g\n"


def running(text: str, on: date, rejected: frozenset[str] = frozenset()) -> Cycle:
    state = reefjournal.read_text(FILLED + text).state(on)
    found = cycle(Scene(state, state.vessel("display"), rejected))
    assert found is not None
    return found


def test_a_weighed_dose_becomes_mg_n_per_litre_at_its_hour() -> None:
    run = running(DOSED, date(2026, 3, 3)).run
    # 2.29 g of NH4Cl hold 2.29 * 14.007 / 53.49 = 0.5997 g of nitrogen; in 300 L that is 2.0 mg/L. 18:00 is 0.75 d.
    assert run.doses == (Dose(0.75, pytest.approx(1.999, abs=0.002), "ammonia", pytest.approx(0.1)),)


def test_a_dose_told_as_a_range_is_known_less_well() -> None:
    (dose,) = running("## 2026-03-02\n- dose: ammonium chloride 2-3 g\n", date(2026, 3, 3)).run.doses
    # Half the width over the middle is 0.2, an even spread has a standard deviation of that over root three.
    assert (dose.time, dose.relative_sd) == (0.5, pytest.approx(math.hypot(0.1, 0.2 / math.sqrt(3)), abs=1e-3))


def test_a_dose_every_day_is_given_once_each_day_until_it_stops() -> None:
    text = "## 2026-03-02\n- dose: ammonium chloride 1 g every day\n## 2026-03-05\n- dose: ammonium chloride stop\n"
    assert [dose.time for dose in running(text, date(2026, 3, 9)).run.doses] == [0.5, 1.5, 2.5]


def test_an_amount_nobody_wrote_is_left_out_and_said() -> None:
    found = running(DOSED + "## 2026-03-04\n- dose: prawn\n", date(2026, 3, 5))
    assert len(found.run.doses) == 1
    assert found.run.rotting == ()
    assert found.left_out == ("how much nitrogen came with raw prawn on 4 March",)


def test_tissue_rots_until_it_is_taken_out() -> None:
    text = "## 2026-03-02\n- 12:00 dose: prawn 30 g\n## 2026-03-05\n- 12:00 dose: prawn stop\n"
    (prawn,) = running(text, date(2026, 3, 9)).run.rotting
    assert (prawn.time, prawn.removed) == (0.5, 3.5)
    # 30 g at up to 32.16 mg N/g in 300 L is up to 3.2 mg N/L; the middle of nothing and all is told.
    assert prawn.nitrogen == pytest.approx(30 * 32.16 / 300 / 2)


def test_the_cycle_begins_with_the_first_sure_ammonia_where_nobody_gave_any() -> None:
    found = running("## 2026-03-04\n- ammonia 0\n## 2026-03-06\n- ammonia 1\n", date(2026, 3, 7))
    assert found.day(0) == date(2026, 3, 6)
    (dose,) = found.run.doses
    assert dose.nitrogen == pytest.approx((math.sqrt(0.5 * 1) + math.sqrt(1 * 2)) / 2, rel=0.05)
    assert found.run.readings == ()


@pytest.mark.parametrize("text", ["", "## 2026-03-04\n- ammonia 0\n", "## 2026-03-04\n- dose: prawn\n"])
def test_without_nitrogen_there_is_no_cycle(text: str) -> None:
    state = reefjournal.read_text(FILLED + text).state(date(2026, 3, 7))
    assert cycle(Scene(state, state.vessel("display"))) is None


def test_readings_keep_readers_kit_and_the_day_they_may_be_of() -> None:
    text = "## 2026-03-04\n- 09:00 ammonia 1 / 2\n- nitrite >2\n- ammonia cloudy\n"
    readings = running(DOSED + text, date(2026, 3, 5)).run.readings
    by_time = {(one.analyte, one.time, one.span): one.readers for one in readings}
    first, second = by_time["ammonia", 2.375, 0.0]
    assert first is not None
    assert second is not None
    assert first[0] < 1 < first[1] < 2 < second[1]
    assert by_time["nitrite", 2.0, 1.0] == ((2.0, math.inf),)
    assert by_time["ammonia", 2.0, 1.0] == (None,)


def test_the_blank_of_a_kit_is_taken_off_every_reader() -> None:
    text = "## 2026-03-04\n- 09:00 ammonia 0.25 / 1\n- check: ammonia blank 0.25\n"
    (reading,) = running(DOSED + text, date(2026, 3, 5)).run.readings
    low, high = reading.readers
    plain_low, plain_high = (
        running(DOSED + text.replace("- check: ammonia blank 0.25\n", ""), date(2026, 3, 5)).run.readings[0].readers
    )
    assert low is not None and high is not None and plain_low is not None and plain_high is not None  # noqa: PT018
    blank = plain_low  # the blank shows the same colour as the first reader
    assert low == (0.0, pytest.approx(blank[1] - blank[0]))
    assert high == (pytest.approx(plain_high[0] - sum(blank) / 2), pytest.approx(plain_high[1] - blank[0]))


def test_a_diluted_sample_says_what_the_card_cannot() -> None:
    text = "## 2026-03-04\n- 09:00 check: nitrite 1:4 diluted read 1-2\n"
    (reading,) = running(DOSED + text, date(2026, 3, 5)).run.readings
    ((low, high),) = reading.seen
    # Four parts in all, or one and four more: 4 times the low end, 5 times the high end.
    assert (low, high) == (pytest.approx(1 * 4), pytest.approx(2 * 5))


def test_rejected_and_withdrawn_readings_are_left_out() -> None:
    text = (
        DOSED + "## 2026-03-04\n- 09:00 ammonia 2\n## 2026-03-05\n- 09:00 ammonia 4\n## 2026-03-06\n- 09:00 ammonia 1\n"
    )
    state = reefjournal.read_text(FILLED + text).state(date(2026, 3, 7))
    wrong = reading_id(state.vessel("display").readings_of("ammonia")[0])
    withdrawn = text + "## 2026-03-07\n- discard: ammonia 2026-03-05 -- wrong vial\n"
    kept = running(withdrawn, date(2026, 3, 7), frozenset({wrong})).run.readings
    assert [one.time for one in kept] == [4.375]


def test_water_cultures_rock_and_warmth_become_parts_of_the_run() -> None:
    text = """## 2026-03-02
- stock: added 10 kg live rock
## 2026-03-04
- 12:00 dose: bacterial culture 50 ml
- 12:00 water: changed 60 L
- 08:00 test: temperature 26 C
- 20:00 test: temperature 27 C
## 2026-03-05
- 12:00 water: changed at 35 ppt
- water: changed
"""
    found = running(DOSED + text, date(2026, 3, 6))
    assert found.run.seeded
    assert found.run.cultures == (Culture(2.5, *SEEDS["bottled culture"]),)
    assert [(one.time, one.fraction) for one in found.run.water_changes] == [(2.5, pytest.approx(0.2))]
    assert found.run.temperature == ((2.5, 26.5),)
    assert found.left_out == (
        "how much water was changed on 5 March",
        "line 17 of notes.md, which was not understood",
    )


def test_a_temperature_of_the_days_before_holds_until_one_is_read() -> None:
    before = "- temperature 22 C\n## 2026-03-01\n- test: salinity 33.9 ppt, temp 25,0 C\n"
    later = "## 2026-03-04\n- temperature 26 C\n"
    assert running(before + DOSED, date(2026, 3, 5)).run.temperature == ((0.5, 23.5),)
    assert running(before + DOSED + later, date(2026, 3, 5)).run.temperature == ((0.5, 23.5), (2.5, 26.0))
    first = DOSED + "- temperature 26 C\n"
    assert running(before + first, date(2026, 3, 5)).run.temperature == ((0.5, 26.0),)
    assert running(before + DOSED.replace("-03-", "-04-"), date(2026, 4, 5)).run.temperature == ((0.0, 25.0),)


def test_the_same_notes_on_other_lines_are_the_same_run() -> None:
    text = DOSED + "## 2026-03-04\n- ammonia 2\n"
    plain = running(text, date(2026, 3, 5)).run
    assert running("Some prose, and more.\n\n" + text, date(2026, 3, 5)).run == plain


RISING = FILLED + DOSED + "## 2026-03-03\n- ammonia 2, nitrite 0\n## 2026-03-04\n- ammonia 2, nitrite 0\n"


def test_before_ammonia_falls_the_range_is_as_wide_as_before_any_test() -> None:
    journal = reefjournal.read_text(RISING)
    advice = journal.advise(date(2026, 3, 4))
    assert advice.stage is not None
    assert advice.stage.id == "ammonia-rising"
    bare = reefjournal.read_text(FILLED + DOSED).outlook(date(2026, 3, 4))
    assert bare is not None
    for row, prior in zip(advice.forecast[:2], bare.rows[:2], strict=True):
        assert row.low is not None
        assert row.high is not None
        assert prior.low is not None
        assert prior.high is not None
        # Each width is one of 512 draws and scatters by a twentieth; test_assess.py averages, and is stricter.
        assert (row.high - row.low) >= 0.85 * (prior.high - prior.low) > timedelta(days=14)


def by_the_model() -> set[str]:
    """The rules that look at what a fit says."""
    looks = {rule.id: {one.kind for one in (*rule.when, *rule.unless)} for rule in load().rules.values()}
    return {name for name, kinds in looks.items() if not kinds.isdisjoint(FITTED)}


@pytest.mark.parametrize("day", [date(2026, 2, 14), date(2026, 3, 5), date(2026, 3, 20)])
def test_a_forecast_opens_no_gate_moves_no_stage_and_is_never_the_next_step(day: date) -> None:
    journal = reefjournal.read(SAMPLE)
    without, given = journal.advise(day, forecast=False), journal.advise(day)
    assert given.forecast
    assert (given.gates, given.stage, given.tracks) == (without.gates, without.stage, without.tracks)
    likely = by_the_model()
    assert "most-telling-test" in {action.rule for action in given.actions}
    for rows in ("actions", "findings", "doubts"):
        kept = [row for row in getattr(given, rows) if row.rule not in likely]
        assert kept == list(getattr(without, rows))
    assert given.actions[0].rule not in likely


def test_dates_are_in_order_and_told_in_words() -> None:
    advice = reefjournal.read(SAMPLE).advise(date(2026, 3, 5))
    ammonia, nitrite = advice.forecast[:2]
    assert [row.id for row in advice.forecast] == ["ammonia", "nitrite", "challenge", "challenge-fed"]
    assert nitrite.low is not None
    assert nitrite.median is not None
    assert nitrite.high is not None
    assert nitrite.low <= nitrite.median <= nitrite.high
    assert f"{nitrite.median.day} {nitrite.median:%B}" in nitrite.says
    assert "tests since 5 February" in ammonia.says
    assert {row.level for row in advice.forecast} == {LEVEL}


@pytest.mark.parametrize("day", [date(2026, 1, 25), date(2026, 2, 5), date(2026, 4, 9), date(2026, 5, 13)])
def test_where_no_cycle_runs_nothing_is_forecast(day: date) -> None:
    assert reefjournal.read(SAMPLE).advise(day).forecast == ()


ASKED = (
    "import sys, reefjournal, datetime; rows = reefjournal.read_text(open(sys.argv[1]).read()).advise("
    "datetime.date(2026, 3, 4)).forecast; print([row.model_dump_json() for row in rows]); print('numpy' in sys.modules)"
)


@pytest.fixture
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path / "cache"))
    return folder()


def asked(notes: Path) -> list[str]:
    """The rows as a fresh process gives them, and whether it had to load numpy."""
    done = subprocess.run([sys.executable, "-c", ASKED, str(notes)], capture_output=True, text=True, check=True)
    return done.stdout.splitlines()


def test_the_second_time_the_same_rows_come_without_numpy(tmp_path: Path, own_cache: Path) -> None:
    notes = tmp_path / "notes.md"
    notes.write_text(RISING, encoding="utf-8")
    (rows, loaded), (again, loaded_again) = asked(notes), asked(notes)
    assert len(list(own_cache.glob("*.json"))) == 1
    assert rows == again
    assert (loaded, loaded_again) == ("True", "False")


def test_another_day_or_reading_is_worked_out_anew(own_cache: Path) -> None:
    reefjournal.read_text(RISING).advise(date(2026, 3, 4))
    reefjournal.read_text(RISING).advise(date(2026, 3, 5))
    reefjournal.read_text(RISING + "- ammonia 1\n").advise(date(2026, 3, 4))
    assert len(list(own_cache.glob("*.json"))) == 3


@pytest.mark.parametrize("fault", [b"", b'{"on": "tomorrow"}', b"\xff\xfe"])
def test_a_broken_cache_is_harmless(own_cache: Path, fault: bytes) -> None:
    journal = reefjournal.read_text(RISING)
    rows = journal.advise(date(2026, 3, 4)).forecast
    (file,) = own_cache.glob("*.json")
    good = file.read_bytes()
    file.write_bytes(fault)
    assert journal.advise(date(2026, 3, 4)).forecast == rows
    assert file.read_bytes() == good


def test_a_cache_that_cannot_be_written_is_harmless(own_cache: Path) -> None:
    own_cache.parent.mkdir()
    own_cache.write_text("a file where the folder should be", encoding="utf-8")
    assert len(reefjournal.read_text(RISING).advise(date(2026, 3, 4)).forecast) == 4


def test_the_stage_of_a_day_is_told_without_a_fit(own_cache: Path) -> None:
    assert reefjournal.read_text(RISING).stage_on(date(2026, 3, 4)) is not None
    assert list(own_cache.glob("*.json")) == []


def test_a_witness_forecasts_without_what_the_trust_rules_rejected() -> None:
    state = reefjournal.read(SAMPLE).state(date(2026, 3, 5))
    witness = Witness(state, "display")
    all_told = witness.outlook("nitrite-high")
    nitrate = reading_id(state.vessel("display").readings_of("nitrate")[-1])
    witness.facts(frozenset(), frozenset({nitrate}))
    fewer = witness.outlook("nitrite-high")
    assert all_told is not None
    assert fewer is not None
    assert len(all_told.cycle.tests) - len(fewer.cycle.tests) == 1


def test_the_oldest_forecasts_go_when_there_are_too_many(own_cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(forecast_cache, "MOST_KEPT", 10)
    own_cache.mkdir(parents=True, exist_ok=True)
    for age in range(1, 11):
        old = own_cache / f"{age}.json"
        old.write_text("{}", encoding="utf-8")
        os.utime(old, (1e9 - age, 1e9 - age))
    reefjournal.read_text(RISING).advise(date(2026, 3, 4))
    names = {file.name for file in own_cache.glob("*.json")}
    assert len(names) == 9
    assert {f"{age}.json" for age in range(1, 9)} < names


def test_a_challenge_is_judged_by_the_lowest_steps_that_the_tests_have_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    asked_with = []

    def listening(run: Run, on: float, lowest: forecast_cache.Lowest) -> Assessment:
        asked_with.append(lowest)
        return forecast_cache.assessment(run, on, lowest)

    monkeypatch.setattr(outlook, "assessment", listening)
    reefjournal.read_text(FILLED + DOSED + "## 2026-03-04\n- ammonia 0.25, nitrite 1\n").outlook(date(2026, 3, 6))
    # On the card 0 0.25 0.5 the colour 0.25 ends in the geometric middle of its steps; nitrite was never that low.
    assert asked_with == [(pytest.approx(math.sqrt(0.25 * 0.5), abs=1e-4), None)]


def test_the_fed_forecast_feeds_what_the_rules_advise() -> None:
    limits = load().thresholds
    assert (limits["feed-dose"].value, limits["challenge-dose"].value) == (FEED, MEAL)
    assert f"{FEED:g} mg N/L while nitrite is there and {MEAL:g} once" in outlook._THRESHOLD["challenge-fed"]
