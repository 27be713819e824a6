"""How long a filter went without food or ammonia."""

from __future__ import annotations

from datetime import date

from reefjournal import events as ev
from reefjournal.evidence.life import standing_rations
from reefjournal.evidence.nitrogen import gifts
from reefjournal.evidence.scene import Scene
from reefjournal.facts import UNKNOWN


def longest_fast(scene: Scene, since: ev.Base) -> float:
    """The longest time in days without a source of nitrogen from a note to now; a standing ration is a source."""
    if since.day is None:
        return UNKNOWN
    today = scene.now.date()
    given = [(g.event.day, g.event.day) for g in scene.once(gifts) if g.event.day]
    return float(longest_gap([*given, *meals(scene)], since.day, today))


def meals(scene: Scene) -> list[tuple[date, date]]:
    """The first and last day of each feeding by now."""
    fed = (one for one in scene.vessel.log(ev.Fed) if one.grams is None or one.grams.high > 0)
    single = [one.day for one in fed if one.day and not (one.stop or one.every_day)]
    return [(day, day) for day in single] + standing_rations(scene)


def longest_gap(spans: list[tuple[date, date]], first: date, last: date) -> int:
    """The longest time in days between two days that no span of days touches."""
    longest, until = 0, first
    for begin, end in sorted([*spans, (last, last)]):
        longest = max(longest, (min(begin, last) - until).days)
        until = max(until, min(end, last))
    return longest
