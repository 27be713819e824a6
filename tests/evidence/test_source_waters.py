"""What counts as a test of new water."""

from __future__ import annotations

import pytest
from statements import ON, TANK

import reefjournal


@pytest.mark.parametrize(
    ("notes", "named"),
    [
        ("- test (tap): ammonia 0.5, phosphate 0.1", {"ammonia", "phosphate"}),
        ("- vessel: mixing bin, 60 L water\n- test (mixing bin): ammonia 0.5", {"ammonia"}),
        ("- vessel: rock bin, 60 L water\n- test (rock bin): ammonia 0.5, phosphate 0.1", {"phosphate"}),
        ("- vessel: bin, 60 L water\n- stock (bin): added 2 snails\n- test (bin): ammonia 0.5", set()),
    ],
)
def test_ammonia_out_of_a_bin_of_rock_says_nothing_of_new_water(notes: str, named: set[str]) -> None:
    witness = reefjournal.read_text(f"{TANK}## 2026-04-01\n{notes}\n").witness(ON)
    found = [fact for fact in witness.facts(frozenset(), frozenset()) if fact.kind == "source-water"]
    assert {str(one.properties["analyte"]) for one in found} == named
