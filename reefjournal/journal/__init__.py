"""The journal language: notes in Markdown -> events and problems."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from reefjournal.events import Source, Unread
from reefjournal.journal.entries import Entry, ItemRead, sections
from reefjournal.journal.files import WORDS, journal_files, words_file
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
    unread = [file_unread(problem) for problem in problems if problem.severity == "error" and problem.file != WORDS]
    parts = [section for name, text in texts for section in sections(name, text, problems)]
    notes = read_sections(parts, words, problems, today)
    return replace(notes, events=(*unread, *notes.events)) if unread else notes


def file_unread(problem: Problem) -> Unread:
    """A file or folder that could not be read, as one line without a day: it may name anything, in any vessel."""
    source = Source(file=problem.file, line=problem.line, column=problem.column, text=problem.file)
    names = ("animal", "dose", "water", "ammonia", "nitrite")
    return Unread(source=source, day=None, vessel="*", text=problem.file, why=problem.message, may_name=names)


def read_text(text: str, name: str = "notes.md", today: date | None = None) -> Notes:
    """The notes of one text, as if it were the file ``name``."""
    problems: list[Problem] = []
    parts = list(sections(name, unix_lines(text.removeprefix("\ufeff")), problems))
    return read_sections(parts, builtin(), problems, today)
