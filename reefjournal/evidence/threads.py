"""Old notes that still hang in the air, notes that contradict each other, and readings that may be of another water."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.errands import jobs
from reefjournal.evidence.scene import OPEN, Sample, Scene, iso
from reefjournal.facts import Fact
from reefjournal.timeline import hours_between, surely_before

_NEEDED = (
    "return pump", "wavemaker", "heater", "auto top-off", "drain", "RCD", "leak alarm", "filter", "controller",
)  # fmt: skip
"""What a running tank is seldom without for long (common practice)."""
_STAYS = (
    "coralline", "pods", "worms", "open polyps", "eating", "all well", "clear water", "hitchhiker", "detritus",
    "power cut", "dead animal", "many dead", "dying animal", "uneaten food", "cut hand", "skin lump", "sting",
    "feeling ill",
)  # fmt: skip
"""Sights that nobody writes as gone."""
_FORGOTTEN_DAYS: Annotated[int, Believed("days", "a thread that is older than this is history", "our judgement")] = 90
_JUST_DAYS: Annotated[
    int, Believed("days", "how old tests may be that are held against each other", "our judgement")
] = 7
_NEAR_HOURS: Annotated[
    float, Believed("hours", "so near in time two tests are of the same water", "common practice")
] = 2.0
_OTHER_DAYS: Annotated[
    int, Believed("days", "how old the test of another vessel may be to be taken for this one", "our judgement")
] = 3
_WANDERING = ("ammonia", "alkalinity", "salinity")
"""What neither falls into place by itself nor rises without a reason; ammonia counts where it rose."""


def threads(scene: Scene) -> list[Fact]:
    """Of each sort of loose end the oldest one, and how many more there are."""
    ends = {"plan": _plans(scene), "unread": _unreadable(scene), "sign": _signs(scene)}
    ends["off"] = _off(scene)
    found = [_thread(scene, what, loose) for what, loose in ends.items()]
    return [*(fact for facts in found for fact in facts), *_old_job(scene)]


def _thread(scene: Scene, what: str, loose: Iterable[tuple[str, ev.Base]]) -> list[Fact]:
    own = [(name, one) for name, one in loose if scene.within(one, _FORGOTTEN_DAYS)]
    if not own:
        return []
    name, oldest = max(own, key=lambda pair: scene.age_days(pair[1]))
    return [
        scene.fact(
            "thread", [oldest], what=what, name=name, words=oldest.source.text, day=iso(oldest.day),
            age_days=scene.age_days(oldest), others=float(len(own) - 1),
        )
    ]  # fmt: skip


def _plans(scene: Scene) -> Iterator[tuple[str, ev.Base]]:
    """Animals whose day has passed, and that no note says have come."""
    newest = {one.animal: one for one in scene.vessel.log(ev.Plan) if one.what == "animals"}
    stock = [one for one in scene.vessel.log(ev.Stock) if one.action in ("added", "moved")]
    for one in newest.values():
        last = one.last or one.first
        came = any(s.day and one.day and s.day >= one.day and s.animal == one.animal for s in stock)
        if last and last < scene.now.date() and not came:
            yield iso(last), one


def _unreadable(scene: Scene) -> Iterator[tuple[str, ev.Base]]:
    """Tests that could not be read and were not done again."""
    for analyte in scene.vessel.analytes:
        last = scene.vessel.readings_of(analyte)[-1]
        if not last.readable:
            yield analyte, last


def _signs(scene: Scene) -> Iterator[tuple[str, ev.Base]]:
    """What was seen and never written as gone."""
    visible = (one for one in scene.vessel.signs if one.gone is None and one.sign not in _STAYS)
    return ((one.sign, one.last) for one in visible if not (one.sign == "leak" and _held_since(scene, one.last)))


def _held_since(scene: Scene, leak: ev.Seen) -> bool:
    """Whether a leak test was passed after a leak."""
    tests = [one for one in scene.vessel.log(ev.Build) if dict(one.standing).get("leak test") == "passed"]
    return any(surely_before(leak, one) for one in tests)


def _off(scene: Scene) -> Iterator[tuple[str, ev.Base]]:
    """Devices that were switched off and never on again."""
    return ((name, one) for name, one in scene.vessel.gear.items() if one.action == "off" and name in _NEEDED)


def _old_job(scene: Scene) -> list[Fact]:
    """The job that is overdue for longest."""
    late = [fact for fact in jobs(scene) if fact.properties["state"] == "overdue"]
    if not late:
        return []
    oldest = min(late, key=lambda fact: float(fact.properties["days_ahead"]))
    told = oldest.properties
    fact = scene.fact(
        "thread", what="job", name="job", words=told["text"], day=told["due"], others=float(len(late) - 1),
        age_days=-float(told["days_ahead"]),
    )  # fmt: skip
    return [replace(fact, events=oldest.events)]


def contradictions(scene: Scene) -> list[Fact]:
    """The newest two tests of an analyte, of one day, with nothing between them, that cannot both be right."""
    pairs = ((analyte, scene.usable(analyte)[-2:]) for analyte in scene.vessel.analytes)
    return [
        scene.fact(
            "contradiction", [one.reading for one in pair], analyte=analyte, day=pair[0].day,
            first=pair[0].written, second=pair[1].written, age_days=scene.age_days(pair[0].reading),
        )
        for analyte, pair in pairs
        if len(pair) == 2 and scene.within(pair[0].reading, _JUST_DAYS) and _contradict(scene, *pair)
    ]  # fmt: skip


def _contradict(scene: Scene, first: Sample, second: Sample) -> bool:
    if first.day != second.day or not _at_once(first.reading, second.reading):
        return False
    gap = max(second.low - first.high, first.low - second.high)
    widest = max(min(one.high, OPEN) - one.low for one in (first, second))
    return gap > widest and not _stirred(scene, first, second)


def _at_once(first: ev.Reading, second: ev.Reading) -> bool:
    timed = first.at is not None and second.at is not None
    return not timed or hours_between(first, second).high <= _NEAR_HOURS


def _stirred(scene: Scene, first: Sample, last: Sample) -> bool:
    """Whether something went into or out of the water from the day of one reading to that of another."""
    vessel = scene.vessel
    logs = (vessel.log(ev.Dose), vessel.log(ev.Water), vessel.log(ev.Treat), vessel.log(ev.Stock))
    days = (iso(one.day) for log in logs for one in log)
    return any(first.day <= day <= last.day for day in days)


def corrections(scene: Scene) -> list[Fact]:
    """Records that withdraw readings, and how many each took out."""
    found = []
    for one in scene.vessel.log(ev.Discard):
        read = [r for r in scene.vessel.log(ev.Reading) if r.analyte == one.what and scene.vessel.discarded(r) is one]
        if scene.within(one, _FORGOTTEN_DAYS) and read:
            found.append(
                scene.fact(
                    "correction", [one, *read[-3:]], what=one.what, day=iso(one.day), first=iso(one.first),
                    last=iso(one.last), reason=one.reason, words=_withdrawn(one, len(read)), times=float(len(read)),
                    age_days=scene.age_days(one),
                )
            )  # fmt: skip
    return found


def _withdrawn(one: ev.Discard, count: int) -> str:
    """How many readings of which days or of which time a record withdraws, and why."""
    many = f"{count} readings of {one.what} were" if count > 1 else f"1 reading of {one.what} was"
    days = f"{one.first}" if one.first == one.last else f"{one.first} to {one.last}"
    clock = f" {one.clock:%H:%M}" if one.clock else ""
    return f"{many} withdrawn ({days}{clock}): {one.reason}".removesuffix(": ")


def misplaced(scene: Scene) -> list[Fact]:
    """Newest readings that leave what this water showed before and fit what another vessel showed these days."""
    others = [Scene(scene.state, one) for name, one in scene.state.vessels.items() if name != scene.vessel.name]
    return [fact for analyte in _WANDERING for fact in _misplaced(scene, analyte, others)]


def _misplaced(scene: Scene, analyte: str, others: list[Scene]) -> list[Fact]:
    own = scene.usable(analyte)[-2:] if others else ()
    if len(own) < 2 or not all(scene.within(one.reading, _JUST_DAYS) for one in own):
        return []
    before, last = own
    for other in others:
        there = other.newest(analyte)
        fits = there is not None and other.within(there.reading, _OTHER_DAYS) and not _apart(there, last)
        left = _apart(before, last) and (analyte != "ammonia" or last.low > before.high)
        if there and fits and left and _apart(before, there) and not _stirred(scene, before, last):
            return [
                scene.fact(
                    "misplaced", [before.reading, last.reading, there.reading], analyte=analyte, day=last.day,
                    written=last.written, before_written=before.written, before_day=before.day,
                    other=other.vessel.name, other_written=there.written, other_day=there.day,
                    age_days=scene.age_days(last.reading),
                )
            ]  # fmt: skip
    return []


def _apart(one: Sample, other: Sample) -> bool:
    return one.high < other.low or other.high < one.low
