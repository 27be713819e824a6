"""A forecast as text for a terminal: the dates first, then what they rest on, what to doubt, and what to test next."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from reefjournal.advisor.advice import StageRow
from reefjournal.advisor.text import BLANK, Line, a_day, laid_out
from reefjournal.evidence.outlook import STAGES, Outlook, grounds, in_words, next_test
from reefjournal.nitrification.results import DoubtedReading, Step

DOUBTED, KIT, BEHIND = 0.3, 0.3, 0.05
"""Chances from which a reading, a kit, a slow filter is spoken of."""
SHOWN = 6
SEEN = 0.01
"""Less than this, mg N/L or that a day, is not told in digits."""
_STEPS = {1: ("oxidise ammonia", "ammonia"), 2: ("oxidise nitrite", "nitrite")}


def nothing(vessel: str, day: date | datetime, stage: StageRow | None) -> str:
    """Why there is no forecast, in one line."""
    where = f"{vessel}, {a_day(day)}: there is nothing to forecast."
    if stage is not None and stage.id in STAGES:
        return f"{where} No nitrogen of a known amount was given, and no sure ammonia was read yet."
    return f"{where} " + (f"The stage is: {stage.name}." if stage else "No cycle has begun.")


def text(found: Outlook, vessel: str) -> str:
    """The whole forecast."""
    lines = [Line(f"{vessel}, {a_day(found.on)}", style="strong")]
    for title, words in (
        ("What lies ahead", (row.says for row in found.rows)),
        ("The chance that it is so", _chances(found)),
        ("What this rests on", (grounds(found), *_unknown(found), *map(_pace, found.assessment.steps))),
        ("Readings in doubt", _doubts(found)),
        ("Kits in doubt", _kits(found)),
        ("Nitrogen", _balance(found)),
        ("What to test next", next_test(found)),
    ):
        told = [Line(one, 2, "- ") for one in words]
        lines += [BLANK, Line(title, style="strong"), *told] if told else []
    lines += [BLANK, Line("A forecast informs. No gate opens on it: what protects animals is measured.", style="faint")]
    return laid_out(lines)


def data(found: Outlook) -> dict[str, Any]:
    """The whole forecast as plain data."""
    said = found.assessment
    test = said.next_test
    return {
        "since": found.cycle.day(0),
        "forecast": [asdict(row) for row in found.rows],
        "rests_on": [grounds(found), *_unknown(found)],
        "doubted": [_reading(found, one) for one in said.doubted],
        "kits": [asdict(one) for one in said.kits],
        "balance": asdict(said.balance) | {"day": found.cycle.day(said.balance.day)} if said.balance else None,
        "steps": [asdict(one) for one in said.steps],
        "next_test": asdict(test) | {"day": found.cycle.day(test.day)} if test else None,
    }


def _reading(found: Outlook, one: DoubtedReading) -> dict[str, Any]:
    test = found.cycle.tests[int(one.id)]
    return {"file": test.source.file, "line": test.source.line, "text": test.source.text, "analyte": test.analyte,
            "day": test.day, "misread": one.misread, "expected": one.expected}  # fmt: skip


def _chances(found: Outlook) -> Iterator[str]:
    """For each row the chances by some dates, where they say anything."""
    names = {"challenge": "challenge, unfed", "challenge-fed": "challenge, fed as advised"}
    for row in found.rows:
        if all(chance < 0.005 for _, chance in row.by) or all(chance > 0.995 for _, chance in row.by):
            continue
        by = ", ".join(f"{in_words(day, found.on)} {chance:.0%}" for day, chance in row.by)
        yield f"{names.get(row.id, f'{row.id} gone')}: {by}"


def _unknown(found: Outlook) -> Iterator[str]:
    """What could not be reckoned with."""
    if found.cycle.left_out:
        yield f"Not reckoned with: {'; '.join(found.cycle.left_out)}."
    if found.cycle.run.temperature == ((0.0, 25.0),):
        yield "No temperature is written; 25 °C is taken."


def _pace(one: Step) -> str:
    """What one half of the filter can do, against what is known of cycles."""
    doing, what = _STEPS[one.step]
    late = f" Only {one.behind:.0%} of such cycles have more {what} left by now: look for what holds it back."
    return (
        f"The filter can {doing} at {_told(one.capacity)} mg N/L a day at 25 °C; cycles like this one, without a look "
        f"at the tests, come to {_told(one.expected)}.{late if one.behind < BEHIND else ''}"
    )


def _told(range_: tuple[float, float, float]) -> str:
    """A range as a person would say it: what no test can see is not told in digits."""
    low, _, high = range_
    if high < SEEN:
        return f"less than {SEEN:g}"
    return f"up to {high:.2g}" if low < SEEN else f"{low:.2g} to {high:.2g}"


def _doubts(found: Outlook) -> Iterator[str]:
    """The readings that are likely to be wrong, the least likely to be right first."""
    for one in found.assessment.doubted[:SHOWN]:
        test = found.cycle.tests[int(one.id)]
        if one.misread >= DOUBTED:
            yield (
                f"{test.source.file}:{test.source.line} {test.source.text}: the {test.analyte} of "
                f"{in_words(test.day, found.on)} is a misreading with a chance of {one.misread:.0%}; by all the others "
                f"it was {_told(one.expected)} mg N/L."
            )


def _kits(found: Outlook) -> Iterator[str]:
    """The kits that seem to be wrong as a whole, and tests that could not be read."""
    for kit in found.assessment.kits:
        name = f"The {kit.analyte} test" + (f" ({kit.kit})" if kit.kit else "")
        state, chance = max(kit.states, key=lambda pair: pair[1] * (pair[0] != "true"), default=("true", 0.0))
        if chance >= KIT and state != "true":
            step = "" if "stuck" in state or kit.step is None else f" (a step is {kit.step:.2g} mg N/L)"
            cure = "Hold it against a known standard" if "stuck" in state else "Try it on new salt water"
            yield f"{name} is {state}{step} with a chance of {chance:.0%}. {cure}."
        if kit.unreadable > 1:
            yield (
                f"{name} could not be read {kit.unreadable} of {kit.samples} times. Dilute the sample, or let a second "
                "person read before you say the number."
            )


def _balance(found: Outlook) -> Iterator[str]:
    """What went in against what is found."""
    sums = found.assessment.balance
    if sums is None:
        return
    (given, most), (low, high) = sums.put_in, sums.found
    shown = f"{low:.2g} mg N/L or more" if high is None else f"{low:.2g} to {high:.2g} mg N/L"
    told = f"By {in_words(found.cycle.day(sums.day), found.on)} {given:.2g} to {most:.2g} mg N/L went in"
    if sums.nitrite_present:
        yield f"{told}. The tests add up to {shown}, which says little: a nitrate test counts nitrite many times over."
    elif high is not None and high < given:
        yield f"{told}, and only {shown} is found: less was given than written, a test reads low, or nitrogen went."
    elif low is not None and low > most:
        yield f"{told}, and {shown} is found: a source is not written down, or a test reads high."
    else:
        yield f"{told}, and {shown} is found. That agrees."
