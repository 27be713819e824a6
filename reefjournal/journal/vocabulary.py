"""The vocabulary: TOML files beside this one, and the words that a keeper adds in a file beside the notes."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, NamedTuple, TypeVar, cast

from reefjournal.cache import kept
from reefjournal.events import Group
from reefjournal.journal.words import Lexicon, fold, key
from reefjournal.problems import Problem
from reefjournal.quantities import Interval

T = TypeVar("T")


@dataclass(frozen=True, eq=False)
class Analyte:
    """What is measured. ``usual``: unit -> values read in it where no unit is written; ``also`` more of them.

    ``step`` is the smallest step of a usual kit, in the first unit; ``means`` the words that say the unit too.
    """

    name: str
    usual: dict[str, tuple[float, float]]
    also: dict[str, tuple[float, float]]
    step: float
    means: dict[str, str]

    @property
    def unit(self) -> str:
        """The canonical unit."""
        return next(iter(self.usual))


class Substance(NamedTuple):
    """What may be given to the water: its function, mg N in a gram of it, g/ml of its solution, and their source."""

    name: str
    role: str
    nitrogen: Interval | None = None
    density: Interval = Interval(1.0, 1.0)
    source: str = ""


class Animal(NamedTuple):
    """A living thing and its group; "none" for words that hold an animal's name and name no animal."""

    name: str
    group: Group | Literal["none"]


@dataclass(frozen=True, eq=False)
class Vocabulary:
    """All the words that notes may use."""

    analytes: Lexicon[Analyte]
    substances: Lexicon[Substance]
    animals: Lexicon[Animal]
    signs: Lexicon[str]
    devices: Lexicon[str]
    nouns: Lexicon[str]
    verdicts: Lexicon[str]


Data = dict[str, Any]
FOLDER = Path(__file__).parent
PLAIN = ("signs", "devices", "nouns", "verdicts")
# Short words of the free text about a build are too like others to be taken for slips.
SLIPS = {"signs": 4, "devices": 4, "nouns": 7, "verdicts": 6}
FILES = (*PLAIN, "animals", "substances", "analytes")


@cache
def units() -> dict[str, str]:
    """The written forms of units, without spaces and full stops -> the unit's name."""
    forms = _load("units")
    return {fold(word).replace(" ", "").replace(".", ""): name for name, words in forms.items() for word in words}


@cache
def builtin() -> Vocabulary:
    """The vocabulary that comes with the program."""
    return _vocabulary(_builtin_data())


def with_keepers_words(path: Path) -> tuple[Vocabulary, list[Problem]]:
    """The vocabulary with the words of a keeper's file, and what is wrong with that file."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        data, problems = _checked(tomllib.loads(text), text, path.name)
    except (OSError, ValueError) as wrong:
        place = re.search(r"line (\d+), column (\d+)", str(wrong))
        line, column = map(int, place.groups()) if place else (0, 0)
        return builtin(), [Problem(path.name, line, column, "error", f"This file of words cannot be read: {wrong}.")]
    return _vocabulary(_merged(_builtin_data(), data)) if data else builtin(), problems


def _load(name: str) -> Data:
    content = (FOLDER / f"{name}.toml").read_bytes()
    return cast(Data, kept("words", content, lambda: tomllib.loads(content.decode())))


def _builtin_data() -> Data:
    return {name: _load(name) for name in FILES}


def _vocabulary(data: Data) -> Vocabulary:
    animals = {
        word: Animal(name, cast(Group, group))
        for group, names in data["animals"].items()
        for name, words in names.items()
        for word in (name, *words)
    }
    return Vocabulary(
        Lexicon(_by_words(data["analytes"], _analyte)),
        Lexicon(_by_words(data["substances"], _substance)),
        Lexicon(animals),
        *(
            Lexicon({w: name for name, words in data[kind].items() for w in (name, *words)}, SLIPS[kind])
            for kind in PLAIN
        ),
    )


def _by_words(rows: Data, make: Callable[[str, Data], T]) -> dict[str, T]:
    """Every word of every row, and its name -> what the row makes."""
    made = [(make(name, row), row) for name, row in rows.items()]
    return {word: thing for thing, row in made for word in (cast(Any, thing).name, *row["words"])}


def _analyte(name: str, row: Data) -> Analyte:
    usual = {unit: (float(low), float(high)) for unit, (low, high) in row["usual"].items()}
    also = {unit: (float(low), float(high)) for unit, (low, high) in row.get("also", {}).items()}
    means = {key(word): unit for unit, words in row.get("means", {}).items() for word in words}
    return Analyte(name, usual, also, float(row["step"]), means)


def _substance(name: str, row: Data) -> Substance:
    nitrogen = Interval(*map(float, row["nitrogen"])) if "nitrogen" in row else None
    density = Interval(*map(float, row.get("density", (1, 1))))
    return Substance(name, row["role"], nitrogen, density, row.get("source", ""))


def _merged(base: Data, more: Data) -> Data:
    """Tables joined key by key, lists one after the other; anything else as in the second."""
    joined = dict(base)
    for name, value in more.items():
        old = base.get(name)
        if isinstance(value, dict) and isinstance(old, dict):
            joined[name] = _merged(old, value)
        else:
            joined[name] = [*old, *value] if isinstance(old, list) else value
    return joined


def _checked(data: Data, text: str, file: str) -> tuple[Data, list[Problem]]:
    """What is right of a keeper's words, and a problem for each part that is not."""
    right: Data = {}
    problems = []
    for table, names in data.items():
        for name, value in names.items() if isinstance(names, dict) else [("", None)]:
            if wrong := _wrong(table, name, value):
                line = 1 + next((i for i, row in enumerate(text.split("\n")) if (name or table) in row), 0)
                problems.append(Problem(file, line, 1, "error", *wrong))
            else:
                right.setdefault(table, {})[name] = {"words": value} if table == "analytes" else value
    return right, problems


def _wrong(table: str, name: str, value: Any) -> tuple[str, str] | None:
    """What is wrong with one row of a keeper's words, and what to write."""
    if table not in FILES:
        return f"There are no words of the sort [{table}].", f"Write one of {', '.join(FILES)}."
    known = _builtin_data()[table] if table in ("animals", "analytes") else {}
    if known and name not in known:
        return f"[{table}] has no {name!r}.", f"Write one of {', '.join(known)}."
    if table == "substances":
        good = isinstance(value, dict) and _texts(value.get("words")) and isinstance(value.get("role"), str)
        return None if good else (f"{name!r} wants words and a role.", 'Write { words = ["word"], role = "trace" }.')
    lists = value.values() if table == "animals" and isinstance(value, dict) else [value]
    return None if all(map(_texts, lists)) else (f"{name!r} wants a list of words.", 'Write ["word", "word"].')


def _texts(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(word, str) and word.strip() for word in value)
