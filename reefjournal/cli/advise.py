"""`reefjournal advise`: the stage, the one next step, and everything behind it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from reefjournal.cli import options


@click.command()
@options.path
@options.on
@options.vessel
@click.option(
    "--since", type=options.Day(), default=None, metavar="DATE",
    help="Print what changed in the advice since that day, and which notes changed it.",
)  # fmt: skip
@click.option("--no-forecast", is_flag=True, help="Leave the forecast out, which is quicker.")
@click.option("--json", "as_json", is_flag=True, help="Print the whole advice as JSON.")
@click.option("--why", is_flag=True, help="Print what each statement rests on: note lines, numbers, sources.")
@click.option(
    "--rules", multiple=True, type=click.Path(exists=True, file_okay=False, path_type=Path), metavar="DIR",
    help="A folder of your own rules, laid over the built-in ones; may be given several times.",
)  # fmt: skip
def advise(
    path: Path,
    on: date | None,
    vessel: str | None,
    since: date | None,
    no_forecast: bool,
    as_json: bool,
    why: bool,
    rules: tuple[Path, ...],
) -> None:
    """Say what phase the tank is in and what comes next.

    PATH is a folder of notes or one file (default: this folder).
    """
    from reefjournal import UnknownVesselError
    from reefjournal.advisor import text

    day = on or options.today()
    journal = options.opened(path, day)
    for problem in journal.rulebook(rules).problems:
        if problem.severity == "error":
            click.echo(str(problem), err=True)
    try:
        if since is not None:
            from reefjournal.advisor import changes_text

            found = journal.changes(since, day, vessel, rules)
            click.echo(found.model_dump_json(indent=2) if as_json else changes_text.render(found))
            return
        advice = journal.advise(day, vessel, rules, forecast=not no_forecast)
    except UnknownVesselError as unknown:
        raise click.BadParameter(str(unknown), param_hint="'--vessel'") from None
    except ValueError as reason:
        raise click.BadParameter(str(reason), param_hint="'--since'") from None
    click.echo(
        advice.model_dump_json(indent=2) if as_json else text.render(advice, why=why, book=journal.rulebook(rules))
    )
