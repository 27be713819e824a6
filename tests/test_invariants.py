"""What must hold of the advice on any notes whatever: no ammonia where something may live, no gate on the unknown."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import reefjournal
from reefjournal.evidence import nitrogen
from reefjournal.evidence.scene import Scene

START = date(2026, 3, 1)
SETTINGS = settings(max_examples=60, deadline=None)
RECORDS = [
    "vessel: display, 290 L water", "vessel: display, 120 x 55 x 50 cm", "vessel: quarantine, 55 L water",
    "kit: ammonia, as N, card 0 0.25 0.5 1 2 4", "kit: ammonia, card 0 0.25 0.5 1 2 4, expires 2026-03",
    "kit: nitrite, as NO2, card 0 0.2 0.6 1.5 4", "water: filled 290 L at 35 ppt", "water: changed 100 L at 35 ppt",
    "water (quarantine): filled 55 L at 35 ppt", "water: changed 30 %", "water: drained",
    "dose: ammonium chloride 2.2 g", "dose: ammonium chloride 1.1 g", "dose: ammonium chloride 0.55 g",
    "dose: ammonium chloride", "dose: raw prawn 40 g", "dose: bacterial culture 50 ml", "dose: ammonia to 2 ppm",
    "dose (quarantine): ammonium chloride 0.21 g", "test: ammonia 0, nitrite 0",
    "test: ammonia 0, nitrite 0, nitrate 10",
    "test: ammonia 2, nitrite 0", "test: ammonia 1, nitrite 0.6", "test: ammonia 0, nitrite 4", "test: ammonia 0.25",
    "test: ammonia cloudy, nitrite 0", "test (quarantine): ammonia 0, nitrite 0", "test: ammonia 4, nitrite 1.5",
    "test: salinity 35 ppt, temperature 25 C, pH 8.2", "check: ammonia blank 0.25", "check: ammonia by shop 0",
    "stock: added 6 turban snails", "stock: added 2 gobies", "stock: lost 2 gobies", "stock: none", "stock: no snails",
    "stock: added 12 kg live rock", "stock: moved 2 gobies quarantine -> display", "stock (quarantine): added 2 gobies",
    "fed: 1.2 g pellets 45 % protein every day", "fed: stop", "plan: food 0.6 g pellets 45 % protein every day",
    "stok: aded 2 crabs", "discard: ammonia 2026-03-02 to 2026-03-09, old reagent", "treat: copper, start",
    "discard: stock 2026-03-02, wrong tank", "seen: haze", "gear: lights on", "saw a snail on the pane",
]  # fmt: skip
clocks = st.sampled_from([None, "08:00", "19:30"])
entry = st.tuples(st.integers(0, 2), clocks, st.lists(st.sampled_from(RECORDS), max_size=4))
HEAD = ["vessel: display, 290 L water", "kit: ammonia, as N, card 0 0.25 0.5 1 2 4", "water: filled 290 L at 35 ppt"]
# Half of the journals begin as a keeper's would, so that doses and gates come into reach.
journals = st.tuples(st.booleans(), st.lists(entry, min_size=1, max_size=14))


def written(drawn: tuple[bool, list[tuple[int, str | None, list[str]]]]) -> tuple[str, date]:
    begun, entries = drawn
    day, text = START, ["## 2026-03-01", *(f"- {record}" for record in HEAD)] if begun else []
    for gap, clock, records in entries:
        day += timedelta(days=gap)
        text += [f"## {day} {clock or ''}".rstrip(), *(f"- {record}" for record in records)]
    return "\n".join(text), day


@given(journals)
@SETTINGS
def test_ammonia_is_advised_only_where_nothing_lives_and_the_rest_is_known(drawn: Any) -> None:
    text, day = written(drawn)
    journal = reefjournal.read_text(text)
    for vessel in journal.state(day).names:
        advice = journal.advise(day, vessel, forecast=False)
        for action in advice.actions:
            if action.amount is not None and action.amount.substance == "ammonium chloride":
                water = journal.state(day).vessel(vessel)
                scene = Scene(journal.state(day), water)
                assert water.life().present == "no"
                assert water.volume is not None
                rise = action.amount.value * 261.87 / water.volume.low  # mg N in a gram: IUPAC weights (2021)
                assert nitrogen.unoxidised(scene) + rise <= 4.0


@given(journals)
@SETTINGS
def test_a_gate_is_open_only_where_every_check_is_met(drawn: Any) -> None:
    text, day = written(drawn)
    advice = reefjournal.read_text(text).advise(day, forecast=False)
    for gate in advice.gates:
        assert gate.open == all(check.state == "met" for check in gate.checks)


@given(journals)
@SETTINGS
def test_no_gate_for_animals_opens_without_a_measured_dose_or_food_behind_it(drawn: Any) -> None:
    text, day = written(drawn)
    journal = reefjournal.read_text(text)
    gates = {gate.id for gate in journal.advise(day, forecast=False).gates if gate.open}
    if gates & {"clean-up-crew", "first-fish"}:
        readings = journal.state(day).vessel("display").readings
        clear = {one.analyte for one in readings if one.rank == 0 and one.readable and (day - one.day).days <= 3}
        given = [e for e in journal.events if e.kind in ("dose", "fed") and e.vessel == "display" and e.day]
        assert {"ammonia", "nitrite"} <= clear
        assert given


@given(journals)
@SETTINGS
def test_animals_with_ammonia_come_first(drawn: Any) -> None:
    text, day = written(drawn)
    day += timedelta(days=1)
    journal = reefjournal.read_text(f"{text}\n## {day}\n- stock: added 2 gobies\n- ammonia 2 as N\n")
    advice = journal.advise(day, forecast=False)
    assert advice.actions[0].rule == "ammonia-alarm"
    assert advice.stage is not None
    assert advice.stage.id == "ammonia-alarm"


@given(journals)
@SETTINGS
def test_both_engines_say_the_same(drawn: Any) -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    text, day = written(drawn)
    journal = reefjournal.read_text(text)
    compiled, plain = (journal.advise(day, forecast=False, engine=name) for name in ("compiled", "plain"))
    assert compiled.model_copy(update={"engine": ""}) == plain.model_copy(update={"engine": ""})
