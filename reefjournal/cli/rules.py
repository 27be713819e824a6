"""`reefjournal rules`: the rulebook as a list, one rule of it in full, and a check of a keeper's own folder."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from reefjournal.cli.options import counted

if TYPE_CHECKING:
    from reefjournal.advisor.rules import Rulebook
    from reefjournal.problems import Problem


@click.command()
@click.argument("name", required=False, metavar="[ID]")
@click.option(
    "--check", "folder", type=click.Path(exists=True, file_okay=False, path_type=Path), metavar="DIR",
    help="Check a folder of your own rules and run their examples; with an ID, show that one of them.",
)  # fmt: skip
@click.option("--examples", is_flag=True, help="Show the examples of a rule too.")
@click.option("--json", "as_json", is_flag=True, help="Print the same as JSON.")
@click.pass_context
def rules(ctx: click.Context, name: str | None, folder: Path | None, examples: bool, as_json: bool) -> None:
    """List everything the advisor believes, or show one rule, gate or stage in full.

    With --check the exit code is 1 where there is an error, and 0 with warnings alone or nothing.
    """
    from reefjournal.advisor.rulebook import load
    from reefjournal.cli import rules_text

    book = load([folder] if folder else [], examples=name is not None)
    if name is not None:
        _show(book, name, examples=examples, as_json=as_json)
    elif folder:
        ctx.exit(_check(book, folder, as_json=as_json))
    elif as_json:
        click.echo(rules_text.listed_as_json(book))
    else:
        click.echo(rules_text.listed(book))


def _show(book: Rulebook, name: str, *, examples: bool, as_json: bool) -> None:
    from reefjournal.advisor.shelf import in_full, nearest
    from reefjournal.cli import rules_text

    found = in_full(book, name)
    if not found:
        near = nearest(book, name)
        hint = f"Did you mean {near[0]}?" if near else "`reefjournal rules` lists all there are."
        if name in book.thresholds:
            hint = f"It is a number: `reefjournal sources {name}` tells of it."
        raise click.BadParameter(f"no rule, gate or stage is called {name!r}. {hint}", param_hint="ID")
    click.echo(rules_text.in_full_as_json(found) if as_json else rules_text.in_full(found, examples=examples))


def _check(book: Rulebook, folder: Path, *, as_json: bool) -> bool:
    """Print what is wrong with a folder, and tell whether anything is."""
    from reefjournal.advisor.rulebook import load
    from reefjournal.tried import misfires, own_rules

    problems = sorted({*book.problems, *misfires(book, folder)} - set(load(examples=False).problems))
    own = own_rules(book, folder)
    tried = sum(len(rule.examples) for rule in own)
    if as_json:
        data = {"problems": problems, "replaced": book.replaced, "rules": [rule.id for rule in own], "examples": tried}
        click.echo(json.dumps(data, indent=2, ensure_ascii=False, default=asdict))
    else:
        _tell(problems, book.replaced)
        errors = sum(one.severity == "error" for one in problems)
        found = (counted(len(own), "rule"), f"{counted(tried, 'example')} run", counted(errors, "error"))
        warnings = counted(len(problems) - errors, "warning")
        click.echo(f"{', '.join(found)}, {warnings}, {counted(len(book.replaced), 'built-in table')} replaced.")
    return any(one.severity == "error" for one in problems)


def _tell(problems: list[Problem], replaced: tuple[Problem, ...]) -> None:
    for one in (*problems, *replaced):
        click.echo(str(one))
