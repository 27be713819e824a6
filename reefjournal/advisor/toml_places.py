"""Where things stand in a TOML file: ``tomllib`` tells no lines, so the source is scanned when a place is asked for."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cached_property
from itertools import pairwise
from pathlib import Path as Folder
from typing import NamedTuple

HEADING = re.compile(r"\s*(\[\[?)\s*([\w.\-]+)\s*\]")
KEY = re.compile(r"\s*([\w\-]+)\s*=")
QUOTES = re.compile(r'"""|\'\'\'')

Path = tuple[str | int, ...]


class TomlFile:
    """The text of one file, its name as it is shown, its folder, and the line of every table and key in it."""

    def __init__(self, name: str, text: str, folder: Folder) -> None:
        self.name, self.folder, self.text = name, folder, text

    @cached_property
    def lines(self) -> list[str]:
        """The lines of the text."""
        return self.text.splitlines()

    @cached_property
    def places(self) -> dict[Path, int]:
        """The line, from 1, of every heading and of every key that begins a line."""
        found: dict[Path, int] = {}
        table: Path = ()
        counts: Counter[Path] = Counter()
        for number, line in self.code():
            if heading := HEADING.match(line):
                table = resolve(heading[2].split("."), counts, new=heading[1] == "[[")
                found.setdefault(table, number)
            elif key := KEY.match(line):
                found.setdefault((*table, key[1]), number)
        return found

    def code(self) -> Iterator[tuple[int, str]]:
        """The lines outside texts of several lines, with their numbers."""
        closing = ""
        for number, line in enumerate(self.lines, 1):
            if not closing:
                yield number, line
            for quotes in QUOTES.findall(line) if '"""' in line or "'''" in line else ():
                closing = quotes if not closing else "" if quotes == closing else closing

    def without(self, heading: str) -> str:
        """The text with the tables under one heading left blank, so that every other line keeps its place."""
        headings = [number for number, line in self.code() if line.startswith("[")]
        lines = list(self.lines)
        for first, after in pairwise([*headings, len(lines) + 1]):
            if lines[first - 1] == heading:
                lines[first - 1 : after - 1] = [""] * (after - first)
        return "\n".join(lines)

    def line(self, path: Path) -> int:
        """The line of a table or key, or of the nearest one around it (1 where there is none)."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path, 1)

    def find(self, path: Path, word: str) -> tuple[int, int]:
        """Line and column of ``word`` at or below ``path``, before the next table or key; else the place itself."""
        first = self.line(path)
        after = min((line for line in self.places.values() if line > first), default=len(self.lines) + 1)
        whole = re.compile(rf"(?<![\w@-]){re.escape(word)}(?![\w-])")
        for number in range(first, after):
            if word and (hit := whole.search(self.lines[number - 1])):
                return number, hit.start() + 1
        return first, 1


class Place(NamedTuple):
    """A table or key of a file; its line is looked up when it is asked for."""

    file: TomlFile
    path: Path

    @property
    def line(self) -> int:
        """The line, from 1."""
        return self.file.line(self.path)

    def __str__(self) -> str:
        return f"{self.file.name}:{self.line}"


def resolve(names: list[str], counts: Counter[Path], *, new: bool) -> Path:
    """The path of a heading, with the number of each repeated table; ``new`` begins another one of them."""
    path: Path = ()
    for place, name in enumerate(names):
        path = (*path, name)
        last = place == len(names) - 1
        if last and new:
            counts[path] += 1
        if counts[path]:
            path = (*path, counts[path] - 1)
    return path
