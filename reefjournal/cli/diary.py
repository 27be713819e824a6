"""`reefjournal diary`: the notes as pages to look at and to show."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from reefjournal.cli import options


@click.command()
@options.path
@options.on
@click.option(
    "--out", required=True, type=click.Path(path_type=Path), metavar="DIR", help="The folder the pages are written to."
)
def diary(path: Path, on: date | None, out: Path) -> None:
    """Write the build diary: a start page and a page for each month, to be opened in any browser."""
    from reefjournal import diary as pages

    day = on or options.today()
    journal = options.opened(path, day)
    try:
        written = pages.write(journal, out, day.date() if isinstance(day, datetime) else day)
    except OSError as reason:
        raise click.ClickException(str(reason)) from None
    click.echo(f"{len(written)} files written; open {out / 'index.html'}")
