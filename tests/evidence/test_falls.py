"""What a fall is told as: where it ended, and which water changes can explain it."""

from __future__ import annotations

from datetime import date

import statements

import reefjournal
from reefjournal.evidence.scene import Scene
from reefjournal.evidence.windows import trend
from reefjournal.facts import Property, Query

FELL = """## 2026-03-09
- nitrite 2
## 2026-03-20
- nitrite 0.5
## 2026-03-27
- nitrite 0
## 2026-03-28
- nitrite 0
"""


def moved(notes: str, on: date) -> dict[str, Property]:
    text = "## 2026-03-01\n- vessel: display, 290 L water\n- kit: nitrite, as N, card 0 0.05 0.2 0.5 1 2 4\n" + notes
    state = reefjournal.read_text(text).state(on)
    (fact,) = trend(Scene(state, state.vessel("display")), Query("trend", (("analyte", "nitrite"), ("days", 30.0))))
    return dict(fact.properties)


def told(found: dict[str, Property]) -> tuple[Property, ...]:
    return tuple(found[name] for name in ("direction", "from_written", "from_day", "written", "day"))


def test_a_fall_ends_at_the_newest_reading() -> None:
    assert told(moved(FELL, date(2026, 3, 28))) == ("falling", "2", "2026-03-09", "0", "2026-03-28")


def test_what_rose_again_did_not_fall_to_where_it_is() -> None:
    rose = FELL + "## 2026-03-29\n- nitrite 0.5\n"
    stayed = rose + "## 2026-03-30\n- nitrite 0.5\n"
    for notes, on in ((rose, date(2026, 3, 29)), (stayed, date(2026, 3, 30))):
        assert told(moved(notes, on)) == ("falling", "2", "2026-03-09", "0", "2026-03-28")


SEEN = "## 2026-03-10\n- ammonia 1\n## 2026-03-12\n- ammonia 0\n"


def diluted(notes: str) -> list[tuple[Property, ...]]:
    names = ("analyte", "from_written", "from_day", "written", "day", "age_days")
    return [tuple(fact.properties[name] for name in names) for fact in statements.facts("dilution", notes)]


def test_water_changed_once_it_was_gone_explains_no_fall() -> None:
    assert diluted(SEEN + "## 2026-03-14\n- water: changed 74 %\n## 2026-04-09\n- ammonia 0\n") == []


def test_water_changed_before_it_was_gone_does_however_often_it_was_tested_since() -> None:
    notes = SEEN.replace("## 2026-03-12", "## 2026-03-11\n- water: changed 74 %\n## 2026-03-12")
    fall = ("ammonia", "1", "2026-03-10", "0", "2026-03-12", 29.0)
    assert diluted(notes) == [fall]
    assert diluted(notes + "## 2026-03-14\n- water: changed 74 %\n## 2026-04-09\n- ammonia 0\n") == [fall]


def test_a_fall_in_steps_goes_back_to_its_beginning() -> None:
    notes = "## 2026-03-10\n- ammonia 2\n## 2026-03-11\n- water: changed 50 %\n- ammonia 1\n"
    found = diluted(notes + "## 2026-03-12\n- ammonia 0.5\n")
    assert found == [("ammonia", "2", "2026-03-10", "0.5", "2026-03-12", 29.0)]
