"""`reefjournal start`: a folder with a first entry to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from reefjournal.cli import options

FIRST = """\
# {name}

What is written here, above the first date, is shown in the diary and never read as a record.

## {today} The first entry

Write what you did and saw, in your own words. A line that begins with a hyphen and a record word is understood;
change the numbers of these to your own, and add to them (`reefjournal help language` shows all of them on a page):

- vessel: display, 120 x 55 x 50 cm
- [ ] find the net volume: count the litres at the fill
"""


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), metavar="DIR")
def start(folder: Path) -> None:
    """Make a folder for your notes, with a first entry to fill in. Nothing is ever overwritten."""
    today = options.today()
    note = folder / f"{today:%Y-%m}.md"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.glob("*.md")):
            raise click.ClickException(f"{folder} holds notes already; nothing was changed.")
        with note.open("x", encoding="utf-8") as file:
            file.write(FIRST.format(name=folder.resolve().name, today=today))
    except OSError as reason:
        raise click.ClickException(f"{folder}: {reason.strerror or reason}; choose another folder.") from None
    click.echo(f"{note} is ready. Write in it, then ask: reefjournal advise {folder}")
