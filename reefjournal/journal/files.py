"""The files of a journal: found in a folder, decoded, and refused with a reason."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from reefjournal.markdown import unix_lines
from reefjournal.problems import Problem

LARGEST = 16 * 1024 * 1024
WORDS = "words.toml"
ALIKE = (".markdown", ".mdown", ".txt")
"""Endings of files that may be meant as notes."""
# `diary` writes this file into what it renders; a folder that holds it is no journal.
RENDERED = ".reefjournal-diary"


def journal_files(path: Path, problems: list[Problem]) -> Iterator[tuple[str, str]]:
    """The name and text of each Markdown file of a journal, in any order; what cannot be read is a problem."""
    for file in [path] if not path.is_dir() else _markdown(path, problems):
        name = file.name if file == path else file.relative_to(path).as_posix()
        text = _text(file, name, problems)
        if text is not None:
            yield name, text


def words_file(path: Path) -> Path | None:
    """The keeper's own words beside the notes, if there are any."""
    file = (path if path.is_dir() else path.parent) / WORDS
    return file if file.is_file() else None


def decoded(data: bytes, name: str, problems: list[Problem]) -> str | None:
    """A file's text with line feeds, without a byte-order mark; ``None`` and a problem where it is not UTF-8."""
    try:
        return unix_lines(data.decode("utf-8-sig"))
    except UnicodeDecodeError as wrong:
        line = data[: wrong.start].count(b"\n") + 1
        problems.append(Problem(name, line, 1, "error", "This file is not UTF-8 and is not read.", "Save it as UTF-8."))
        return None


def _markdown(folder: Path, problems: list[Problem]) -> Iterator[Path]:
    """All Markdown files below a folder; hidden ones and rendered diaries are left out."""

    def refused(wrong: OSError) -> None:
        name = os.path.relpath(wrong.filename or folder, folder)
        problems.append(Problem(name, 0, 0, "error", f"This folder cannot be read: {wrong.strerror}."))

    for place, folders, files in os.walk(folder, onerror=refused):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        if RENDERED in files:
            folders.clear()
            continue
        for name in sorted(name for name in files if name[0] != "."):
            if name.lower().endswith(".md"):
                yield Path(place, name)
            elif name.lower().endswith(ALIKE):
                shown = Path(place, name).relative_to(folder).as_posix()
                hint = "If it holds notes, give it a name that ends in .md."
                problems.append(Problem(shown, 0, 0, "warning", "This file is not read.", hint))


def _text(file: Path, name: str, problems: list[Problem]) -> str | None:
    try:
        if file.stat().st_size > LARGEST:
            says = "This file is larger than 16 MB and is not read."
            problems.append(Problem(name, 0, 0, "error", says, "Split it into several files."))
            return None
        return decoded(file.read_bytes(), name, problems)
    except OSError as wrong:
        problems.append(Problem(name, 0, 0, "error", f"This file cannot be read: {wrong.strerror}."))
        return None
