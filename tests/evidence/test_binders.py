"""What an ammonia binder blurs: a challenge, a proof by food, and a test that would take a dose off the account."""

from __future__ import annotations

from datetime import date

import pytest
from statements import stage, stated
from test_disturbed_challenge import AFTER, BEFORE
from test_food_proof import CYCLE, FED, TESTS
from test_given_nitrogen import MG_N_OF_A_GRAM, RUNNING, STEP

DOSE = "- dose: ammonia binder 10 ml"
STOPPED = f"{DOSE} every day\n## 2026-05-12\n- dose: ammonia binder stop\n"


@pytest.mark.parametrize(
    ("binder", "found"),
    [
        (f"## 2026-05-11\n{DOSE}\n", "cycled"),
        (f"## 2026-05-14\n{DOSE}\n", "cycle-unproven"),
        (f"## 2026-05-11\n{DOSE} every day\n", "cycle-unproven"),
        (f"## 2026-05-11\n{STOPPED}", "cycled"),
        ("## 2026-05-14\n- dose: dechlorinator 5 ml\n", "cycle-unproven"),
    ],
    ids=["four days before", "the day before", "every day", "every day until three days before", "a conditioner"],
)
def test_a_binder_that_may_still_work_leaves_a_challenge_unanswered(binder: str, found: str) -> None:
    assert stage(f"{BEFORE}{AFTER}{binder}", date(2026, 5, 16)) == found


@pytest.mark.parametrize(
    ("binder", "found"),
    [(f"## 2026-04-05\n{DOSE}\n", "cycled"), (f"## 2026-04-05\n{DOSE} every day\n", "cycle-unproven")],
)
def test_food_is_no_proof_beside_a_binder_that_is_given_every_day(binder: str, found: str) -> None:
    assert stage(f"{CYCLE}{TESTS}{FED}{binder}", date(2026, 4, 15)) == found


@pytest.mark.parametrize(("binder", "left"), [("", 0.0), (f"{DOSE}\n", 2.0)])
def test_a_test_beside_a_binder_takes_no_dose_off_the_account(binder: str, left: float) -> None:
    notes = f"{RUNNING}## 2026-04-06 10:00\n- dose: ammonium chloride 2 g\n{binder}## 2026-04-07\n- 20:00 ammonia 0\n"
    assert stated("ledger", notes)["unoxidised_high"] == pytest.approx(STEP + left * MG_N_OF_A_GRAM / 290, rel=1e-3)
