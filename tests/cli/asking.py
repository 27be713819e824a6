"""Asking `reefjournal work-out` as a keeper does, at a width that does not hang on the terminal of the tester."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from reefjournal.cli import main
from reefjournal.cli.work_out import Themes, work_out


def ask(line: str) -> Result:
    """What happens when a line is typed behind `reefjournal work-out`."""
    return CliRunner().invoke(main, ["work-out", *shlex.split(line)], env={"COLUMNS": "88"})


def data(line: str) -> dict[str, Any]:
    """The same as data."""
    asked = ask(f"{line} --json")
    assert asked.exit_code == 0, asked.output
    return dict(json.loads(asked.stdout))


def topics() -> list[str]:
    """The names of all topics."""
    assert isinstance(work_out, Themes)
    return [name for names in work_out.load().values() for name in names]


def notes(folder: Path, *records: str) -> Path:
    """Notes in a folder: each record a line, a line that begins with two hashes an entry."""
    file = folder / "notes.md"
    file.write_text("\n".join(one if one.startswith("##") else f"- {one}" for one in records), encoding="utf-8")
    return file
