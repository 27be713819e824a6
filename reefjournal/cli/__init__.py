"""The command line: one small file a command; each reads its options, calls one function and prints."""

from __future__ import annotations

import gc
import os

import click

from reefjournal import __version__
from reefjournal.cli.advise import advise
from reefjournal.cli.check import check
from reefjournal.cli.diary import diary
from reefjournal.cli.forecast import forecast
from reefjournal.cli.guide import help_
from reefjournal.cli.rules import rules
from reefjournal.cli.sources import sources
from reefjournal.cli.start import start
from reefjournal.cli.work_out import work_out


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, message="reefjournal %(version)s")
def main() -> None:
    """Reads dated notes about a reef aquarium and says what phase it is in, what comes next, and why.

    Begin with `reefjournal start my-tank`, write notes in any editor, and ask `reefjournal advise my-tank`.
    """
    # pydantic would look through every installed package for plugins, which takes a while; there are none here.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # A command is short, and nearly all it makes lives to its end: looking for garbage costs a fifth of the time.
    gc.disable()


for command in (advise, forecast, check, diary, rules, sources, start, work_out, help_):
    main.add_command(command)
