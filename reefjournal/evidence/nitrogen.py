"""Nitrogen that was given to a vessel, and how much of it may still be ammonia."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.chemistry.dosing import DOSE_LIMIT
from reefjournal.evidence.answers import ARRIVED_HOURS, late_enough
from reefjournal.evidence.binders import binders_between, stop_of
from reefjournal.evidence.scene import OPEN, Sample, Scene
from reefjournal.facts import UNKNOWN, Fact
from reefjournal.quantities import Interval
from reefjournal.timeline import hours_between, surely_before

SOURCES = ("ammonia", "tissue")
"""The roles of substances that bring ammonia."""
_PRESENT: Annotated[
    float, Believed("mg N/L", "what is surely there: above the lowest step of common kits", "our judgement")
] = 0.2

_SEEN_DAYS: Annotated[
    float, Believed("days", "how long a test tells of ammonia that nobody gave, with none made since", "our judgement")
] = 7.0


@dataclass(frozen=True)
class Gift:
    """Nitrogen from one dose, as a rise of the whole water in mg N/L; ``None`` where it cannot be known.

    ``event`` bears the day it was given on: of a standing dose each day has its own.
    """

    event: ev.Dose
    rise: Interval | None


def gifts(scene: Scene) -> tuple[Gift, ...]:
    """Every dose of an ammonia source by now, a standing one once for each day that it stood."""
    found: list[Gift] = []
    doses = [one for one in scene.vessel.log(ev.Dose) if one.role in SOURCES and not one.stop]
    for one in doses:
        rise = _rise(scene, one)
        days = _days_standing(scene, one) if one.every_day else 1
        found += [Gift(_again(one, day), rise) for day in range(days)]
    return tuple(sorted(found, key=lambda gift: gift.event.earliest))


def _again(dose: ev.Dose, days: int) -> ev.Dose:
    """A standing dose as it is given so many days after it was written, at an hour that nobody wrote."""
    if days == 0 or dose.day is None:
        return dose
    # A copy of the model would keep the moments that were worked out for the first day.
    fields = {name: getattr(dose, name) for name in ev.Dose.model_fields}
    return ev.Dose(**fields | {"day": dose.day + timedelta(days=days), "at": None})


def _days_standing(scene: Scene, dose: ev.Dose) -> int:
    """On how many days a standing dose was given by now: up to the day before its stop."""
    stop = stop_of(scene, dose)
    if dose.day is None:
        return 1
    days = (stop.day - dose.day).days if stop and stop.day else (scene.now.date() - dose.day).days + 1
    return max(1, days)


def _rise(scene: Scene, dose: ev.Dose) -> Interval | None:
    if dose.raises_by is not None:
        return dose.raises_by
    if dose.raises_to is not None:
        before = [s for s in scene.usable("ammonia") if s.reading.latest <= dose.earliest]
        low = max(0.0, dose.raises_to.low - before[-1].high) if before else 0.0
        return Interval(low, dose.raises_to.high)
    volume = _volume(scene, dose)
    if dose.nitrogen is None or volume is None:
        return None
    return Interval(dose.nitrogen.low / volume.high, dose.nitrogen.high / volume.low)


def _volume(scene: Scene, dose: ev.Dose) -> Interval | None:
    """The volume a dose went into, L: one written later may correct it or tell of a change, so that it may be both."""
    if scene.vessel.volume is None:
        return None
    written = [one for one in scene.vessel.log(ev.VesselDefined) if one.volume is not None]
    earlier = sum(surely_before(one, dose) for one in written)
    volumes = [one.volume for one in written[max(0, earlier - 1) :] if one.volume is not None]
    return Interval(min(one.low for one in volumes), max(one.high for one in volumes))


def oxidation_shown(scene: Scene) -> Sample | None:
    """The first nitrite reading that is surely above nothing since nitrogen was given: ammonia was oxidised."""
    given = scene.once(gifts)
    if not given:
        return None
    start = given[0].event.earliest
    return next((s for s in scene.usable("nitrite") if s.low >= _PRESENT / 2 and s.reading.latest >= start), None)


def kit_moves(scene: Scene) -> bool:
    """Whether an ammonia test has shown that it can see ammonia here: a sure reading after nitrogen was given."""
    return bool(scene.once(_moved))


def _moved(scene: Scene) -> frozenset[tuple[str, str]]:
    """The ammonia tests that have done so: by whom, and on which kit."""
    given = scene.once(gifts)
    seen = (s.reading for s in scene.usable("ammonia") if s.low > 0 and s.rank > 0) if given else ()
    return frozenset((one.by, one.kit) for one in seen if one.latest >= given[0].event.earliest)


def questions(scene: Scene) -> tuple[ev.Base, ...]:
    """Notes that may be of an ammonia source that was given, how much or when nobody knows; no test answers them yet.

    A test does so where it is believed and was surely made later; what has no day may have been given after any.
    """
    undated = [one for one in scene.vessel.undated if isinstance(one, ev.Dose) and one.role in SOURCES]
    unread = [one for one in scene.vessel.log(ev.Unread) if _may_give(one)]
    return (*undated, *(one for one in unread if one.day is None or _believed(scene, one) is None))


def _may_give(line: ev.Unread) -> bool:
    """Whether a line that was not understood names ammonia, or a dose of nothing else that was understood."""
    about = set(line.may_name)
    return "ammonia" in about or ("dose" in about and about <= {"dose", "animal"})


def unoxidised(scene: Scene) -> float:
    """The most that may still be there as ammonia, mg N/L; ``OPEN`` where an amount, or a dose itself, is in question.

    A low ammonia reading alone takes nothing off this bound, for a kit may be blind. It does so where the same test
    has been seen to move, nitrite has shown that ammonia is being oxidised, and no binder may be at work. Nitrogen that
    is found as nitrite or nitrate counts as oxidised too.
    """
    given = scene.once(gifts)
    if scene.once(questions):
        return OPEN
    if any(gift.rise is None for gift in given):
        last = max(i for i, gift in enumerate(given) if gift.rise is None)
        cleared = _believed(scene, given[last].event)
        if cleared is None:
            return OPEN
    total = sum(gift.rise.high for gift in given if gift.rise is not None)
    bound = max(0.0, total - _oxidised(scene)) if all(g.rise for g in given) else OPEN
    believed = _believed(scene, None)
    if believed is not None:
        after = [g for g in given if not surely_before(g.event, believed.reading)]
        known = [g.rise.high for g in after if g.rise is not None]
        bound = min(bound, believed.high + sum(known)) if len(known) == len(after) else bound
    return max(bound, _least(scene))


def _least(scene: Scene) -> float:
    """What a fresh test shows at least, whoever gave it; at its top colour there may be as much as is ever given."""
    newest = scene.newest("ammonia")
    if newest is None or not scene.within(newest.reading, _SEEN_DAYS):
        return 0.0
    seen = max(newest.low, DOSE_LIMIT) if newest.high >= OPEN else newest.low
    since = [g.rise.high for g in scene.once(gifts) if g.rise and surely_before(newest.reading, g.event)]
    return seen + float(sum(since))


def _oxidised(scene: Scene) -> float:
    """Nitrogen that is surely in the water as nitrite, or as nitrate where no nitrite spoils that test, mg N/L."""
    nitrite = scene.usable("nitrite")
    found = nitrite[-1].low if nitrite else 0.0
    nitrate = scene.usable("nitrate")
    first = nitrate[0].high if nitrate else 0.0
    return found + (max(0.0, nitrate[-1].low - first) if len(nitrate) > 1 and first < OPEN else 0.0)


def _believed(scene: Scene, after: ev.Base | None) -> Sample | None:
    """The newest ammonia reading, where its own test has moved and oxidation is shown, not older than ``after``.

    One at the top colour does not tell how much there is, and one beside a binder tells nothing. A shop or a lab is
    believed where any test has moved.
    """
    if not scene.once(kit_moves) or scene.once(oxidation_shown) is None:
        return None
    own = [s for s in scene.usable("ammonia") if not binders_between(scene, s.reading, s.reading)]
    samples = [s for s in own if s.reading.by != "home" or ("home", s.reading.kit) in scene.once(_moved)]
    if not samples or samples[-1].high >= OPEN or (after is not None and not surely_before(after, samples[-1].reading)):
        return None
    return samples[-1]


def _given_since(scene: Scene, newest: Sample | None) -> bool:
    """Whether a source may have been given that the newest ammonia test cannot have seen."""
    given = scene.once(gifts)
    return bool(given) if newest is None else not all(_sees(newest, gift.event) for gift in given)


def _sees(test: Sample, dose: ev.Base) -> bool:
    arrived = late_enough(dose, test) and hours_between(dose, test.reading).high > ARRIVED_HOURS
    return arrived and surely_before(dose, test.reading)


def ledger(scene: Scene) -> list[Fact]:
    """The nitrogen that was given, and the most that may still be ammonia."""
    given = scene.once(gifts)
    rises = [gift.rise for gift in given]
    most, asked, newest = scene.once(unoxidised), scene.once(questions), scene.newest("ammonia")
    shown = [newest.reading] if newest and 0 < most == _least(scene) else []
    return [
        scene.fact(
            "ledger",
            dict.fromkeys([*(gift.event for gift in given[-8:]), *asked, *shown]),
            known="no" if None in rises or asked else "yes",
            kit_moves="yes" if scene.once(kit_moves) else "no",
            oxidation_shown="yes" if scene.once(oxidation_shown) else "no",
            given_since="yes" if _given_since(scene, newest) else "no",
            given_low=sum(rise.low for rise in rises if rise),
            given_high=OPEN if None in rises else sum(rise.high for rise in rises if rise),
            unoxidised_high=most,
            room=max(0.0, DOSE_LIMIT - most),
            last_days=scene.age_days(given[-1].event) if given else UNKNOWN,
        )
    ]
