"""What comes round by date: the tests of a reef, meters that are calibrated, media and parts that wear out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Annotated, NamedTuple

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Sample, Scene, iso
from reefjournal.facts import Fact, Query

_PACE = {
    "salinity": "often", "temperature": "often",
    "alkalinity": "weekly", "nitrate": "weekly", "phosphate": "weekly", "pH": "weekly",
    "calcium": "slow", "magnesium": "slow", "ammonia": "slow", "nitrite": "slow",
}  # fmt: skip
"""How fast an analyte moves in a tank that runs (common practice)."""
_ASKED_ELSEWHERE = ("ammonia", "nitrite")
"""Asked for by the rules of the filter well before their slow round comes."""
_GIVEN_UP_DAYS: Annotated[
    float, Believed("days", "a test that was not done for so long is no habit any more", "our judgement")
] = 180.0
_WORK = {"calibrated": "calibrated", "added": "renewed", "replaced": "renewed", "filled": "renewed",
         "cleaned": "cleaned"}  # fmt: skip
_STOPPED = ("off", "removed")
_READS = {"refractometer": "salinity", "hydrometer": "salinity", "salinity probe": "salinity", "pH probe": "pH"}


class Due(NamedTuple):
    """A test that comes round, and in how many days; below 0 it is late."""

    sample: Sample
    ahead: float


def rounds(scene: Scene, query: Query) -> Iterator[Fact]:
    """The next round of the tests that this tank is given, each at its pace: what is due first, and what after it."""
    newest = {analyte: scene.newest(analyte) for analyte in _PACE}
    paced = ((one, float(query[_PACE[name]]) - scene.age_days(one.reading)) for name, one in newest.items() if one)
    due = sorted((Due(one, ahead) for one, ahead in paced if _asked(scene, one, ahead)), key=lambda one: one.ahead)
    if not due:
        return
    start = max(0.0, due[0].ahead)
    now = [one for one in due if one.ahead <= start]
    yield scene.fact(
        "test-round",
        [one.sample.reading for one in now],
        **dict(query.parameters),
        names=_listed([one.sample.reading.analyte for one in now]),
        ahead_days=start,
        late_days=max(0.0, -due[0].ahead),
        when=f"{_when(scene, start)}{_then(scene, due[len(now) :])}",
    )


def _asked(scene: Scene, sample: Sample, ahead: float) -> bool:
    """Whether a test is still a habit, and not asked for by other rules before its day."""
    early = sample.reading.analyte in _ASKED_ELSEWHERE and ahead > 0
    return scene.age_days(sample.reading) <= _GIVEN_UP_DAYS and not early


def _when(scene: Scene, ahead: float) -> str:
    day = scene.now.date() + timedelta(days=ahead)
    return f"by {day.day} {day:%B}" if ahead > 0 else "today"


def _then(scene: Scene, due: list[Due]) -> str:
    """What comes after the next round, and when, as the end of a sentence; "" where nothing does."""
    names = [one.sample.reading.analyte for one in due if one.ahead == due[0].ahead]
    return f", then {_listed(names)} {_when(scene, due[0].ahead)}" if names else ""


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def upkeep(scene: Scene) -> list[Fact]:
    """When each device that is in use was last calibrated, renewed or cleaned."""
    last: dict[tuple[str, str], ev.Gear] = {}
    for one in scene.vessel.log(ev.Gear):
        if one.action in _STOPPED:
            last = {key: done for key, done in last.items() if key[0] != one.device}
        elif one.action in _WORK:
            last[one.device, _WORK[one.action]] = one
    return [
        scene.fact(
            "upkeep",
            [one],
            device=device,
            work=work,
            day=iso(one.day),
            age_days=scene.age_days(one),
            reads=_READS.get(device, ""),
        )
        for (device, work), one in last.items()
    ]
