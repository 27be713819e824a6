"""`reefjournal forecast`: when the cycle is likely to be through, what that rests on, and what would tell more."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from reefjournal.cli import options

if TYPE_CHECKING:
    from reefjournal.evidence.outlook import Outlook


def _svg(_ctx: click.Context, _param: click.Parameter, file: Path | None) -> Path | None:
    """Only drawings are written, no pixels."""
    if file is not None and file.suffix.lower() != ".svg":
        raise click.BadParameter(f"charts are written as SVG; call it {file.with_suffix('.svg').name}.")
    return file


@click.command()
@options.path
@options.on
@options.vessel
@click.option(
    "--chart", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE", callback=_svg,
    help="Write a chart of ammonia and nitrite with their ranges to FILE, an SVG drawing.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print the whole forecast as JSON.")
def forecast(path: Path, on: date | None, vessel: str | None, chart: Path | None, as_json: bool) -> None:
    """Say when the cycle is likely to be through, and how sure that is.

    The dates come from a model of nitrification, held against your tests. They inform and never open a gate: what
    protects animals is measured. PATH is a folder of notes or one file (default: this folder).
    """
    from reefjournal import UnknownVesselError
    from reefjournal.cli import forecast_text

    day = on or options.today()
    journal = options.opened(path, day)
    name = vessel or journal.default_vessel
    try:
        found = journal.outlook(day, vessel)
        stage = None if found else journal.stage_on(day, vessel)
    except UnknownVesselError as unknown:
        raise click.BadParameter(str(unknown), param_hint="'--vessel'") from None
    nothing = "" if found else forecast_text.nothing(name, day, stage)
    if as_json:
        given = forecast_text.data(found) if found else {"forecast": [], "why": nothing}
        click.echo(json.dumps({"vessel": name, "on": day, **given}, indent=2, ensure_ascii=False, default=str))
    else:
        click.echo(forecast_text.text(found, name) if found else nothing)
    if chart and found:
        _draw(found, name, chart)
        click.echo(f"{chart} is written.", err=True)


def _draw(found: Outlook, vessel: str, file: Path) -> None:
    from reefjournal.cli import forecast_chart

    try:
        file.write_text(forecast_chart.svg(found, vessel), encoding="utf-8")
    except OSError as reason:
        raise click.ClickException(f"{file}: {reason.strerror or reason}; choose another place.") from None
