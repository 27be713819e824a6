"""`reefjournal check`: every line that was not understood, and what to write instead."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from reefjournal.cli import options

if TYPE_CHECKING:
    from reefjournal import Journal


@click.command()
@options.path
@click.option("--read", "show", is_flag=True, help="Show how each line was understood.")
@click.option("--json", "as_json", is_flag=True, help="Print problems (and, with --read, events) as JSON.")
@click.pass_context
def check(ctx: click.Context, path: Path, show: bool, as_json: bool) -> None:
    """Check the notes: what was not understood, where, and what to write instead.

    The exit code is 1 where there is an error, and 0 with warnings alone or nothing.
    """
    import reefjournal

    if not path.exists():
        raise click.ClickException(f"{path}: there is no such file or folder.")
    journal = reefjournal.read(path, options.today())
    if as_json:
        click.echo(json.dumps(_as_data(journal, show), indent=2, ensure_ascii=False))
    else:
        for line in _as_lines(journal, show):
            click.echo(line)
    ctx.exit(any(problem.severity == "error" for problem in journal.problems))


def _as_data(journal: Journal, show: bool) -> dict[str, object]:
    data: dict[str, object] = {"problems": [asdict(problem) for problem in journal.problems]}
    if show:
        data["events"] = [event.model_dump(mode="json") for event in journal.events]
    return data


def _as_lines(journal: Journal, show: bool) -> Iterator[str]:
    from reefjournal.journal import told

    if show:
        yield from (told(event) for event in journal.events)
    yield from map(str, journal.problems)
    errors = sum(problem.severity == "error" for problem in journal.problems)
    warnings = len(journal.problems) - errors
    dated = sum(entry.day is not None for entry in journal.entries)
    read = f"{options.counted(dated, 'entry', 'entries')}, {options.counted(len(journal.events), 'record')} read"
    yield f"{read}; {options.counted(errors, 'error')}, {options.counted(warnings, 'warning')}."
