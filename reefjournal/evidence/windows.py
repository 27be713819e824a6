"""Answers to the windows that rules ask for: one function a kind, each with the rule's own parameters."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from reefjournal import events as ev
from reefjournal.evidence.calendar import rounds
from reefjournal.evidence.challenge import challenges
from reefjournal.evidence.changes import novelties
from reefjournal.evidence.drift import spread
from reefjournal.evidence.lookback import suspect
from reefjournal.evidence.nitrogen import gifts
from reefjournal.evidence.proof import both_clear, fed_proof
from reefjournal.evidence.quarantine import days_full
from reefjournal.evidence.scene import OPEN, Sample, Scene, iso
from reefjournal.evidence.sorts import of_sort
from reefjournal.evidence.standstill import untested
from reefjournal.evidence.stocking import lead, losses
from reefjournal.evidence.water import kept_by_changes
from reefjournal.facts import Fact, Property, Query
from reefjournal.timeline import hours_between, hours_since, surely_before


def _number(query: Query, name: str, default: float) -> float:
    value = query.get(name, default)
    return float(value) if isinstance(value, int | float) else default


def _asked(query: Query) -> dict[str, Any]:
    return dict(query.parameters)


def _recent(scene: Scene, query: Query) -> tuple[Sample, ...]:
    return _within(scene, query, scene.usable(str(query["analyte"])))


def _sampled(scene: Scene, query: Query, *, at_most: bool = False) -> tuple[Sample, ...]:
    """The same with those of diluted samples."""
    return _within(scene, query, scene.sampled(str(query["analyte"]), at_most=at_most))


def _within(scene: Scene, query: Query, samples: tuple[Sample, ...]) -> tuple[Sample, ...]:
    days = query.get("days", "")
    start = len(samples)
    while start and scene.within(samples[start - 1].reading, days):
        start -= 1
    return samples[start:]


def _reading(sample: Sample) -> dict[str, Property]:
    return {"day": sample.day, "written": sample.written, "low": sample.low, "high": sample.high}


def latest(scene: Scene, query: Query) -> Iterator[Fact]:
    """The newest usable reading."""
    samples = _sampled(scene, query)
    if samples:
        last = samples[-1]
        hours = hours_since(last.reading, scene.now)
        yield scene.fact(
            "latest", [last.reading], **_asked(query), **_reading(last), rank=float(last.rank), by=last.reading.by,
            age_days=scene.age_days(last.reading), age_hours_low=hours.low, age_hours_high=hours.high,
        )  # fmt: skip


def peak(scene: Scene, query: Query) -> Iterator[Fact]:
    """The reading with the highest low end, the first of equals."""
    samples = _sampled(scene, query)
    if samples:
        top = max(samples, key=lambda s: s.low)
        yield scene.fact(
            "peak", [top.reading], **_asked(query), **_reading(top), age_days=scene.age_days(top.reading)
        )


def trend(scene: Scene, query: Query) -> Iterator[Fact]:
    """Where the newest readings are going, told only where intervals do not overlap."""
    samples = _sampled(scene, query, at_most=True)
    if query["analyte"] == "ammonia":
        samples = _since_last_gift(scene, samples)
    if len(samples) < 2:
        return
    start = _turning_point(samples)
    direction = _direction(start, samples[-1])
    end = _end_of_fall(samples, start) if direction == "falling" else samples[-1]
    yield scene.fact(
        "trend", [start.reading, end.reading], **_asked(query), **_reading(end), direction=direction,
        from_day=start.day, from_written=start.written, from_low=start.low, from_high=start.high,
        count=float(len(samples)), span_days=scene.age_days(start.reading) - scene.age_days(end.reading),
    )  # fmt: skip


def _since_last_gift(scene: Scene, samples: tuple[Sample, ...]) -> tuple[Sample, ...]:
    given = scene.once(gifts)
    if not given:
        return samples
    return tuple(s for s in samples if s.reading.earliest >= given[-1].event.earliest)


def _undosed(scene: Scene, samples: tuple[Sample, ...]) -> tuple[Sample, ...]:
    """Those surely made after ammonia was last given: a test of the same day as a dose without an hour may be older."""
    given = scene.once(gifts)
    return tuple(s for s in samples if surely_before(given[-1].event, s.reading)) if given else samples


def _turning_point(samples: tuple[Sample, ...]) -> Sample:
    """The earlier reading against which the newest one moved: the highest it fell from, else the lowest."""
    last, earlier = samples[-1], samples[:-1]
    top = max(earlier, key=lambda s: s.low)
    if last.high < top.low:
        return top
    bottom = min(earlier, key=lambda s: s.high)
    return bottom if last.low > bottom.high else earlier[0]


def _end_of_fall(samples: tuple[Sample, ...], start: Sample) -> Sample:
    """The newest reading, or the lowest before it where it rose clear of that again: it did not fall to where it is."""
    last = samples[-1]
    since = samples[next(place for place, one in enumerate(samples) if one is start) + 1 :]
    lowest = min(reversed(since), key=lambda s: s.high)
    return lowest if last.low > lowest.high else last


def _direction(start: Sample, last: Sample) -> str:
    if last.high < start.low:
        return "falling"
    if last.low > start.high:
        return "rising"
    return "flat"


def run(scene: Scene, query: Query) -> Iterator[Fact]:
    """The newest readings in a row on one side of a level."""
    below, above = _number(query, "below", OPEN), _number(query, "above", -OPEN)
    rank = _number(query, "rank", 2)
    row: list[Sample] = []
    recent = _sampled(scene, query)
    for sample in reversed(_undosed(scene, recent) if query.get("undosed") == "yes" else recent):
        if sample.high > below or sample.low < above or sample.rank > rank:
            break
        row.insert(0, sample)
    if len(row) < _number(query, "times", 1):
        return
    span = hours_between(row[0].reading, row[-1].reading)
    if not _spans(row, _number(query, "hours", 0)):
        return
    yield scene.fact(
        "run", [s.reading for s in row], **_asked(query), first_day=row[0].day, last_day=row[-1].day,
        count=float(len(row)), span_hours=span.low, age_days=scene.age_days(row[-1].reading),
        first_age_days=scene.age_days(row[0].reading),
    )  # fmt: skip


def _spans(row: list[Sample], hours: float) -> bool:
    """Whether a row surely spans so many hours; two calendar days apart span a day, one apart with times."""
    if hours <= 0:
        return True
    first, last = row[0].reading, row[-1].reading
    if first.day is None or last.day is None:
        return False
    if first.at is not None and last.at is not None:
        return hours_between(first, last).low >= hours
    # Untimed tests on neighbouring days are "a day apart" by the custom of a test a day.
    return (last.day - first.day).days * 24 >= hours


def reached(scene: Scene, query: Query) -> Iterator[Fact]:
    """The first time that a level was reached: from above it, or down to one after having been above another.

    What was read before the vessel was drained and filled anew does not count.
    """
    above = _number(query, "above", -OPEN)
    below = _number(query, "below", -OPEN)
    samples = (s for s in _recent(scene, query) if scene.vessel.of_this_fill(s.reading))
    found = next((s for s in samples if s.low >= above), None)
    if found is not None and "below" in _asked(query):
        rank = _number(query, "rank", 2)
        found = next((s for s in samples if s.high <= below and s.rank <= rank), None)
    if found is not None:
        yield scene.fact(
            "reached", [found.reading], **_asked(query), day=found.day, written=found.written,
            age_days=scene.age_days(found.reading),
        )  # fmt: skip


def count(scene: Scene, query: Query) -> Iterator[Fact]:
    """How many events of a sort there were."""
    found = list(of_sort(scene, query))
    if found:
        yield scene.fact("count", found[::-1], **_asked(query), times=float(len(found)), last_day=iso(found[0].day))


def total(scene: Scene, query: Query) -> Iterator[Fact]:
    """Nitrogen given in mg N/L, or the share of the water that was changed, over the last days."""
    if query["of"] == "nitrogen":
        given = [g for g in scene.once(gifts) if scene.within(g.event, query["days"])]
        rises = [g.rise for g in given if g.rise]
        low, high = sum(r.low for r in rises), sum(r.high for r in rises)
        high = high if len(rises) == len(given) else OPEN
        found: list[ev.Base] = [g.event for g in given]
    else:
        changes = [w for w in scene.vessel.log(ev.Water) if w.action == "changed" and scene.within(w, query["days"])]
        kept = kept_by_changes(scene, changes)
        low, high, found = 1 - kept.high, 1 - kept.low, list(changes)
    if found:
        yield scene.fact("sum", dict.fromkeys(found), **_asked(query), low=low, high=high, times=float(len(found)))


def since(scene: Scene, query: Query) -> Iterator[Fact]:
    """Time since the last event of a sort."""
    last = next(of_sort(scene, query), None)
    if last is not None:
        hours = hours_since(last, scene.now)
        yield scene.fact(
            "since", [last], **_asked(query), day=iso(last.day), words=last.source.text, low=hours.low / 24,
            high=hours.high / 24, hours_low=hours.low, hours_high=hours.high, age_days=scene.age_days(last),
        )  # fmt: skip


def after(scene: Scene, query: Query) -> Iterator[Fact]:
    """The first reading that came surely so many hours after the last event of a sort."""
    last = next(of_sort(scene, query), None)
    if last is None:
        return
    for sample in scene.usable(str(query["analyte"])):
        hours = hours_between(last, sample.reading)
        if sample.reading.earliest >= last.latest and hours.low >= _number(query, "hours", 0):
            yield scene.fact(
                "after", [last, sample.reading], **_asked(query), **_reading(sample), rank=float(sample.rank),
                hours_low=hours.low, hours_high=hours.high,
            )  # fmt: skip
            return


def before(scene: Scene, query: Query) -> Iterator[Fact]:
    """The events of a sort in the days before a sign that is visible now began."""
    visible = [v for v in scene.vessel.signs if v.sign == query["sign"] and v.gone is None]
    if not visible or visible[-1].first.day is None:
        return
    first = visible[-1].first
    began = first.since[0] if first.since else first.day
    wide = Query(query.kind, tuple(p for p in query.parameters if p[0] != "days"))
    found = [one for one in of_sort(scene, wide) if one.day and began and one.day <= began]
    days = _number(query, "days", 0)
    near = [one for one in found if one.day and began and (began - one.day).days <= days]
    for nth, one in enumerate(near, start=1):
        assert one.day is not None
        assert began is not None
        yield scene.fact(
            "before", [one, first], **_asked(query), day=iso(one.day), words=one.source.text,
            days_before=float((began - one.day).days), nth=float(nth),
        )  # fmt: skip


def absent(scene: Scene, query: Query) -> Iterator[Fact]:
    """No event of a sort in the last days."""
    if next(of_sort(scene, query), None) is None:
        yield scene.fact("absent", **_asked(query))


WINDOWS: dict[str, Callable[[Scene, Query], Iterator[Fact]]] = {
    "latest": latest,
    "peak": peak,
    "trend": trend,
    "run": run,
    "reached": reached,
    "count": count,
    "sum": total,
    "since": since,
    "after": after,
    "before": before,
    "absent": absent,
    "suspect": suspect,
    "challenge": challenges,
    "both-clear": both_clear,
    "fed-proof": fed_proof,
    "untested": untested,
    "days-full": days_full,
    "spread": spread,
    "test-round": rounds,
    "novelties": novelties,
    "losses": losses,
    "lead": lead,
}
