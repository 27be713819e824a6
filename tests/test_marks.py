"""What an earlier run found out of past days is believed for the same notes alone."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

import reefjournal
from reefjournal.advisor import replay
from reefjournal.marks import Marks

SAMPLE = Path(__file__).parent.parent / "sample_journal"
DAYS = (date(2026, 3, 20), date(2026, 8, 25), date(2026, 10, 4))
NOTES = """## 2026-03-02
- vessel: display, 290 L water
- water: filled 290 L at 35 ppt
- dose: ammonium chloride 2.2 g
"""


@pytest.fixture
def looks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[date]:
    """The days that are replayed, with a cache folder of its own."""
    for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path))
    seen: list[date] = []
    observe = replay.observe

    def watched(book: object, witness: object, *more: object) -> object:
        seen.append(witness.on.date())  # type: ignore[attr-defined]
        return observe(book, witness, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(replay, "observe", watched)
    return seen


def notes(days: int, *, changed: int = -1) -> str:
    """A test every day; the one of a changed day shows more."""
    start = date(2026, 3, 3)
    rows = (f"## {start + timedelta(days=n)}\n- ammonia {3 if n == changed else 2} as N\n" for n in range(days))
    return NOTES + "".join(rows)


def asked(text: str, on: date) -> object:
    return reefjournal.read_text(text).advise(on, forecast=False)


@pytest.mark.parametrize("day", DAYS)
def test_a_second_run_replays_nothing_and_says_the_same(day: date, looks: list[date]) -> None:
    first = reefjournal.read(SAMPLE).advise(day, forecast=False)
    assert looks
    looks.clear()
    assert reefjournal.read(SAMPLE).advise(day, forecast=False) == first
    assert looks == []


def test_a_new_note_costs_one_look_at_the_day_before(looks: list[date]) -> None:
    asked(notes(6), date(2026, 3, 8))
    looks.clear()
    asked(notes(7), date(2026, 3, 9))
    assert looks == [date(2026, 3, 8)]


def test_what_is_changed_in_an_old_note_counts_from_that_day_on(looks: list[date]) -> None:
    asked(notes(6), date(2026, 3, 8))
    looks.clear()
    asked(notes(6, changed=3), date(2026, 3, 8))
    assert sorted(looks) == [date(2026, 3, 6), date(2026, 3, 7)]


def test_marks_differ_by_what_an_event_says_and_where_it_stands() -> None:
    days = [date(2026, 3, n) for n in range(1, 10)]
    plain, more = (Marks(reefjournal.read_text(text).events) for text in (notes(6), notes(6, changed=3)))
    moved = Marks(reefjournal.read_text(notes(6).replace("- ammonia 2", "-  ammonia 2", 1)).events)
    assert [plain.by(day) == more.by(day) for day in days] == [day < date(2026, 3, 6) for day in days]
    assert [plain.by(day) == moved.by(day) for day in days] == [day < date(2026, 3, 3) for day in days]


def test_a_note_without_a_day_counts_on_every_day() -> None:
    texts = (NOTES, NOTES + "## 2026-03-41\n- stock: added 2 snails\n")
    plain, doubt = (Marks(reefjournal.read_text(text).events) for text in texts)
    assert plain.by(date(2026, 3, 2)) != doubt.by(date(2026, 3, 2))
