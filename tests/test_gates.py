"""Gates that are open by what was measured shut for what a careful keeper would stop at, and for no less than that."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
import random_notes
from invariants import one_note_more

import reefjournal
from reefjournal.advisor.advice import GateRow

LAST = date(2026, 2, 28)
OPEN = {
    "clean-up-crew": (random_notes.PROVEN, "display", LAST),
    "first-fish": (random_notes.PROVEN, "display", LAST),
    "next-fish": (random_notes.SETTLED, "display", LAST),
    "quarantine-ready": (random_notes.SMALL_TANK_PROVEN, "quarantine", date(2026, 2, 27)),
    "fill-with-salt-water": (random_notes.BUILT, "display", date(2026, 2, 20)),
    "start-the-cycle": (random_notes.SALTED, "display", LAST),
}
"""Notes by which each gate is open, the vessel that it is about, and their last day."""
CREW, FIRST, NEXT, HELD, FILL, START = OPEN
ANIMALS = (CREW, FIRST, NEXT)
SHUTS = [
    *((gate, "no-loss", "stock: lost 2 turban snails") for gate in ANIMALS),
    *((gate, "no-loss", "seen: many dead") for gate in ANIMALS),
    *((gate, "no-loss", "stock: missing 1 turban snail") for gate in ANIMALS),
    *((gate, "no-loss", "seen: dying snail") for gate in ANIMALS),
    *((gate, "no-loss", "stock: lost 1 firefish") for gate in (*ANIMALS, HELD)),
    *((gate, "no-alarm", "seen: gasping") for gate in ANIMALS),
    *((gate, "no-alarm", "seen: spray in the water") for gate in ANIMALS),
    *((gate, "no-alarm", "seen: water on the floor") for gate in ANIMALS),
    *((gate, "no-alarm", "seen: heater stuck on") for gate in ANIMALS),
    *((gate, "no-alarm", "seen: power cut") for gate in ANIMALS),
    *((gate, "no-alarm", "seen: leftover food") for gate in ANIMALS),
    *((gate, "no-alarm", "gear: return pump off") for gate in ANIMALS),
    *((gate, "no-alarm", "oxygen 4.9 mg/L") for gate in ANIMALS),
    *((gate, "no-alarm", "seen: haze\n- seen: surface film") for gate in ANIMALS),
    *((gate, "nothing-amiss", "plan: copper in the display 2026-03-10") for gate in ANIMALS),
    *((gate, "salinity", f"salinity {ppt} ppt") for gate in (CREW, FIRST) for ppt in (31, 39)),
    *((gate, "temperature", f"temperature {celsius} C") for gate in (CREW, FIRST) for celsius in (20, 30)),
    (HELD, "nothing-amiss", "treat: copper, start"),
    (HELD, "nothing-amiss", "seen: spray in the water"),
    (HELD, "nothing-amiss", "seen: water on the floor"),
    (HELD, "nothing-amiss", "seen: heater stuck on"),
    (HELD, "nothing-amiss", "seen: power cut"),
    (HELD, "no-loss", "seen: dead animal"),
    (FILL, "floor", "build: the floor rests on joists"),
    (FILL, "leak-test", "seen: water on the floor"),
    (FILL, "leak-test", "seen: drip, slight, at the union"),
    (START, "no-leak", "seen: water on the floor"),
    (START, "no-leak", "build: a drip at the left bulkhead"),
]
LEAVES = [
    *((gate, "stock: lost 1 turban snail") for gate in ANIMALS),
    *((gate, "seen: drip, slight, at the union") for gate in (*ANIMALS, HELD, START)),
    *((gate, "seen: water on the floor\n- seen: leak gone") for gate in (*ANIMALS, HELD, START, FILL)),
    (FILL, "build: the floor rests on joists\n- build: floor passed by the engineer"),
    *((gate, "oxygen 6 mg/L") for gate in ANIMALS),
    *((gate, "seen: haze") for gate in ANIMALS),
]


def row(gate: str, journal: reefjournal.Journal, days: int = 0) -> GateRow:
    _, vessel, last = OPEN[gate]
    advice = journal.advise(last + timedelta(days=days), vessel, forecast=False, engine="plain")
    return next(one for one in advice.gates if one.id == gate)


def with_note(gate: str, note: str) -> reefjournal.Journal:
    notes, vessel, last = OPEN[gate]
    return one_note_more(notes, last, vessel, note)


def met(check: str, row: GateRow) -> bool:
    return next(one.state for one in row.checks if one.id == check) == "met"


@pytest.mark.parametrize("gate", OPEN)
def test_it_is_open_by_what_was_measured(gate: str) -> None:
    assert row(gate, reefjournal.read_text(OPEN[gate][0])).open


@pytest.mark.parametrize(("gate", "check", "note"), SHUTS)
def test_a_note_shuts_the_check_that_it_is_about(gate: str, check: str, note: str) -> None:
    assert not met(check, row(gate, with_note(gate, note)))


@pytest.mark.parametrize(("gate", "note"), LEAVES)
def test_a_lesser_note_leaves_it_open(gate: str, note: str) -> None:
    assert row(gate, with_note(gate, note)).open


@pytest.mark.parametrize(
    ("note", "days"),
    [
        ("stock: lost 2 turban snails", 14),
        ("seen: many dead", 14),
        ("stock: missing 1 turban snail", 3),
        ("stock: lost 1 firefish", 30),
    ],
)
def test_deaths_keep_animals_out_for_so_long(note: str, days: int) -> None:
    journal = with_note(NEXT, note)
    assert [met("no-loss", row(NEXT, journal, later)) for later in (days, days + 1)] == [False, True]


def test_snails_that_die_one_by_one_within_two_weeks_are_several() -> None:
    twice = {days: row(NEXT, reefjournal.read_text(f"{random_notes.SETTLED}{one_by_one(days)}"), 15) for days in (1, 2)}
    assert [met("no-loss", found) for found in twice.values()] == [True, False]


def one_by_one(days: int) -> str:
    first, second = LAST + timedelta(days=days - 1), LAST + timedelta(days=15)
    return f"## {first}\n- stock: lost 1 turban snail\n## {second}\n- stock: lost 1 turban snail\n"


def test_a_leak_test_that_was_passed_after_the_leak_counts() -> None:
    leaked = random_notes.BUILT.replace("## 2026-02-20\n", "## 2026-02-10\n- seen: water on the floor\n## 2026-02-20\n")
    assert row(FILL, reefjournal.read_text(leaked)).open


CREW_AFTER_THE_CHALLENGE = """\
## 2026-01-05
- vessel: display, 220 L water with sump
- stock: none
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4
- kit: nitrite, as NO2, card 0 0.2 0.6 1.5 4
- water: filled 220 L at 35 ppt
- dose: ammonium chloride 1.7 g
- 20:00 test: ammonia 2, nitrite 0
## 2026-02-02
- test: ammonia 0, nitrite 0.6
## 2026-02-06
- test: ammonia 0, nitrite 0
## 2026-02-07
- 10:00 dose: ammonium chloride 0.9 g
- 10:30 test: ammonia 1
## 2026-02-08
- 10:00 test: ammonia 0, nitrite 0, temperature 25.2 C
- 19:00 test: ammonia 0, nitrite 0
- 20:00 stock: added 4 turban snails
- plan: food 0.3 g pellets 45 % protein every day
- fed: 0.3 g pellets 45 % protein every day
## 2026-02-10
- test: ammonia 0, nitrite 0, salinity 35 ppt, temperature 25.2 C
## 2026-02-11
- test: ammonia 0, nitrite 0, salinity 35 ppt, temperature 25.2 C
"""


def test_ammonia_since_the_crew_came_keeps_fish_out_for_a_week() -> None:
    """Two clear tests after a water change are no answer to ammonia that a few snails and a pinch of food left."""
    quiet = reefjournal.read_text(CREW_AFTER_THE_CHALLENGE)
    shown = CREW_AFTER_THE_CHALLENGE.replace(
        "## 2026-02-10\n", "## 2026-02-09\n- test: ammonia 0.5, nitrite 0.2\n## 2026-02-10\n- water: changed 110 L\n"
    )
    journal = reefjournal.read_text(shown)
    found = {day: row_of(journal, date(2026, 2, day)) for day in (11, 15, 17)}
    assert row_of(quiet, date(2026, 2, 11)).open
    assert not found[11].open
    assert [met("no-overstep", one) for one in found.values()] == [False, False, True]


def row_of(journal: reefjournal.Journal, day: date) -> GateRow:
    return next(one for one in journal.advise(day, forecast=False, engine="plain").gates if one.id == FIRST)
