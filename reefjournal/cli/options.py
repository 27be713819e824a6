"""What several commands share: the path of the notes, the day, the vessel, and how a journal is opened."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from reefjournal import Journal

F = TypeVar("F", bound=Callable[..., Any])


class Day(click.ParamType):  # type: ignore[type-arg, unused-ignore]  # generic since click 8.5
    """A day, or a moment of a day, in ISO 8601."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date | datetime:
        """The day or moment that was written."""
        if isinstance(value, date):
            return value
        try:
            moment = datetime.fromisoformat(value.strip())
        except ValueError:
            self.fail(f"{value!r} is no day; write 2026-03-14, or 2026-03-14T19:30 for a moment.", param, ctx)
        if moment.tzinfo is not None:
            self.fail(f"{value!r} names a time zone; notes are in local time, so leave it out.", param, ctx)
        from reefjournal.journal.dates import YEARS

        if moment.year > YEARS[1]:
            self.fail(f"{value!r} is after all notes that there can be: they end with {YEARS[1]}.", param, ctx)
        return moment if any(mark in value for mark in "T:") else moment.date()


def path(command: F) -> F:
    """The argument that names the notes."""
    return click.argument("path", default=".", type=click.Path(path_type=Path), metavar="[PATH]")(command)


def on(command: F) -> F:
    """The option that names the day."""
    text = "The day that is asked about (default: today)."
    return click.option("--on", type=Day(), default=None, metavar="DATE", help=text)(command)


def vessel(command: F) -> F:
    """The option that names the vessel."""
    text = "The vessel that is asked about (default: the first one of the notes)."
    return click.option("--vessel", default=None, metavar="NAME", help=text)(command)


def counted(count: int, word: str, many: str = "") -> str:
    """A number and its word, in the plural where there is not one."""
    return f"{count} {word if count == 1 else many or f'{word}s'}"


def today() -> date:
    """The day of the clock: the only place where it is read."""
    return date.today()


def opened(path: Path, day: date | datetime | None = None) -> Journal:
    """The journal at a path, with at least one entry by ``day``.

    Raises:
        click.ClickException: nothing is there, or nothing was written by then.
    """
    import reefjournal

    if not path.exists():
        raise click.ClickException(f"{path}: there is no such file or folder. `reefjournal start {path}` makes one.")
    journal = reefjournal.read(path, today())
    days = sorted(entry.day for entry in journal.entries if entry.day is not None)
    if not days:
        hint = f" {journal.problems[0]}" if journal.problems else ""
        raise click.ClickException(
            f"{path}: no dated entry was found. An entry begins with a heading such as: ## 2026-03-14{hint}"
        )
    asked = day.date() if isinstance(day, datetime) else day
    if asked is not None and days[0] > asked:
        raise click.ClickException(f"{path}: the first entry is of {days[0]}, after {asked}. Ask about a later day.")
    return journal
