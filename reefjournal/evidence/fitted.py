"""What the nitrification model makes of the readings, as facts. It is likely at best: see ``facts.FITTED``."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.outlook import Outlook
from reefjournal.evidence.scene import OPEN, Scene, iso
from reefjournal.facts import UNKNOWN, Fact
from reefjournal.nitrification.results import DoubtedReading, KitFinding, Step

_SPOKEN_OF: Annotated[float, Believed("chance", "from which a misreading is spoken of at all", "our judgement")] = 0.1
_STEPS = {1: "ammonia", 2: "nitrite"}


def fitted(scene: Scene, found: Outlook) -> list[Fact]:
    """The facts of an outlook on the vessel of the scene."""
    said = found.assessment
    misread = [_misread(scene, found, one) for one in said.doubted if one.misread >= _SPOKEN_OF]
    kits = [_kit(scene, found, one) for one in said.kits if one.states]
    return [*misread, *kits, *(_step(scene, one) for one in said.steps), *_telling_test(scene, found)]


def _misread(scene: Scene, found: Outlook, one: DoubtedReading) -> Fact:
    test = found.cycle.tests[int(one.id)]
    seen = test.readers if isinstance(test, ev.Reading) else (test.value,)
    return scene.fact(
        "misread",
        [test],
        analyte=test.analyte,
        day=iso(test.day),
        written=" / ".join(value.written for value in seen if value),
        probability=one.misread,
        expected_low=one.expected[0],
        expected_high=one.expected[2],
        age_days=scene.age_days(test),
    )


def _kit(scene: Scene, found: Outlook, one: KitFinding) -> Fact:
    """The likelier of the two faults."""
    stuck = sum(chance for state, chance in one.states if state == "stuck at zero")
    high = sum(chance for state, chance in one.states if state.endswith("high"))
    readings = zip(found.cycle.run.readings, found.cycle.tests, strict=True)
    own = [test for reading, test in readings if (reading.analyte, reading.kit) == (one.analyte, one.kit)]
    return scene.fact(
        "kit-finding",
        own,
        analyte=one.analyte,
        name=one.kit,
        fault="stuck" if stuck > high else "high",
        probability=max(stuck, high),
        step=UNKNOWN if one.step is None else one.step,
        tests=float(one.samples),
        last_days=min((scene.age_days(test) for test in own), default=OPEN),
    )


def _step(scene: Scene, one: Step) -> Fact:
    (low, _, high), (least, _, most) = one.capacity, one.expected
    return scene.fact(
        "slow-step", eats=_STEPS[one.step], behind=one.behind, low=low, high=high, expected_low=least,
        expected_high=most,
    )  # fmt: skip


def _telling_test(scene: Scene, found: Outlook) -> Iterator[Fact]:
    one = found.assessment.next_test
    if one is not None:
        day = found.cycle.day(one.day)
        ahead = float((day - found.on).days)
        yield scene.fact("telling-test", analyte=one.analyte, day=iso(day), narrows=one.narrows, days_ahead=ahead)
