"""What may live in the vessel, what it is fed, and what the planned animals will bring."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.chemistry import dosing
from reefjournal.evidence.scene import Scene, iso
from reefjournal.facts import UNKNOWN, Fact
from reefjournal.quantities import Interval
from reefjournal.timeline import surely_before

GROUPS = ("any", "fish", "invertebrate", "coral")
"""The groups of animals that are told apart."""
_LIVING = ("fish", "invertebrate", "coral", "unknown")
_WEEK, _SECOND_WEEK = timedelta(days=6), timedelta(days=14)
_PROTEIN: Annotated[
    Interval,
    Believed(
        "of the mass", "protein in dry food where none is written", "common practice: labels of marine foods",
        "about 45 % is usual",
    ),
] = Interval(0.30, 0.55)  # fmt: skip


def animals(scene: Scene) -> list[Fact]:
    """One fact a group: yes, no, or maybe, and why."""
    found = []
    for group in GROUPS:
        life = scene.vessel.life(group)
        days = [scene.age_days(one) for one in life.events if one.day]
        found.append(
            scene.fact(
                "animals",
                life.events[-6:],
                group=group,
                present=life.present,
                why=life.why,
                names=_names(life.counts),
                count=float(life.surely),
                first_days=max(days, default=UNKNOWN),
                last_days=min(days, default=UNKNOWN),
            )
        )
    return found


def _names(counts: Mapping[str, int]) -> str:
    """The animals that are surely there, with their least number."""
    return ", ".join(f"{animal} ({count})" for animal, count in counts.items() if count > 0)


def nitrogen_of(grams: Interval, protein: float | None) -> Interval:
    """Ammonia nitrogen of food in mg N a day, from grams a day and its protein fraction."""
    fraction = _PROTEIN if protein is None else Interval(protein, protein)
    return Interval(*(float(dosing.feed_ammonia_mg_n(g, f)) for g, f in zip(grams, fraction, strict=True)))


def ration_between(scene: Scene, first: date, last: date) -> Interval | None:
    """The mean ration of some days in mg N a day, from feeding that was written down; ``None`` where none was."""
    total, known = Interval(0.0, 0.0), False
    span = (last - first).days + 1
    log = scene.vessel.log(ev.Fed)
    for place, one in enumerate(log):
        if one.day is None or one.stop or one.grams is None:
            continue
        if one.day > last or (one.day < first and not one.every_day):
            continue
        end = _end(one, log[place + 1 :], last) if one.every_day else one.day
        days = (min(end, last) - max(one.day, first)).days + 1
        if days > 0:
            daily = nitrogen_of(one.grams, one.protein)
            total, known = Interval(total.low + daily.low * days, total.high + daily.high * days), True
    return total.times(1 / span) if known else None


def standing_rations(scene: Scene) -> list[tuple[date, date]]:
    """The first and last day of each standing ration by now."""
    log = scene.vessel.log(ev.Fed)
    today = scene.now.date()
    rations = [(place, one) for place, one in enumerate(log) if one.every_day and not one.stop]
    return [(one.day, _end(one, log[place + 1 :], today)) for place, one in rations if one.day is not None]


def _end(ration: ev.Fed, later: tuple[ev.Fed, ...], last: date) -> date:
    """The last day of a standing ration: the one of its stop, or the one before another takes its place."""
    for one in later:
        same = one.food == ration.food or (one.stop and not one.food)
        if one.day and same and (one.stop or one.every_day):
            return one.day if one.stop else one.day - timedelta(days=1)
    return last


def load_high(scene: Scene) -> float:
    """The most nitrogen that the planned food brings, mg N a day; unknown where no food is planned."""
    high = load(scene)[0].properties["high"]
    return float(high) if isinstance(high, float) and high > 0 else UNKNOWN


def additions(scene: Scene, group: str) -> list[ev.Stock]:
    """What came into this water of a group of animals, bought, given or moved, in time order."""
    came = [one for one in scene.vessel.log(ev.Stock) if one.action in ("added", "moved") and one.group in _LIVING]
    return [one for one in came if group in ("any", one.group) and not scene.vessel.loses(one)]


def lived(scene: Scene, then: ev.Base) -> bool:
    """Whether by the records of animals something lived in this water at the time of a note, as far as counts tell."""
    there: dict[str, int] = {}
    for one in scene.vessel.log(ev.Stock):
        if surely_before(then, one):
            continue
        if one.action == "none":
            there = {k: n for k, n in there.items() if one.animal and one.animal != k}
        elif one.group in _LIVING:
            gone = one.action in ("lost", "removed") or scene.vessel.loses(one)
            before = there.get(one.animal, 0)
            change = (before if gone else 1) if one.count is None else one.count
            there[one.animal] = max(0, before + (-change if gone else change))
    return any(there.values())


def load(scene: Scene) -> list[Fact]:
    """The nitrogen that the food will bring once what is planned has come; unknown where no food is planned.

    Food planned by itself is the whole ration; food planned with animals comes on top of what is fed.
    """
    plans = [one for one in scene.vessel.log(ev.Plan) if one.grams is not None and one.what in ("food", "animals")]
    if not plans:
        return [scene.fact("load", known="no")]
    plan = plans[-1]
    fed = _fed_by(scene, plan)
    own = nitrogen_of(plan.grams or Interval(0.0, 0.0), plan.protein)
    daily = own if plan.what == "food" else fed and Interval(own.low + fed.low, own.high + fed.high)
    if daily is None:
        return [scene.fact("load", [plan], known="no")]
    covers = fed is not None and daily.high >= fed.high and _is_for_more(scene, plan, daily, fed)
    return [
        scene.fact(
            "load", [plan], known="yes", covers="yes" if covers else "no", words=plan.source.text,
            low=daily.low, high=daily.high, fed_low=fed.low if fed else UNKNOWN, fed_high=fed.high if fed else UNKNOWN,
        )
    ]  # fmt: skip


def _fed_by(scene: Scene, plan: ev.Plan) -> Interval | None:
    """The mean ration of the week up to a plan, mg N a day: nothing where no fish lives, unknown where not written."""
    fed = _week(scene, plan.day or scene.now.date())
    return fed or (Interval(0.0, 0.0) if scene.vessel.life("fish").present == "no" else None)


def _is_for_more(scene: Scene, plan: ev.Plan, daily: Interval, fed: Interval) -> bool:
    """Whether a plan of food is newer than the last fish, and more than these were fed in their second week."""
    days = [one.day for one in additions(scene, "fish") if one.day]
    if not days or plan.day is None:
        return True
    second = _week(scene, min(plan.day, days[-1] + _SECOND_WEEK)) or fed
    return plan.day > days[-1] and daily.high > second.high


def _week(scene: Scene, last: date) -> Interval | None:
    return ration_between(scene, last - _WEEK, last)


def plans(scene: Scene) -> list[Fact]:
    """What is intended, from a week ago onwards; an absence is one from every vessel."""
    found = []
    away = [one for one in scene.state.everywhere(ev.Plan) if one.what == "away"]
    own = [plan for plan in scene.vessel.log(ev.Plan) if plan.what != "away"]
    coming = sorted(((p.first, p.group) for p in own if p.first and p.first >= scene.now.date()), reverse=True)
    first = {group: day for day, group in coming}
    for one in (*away, *own):
        ahead = float((one.first - scene.now.date()).days) if one.first else UNKNOWN
        last = one.last or one.first
        to_end = float((last - scene.now.date()).days) if last else UNKNOWN
        if last is None or to_end >= -7:
            found.append(
                scene.fact(
                    "planned",
                    [one],
                    what=one.what,
                    text=one.text,
                    group=one.group,
                    animal=one.animal,
                    day=iso(one.first),
                    days_ahead=ahead,
                    days_to_end=to_end,
                    count=float(one.count) if one.count is not None else UNKNOWN,
                    next="yes" if one.first and one.first == first.get(one.group) else "no",
                )
            )
    return found
