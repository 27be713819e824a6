"""What is kept in the cache folder is believed only whole, and only for the content that it was made of."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from reefjournal import cache
from reefjournal.advisor import rulebook


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(tmp_path))
    return tmp_path / "reefjournal"


def never() -> object:
    raise AssertionError("worked out anew")


def test_what_was_made_before_is_not_made_again(own: Path) -> None:
    assert cache.kept("sort", b"content", lambda: {"a": [1, 2.5, "ä"]}) == {"a": [1, 2.5, "ä"]}
    assert cache.kept("sort", b"content", never) == {"a": [1, 2.5, "ä"]}


def test_other_content_is_made_anew(own: Path) -> None:
    cache.kept("sort", b"content", lambda: 1)
    assert cache.kept("sort", b"other", lambda: 2) == 2


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: data[:0],
        lambda data: data[:-1],
        lambda data: data.replace(b"1", b"2"),
        lambda data: data.partition(b"\n")[2],
        lambda data: data + b"\xff",
    ],
)
def test_a_file_that_was_damaged_or_changed_is_not_believed(own: Path, damage: Callable[[bytes], bytes]) -> None:
    cache.kept("sort", b"content", lambda: ["1"])
    (file,) = (own / "sort").glob("*.json")
    file.write_bytes(damage(file.read_bytes()))
    assert cache.kept("sort", b"content", lambda: ["new"]) == ["new"]


def test_a_folder_that_cannot_be_written_is_no_fault(own: Path) -> None:
    own.write_text("a file where the folder should be", encoding="utf-8")
    assert cache.kept("sort", b"content", lambda: 1) == 1


def test_what_cannot_be_kept_as_json_is_not_kept(own: Path) -> None:
    assert cache.kept("sort", b"content", lambda: {1j}) == {1j}
    assert not own.exists()


def test_the_oldest_files_go_when_there_are_too_many(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cache, "MOST_KEPT", 10)
    for number in range(30):
        cache.kept("sort", str(number).encode(), lambda: 1)
    assert len(list((own / "sort").glob("*.json"))) <= 10


def test_the_rules_from_the_cache_are_the_rules_of_the_files(own: Path) -> None:
    first, second = (rulebook.load_only([rulebook.built_in()], examples=False) for _ in range(2))
    assert len(list((own / "rules").glob("*.json"))) == len(list(rulebook.built_in().glob("*.toml")))
    assert (second.rules, second.gates, second.thresholds) == (first.rules, first.gates, first.thresholds)


def test_a_rule_that_was_changed_in_the_cache_is_not_believed(own: Path) -> None:
    before = rulebook.load_only([rulebook.built_in()], examples=False)
    for file in (own / "rules").glob("*.json"):
        total = file.read_bytes().partition(b"\n")[0]
        file.write_bytes(total + b"\n" + json.dumps({}).encode())
    assert rulebook.load_only([rulebook.built_in()], examples=False).rules == before.rules
