"""Proofs of a cycle by clear days: beside food that leaves nothing over, or both tests once ammonia had been seen."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.binders import binders_between
from reefjournal.evidence.fasts import longest_gap, meals
from reefjournal.evidence.life import load_high, nitrogen_of, ration_between, standing_rations
from reefjournal.evidence.scene import Sample, Scene, iso
from reefjournal.evidence.water import changes_between, kept_by_changes
from reefjournal.facts import Fact, Property, Query

_FOOD_DAYS: Annotated[int, Believed("days", "how far back a proof by food is looked for", "our judgement")] = 60
_FAST_DAYS: Annotated[int, Believed("days", "meals further apart than this are no daily ration", "our judgement")] = 3
_KEPT: Annotated[
    float, Believed("of the water", "what must stay in it for food to be what the tests speak of", "our judgement")
] = 0.5


def fed_proof(scene: Scene, query: Query) -> Iterator[Fact]:
    """Ammonia and nitrite below detection on enough days, over enough days, at a ration that was written down.

    The newest days that suffice count: a ration that was raised is proven by the tests since then. What is fed on the
    day of the last test may be fed after it; new water and a binder do the work of a filter.
    """
    times, days = float(query["times"]), float(query["days"])
    rows = [_clear_days(scene, a, float(query[a])) for a in ("ammonia", "nitrite")]
    both = sorted(set(rows[0]) & set(rows[1]))
    recent = [day for day in both if day >= max(min(rows[0]), min(rows[1]))] if all(rows) and both else []
    enough = [day for day in recent if (recent[-1] - day).days >= days and sum(one >= day for one in recent) >= times]
    if not enough:
        return
    first, last = enough[-1], recent[-1]
    ration = ration_between(scene, first, last - timedelta(days=1))
    if ration is None or longest_gap(meals(scene), first, last) > _FAST_DAYS or _helped(scene, rows, first, last):
        return
    samples = [rows[0][first], rows[1][first], rows[0][last], rows[1][last]]
    low = max(0.0, ration.low - _written_again(scene, first, last - timedelta(days=1)))
    given: dict[str, Property] = {
        "day": iso(last), "ration_low": low, "ration_high": ration.high,
        "age_days": float((scene.now.date() - last).days), "span_days": float((last - first).days),
        "times_load": low / scene.once(load_high),
    }  # fmt: skip
    yield scene.fact("fed-proof", [s.reading for s in samples], **dict(query.parameters), **given)


def _written_again(scene: Scene, first: date, last: date) -> float:
    """Nitrogen of meals, mg N a day, that may be those of a standing ration of the same food: they count once."""
    fed = scene.vessel.log(ev.Fed)
    foods = [one.food for one in fed if one.every_day and not one.stop]
    spans = list(zip(foods, standing_rations(scene), strict=True))
    meals = (one for one in fed if one.grams and not one.every_day and one.day and first <= one.day <= last)
    again = [
        nitrogen_of(one.grams, one.protein).low for one in meals
        if one.grams and one.day and any(food == one.food and a <= one.day <= b for food, (a, b) in spans)
    ]  # fmt: skip
    return sum(again) / ((last - first).days + 1)


def _helped(scene: Scene, rows: list[dict[date, Sample]], first: date, last: date) -> bool:
    """Whether something else than the filter may have kept the water clear from a first to a last test."""
    start, end = rows[0][first].reading, rows[0][last].reading
    diluted = kept_by_changes(scene, changes_between(scene, start, end)).low < _KEPT
    return diluted or bool(binders_between(scene, start, end))


def _clear_days(scene: Scene, analyte: str, level: float) -> dict[date, Sample]:
    """The days of the newest unbroken row of readings below detection, each with a reading."""
    found: dict[date, Sample] = {}
    for sample in reversed(scene.usable(analyte)):
        old = scene.age_days(sample.reading) > _FOOD_DAYS or not scene.vessel.of_this_fill(sample.reading)
        if sample.rank > 0 or sample.high > level or old:
            break
        found[sample.reading.earliest.date()] = sample
    return found


def both_clear(scene: Scene, query: Query) -> Iterator[Fact]:
    """The first row of days on which ammonia and nitrite were both clear after both had been seen."""
    seen: dict[str, bool] = {"ammonia": False, "nitrite": False}
    newest: dict[str, Sample] = {}
    row: list[Sample] = []
    samples = (s for s in scene.usable("ammonia") + scene.usable("nitrite") if scene.vessel.of_this_fill(s.reading))
    for sample in sorted(samples, key=lambda s: s.reading.earliest):
        analyte = sample.reading.analyte
        clear = sample.rank <= float(query["rank"]) and sample.high <= float(query[analyte])
        seen[analyte] = seen[analyte] or sample.low >= float(query[f"{analyte}_seen"])
        newest[analyte] = sample
        if not clear:
            row = []
        elif all(seen.values()) and _together(newest, query):
            row += [] if row and row[-1].reading.day == sample.reading.day else [sample]
        if len(row) >= float(query["times"]):
            rested = [s.reading for s in newest.values()]
            given: dict[str, Property] = {"day": sample.day, "age_days": scene.age_days(sample.reading)}
            yield scene.fact("both-clear", rested, **dict(query.parameters), **given)
            return


def _together(newest: dict[str, Sample], query: Query) -> bool:
    """Whether the newest readings of both are clear and belong to the same two days."""
    if len(newest) < 2:
        return False
    clear = all(s.rank <= float(query["rank"]) and s.high <= float(query[a]) for a, s in newest.items())
    one, other = (s.reading.earliest for s in newest.values())
    return clear and abs(one - other) <= timedelta(days=2)
