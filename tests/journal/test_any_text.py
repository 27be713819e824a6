"""Whatever is written or stored: events and problems, never a traceback; and the same from any files in any order."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from valid_records import OPENING, RECORDS

from reefjournal.journal import Notes, read, read_text
from reefjournal.journal.reading import AHEAD

SAMPLE = Path(__file__).parents[2] / "sample_journal"
PARTS = [
    *" ,;:-/()[]|#>*`~<>.0123456789",
    "\n",
    "\n- ",
    "\n## 2026-03-14 ",
    "\r\n",
    " -- ",
    "[[",
    "]]",
    "½",
    "\0",
    "\u2028",
    "é",
]
WORDS = sorted({word for record in RECORDS for word in record.split()})


def told(notes: Notes) -> list[dict[str, Any]]:
    """The events without the places where they stand."""
    return [event.model_dump(exclude={"source"}) for event in notes.events]


@settings(max_examples=300, deadline=None)
@given(st.text())
def test_any_text_is_read_without_a_traceback(text: str) -> None:
    """Every string of characters gives notes whose problems stand on its lines."""
    notes = read_text(text)
    lines = text.count("\n") + text.count("\r") + 1
    assert all(0 <= problem.line <= lines and problem.column >= 0 for problem in notes.problems)


@settings(max_examples=500, deadline=None)
@given(st.lists(st.sampled_from(PARTS + WORDS), max_size=30).map("".join))
def test_any_mixture_of_words_and_marks_is_read(text: str) -> None:
    """Bits of the language in any order give events whose sources stand on its lines."""
    notes = read_text(f"{OPENING}## 2026-03-14\n- {text}")
    assert all(
        1 <= event.source.line <= OPENING.count("\n") + 2 + text.count("\n") + text.count("\r")
        for event in notes.events
    )


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary())
def test_any_bytes_are_notes_or_one_problem(tmp_path: Path, data: bytes) -> None:
    """A file of any bytes is read, or refused with one line that names it."""
    file = tmp_path / "notes.md"
    file.write_bytes(data)
    notes = read(file)
    try:
        data.decode("utf-8-sig")
    except UnicodeDecodeError:
        assert [problem.file for problem in notes.problems] == ["notes.md"]
        assert "UTF-8" in notes.problems[0].message


@pytest.mark.parametrize("ending", ["\r\n", "\r"])
def test_line_endings_do_not_matter(ending: str) -> None:
    """Carriage returns end lines as line feeds do."""
    text = (SAMPLE / "2026-03-nitrite.md").read_text(encoding="utf-8")
    assert read_text(text.replace("\n", ending)) == read_text(text)


def test_a_byte_order_mark_does_not_matter() -> None:
    """Some editors write one in front."""
    assert read_text("\ufeff## 2026-03-14\n- pH 8.1\n") == read_text("## 2026-03-14\n- pH 8.1\n")


@settings(max_examples=20, deadline=None)
@given(st.data())
def test_files_in_any_split_and_order_give_the_same_events(data: st.DataObject) -> None:
    """Entries dealt into files at random, under any names, are the same journal."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(SAMPLE.glob("*.md"))]
    entries = [f"## {part}" for text in texts for part in text.split("\n## ")[1:]]
    whole = read_text("\n".join(entries))
    names = data.draw(
        st.lists(
            st.sampled_from(["a.md", "Z.md", "deep/er/b.md", "0.md"]), min_size=len(entries), max_size=len(entries)
        )
    )
    dealt_out = data.draw(st.permutations(list(zip(names, entries, strict=True))))
    with TemporaryDirectory() as folder:
        for name in set(names):
            path = Path(folder, name)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text("\n".join(entry for other, entry in dealt_out if other == name), encoding="utf-8")
        dealt = read(Path(folder))
    assert told(in_order(dealt)) == told(whole)
    known = [one.message for one in dealt.problems if "lies in time after" not in one.message]
    assert sorted(known) == sorted(one.message for one in whole.problems)


def in_order(notes: Notes) -> Notes:
    """The same without the doubts about days, which alone tell in what order the entries stand in a file."""
    return replace(notes, events=tuple(one for one in notes.events if getattr(one, "why", "") != AHEAD))
