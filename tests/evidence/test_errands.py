"""The keeper's jobs: when one that is repeated comes round again."""

from __future__ import annotations

from statements import stated

JOB = "## 2026-03-30\n- [x] clean the heater every {} days\n"


def test_a_repeated_job_comes_round_from_the_day_on_which_it_was_done() -> None:
    job = stated("job", JOB.format(14))
    assert (job["due"], job["state"], job["days_ahead"]) == ("2026-04-13", "due", 3.0)


def test_a_job_that_comes_round_after_all_days_has_none() -> None:
    job = stated("job", JOB.format(99_999_999))
    assert (job["due"], job["state"]) == ("", "open")
