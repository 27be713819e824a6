"""Every small notes file in tests/cases is read as it says below its line of equals signs."""

from __future__ import annotations

from pathlib import Path

import pytest

from reefjournal.journal import read_text, told

CASES = sorted((Path(__file__).parent.parent / "cases").glob("*.md"))
RULER = "\n=====\n"


def test_there_are_cases() -> None:
    """An empty folder of cases cannot pass."""
    assert len(CASES) > 20


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_case_is_read_as_it_says(path: Path) -> None:
    """The events and problems of a case are the ones below its ruler."""
    notes, expected = path.read_text(encoding="utf-8").split(RULER)
    read = read_text(notes + "\n")
    assert [*map(told, read.events), *map(str, read.problems)] == expected.strip().split("\n")
