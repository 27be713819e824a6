"""Since when a stage has held, found with few looks at the past."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from speaker import Speaker, filled, small_book

from reefjournal.advisor.replay import NEAR, Memory, oldest_alike, since


@given(st.integers(0, 5000), st.integers(0, 5000))
def test_the_edge_of_an_unbroken_run_is_found(count: int, length: int) -> None:
    expected = min(count, length) - 1
    assert oldest_alike(count, lambda place: place < length) == (None if expected < 0 else expected)


@given(st.integers(0, 100_000))
def test_ten_thousand_days_cost_few_looks(length: int) -> None:
    looks: list[int] = []
    oldest_alike(100_000, lambda place: looks.append(place) or place < length)  # type: ignore[func-returns-value]
    assert len(looks) <= NEAR + 40


@given(st.lists(st.booleans(), max_size=NEAR))
def test_among_the_newest_days_none_is_passed_over(alike: list[bool]) -> None:
    run = alike.index(False) if False in alike else len(alike)
    assert oldest_alike(len(alike), alike.__getitem__) == (run - 1 if run else None)


def test_a_moment_is_replayed_once() -> None:
    asked: list[str] = []

    class Counting(Speaker):
        def trust(self) -> list[object]:  # type: ignore[override]
            asked.append(self.day)
            return []

    past = [Counting([filled()], day=f"2026-02-{day:02}") for day in range(28, 0, -1)]
    memory = Memory()
    speaker = Speaker([filled()], past=past)
    stages = memory.stages(small_book(), speaker)
    for _ in range(2):
        assert str(since(small_book(), speaker, stages, memory)["nitrogen"]) == "2026-02-01"
    assert len(asked) == len(set(asked))
