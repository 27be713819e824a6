"""`reefjournal sources`: every number the program believes, and where it comes from."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from reefjournal.advisor.text import Line
    from reefjournal.sources import Row


@click.command()
@click.argument("words", nargs=-1, metavar="[TEXT]...")
@click.option("--json", "as_json", is_flag=True, help="Print the list as JSON.")
def sources(words: tuple[str, ...], as_json: bool) -> None:
    """List every number the program believes: unit, meaning, source, and what kind of source that is.

    With TEXT only those that name all of its words, such as `reefjournal sources ammonia published`. The kinds are
    published, 'common practice', 'from memory', computed, 'our judgement' and, for formulas, derived.
    """
    from reefjournal.advisor.rulebook import load
    from reefjournal.advisor.text import laid_out
    from reefjournal.sources import rows

    found = [row for row in rows(load(examples=False)) if row.mentions(words)]
    if as_json:
        click.echo(json.dumps([asdict(row) for row in found], indent=2, ensure_ascii=False))
    elif not found:
        click.echo(f"Nothing names {' and '.join(words)}. `reefjournal sources` lists everything.")
    else:
        click.echo(laid_out(line for row in found for line in _lines(row)))
        click.echo(f"{len(found)} numbers and formulas.")


def _lines(row: Row) -> Iterator[Line]:
    from reefjournal.advisor.text import BLANK, Line

    yield Line(f"{row.id}: {row.written}" if row.value is not None else f"{row.id} (a formula)", style="strong")
    yield Line(row.means, 2)
    cited = "" if row.source == row.kind else f": {row.source}"
    yield Line(f"{row.kind}{cited}" + (f" ({row.spread})" if row.spread else ""), 2)
    yield Line(row.where, 2, style="faint")
    yield BLANK
