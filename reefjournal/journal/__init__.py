"""The journal language: notes in Markdown -> events and problems."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from reefjournal.journal.entries import Entry, ItemRead, sections
from reefjournal.journal.files import journal_files, words_file
from reefjournal.journal.reading import Notes, read_sections
from reefjournal.journal.told import told
from reefjournal.journal.vocabulary import builtin, with_keepers_words
from reefjournal.markdown import unix_lines
from reefjournal.problems import Problem

__all__ = ["Entry", "ItemRead", "Notes", "read", "read_text", "told"]


def read(path: Path, today: date | None = None) -> Notes:
    """The notes of a folder or a file, with the keeper's ``words.toml`` beside them.

    ``today`` is the day after which a date is in the future; without it none is. What cannot be read is a problem.
    """
    file = words_file(path)
    words, problems = with_keepers_words(file) if file else (builtin(), [])
    texts = list(journal_files(path, problems))
    parts = [section for name, text in texts for section in sections(name, text, problems)]
    return read_sections(parts, words, problems, today)


def read_text(text: str, name: str = "notes.md", today: date | None = None) -> Notes:
    """The notes of one text, as if it were the file ``name``."""
    problems: list[Problem] = []
    parts = list(sections(name, unix_lines(text.removeprefix("\ufeff")), problems))
    return read_sections(parts, builtin(), problems, today)
