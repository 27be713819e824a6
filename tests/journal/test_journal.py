"""Folders, keeper's words, time order, and the guide that the program prints."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

import reefjournal.journal
from reefjournal.events import Unread
from reefjournal.journal import read, read_text
from reefjournal.journal.files import LARGEST, RENDERED
from reefjournal.problems import Problem

GUIDE = Path(reefjournal.journal.__file__).parent / "guide.md"


def messages(problems: tuple[Problem, ...]) -> list[str]:
    return [f"{problem.file}: {problem.message}" for problem in problems]


def test_the_guide_holds_examples_for_half_of_it() -> None:
    """One page, half of it examples."""
    lines = GUIDE.read_text(encoding="utf-8").split("\n")
    examples = [line for line in lines if line.startswith("    ")]
    assert len(lines) <= 100
    assert len(examples) >= 0.4 * len([line for line in lines if line])


def test_every_example_of_the_guide_is_read_without_a_problem() -> None:
    """What the guide tells a keeper to write is understood, each item as a record."""
    text = GUIDE.read_text(encoding="utf-8").partition("    [signs]")[0]
    examples = "\n".join(line[4:] if line.startswith("    ") else "" for line in text.split("\n"))
    notes = read_text(examples)
    assert messages(notes.problems) == []
    items = {number for number, line in enumerate(examples.split("\n"), 1) if line.startswith("- ")}
    assert len(items) > 30
    assert items <= {event.source.line for event in notes.events}


def test_the_guides_own_words_can_be_added(tmp_path: Path) -> None:
    """The words.toml of the guide teaches a sign and a fish."""
    words = GUIDE.read_text(encoding="utf-8").partition("    [signs]")[2].split("\n\n")[0]
    (tmp_path / "words.toml").write_text("[signs]" + words.replace("\n    ", "\n"), encoding="utf-8")
    (tmp_path / "a.md").write_text("## 2026-03-14\n- seen: ghostly water\n- stock: added 1 diver\n", encoding="utf-8")
    notes = read(tmp_path)
    assert notes.problems == ()
    assert [getattr(event, "sign", getattr(event, "animal", "")) for event in notes.events] == ["haze", "sand diver"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("[sgns]\nhaze = ['x']", "words.toml: There are no words of the sort [sgns]."),
        ("[signs]\nhaze = 3", "words.toml: 'haze' wants a list of words."),
        ("[animals.fihs]\nx = ['y']", "words.toml: [animals] has no 'fihs'."),
        ("[substances]\nx = ['y']", "words.toml: 'x' wants words and a role."),
        ("[signs", "words.toml: This file of words cannot be read"),
    ],
)
def test_mistakes_in_a_keepers_words_are_told(tmp_path: Path, words: str, says: str) -> None:
    """A bad row is one problem, and the notes are read without it."""
    (tmp_path / "words.toml").write_text(words, encoding="utf-8")
    (tmp_path / "a.md").write_text("## 2026-03-14\n- seen: haze\n", encoding="utf-8")
    notes = read(tmp_path)
    assert [message.startswith(says) for message in messages(notes.problems)] == [True]
    assert len(notes.events) == 1


def test_hidden_and_rendered_folders_are_not_read(tmp_path: Path) -> None:
    """A dot in front hides; a folder that the diary wrote is no journal."""
    for place in (".git/a.md", ".b.md", "out/c.md", "deep/d.md", "e.MD", "f.txt"):
        (tmp_path / place).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / place).write_text("## 2026-03-14\n- pH 8.1\n", encoding="utf-8")
    (tmp_path / "out" / RENDERED).touch()
    assert sorted({event.source.file for event in read(tmp_path).events}) == ["deep/d.md", "e.MD"]


def test_a_file_that_is_too_large_is_told_and_the_others_read(tmp_path: Path) -> None:
    """16 MB is more than a lifetime of notes."""
    (tmp_path / "a.md").write_bytes(b"x" * (LARGEST + 1))
    (tmp_path / "b.md").write_text("## 2026-03-14\n- pH 8.1\n", encoding="utf-8")
    notes = read(tmp_path)
    assert messages(notes.problems) == ["a.md: This file is larger than 16 MB and is not read."]
    assert [event.kind for event in notes.events] == ["unread", "reading"]


def test_a_file_that_cannot_be_read_may_name_an_animal_in_any_vessel(tmp_path: Path) -> None:
    """What nobody could read is no reason to think that a tank is empty."""
    (tmp_path / "a.md").write_bytes("## 2026-03-14\n- stock: added 2 gobies für\n".encode("latin-1"))
    (unread,) = read(tmp_path).events
    assert isinstance(unread, Unread)
    assert (unread.vessel, "animal" in unread.may_name, unread.day) == ("*", True, None)


def test_a_file_that_is_not_there_is_a_problem(tmp_path: Path) -> None:
    """A wrong path is one clear line."""
    assert messages(read(tmp_path / "none.md").problems) == [
        "none.md: This file cannot be read: No such file or directory."
    ]


def test_no_notes_at_all_are_no_events() -> None:
    """An empty journal is empty."""
    assert read_text("") == read_text("\n\n")
    assert read_text("").events == ()


def test_a_date_in_the_future_is_told_when_today_is_known() -> None:
    """The reader has no clock of its own."""
    text = "## 2026-03-14\n- pH 8.1\n"
    assert read_text(text).problems == ()
    assert messages(read_text(text, today=date(2026, 3, 13)).problems) == ["notes.md: This day is in the future."]
    assert read_text(text, today=date(2026, 3, 14)).problems == ()


def test_entries_tell_where_they_stand_and_which_lines_hold_records() -> None:
    """The diary sets records apart from prose by these lines."""
    notes = read_text(
        "# Mine\n\n## 2026-03-14 19:30 Haze\n\nProse.\n\n- pH 8.1\n- only prose\n- seen: haze,\n  slight\n"
    )
    preamble, entry = notes.entries
    assert (preamble.preamble, preamble.title, entry.title, entry.line, entry.last_line) == (
        True,
        "Mine",
        "Haze",
        3,
        11,
    )
    assert [(item.line, item.last_line) for item in entry.items] == [(7, 7), (9, 10)]
    assert [notes.events[index].kind for item in entry.items for index in item.events] == ["reading", "seen"]
    assert entry.text.startswith("Prose.")


def test_one_warning_tells_of_an_unknown_basis() -> None:
    """Once a kit, at the first reading that it widens."""
    notes = read_text("## 2026-03-15\n- ammonia 1\n\n## 2026-03-14\n- ammonia 1, nitrite 1 as N\n")
    assert [(problem.line, problem.severity) for problem in notes.problems] == [(5, "warning")]


def test_reading_loads_nothing_heavy() -> None:
    """No numpy, scipy, jinja2 or matplotlib comes in by reading notes."""
    code = (
        "import sys; from reefjournal.journal import read_text; read_text('## 2026-03-14\\n- pH 8.1\\n');"
        "print([name for name in ('numpy', 'scipy', 'jinja2', 'matplotlib', 'PIL') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_file_that_may_hold_notes_and_is_not_read_is_told_once(tmp_path: Path) -> None:
    """Notes end in .md; a text file beside them is not passed over in silence."""
    (tmp_path / "a.md").write_text("## 2026-03-14\n- pH 8.1\n", encoding="utf-8")
    for name in ("march.markdown", "april.TXT", "photo.jpg", ".hidden.txt"):
        (tmp_path / name).write_text("## 2026-03-15\n- pH 8.2\n", encoding="utf-8")
    notes = read(tmp_path)
    assert messages(notes.problems) == ["april.TXT: This file is not read.", "march.markdown: This file is not read."]
    assert {problem.severity for problem in notes.problems} == {"warning"}
    assert len(notes.events) == 1
