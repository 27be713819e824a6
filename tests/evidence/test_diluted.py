"""A diluted sample is a test of the water too: it shows what is there, and never that nothing is."""

from __future__ import annotations

from datetime import date

import pytest

import reefjournal
from reefjournal.evidence.scene import OPEN, Scene
from reefjournal.evidence.windows import WINDOWS
from reefjournal.facts import Property, Query

CYCLE = """## 2026-03-01
- vessel: display, 420 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4
- kit: nitrite, as N, card 0 0.25 0.5 1 2
- dose: ammonium chloride 3.2 g
## 2026-03-02
- ammonia 2, nitrite 0
## 2026-03-10
- ammonia 0, nitrite 0.5
## 2026-03-20
- ammonia 0, nitrite >2
"""
FALLING = f"""{CYCLE}## 2026-03-22
- check: nitrite 1:4 diluted read 2
## 2026-03-30
- check: nitrite 1:4 diluted read 0.5
- ammonia 0
"""


def scene(text: str, day: date) -> Scene:
    state = reefjournal.read_text(text).state(day)
    return Scene(state, state.vessel("display"))


def window(kind: str, text: str, day: date = date(2026, 3, 30), **asked: Property) -> dict[str, Property] | None:
    query = Query(kind, tuple(sorted(asked.items())))
    return next((dict(fact.properties) for fact in WINDOWS[kind](scene(text, day), query)), None)


def test_the_newest_reading_is_that_of_the_diluted_sample_times_its_dilution() -> None:
    found = window("latest", FALLING, analyte="nitrite")
    assert found is not None
    # 0.5 on this card is 0.354 to 0.707; "1:4" is four or five times thinner.
    assert (found["written"], found["rank"], found["by"]) == ("0.5 diluted 1:4", 2.0, "home")
    assert (found["low"], found["high"]) == (pytest.approx(4 * 0.354, abs=0.01), pytest.approx(5 * 0.707, abs=0.01))


def test_the_top_colour_stays_open_and_is_the_peak() -> None:
    found = window("peak", FALLING, analyte="nitrite")
    assert found is not None
    assert (found["written"], found["high"]) == ("2 diluted 1:4", OPEN)


def test_a_fall_between_diluted_samples_is_seen_and_nothing_is_asked_again_that_day() -> None:
    advice = reefjournal.read_text(FALLING).advise(on=date(2026, 3, 30), forecast=False)
    assert advice.stage is not None
    assert advice.stage.id == "nitrite-falling"
    assert "Nitrite fell from 2 diluted 1:4 (2026-03-22) to 0.5 diluted 1:4 (2026-03-30)" in advice.findings[0].says
    assert "test-nitrite" not in [action.rule for action in advice.actions]


def test_the_lowest_colour_of_a_diluted_sample_ends_a_fall_but_is_no_reading_of_none() -> None:
    text = CYCLE + "## 2026-03-30\n- check: nitrite 1:4 diluted read 0\n"
    found = window("trend", text, analyte="nitrite", days=30.0)
    assert found is not None
    assert (found["direction"], found["written"]) == ("falling", "0 diluted 1:4")
    assert window("latest", text, analyte="nitrite", days=5.0) is None
    assert window("run", text, analyte="nitrite", times=1.0, days=5.0) is None
    assert window("absent", text, of="reading", name="nitrite", days=5.0) is not None


@pytest.mark.parametrize("read", ["0", "0.25"])
def test_a_diluted_sample_never_counts_among_clear_readings(read: str) -> None:
    asked: dict[str, Property] = {"analyte": "nitrite", "times": 2.0, "rank": 0.0}
    text = CYCLE + f"## 2026-03-28\n- nitrite 0\n## 2026-03-30\n- check: nitrite 1:4 diluted read {read}\n"
    assert window("run", text, **asked) is None


def test_a_colour_in_a_diluted_sample_ends_a_row_of_clear_readings() -> None:
    asked: dict[str, Property] = {"analyte": "nitrite", "times": 2.0, "rank": 0.0}
    clear = CYCLE + "## 2026-03-28\n- nitrite 0\n## 2026-03-29\n- nitrite 0\n"
    assert window("run", clear, **asked) is not None
    assert window("run", clear + "## 2026-03-30\n- check: nitrite 1:4 diluted read 0.25\n", **asked) is None


def test_the_blank_is_taken_off_before_it_is_multiplied() -> None:
    text = CYCLE.replace("## 2026-03-02", "- check: nitrite blank 0.25\n## 2026-03-02")
    text += "## 2026-03-30\n- check: nitrite 1:4 diluted read 0.25\n"
    found = window("latest", text, analyte="nitrite")
    assert found is not None
    assert found["written"] == ">2"


def test_a_diluted_sample_that_was_withdrawn_or_could_not_be_read_is_none() -> None:
    withdrawn = FALLING + "## 2026-03-31\n- discard: nitrite 2026-03-30, wrong vial\n"
    cloudy = FALLING.replace("read 0.5", "read cloudy")
    for text in (withdrawn, cloudy):
        found = window("latest", text, date(2026, 3, 31), analyte="nitrite")
        assert found is not None
        assert found["day"] == "2026-03-22"


def test_water_changed_before_a_diluted_sample_explains_the_fall_that_it_shows() -> None:
    text = FALLING.replace("## 2026-03-30", "## 2026-03-29\n- water: changed 75 %\n## 2026-03-30")
    advice = reefjournal.read_text(text).advise(on=date(2026, 3, 30), forecast=False)
    assert advice.stage is not None
    assert advice.stage.id != "nitrite-falling"


def test_a_diluted_sample_stands_for_no_plain_test_of_ammonia() -> None:
    text = CYCLE + "## 2026-03-30\n- check: ammonia 1:4 diluted read 1\n"
    found = window("latest", text, analyte="ammonia")
    assert found is not None
    assert found["day"] == "2026-03-20"
    assert window("absent", text, of="reading", name="ammonia", days=5.0) is not None
