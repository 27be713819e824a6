"""Stages and gates over computed curves of two-step nitrification, read through a kit's colour steps.

The curves in curves/ are computed (two-step Monod kinetics, integrated with scipy's LSODA and Radau, which agree
within 1.3e-8; parameters in their headers), not measured. They stand outside the program: nothing here made them.
"""

from __future__ import annotations

import csv
import re
from datetime import date, datetime, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

import reefjournal
from reefjournal.advisor.advice import Advice

CURVES = Path(__file__).parent / "curves"
SINGLE_DOSE = ["A_unseeded", "B_seeded", "D_nodecay"]
AMMONIA = (0.0, 0.25, 0.5, 1.0, 2.0, 4.0)
NITRITE = (0.0, 0.05, 0.2, 0.5, 1.0, 2.0, 4.0)
LITRES = 300
MG_N_PER_G = 261.87  # one gram of ammonium chloride: 14.007 / 53.489, from IUPAC abridged atomic weights (2021)
START = datetime(2026, 1, 1, 9)
HEAD = f"""
## 2026-01-01 08:00
- vessel: display, {LITRES} L water
- kit: ammonia, as N, card {" ".join(f"{step:g}" for step in AMMONIA)}
- kit: nitrite, as N, card {" ".join(f"{step:g}" for step in NITRITE)}
- water: filled {LITRES} L at 35 ppt
"""


def rows(curve: str) -> list[tuple[float, float, float]]:
    """Day, ammonia and nitrite (mg N/L) of a curve."""
    lines = [line for line in (CURVES / f"ref_{curve}.csv").read_text().splitlines() if not line.startswith("#")]
    table = [list(map(float, row[:3])) for row in list(csv.reader(lines))[1:]]
    return [(row[0], row[1], row[2]) for row in table]


def doses(curve: str) -> dict[float, float]:
    """Day and mg N/L of each dose, from the header of a curve; 2 mg N/L on day 0 where it names none."""
    named = re.search(r"# doses: \{(.*)\}", (CURVES / f"ref_{curve}.csv").read_text())
    pairs = [pair.split(":") for pair in named.group(1).split(",")] if named else [["0", "2.0"]]
    return {float(day): float(amount) for day, amount in pairs}


def colour(value: float, card: tuple[float, ...]) -> float:
    """The field of the card that a value is nearest to: middles are geometric, arithmetic next to zero."""
    edges = [((a * b) ** 0.5 if a else b / 2) for a, b in pairwise(card)]
    return card[sum(value >= edge for edge in edges)]


def moment(day: float) -> datetime:
    return START + timedelta(days=day)


@cache
def notes(curve: str) -> reefjournal.Journal:
    """A test a day at nine, and every half day after a challenge; each dose a minute after the test of its hour."""
    given = doses(curve)
    text = [HEAD]
    for day, ammonia, nitrite in rows(curve):
        at = moment(day)
        near = any(0 < day - dose <= 1 and amount >= 0.9 for dose, amount in given.items() if dose)
        if day in given:
            before = [row for row in rows(curve) if row[0] < day][-1:]
            text += [entry(at - timedelta(minutes=9), *before[0][1:])] if before else []
            text.append(f"## {at:%Y-%m-%d %H:%M}\n- dose: ammonium chloride {given[day] * LITRES / MG_N_PER_G:.3f} g\n")
        elif day % 1 == 0 or (near and day % 0.5 == 0):
            text.append(entry(at, ammonia, nitrite))
    return reefjournal.read_text("\n".join(text))


def entry(at: datetime, ammonia: float, nitrite: float) -> str:
    readings = f"ammonia {colour(ammonia, AMMONIA):g}, nitrite {colour(nitrite, NITRITE):g}"
    return f"## {at:%Y-%m-%d %H:%M}\n- test: {readings}\n"


@cache
def advice(curve: str, day: date) -> Advice:
    return notes(curve).advise(on=day, forecast=False)


def fitting(ammonia: float, nitrite: float, peak: float, past_peak: bool) -> str | None:
    """The stage that the true values call for, where they are clear of every border."""
    if ammonia > 0.7 and nitrite < 0.02:
        return "ammonia-rising"
    if ammonia > 0.7 and nitrite > 0.1:
        return "ammonia-falling"
    if ammonia < 0.05 and nitrite > 0.7 * peak and not past_peak:
        return "nitrite-high"
    if ammonia < 0.05 and past_peak and 0.1 < nitrite < 0.3 * peak:  # two colours down: one may be a slip of the eye
        return "nitrite-falling"
    return None


@pytest.mark.parametrize("curve", SINGLE_DOSE)
def test_the_stage_follows_the_curve(curve: str) -> None:
    whole = [row for row in rows(curve) if row[0] % 1 == 0 and row[0] > 0]
    top = max(whole, key=lambda row: row[2])
    checked = set()
    for day, ammonia, nitrite in whole[:45]:
        stage = fitting(ammonia, nitrite, top[2], day > top[0])
        if stage is not None:
            found = advice(curve, moment(day).date()).stage
            assert found is not None
            assert (day, found.id) == (day, stage)
            checked.add(stage)
    rising = {"ammonia-rising"} if curve != "B_seeded" else set()  # there nitrite shows from the first days
    assert {"ammonia-falling", "nitrite-falling", *rising} <= checked


@pytest.mark.parametrize("curve", SINGLE_DOSE)
def test_no_gate_opens_on_one_dose_without_a_challenge(curve: str) -> None:
    for day in range(1, 61, 3):
        assert [gate.id for gate in advice(curve, moment(day).date()).gates if gate.open] == []


@pytest.mark.parametrize("curve", SINGLE_DOSE)
def test_a_finished_curve_without_a_challenge_stays_unproven(curve: str) -> None:
    last = advice(curve, moment(60).date())
    assert last.stage is not None
    assert last.stage.id == "cycle-unproven"


@pytest.mark.parametrize("curve", ["F_fed_challenged_unseeded", "G_fed_challenged_seeded"])
def test_a_challenge_that_the_curve_clears_proves_the_cycle(curve: str) -> None:
    given = doses(curve)
    last = max(given)
    found = advice(curve, moment(last + 2).date())
    assert found.stage is not None
    assert found.stage.id == "cycled"
    (crew,) = (gate for gate in found.gates if gate.id == "clean-up-crew")
    untold = {"something-to-eat", "salinity", "temperature"}  # of these the curves say nothing
    assert {check.id for check in crew.checks if check.state != "met"} == untold


def test_a_challenge_that_the_curve_does_not_clear_opens_nothing() -> None:
    curve = "H_challenge_not_cleared"
    found = advice(curve, moment(max(doses(curve)) + 1).date())
    assert "challenge-not-cleared" in {finding.rule for finding in found.findings}
    assert [gate.id for gate in found.gates if gate.open] == []
    assert found.stage is not None
    assert found.stage.id == "cycle-unproven"


@pytest.mark.parametrize("curve", ["F_fed_challenged_unseeded", "G_fed_challenged_seeded", "H_challenge_not_cleared"])
def test_later_doses_never_send_the_stage_back(curve: str) -> None:
    order = ["ammonia-rising", "ammonia-falling", "nitrite-high", "nitrite-falling", "cycle-unproven", "cycled"]
    stages = [advice(curve, moment(day).date()).stage for day in range(1, 50)]
    ranks = [order.index(stage.id) for stage in stages if stage is not None]
    steps_back = [(day, a, b) for day, (a, b) in enumerate(pairwise(ranks), 1) if b < a < 5]
    assert steps_back == []
