"""What came before: for a sign that is visible or a reading that moved, the changes in the days before it, weighed.

A rule asks with a table of its own: which changes often come before this (``strong``), which at times (``medium``), and
for which the order in time alone speaks (``weak``). Each entry is ``kind/name/action`` as in the windows, entries are
separated by commas: ``gear/skimmer/off, dose/tissue``. A change weighs 3, 2 or 1 by its list, and up to 1 more the
nearer it lies. One that was made twice and more before without the sign following weighs 1 less.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Annotated, NamedTuple

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Sample, Scene, iso
from reefjournal.evidence.sorts import SORTS, action_of, names_of, of_sort
from reefjournal.facts import Fact, Query
from reefjournal.timeline import Visible, surely_before

_LISTS = ("strong", "medium", "weak")
_LINKS = {3: "often found before it", 2: "found before it at times", 1: "here only the order in time speaks for it"}
_SPARED: Annotated[
    int, Believed("times", "so often a change must have passed without the sign to weigh less", "common practice")
] = 2
_TOLD_DAYS: Annotated[int, Believed("days", "so long ago may a reading have moved to be told of", "our judgement")] = 7
_SIGN_DAYS: Annotated[int, Believed("days", "a sign that began longer ago is no news any more", "our judgement")] = 60
_SEEN_DAYS: Annotated[
    int, Believed("days", "a sign that nobody has written of for longer is no news either", "our judgement")
] = 21
_MOST_RIVALS: Annotated[int, Believed("changes", "other changes that are named beside the first", "our judgement")] = 3


class Episode(NamedTuple):
    """A sign or a move of a reading from its first day to its last, ``None`` while it holds on, and its notes."""

    began: date
    ended: date | None
    notes: tuple[ev.Base, ...]
    direction: str = ""
    words: tuple[str, str] = ("", "")


class Change(NamedTuple):
    """Something that was done or came before an episode, the list it stands in, and what it weighs."""

    event: ev.Base
    days_before: int
    weight: float
    spared: int

    @property
    def told(self) -> str:
        """The note, its day, and how long before that was."""
        days = self.days_before
        when = "the same day" if days == 0 else f"{days} day{'s' * (days > 1)} before"
        return f'"{self.event.source.text}" ({iso(self.event.day)}, {when})'


def suspect(scene: Scene, query: Query) -> Iterator[Fact]:
    """What came before a sign that is visible now, or before the newest move of a reading: the weightiest first."""
    episodes = _episodes(scene, query)
    if not episodes or episodes[-1].ended is not None:
        return
    now = episodes[-1]
    changes = _changes(scene, query, episodes, now)
    if not changes:
        return
    first = changes[0]
    rivals = [one for one in changes[1:] if int(one.weight) == int(first.weight)]
    lesser = [one for one in changes[1:] if one not in rivals]
    yield scene.fact(
        "suspect",
        dict.fromkeys([*now.notes, *(one.event for one in changes[: _MOST_RIVALS + 1])]),
        **dict(query.parameters),
        began=iso(now.began),
        direction=now.direction,
        from_written=now.words[0],
        written=now.words[1],
        change=first.told,
        link=_LINKS[max(1, int(first.weight))],
        more=_beside(rivals, lesser) + _spared(first) + _again(scene, query, episodes),
        days_before=float(first.days_before),
        weight=first.weight,
        rivals=float(len(rivals)),
        spared=float(first.spared),
        times=float(len(episodes)),
    )


def _beside(rivals: Sequence[Change], lesser: Sequence[Change]) -> str:
    """The other changes: those of the same weight, from which it can't be told apart, else those of less."""
    if rivals:
        told = ", ".join(one.told for one in rivals[:_MOST_RIVALS])
        return f" As much speaks for {told}; they can't be told apart. Undo the easiest first and wait for three looks."
    if lesser:
        return f" Less speaks for {', '.join(one.told for one in lesser[:_MOST_RIVALS])}."
    return " Nothing else that is known for it was noted in those days."


def _spared(first: Change) -> str:
    times = f"{first.spared} times" if first.spared > 1 else "once"
    return f" The same was noted {times} before, and nothing came of it." if first.spared else ""


def _again(scene: Scene, query: Query, episodes: Sequence[Episode]) -> str:
    """The last time that it was there, what came before it then, and when it was over."""
    earlier = [one for one in episodes[:-1] if one.ended is not None]
    if not earlier:
        return ""
    last = earlier[-1]
    assert last.ended is not None
    changes = _changes(scene, query, episodes, last)
    after = f", after {changes[0].told}" if changes else ""
    days = (last.ended - last.began).days
    return f" It was there before, from {iso(last.began)} to {iso(last.ended)} ({days} day{'s' * (days != 1)}){after}."


def _changes(scene: Scene, query: Query, episodes: Sequence[Episode], now: Episode) -> list[Change]:
    """The changes in the window before an episode, the weightiest first, each kind of change and each note once."""
    found: dict[tuple[object, ...], Change] = {}
    for link, name in enumerate(reversed(_LISTS), start=1):
        for entry in str(query.get(name)).split(","):
            for one in _of_entry(scene, entry.strip(), query, episodes, now):
                kind = (type(one.event), names_of(one.event), action_of(one.event))
                weighed = one._replace(weight=one.weight + link)
                if kind not in found or found[kind].weight < weighed.weight:
                    found[kind] = weighed
    ranked = sorted(found.values(), key=lambda one: (-one.weight, one.days_before, one.event.source.line))
    # One line may tell of several animals that came; it is quoted whole, so it is named once.
    told: dict[str, Change] = {}
    for change in ranked:
        told.setdefault(change.told, change)
    return list(told.values())


def _of_entry(scene: Scene, entry: str, query: Query, episodes: Sequence[Episode], now: Episode) -> Iterator[Change]:
    """The changes that one entry of a list names, weighed by how near they lie alone."""
    parts = zip(("of", "name", "action"), entry.split("/"), strict=False)
    sort = Query("suspect", tuple((name, part) for name, part in parts if part))
    if sort.get("of") not in SORTS:
        return
    days = int(float(query["days"]))
    for event in of_sort(scene, sort):
        before = (now.began - event.day).days if event.day else -1
        if before > days:
            return
        over = isinstance(event, ev.Seen) and event.state == "gone" and not sort.get("action")
        if before >= 0 and not over and not surely_before(now.notes[0], event):
            spared = _without(scene, sort, episodes, days)
            nearness = 1 - (before + 1) / (days + 2)
            yield Change(event, before, nearness - (spared >= _SPARED), spared)


def _without(scene: Scene, sort: Query, episodes: Sequence[Episode], days: int) -> int:
    """On how many days such a change came without an episode that began within the window behind it."""
    window = timedelta(days=days)
    came = {one.day for one in of_sort(scene, sort) if one.day and one.day < episodes[-1].began - window}
    return sum(not any(day <= one.began <= day + window for one in episodes) for day in came)


def _episodes(scene: Scene, query: Query) -> list[Episode]:
    """Every time that a sign was there, or a reading moved by as much as ``by``; the last may be going on."""
    symptom, by = str(query["symptom"]), query.get("by", "")
    if isinstance(by, float):
        return _of_reading(scene, symptom, float(query["days"]), by)
    spells = [spell for spell in scene.vessel.signs if spell.sign == symptom and spell.first.day]
    newest = spells[-1] if spells else None
    fresh = newest and scene.within(newest.first, float(_SIGN_DAYS)) and scene.within(newest.last, float(_SEEN_DAYS))
    return [_of_sign(spell) for spell in spells] if fresh else []


def _of_reading(scene: Scene, symptom: str, days: float, by: float) -> list[Episode]:
    """The moves of a reading, where the newest is going on and began in these days."""
    analyte, _, way = symptom.rpartition(" ")
    if way not in ("up", "down"):
        analyte, way = symptom, ""
    samples = scene.usable(analyte)
    recent = [one for one in samples if scene.within(one.reading, _TOLD_DAYS + days)]
    for sign in _signs(way):
        now = _moves(recent, days, by, sign)
        if now and now[-1].ended is None and scene.within(now[-1].notes[0], float(_TOLD_DAYS)):
            return [*_moves(samples, days, by, sign)[:-1], now[-1]]
    return []


def _signs(way: str) -> tuple[int, ...]:
    return (1,) if way == "up" else (-1,) if way == "down" else (1, -1)


def _of_sign(spell: Visible) -> Episode:
    began = spell.first.since[0] if spell.first.since else spell.first.day
    assert began is not None
    return Episode(began, spell.gone.day if spell.gone else None, (spell.first,))


def _moves(samples: Sequence[Sample], days: float, by: float, sign: int) -> list[Episode]:
    """Each move of a reading away from where it was in the days before, until it came back."""
    found: list[Episode] = []
    start: Sample | None = None
    for place, one in enumerate(samples):
        if start is not None and not _clear(start, one, by, sign):
            found[-1] = found[-1]._replace(ended=one.reading.day)
            start = None
        if start is None and (start := _from(samples[:place], one, days, by, sign)):
            assert one.reading.day is not None
            words = (start.written, one.written)
            notes = (one.reading, start.reading)
            found.append(Episode(one.reading.day, None, notes, "rose" if sign > 0 else "fell", words))
    return found


def _clear(start: Sample, one: Sample, by: float, sign: int) -> bool:
    """Whether a reading lies surely so far above (``sign`` 1) or below (-1) another."""
    apart = one.low - start.high if sign > 0 else start.low - one.high
    return round(apart, 4) >= by


def _from(earlier: Sequence[Sample], one: Sample, days: float, by: float, sign: int) -> Sample | None:
    """The newest reading of the days before from which a reading moved."""
    for start in reversed(earlier):
        assert start.reading.day is not None
        assert one.reading.day is not None
        if (one.reading.day - start.reading.day).days > days:
            return None
        if _clear(start, one, by, sign):
            return start
    return None
