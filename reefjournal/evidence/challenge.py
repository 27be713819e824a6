"""Challenges: a measured dose that was brought down in time, or was not."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from functools import partial
from itertools import islice, takewhile
from math import isnan
from typing import Annotated, Literal

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.answers import (
    ARRIVED_HOURS,
    Terms,
    agreeing,
    answered_by,
    hours_left,
    late_enough,
    settled,
    too_late,
)
from reefjournal.evidence.arrival import arrival, seen
from reefjournal.evidence.binders import binders_between
from reefjournal.evidence.fasts import longest_fast
from reefjournal.evidence.life import lived, load_high
from reefjournal.evidence.nitrogen import Gift, gifts
from reefjournal.evidence.scene import OPEN, Sample, Scene, iso
from reefjournal.evidence.trust import proofs
from reefjournal.evidence.water import changes_between, day_of
from reefjournal.facts import UNKNOWN, Fact, Query
from reefjournal.quantities import Interval
from reefjournal.timeline import hours_between, hours_since, surely_before

Later = dict[str, list[Sample]]
"""The readings of each analyte in the days after a dose."""
State = Literal["open", "cleared", "lapsed", "not-cleared", "unanswered"]
_BEFORE_DAYS: Annotated[
    int, Believed("days", "how old the readings may be that show the water clear before a challenge", "our judgement")
] = 4
_ANSWER_DAYS: Annotated[
    int, Believed("days", "how long after a dose a reading may still answer it, late as it then is", "our judgement")
] = 10
_SHOWN: Annotated[
    float,
    Believed(
        "mg/L N", "ammonia where animals live from which a filter no longer does what a challenge showed",
        "common practice: the low end of the lowest step on common cards",
    ),
] = 0.08  # fmt: skip
_GRACE_HOURS: Annotated[
    float,
    Believed("hours", "how long a challenge may still wait for an answer that was not written yet", "our judgement"),
] = 24.0


@dataclass(frozen=True)
class Trial:
    """One challenge dose and what came of it.

    ``agreeing`` tests show it gone, one more may within the ``left`` hours after them; ``seen`` once a test showed it.
    Where the tests of the first hours showed too little of it, it never ``arrived``, unless more show it: another may
    in the ``soon`` hours after them.
    """

    gift: Gift
    state: State
    answers: tuple[Sample, ...]
    hours: Interval
    agreeing: int = 0
    left: float = UNKNOWN
    seen: bool = False
    arrived: bool = True
    soon: float = UNKNOWN


def challenges(scene: Scene, query: Query) -> Iterator[Fact]:
    """The newest challenge on the rule's terms, and how many before it, since the last cleared one, failed."""
    terms = Terms.of(query)
    tried = [(_trial(scene, gift, after, terms), known) for gift, after, known in _challenge_doses(scene, terms)]
    # A dose to water that was not tested, or that never held ammonia, begins a cycle: only a pass makes it a challenge.
    trials = [_held(scene, trial) for trial, known in tried if known or trial.state == "cleared"]
    decided = [t for t in trials if t.state in ("cleared", "lapsed", "not-cleared")]
    for trial in ([trials[-1]] if trials else []) + [t for t in decided[-1:] if t is not trials[-1]]:
        yield _fact(scene, query, trial, trials)


def _held(scene: Scene, trial: Trial) -> Trial:
    """The same, or ``lapsed``: passed once, and since then ammonia was measured where something lived."""
    if trial.state != "cleared":
        return trial
    own = {id(sample.reading) for sample in trial.answers}
    last = trial.answers[-1].reading
    lapsed = any(id(one) not in own and surely_before(last, one) for one in scene.once(_beside_animals))
    return replace(trial, state="lapsed", left=UNKNOWN) if lapsed else trial


def _beside_animals(scene: Scene) -> list[ev.Reading]:
    """The readings that show ammonia while something surely lived in the water."""
    shown = (s.reading for s in scene.usable("ammonia") if s.rank > 0 and s.low >= _SHOWN)
    return [one for one in shown if lived(scene, one)]


def _challenge_doses(scene: Scene, terms: Terms) -> Iterator[tuple[Gift, Gift | None, bool]]:
    """Large enough doses that did not meet ammonia or nitrite: each, the next dose, and was it known to be clear."""
    given = tuple(gift for gift in scene.once(gifts) if scene.vessel.of_this_fill(gift.event))
    for place, gift in enumerate(given):
        following = given[place + 1] if place + 1 < len(given) else None
        measured = gift.event.role == "ammonia" and gift.rise is not None and gift.rise.low >= terms.dose
        clear = _was_clear(scene, gift.event, terms) if measured else False
        if clear is not False:
            yield gift, following, clear is True and _begun(scene, gift.event, given[:place])


def _was_clear(scene: Scene, dose: ev.Base, terms: Terms) -> bool | None:
    """Whether the newest readings before a dose were low; ``None`` where there were none in the days before it."""
    last = scene.once_for(dose, _last_before)
    before = [last["ammonia"], last["nitrite"]] if terms.road == "ammonia" else [last["nitrite"]]
    if any(one is not None and one.rank > 1 for one in before):
        return False
    known = all(one is not None and (dose.earliest - one.reading.earliest).days <= _BEFORE_DAYS for one in before)
    return known or None


def _last_before(scene: Scene, dose: ev.Base) -> dict[str, Sample | None]:
    samples = {analyte: reversed(scene.usable(analyte)) for analyte in ("ammonia", "nitrite")}
    return {name: next((s for s in own if surely_before(s.reading, dose)), None) for name, own in samples.items()}


def _begun(scene: Scene, dose: ev.Base, earlier: tuple[Gift, ...]) -> bool:
    """Whether the filter had been fed before a dose, by what was given or by what was seen in the water."""
    seen = (s for a in ("ammonia", "nitrite") for s in scene.usable(a) if s.rank > 0)
    return bool(earlier) or any(surely_before(s.reading, dose) for s in seen)


def _trial(scene: Scene, gift: Gift, following: Gift | None, terms: Terms) -> Trial:
    dose = gift.event
    later = _until(following, scene.once_for(dose, _later))
    needed = ("ammonia", "nitrite") if terms.road != "nitrite" else ("nitrite",)
    waited = hours_since(dose, scene.now)
    arrived, soon = arrival(gift, later)
    soon = _left(scene, soon, later, _end(dose, ARRIVED_HOURS)) if following is None else UNKNOWN
    timed = later if _in_place(scene, dose, later) else {analyte: [] for analyte in later}
    low = answered_by(timed, needed, dose, terms)
    nearly = low or answered_by(timed, needed, dose, terms, another=True)
    proven = arrived and _proven(scene, gift, nearly, later, terms)
    left = hours_left(later, dose, terms, nearly) if proven and following is None else UNKNOWN
    left = _left(scene, left, later, _end(dose, terms.last_hour))
    trial = partial(Trial, gift, left=left, seen=seen(gift, later), arrived=arrived, soon=soon)
    if low and proven:
        first = [hours_between(dose, s.reading).low for s in low]
        sure = [hours_between(dose, settled(later[s.reading.analyte], dose, terms, s).reading).high for s in low]
        given = {id(s) for s in low}
        calm = {a: [s for s in own if id(s) in given or _undisturbed(scene, gift, (s,))] for a, own in later.items()}
        return trial("cleared", low, Interval(min(first), max(sure)), agreeing(calm, later, dose, terms, low))
    late = [s for a in needed for s in later[a] if too_late(dose, s, terms) and late_enough(dose, s)]
    failed = [s for s in late if not terms.allows(s)]
    if failed and not low:
        return trial("not-cleared", tuple(failed[:2]), hours_between(dose, failed[0].reading))
    # Once both are gone, however loosely that is timed, or the dose never came, there is nothing left to wait for.
    gone = terms.road == "ammonia" and all(later[a] and later[a][-1].rank == 0 for a in needed)
    over = gone if arrived else isnan(soon)
    waiting = following is None and not over and waited.low <= terms.within + _GRACE_HOURS
    return trial("open" if waiting else "unanswered", (), waited)


def _end(dose: ev.Base, hours: float) -> datetime:
    """So many hours after a dose; for one without an hour, the earliest that this may be."""
    return dose.earliest + timedelta(hours=hours)


def _left(scene: Scene, left: float, later: Later, end: datetime) -> float:
    """The hours left from now, where only the day is asked about all of them; unknown once they are over."""
    if any(one.reading.earliest > end for own in later.values() for one in own):
        return UNKNOWN
    if scene.now.time() == time.max:
        return left if end.date() >= scene.now.date() else UNKNOWN
    hours = (end - scene.now).total_seconds() / 3600
    return min(left, hours) if hours > 0 else UNKNOWN


def _proven(scene: Scene, gift: Gift, answers: tuple[Sample, ...], later: Later, terms: Terms) -> bool:
    """Whether there are answers, by tests that can see, and nothing but the filter can be behind them."""
    sound = bool(answers) and _test_sees(scene, terms, answers) and _undisturbed(scene, gift, answers)
    return sound and _nitrate_agrees(scene, gift, later, terms)


def _later(scene: Scene, dose: ev.Base) -> Later:
    """The readings of each analyte in the days after a dose."""
    return {analyte: _after(scene, analyte, dose) for analyte in ("ammonia", "nitrite", "nitrate")}


def _after(scene: Scene, analyte: str, dose: ev.Base) -> list[Sample]:
    samples = scene.usable(analyte)
    end = dose.latest + timedelta(days=_ANSWER_DAYS)
    start = bisect_left(samples, day_of(dose), key=lambda s: s.reading.earliest)
    near = takewhile(lambda s: s.reading.earliest <= end, islice(samples, start, None))
    return [s for s in near if surely_before(dose, s.reading)]


def _in_place(scene: Scene, dose: ev.Base, later: Later) -> bool:
    """Whether every test after a dose stands where a later note stands; a slip of a day may have put one after it."""
    return not any(_stands_above(scene, s.reading, dose) for own in later.values() for s in own)


def _stands_above(scene: Scene, test: ev.Base, dose: ev.Base) -> bool:
    """Whether a test of a later day stands above a dose in a file that is kept in time order: a slip of one of the two.

    Where the newest note stands on top, or the two are of one entry or of two files, nothing can be told.
    """
    one, other = test.source, dose.source
    above = one.file == other.file and one.entry < other.entry and test.day != dose.day
    return above and one.file in scene.once(_in_time_order)


def _in_time_order(scene: Scene) -> frozenset[str]:
    """The files of which the last entry is of a later day than the first one."""
    noted = [one for one in (*scene.vessel.readings, *scene.vessel.log(ev.Dose)) if one.day]
    ends: dict[str, list[ev.Base]] = {}
    for one in sorted(noted, key=lambda one: one.source.entry):
        ends.setdefault(one.source.file, [one, one])[1] = one
    return frozenset(file for file, (first, last) in ends.items() if first.earliest.date() < last.earliest.date())


def _until(following: Gift | None, later: Later) -> Later:
    """What of it lies before the next dose."""
    if following is None:
        return later
    return {name: [s for s in own if surely_before(s.reading, following.event)] for name, own in later.items()}


def _test_sees(scene: Scene, terms: Terms, answers: tuple[Sample, ...]) -> bool:
    """Whether the ammonia test that answers has ever shown ammonia here: the nothing of a blind test is no answer.

    A kit that was held against a standard, a shop or a lab answers where any other test has shown some.
    """
    if terms.road != "ammonia":
        return True
    shown = {(s.reading.by, s.reading.kit) for s in scene.usable("ammonia") if s.rank > 0}
    asked = [s.reading for s in answers if s.reading.analyte == "ammonia" and s.reading.by == "home"]
    able = {("home", kit) for analyte, kit in scene.once(proofs) if analyte == "ammonia"} | shown
    return bool(shown) and all((one.by, one.kit) in able for one in asked)


def _undisturbed(scene: Scene, gift: Gift, answers: tuple[Sample, ...]) -> bool:
    """Whether nothing else can have taken the dose away: no new water, no binder, and no line left unread."""
    dose, answer = gift.event, answers[-1].reading
    unread = scene.vessel.log(ev.Unread)
    between = [one for one in unread if not surely_before(one, dose) and not surely_before(answer, one)]
    return not (between or changes_between(scene, dose, answer) or binders_between(scene, dose, answer))


def _nitrate_agrees(scene: Scene, gift: Gift, later: Later, terms: Terms) -> bool:
    """On the road by nitrite, nitrate must have risen by at least half of what was given."""
    if terms.road != "nitrite":
        return True
    before = [s for s in scene.usable("nitrate") if surely_before(s.reading, gift.event)]
    if not before or not later["nitrate"] or gift.rise is None:
        return False
    first, last = before[-1], later["nitrate"][-1]
    return last.low > first.low and last.middle - first.middle >= gift.rise.low / 2


def _fact(scene: Scene, query: Query, trial: Trial, trials: list[Trial]) -> Fact:
    dose, volume = trial.gift.event, scene.vessel.volume
    rise = trial.gift.rise or Interval(0.0, 0.0)
    gone = max(0.0, rise.low - sum(s.high for s in trial.answers))
    low = gone * volume.low / trial.hours.high * 24 if volume and trial.hours.high > 0 else UNKNOWN
    high = rise.high * volume.high / trial.hours.low * 24 if volume and trial.hours.low > 0 else OPEN
    cleared = trial.state == "cleared"
    answered = trial.answers[-1].reading if trial.answers else None
    return scene.fact(
        "challenge",
        [dose, *(s.reading for s in trial.answers)],
        **dict(query.parameters),
        state=trial.state,
        newest="yes" if trial is trials[-1] else "no",
        day=iso(dose.day),
        answered=iso(answered.day) if answered else "",
        dose_low=rise.low,
        dose_high=rise.high,
        hours_low=trial.hours.low,
        hours_high=trial.hours.high,
        capacity_low=low if cleared else UNKNOWN,
        capacity_high=high if cleared else UNKNOWN,
        age_days=scene.age_days(answered or dose),
        failures=float(_failures(trials)),
        agreeing=float(trial.agreeing),
        times_load=low / scene.once(load_high) if cleared else UNKNOWN,
        unfed_days=longest_fast(scene, answered) if cleared and answered else UNKNOWN,
        hungry_days=longest_fast(scene, dose) if cleared else UNKNOWN,
        seen="yes" if trial.seen else "no",
        hours_left=trial.left,
        until=f"{_end(dose, Terms.of(query).last_hour):%H:%M on %Y-%m-%d}",
        arrived="yes" if trial.arrived else "no",
        arrival_left=trial.soon,
        arrival_until=f"{_end(dose, ARRIVED_HOURS):%H:%M on %Y-%m-%d}",
    )


def _failures(trials: list[Trial]) -> int:
    count = 0
    for one in reversed(trials):
        if one.state in ("cleared", "lapsed"):
            break
        count += one.state == "not-cleared"
    return count
