"""Numbers that are called published are the published ones, looked up through `reefjournal sources` by id and source.

The expected values stand in tests/published with author, year, place and how we know them; this file holds none.
"""

from __future__ import annotations

import json
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from reefjournal.cli import main

HERE = Path(__file__).parent / "published"
KINDS = {"READ": {"published", "common practice", "our judgement"}, "COMPUTED": {"published", "computed"}}
KNOWN = {"MEMORY": {"from memory", "common practice", "our judgement"}, **KINDS}
"""What a number may be called, by how we know it: what is from memory is never called published."""


@cache
def listed() -> dict[str, dict[str, Any]]:
    found = CliRunner().invoke(main, ["sources", "--json"])
    return {row["id"]: row for row in json.loads(found.stdout)}


def values() -> list[dict[str, Any]]:
    files = sorted(HERE.glob("*.toml"))
    return [row for file in files for row in tomllib.loads(file.read_text(encoding="utf-8"))["value"]]


def of(*stands: str) -> list[dict[str, Any]]:
    return [row for row in values() if row.get("stands", "value") in stands]


def named(row: dict[str, Any]) -> str:
    return f"{row['id']}-{row.get('value', row['author'])}-{row.get('stands', 'value')}"


def same_unit(one: str, other: str) -> bool:
    """mg/L N is mg N/L."""
    turned = re.sub(r"mg/L ([\w-]+)", r"mg \1/L", one)
    return turned == re.sub(r"mg/L ([\w-]+)", r"mg \1/L", other)


def test_there_are_published_numbers_of_every_sort() -> None:
    assert len(list(HERE.glob("*.toml"))) == 3
    assert all(of(stands) for stands in ("value", "high end", "spread", "above", "below", "source"))


@pytest.mark.parametrize("row", of("value", "high end"), ids=named)
def test_a_number_is_the_published_one(row: dict[str, Any]) -> None:
    ours = listed()[row["id"]]
    value = ours["value"][1] if row.get("stands") == "high end" else ours["value"]
    assert value == pytest.approx(row["value"], rel=row.get("within", 1e-9))
    assert same_unit(ours["unit"], row["unit"])


@pytest.mark.parametrize("row", of("value", "high end", "source"), ids=named)
def test_a_number_or_formula_cites_author_and_year(row: dict[str, Any]) -> None:
    source = listed()[row["id"]]["source"]
    assert row["author"] in source
    assert str(row.get("year", "")) in source


@pytest.mark.parametrize("row", of("spread"), ids=named)
def test_a_published_number_is_named_beside_ours(row: dict[str, Any]) -> None:
    assert re.search(rf"(?<![\d.]){row['value']:g}(?![\d.]*\d)", listed()[row["id"]]["spread"])


@pytest.mark.parametrize("row", of("above", "below"), ids=named)
def test_a_number_of_ours_lies_on_the_protective_side_of_the_published_one(row: dict[str, Any]) -> None:
    ours = listed()[row["id"]]
    assert same_unit(ours["unit"], row["unit"])
    assert ours["value"] > row["value"] if row["stands"] == "above" else ours["value"] < row["value"]


@pytest.mark.parametrize("row", of("value", "high end", "source"), ids=named)
def test_what_is_known_from_memory_is_never_called_published(row: dict[str, Any]) -> None:
    assert listed()[row["id"]]["kind"] in KNOWN[row["tag"]]


def test_every_threshold_that_is_called_published_is_on_file() -> None:
    """Write it into tests/published, or call it common practice and name the published one in its spread."""
    called = {name for name, row in listed().items() if "." not in name and row["kind"] == "published"}
    assert called - {row["id"] for row in of("value")} == set()
