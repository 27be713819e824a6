"""The nitrogen that was given and may still be ammonia: standing doses, another kit, a volume that was corrected.

Expected numbers are worked by hand from the atomic weights of IUPAC (from memory): N 14.007, H 1.008, Cl 35.45.
"""

from __future__ import annotations

from datetime import date

import pytest
from statements import stated
from test_disturbed_challenge import AFTER, BEFORE

import reefjournal

MG_N_OF_A_GRAM = 1000 * 14.007 / (14.007 + 4 * 1.008 + 35.45)
STEP = 0.125  # mg/L N: nothing on the card of the notes ends half way to its step of 0.25
RUNNING = """
## 2026-03-02 10:00
- dose: ammonium chloride 2.2 g
## 2026-03-03 10:00
- test: ammonia 2, nitrite 0.5
## 2026-04-05 10:00
- test: ammonia 0, nitrite 0
"""
STANDING = f"{RUNNING}## 2026-04-05 12:00\n- dose: ammonium chloride 0.29 g every day\n"
BLUE = "- kit: ammonia (blue), as N, card 0 0.25 0.5 1 2 4\n"


@pytest.mark.parametrize(("stop", "times"), [("", 5), ("## 2026-04-08\n- dose: ammonium chloride stop\n", 2)])
def test_every_day_of_a_standing_dose_since_the_day_before_the_last_test_may_still_be_there(
    stop: str, times: int
) -> None:
    ledger = stated("ledger", f"{STANDING}## 2026-04-06 23:00\n- test: ammonia 0, nitrite 0\n{stop}", date(2026, 4, 10))
    # The one of 6 April counts too where its hour is not known to be before the test: 6, 7, 8, 9, 10 or 6, 7.
    assert ledger["unoxidised_high"] == pytest.approx(STEP + times * 0.29 * MG_N_OF_A_GRAM / 290, rel=1e-3)


def test_a_standing_dose_was_given_today() -> None:
    assert stated("ledger", STANDING, date(2026, 5, 5))["last_days"] == 0


@pytest.mark.parametrize(("kit", "left"), [("", 0.0), (BLUE, 3.8 * MG_N_OF_A_GRAM / 290)])
def test_the_nothing_of_a_kit_that_never_showed_ammonia_takes_no_dose_away(kit: str, left: float) -> None:
    notes = f"{RUNNING}## 2026-04-06 10:00\n{kit}- dose: ammonium chloride 3.8 g\n## 2026-04-07\n- 20:00 ammonia 0\n"
    assert stated("ledger", notes)["unoxidised_high"] == pytest.approx(STEP + left, rel=1e-3)


def test_a_dose_went_into_the_volume_of_its_day_or_into_one_that_corrects_it() -> None:
    tank = "## 2026-03-01\n- vessel: display, 580 L water\n## 2026-03-02 10:00\n- dose: ammonium chloride 2.2 g\n"
    ledger = stated("ledger", f"{tank}## 2026-03-05\n- vessel: display, 290 L water\n")
    assert ledger["given_low"] == pytest.approx(2.2 * MG_N_OF_A_GRAM / 580, rel=1e-3)
    assert ledger["given_high"] == pytest.approx(2.2 * MG_N_OF_A_GRAM / 290, rel=1e-3)


def test_a_volume_that_was_corrected_before_a_dose_is_of_no_account() -> None:
    tank = "## 2026-03-01\n- vessel: display, 580 L water\n## 2026-03-02\n- vessel: display, 290 L water\n"
    ledger = stated("ledger", f"{tank}## 2026-03-03 10:00\n- dose: ammonium chloride 2.2 g\n")
    assert ledger["given_low"] == ledger["given_high"] == pytest.approx(2.2 * MG_N_OF_A_GRAM / 290, rel=1e-3)


def test_ammonia_that_nobody_gave_is_there_as_the_newest_test_shows_it() -> None:
    # A card 0 0.25 0.5 1 2 4 8: 4 begins half way between 2 and 4 by ratio, at the root of 8.
    assert stated("ledger", f"{RUNNING}## 2026-04-07\n- ammonia 4\n")["unoxidised_high"] >= 8**0.5
    dosed = stated("ledger", f"{RUNNING}## 2026-04-07\n- ammonia 4\n## 2026-04-08\n- dose: ammonium chloride 1 g\n")
    assert dosed["unoxidised_high"] >= 8**0.5 + MG_N_OF_A_GRAM / 290 - 1e-9
    open_upwards = stated("ledger", f"{RUNNING}## 2026-04-07\n- ammonia >1\n")
    assert (open_upwards["unoxidised_high"], open_upwards["room"]) == (4.0, 0.0)
    assert stated("ledger", f"{RUNNING}## 2026-04-07\n- ammonia 4\n", date(2026, 4, 15))["unoxidised_high"] < 8**0.5


def test_a_standing_dose_that_is_begun_anew_after_its_stop_goes_on() -> None:
    again = "## 2026-04-08\n- dose: ammonium chloride stop\n- dose: ammonium chloride 0.29 g every day\n"
    notes = f"{STANDING}## 2026-04-06 23:00\n- test: ammonia 0, nitrite 0\n{again}"
    ledger = stated("ledger", notes, date(2026, 4, 10))
    # 6 and 7 April of the first, 8, 9 and 10 April of the second.
    assert ledger["unoxidised_high"] == pytest.approx(STEP + 5 * 0.29 * MG_N_OF_A_GRAM / 290, rel=1e-3)


@pytest.mark.parametrize(
    ("later", "since"),
    [
        ("", "no"),
        ("## 2026-04-06 10:00\n- dose: ammonium chloride 1 g\n", "yes"),
        ("## 2026-04-05\n- dose: raw prawn\n", "yes"),
        ("## 2026-04-06\n- 10:00 dose: ammonium chloride 1 g\n- 10:30 ammonia 0\n", "yes"),
        ("## 2026-04-06\n- dose: ammonium chloride 1 g\n- ammonia 0\n", "yes"),
        ("## 2026-04-06\n- dose: ammonium chloride 1 g\n## 2026-04-07\n- ammonia 0\n", "no"),
        ("## 2026-04-06\n- 10:00 dose: ammonium chloride 1 g\n- 20:00 ammonia 0\n", "no"),
    ],
    ids=["nothing", "a dose", "a prawn, at whatever hour of that day", "half an hour before the test",
         "an unknown time before it", "the day before it", "ten hours before it"],
)  # fmt: skip
def test_a_source_that_the_newest_test_cannot_have_seen_is_told(later: str, since: str) -> None:
    assert stated("ledger", f"{RUNNING}{later}")["given_since"] == since


def test_no_animal_is_let_in_on_the_day_of_a_dose_however_clear_the_tests_before_it_were() -> None:
    before = BEFORE.replace("- stock: none", "- stock: none\n- plan: food 0.1 g pellets 45 % protein every day")
    clear = "- test: ammonia 0, nitrite 0, salinity 35 ppt, temperature 25.5 C\n"
    seen = "- 11:00 test: ammonia 1\n"
    notes = f"{before}{seen}{AFTER}## 2026-05-16 22:00\n{clear}## 2026-05-17 09:00\n{clear}"
    for dose, gate in (("", True), ("- 10:00 dose: ammonium chloride 0.8 g\n", False)):
        advice = reefjournal.read_text(notes + dose).advise(date(2026, 5, 17), forecast=False)
        assert {one.id: one.open for one in advice.gates}["first-fish"] is gate
