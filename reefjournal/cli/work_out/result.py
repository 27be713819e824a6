"""What was worked out, as text and as data: the answer first, then the working, then the caution."""

from __future__ import annotations

import json
import math
import os
import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass, is_dataclass
from itertools import product
from typing import Any, NamedTuple, Protocol

import click

from reefjournal.chemistry.answer import Answer, Measured, ends, middle, shown

Table = tuple[tuple[str, ...], ...]
WIDEST, NARROWEST, PIPED = 96, 40, 88


class Noted(NamedTuple):
    """A value from the notes, and the words that cite it."""

    value: Any
    cited: str


class Origin(NamedTuple):
    """Where an input came from: its name, its value, and the words that cite it."""

    name: str
    value: Any
    words: str


@dataclass(frozen=True)
class Result:
    """An answer in a line, with everything that belongs to it; ``found`` is the same as data."""

    says: str
    working: tuple[str, ...]
    caution: str
    found: Any
    warnings: tuple[str, ...] = ()
    table: Table = ()


class Found(Protocol):
    """What the workshop's answers have in common."""

    @property
    def working(self) -> tuple[str, ...]:
        """The working, line by line."""
        ...

    @property
    def caution(self) -> str:
        """What to take care of."""
        ...


def number(value: float) -> str:
    """A number to three figures, whole from a hundred on."""
    return shown(value)


def spread(low: float, high: float, unit: str = "") -> str:
    """A range in brackets, "" where it has no width that would show."""
    if math.isinf(high):
        return f" ({number(low)}{unit} or more)"
    return "" if number(low) == number(high) else f" ({shown((low, high))}{unit})"


def of_answer(answer: Answer, says: str = "", more: Sequence[str] = ()) -> Result:
    """An answer of the chemistry; ``says`` replaces its line, ``more`` comes after its working."""
    unit = f" {answer.unit}" if answer.unit else ""
    line = f"{answer.of}: {number(answer.value)}{unit}{spread(answer.low, answer.high, unit)}"
    return Result(_capital(says or line), (*answer.working, *more), answer.caution, answer)


def of_workshop(found: Found, says: str, table: Table = (), more: tuple[str, ...] = ()) -> Result:
    """An answer of the workshop, with its line; ``more`` comes after its working."""
    return Result(says, (*found.working, *more), found.caution, found, getattr(found, "warnings", ()), table)


class Worked(Found, Protocol):
    """A workshop answer that is one number."""

    @property
    def value(self) -> float:
        """The number."""
        ...

    @property
    def unit(self) -> str:
        """Its unit."""
        ...


def over_ranges(of: str, formula: Callable[..., Worked], *measured: Measured) -> Result:
    """A formula for plain numbers, put to the middles and to every corner of the ranges."""
    found = formula(*map(middle, measured))
    corners = [formula(*corner).value for corner in product(*map(ends, measured))]
    return of_answer(Answer(of, found.value, min(corners), max(corners), found.unit, found.working, found.caution))


def as_text(result: Result, origins: Sequence[Origin]) -> str:
    """The answer as paragraphs for a terminal or a file."""
    columns = shutil.get_terminal_size((PIPED, 24)).columns
    columns = max(NARROWEST, min(WIDEST, columns))
    return "\n".join(_paragraphs(result, origins, columns))


def _paragraphs(result: Result, origins: Sequence[Origin], columns: int) -> Iterator[str]:
    yield _wrapped(result.says, columns, bold=True)
    if result.table:
        yield from ("", *_table(result.table))
    for warning in result.warnings:
        yield _wrapped(warning, columns, lead="! ", fg="yellow")
    for title, lines in (("From the notes", [one.words for one in origins]), ("Working", result.working)):
        if lines:
            yield from ("", title, *(_wrapped(line, columns, lead="  - ") for line in lines))
    if result.caution:
        yield from ("", _wrapped(f"Take care: {result.caution}", columns, fg="red"))


def _wrapped(words: str, columns: int, lead: str = "", **style: Any) -> str:
    text = click.wrap_text(printable(words), columns, lead, " " * len(lead))
    return "\n".join(click.style(row, **style) for row in text.split("\n")) if style else text


def printable(words: str) -> str:
    """Words without what could steer a terminal."""
    return "".join(character if character.isprintable() else " " for character in words)


def _table(rows: Table) -> Iterator[str]:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        yield "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def as_json(topic: str, result: Result, origins: Sequence[Origin]) -> str:
    """The answer as JSON; a number without end is null."""
    data = {
        "topic": topic,
        "answer": result.says,
        "taken": [{"name": one.name, "value": one.value, "from": one.words} for one in origins],
        **(asdict(result.found) if is_dataclass(result.found) and not isinstance(result.found, type) else {}),
        "warnings": result.warnings,
        "working": result.working,
        "caution": result.caution,
    }
    return json.dumps(_finite(data), indent=2, ensure_ascii=False)


def _finite(value: Any) -> Any:
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if is_dataclass(value) and not isinstance(value, type):
        return _finite(asdict(value))
    if isinstance(value, dict):
        return {name: _finite(one) for name, one in value.items()}
    return [_finite(one) for one in value] if isinstance(value, list | tuple) else value


def show(text: str) -> None:
    """Print; style is taken off where the output is no terminal, or NO_COLOR is set."""
    click.echo(text, color=False if "NO_COLOR" in os.environ else None)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
