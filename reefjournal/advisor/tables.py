"""Reading one table of a TOML file key by key, and telling every mistake with its place and the words that exist."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from difflib import get_close_matches
from typing import Any, TypeVar, cast

from reefjournal.advisor.toml_places import Path, Place, TomlFile
from reefjournal.problems import Problem, Severity

SHOWN = 40
Word = TypeVar("Word", bound=str)


class Table:
    """One table: its data, what it is called in a message, and the list that its mistakes go to.

    A class, since file, path and problem list are carried along through every reading function.
    """

    def __init__(self, file: TomlFile, path: Path, data: object, called: str, problems: list[Problem]) -> None:
        self.file, self.path, self.called, self.problems = file, path, called, problems
        self.start = len(problems)
        self.data: Mapping[str, Any] = data if isinstance(data, dict) else {}
        if not isinstance(data, dict):
            self.wrong("", f"{called} must be a table")

    @property
    def place(self) -> Place:
        """Where the table begins."""
        return Place(self.file, self.path)

    @property
    def broken(self) -> bool:
        """Whether an error was found since this table was begun."""
        return any(problem.severity == "error" for problem in self.problems[self.start :])

    def wrong(self, word: str, message: str, hint: str = "", key: str = "", severity: Severity = "error") -> None:
        """Note a mistake at ``key`` of this table, pointing at ``word``."""
        line, column = self.file.find((*self.path, key) if key else self.path, word)
        self.problems.append(Problem(self.file.name, line, column, severity, message, hint))

    def unknown(self, word: str, what: str, known: Collection[str], key: str = "") -> None:
        """Note a word that does not exist, with the nearest and all that do."""
        self.wrong(word, f'{self.called}: there is no {what} "{word}".', choices(word, known), key or word)

    def allow(self, *known: str) -> None:
        """Refuse every key that is not among ``known``."""
        for key in self.data:
            if key not in known:
                self.unknown(key, "key", known)

    def text(self, key: str, default: str | None = None) -> str:
        """The text under ``key``; required unless there is a default."""
        found = str(self.value(key, str, "a text", default)).strip()
        if not found and default is None and isinstance(self.data.get(key), str):
            self.wrong("", f'{self.called}: "{key}" is empty.', key=key)
        return found

    def number(self, key: str, default: float | None = None) -> float:
        """The number under ``key``; required unless there is a default."""
        found = counted(self.value(key, (int, float), "a number", default) or 0)
        if math.isfinite(found):
            return found
        self.wrong(key, f'{self.called}: "{key}" must be a number that can be counted with.', key=key)
        return 0.0

    def value(self, key: str, kind: type | tuple[type, ...], name: str, default: object) -> Any:
        """The value under ``key`` if it is of the kind, else the default; a mistake is noted."""
        if key not in self.data:
            if default is None:
                self.wrong("", f'{self.called}: "{key}" is missing.', f"Write {key} = {name}.")
            return default if default is not None else ""
        value = self.data[key]
        if isinstance(value, kind) and not isinstance(value, bool):
            return value
        self.wrong(key, f'{self.called}: "{key}" must be {name}.', key=key)
        return default if default is not None else ""

    def choice(self, key: str, known: Collection[Word], default: Word | None = None) -> Word:
        """One of the ``known`` words; where it is none of them, that is noted, and the table will not be used."""
        word = self.text(key, default)
        if key in self.data and word not in known:
            self.unknown(word, key, known, key)
        return cast(Word, word)

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts, empty where the key is missing; one text alone is a list of one."""
        value = self.data.get(key, [])
        items = [value] if isinstance(value, str) else value
        if isinstance(items, list) and all(isinstance(item, str) for item in items):
            return tuple(items)
        self.wrong(key, f'{self.called}: "{key}" must be a list of texts.', key=key)
        return ()

    def references(self, key: str, what: str, known: Collection[str]) -> tuple[str, ...]:
        """A list of ids, each of which must exist."""
        words = self.texts(key)
        for word in words:
            if word not in known:
                self.unknown(word, what, known, key)
        return words

    def tables(self, key: str) -> Iterator[Table]:
        """The tables in the list under ``key``, each called by its number; each must be read before the next."""
        items = self.data.get(key, [])
        if not isinstance(items, list):
            self.wrong(key, f'{self.called}: "{key}" must be a list of tables, written [[{key}]].', key=key)
            return
        for place, item in enumerate(items):
            yield self.inner((key, place), item, f"{key} {place + 1}")

    def inner(self, path: Path, data: object, called: str) -> Table:
        """A table inside this one."""
        return Table(self.file, (*self.path, *path), data, f"{self.called}, {called}", self.problems)


def counted(number: float) -> float:
    """A number of a file as one to count with; infinite where it has more digits than that takes."""
    try:
        return float(number)
    except OverflowError:
        return math.inf


def choices(word: str, known: Iterable[str]) -> str:
    """The nearest known word, and the words that exist."""
    words = sorted(known)
    near = get_close_matches(word, words, 1)
    if not words:
        return "There are none."
    listed = ", ".join(words[:SHOWN]) + (f" and {len(words) - SHOWN} more" if len(words) > SHOWN else "")
    return (f'Did you mean "{near[0]}"? ' if near else "") + f"There are: {listed}."
