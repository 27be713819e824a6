"""What is seen is told apart by what it is about."""

from __future__ import annotations

from datetime import date

import pytest

import reefjournal
from reefjournal.evidence.looks import NO_GROWTH
from reefjournal.journal.vocabulary import builtin


@pytest.mark.parametrize("name", [name for names in NO_GROWTH.values() for name in names])
def test_a_sort_names_signs_that_notes_may_use_alone(name: str) -> None:
    found = builtin().signs.find(name, 0)
    assert found
    assert found.meaning == name


def test_only_what_grows_or_clouds_the_water_is_listed_as_growth() -> None:
    notes = "## 2026-03-01\n- vessel: display, 290 L\n- seen: slime, eating, cut hand, leak, haze\n"
    advice = reefjournal.read_text(notes).advise(date(2026, 3, 1), forecast=False)
    assert [row.name for row in advice.growth] == ["haze", "slime"]
