"""What casts doubt on a reading: its neighbours in time, its kit, what went in and out between them."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.nitrogen import gifts
from reefjournal.evidence.scene import BLANK_HOLDS_DAYS, OPEN, Sample, Scene, iso, reading_id
from reefjournal.evidence.water import changes_between, kept_by_changes
from reefjournal.facts import UNKNOWN, Fact, Property
from reefjournal.quantities import Interval
from reefjournal.timeline import hours_between, surely_before

SETTLED_DAYS: Annotated[
    int, Believed("days", "a reading this old has its neighbours: what was judged of it stays so", "our judgement")
] = 8
_OTHERS_DAYS: Annotated[
    int, Believed("days", "how far back readings are judged that no cycle rests on", "our judgement")
] = 14
_NEIGHBOUR_DAYS: Annotated[
    float, Believed("days", "how far off the readings may be that a reading is held against", "our judgement")
] = 7.0
_ROTS_DAYS: Annotated[
    int, Believed("days", "how long rotting tissue gives off nitrogen that nobody weighed", "common practice")
] = 14
_NITRITE_DAYS: Annotated[
    int, Believed("days", "how far off a nitrite reading may be that speaks for a nitrate test", "our judgement")
] = 3
_LAST_TESTS: Annotated[int, Believed("tests", "the last of a kit that are looked at together", "our judgement")] = 5
_KIT_TESTS: Annotated[int, Believed("tests", "of a kit that are looked back on at most", "our judgement")] = 50
_CYCLE = ("ammonia", "nitrite", "nitrate")


def readings(scene: Scene, days: int | None = None) -> list[Fact]:
    """One fact a reading, with its neighbours of the same analyte.

    The readings that a cycle rests on come as far back as they go, or ``days`` back; the others of the last weeks.
    """
    found: list[Fact] = []
    for analyte, own in scene.once(_by_analyte).items():
        back = days if analyte in _CYCLE else _OTHERS_DAYS
        for place in range(len(own) - 1, -1, -1):
            if back is not None and scene.age_days(own[place]) > back:
                break
            found.append(_reading(scene, own, place))
    return found


def _by_analyte(scene: Scene) -> dict[str, tuple[ev.Reading, ...]]:
    return {analyte: scene.vessel.readings_of(analyte) for analyte in scene.vessel.analytes}


def _reading(scene: Scene, own: tuple[ev.Reading, ...], place: int) -> Fact:
    one = own[place]
    sample = scene.sample(one)
    before, after = _neighbour(scene, own, place, -1), _neighbour(scene, own, place, +1)
    around = {**_beside("before", before, one), **_beside("after", after, one)}
    return scene.fact(
        "reading",
        [one, *(s.reading for s in (before, after) if s)],
        id=reading_id(one),
        analyte=one.analyte,
        readable="yes" if one.readable else "no",
        kit=one.kit,
        by=one.by,
        day=iso(one.day),
        written=sample.written,
        basis=one.basis,
        low=sample.low,
        high=sample.high,
        rank=float(sample.rank),
        age_days=scene.age_days(one),
        readers_apart=_apart(one),
        dosed_since=_given(scene, before.reading if before else None, one),
        dilution_since=_diluted(scene, before.reading if before else None, one),
        dilution_after=_diluted(scene, one, after.reading if after else None),
        dosed_after=_given(scene, one, after.reading if after else None),
        blank_high=_blank(scene, one),
        recent_low=_recent_low(scene, own, place),
        **around,
        **_kit(scene, one),
        **_nitrite_beside(scene, one),
    )


def _neighbour(scene: Scene, own: tuple[ev.Reading, ...], place: int, step: int) -> Sample | None:
    """The nearest readable reading on one side, not further off than a week."""
    one = own[place]
    place += step
    while 0 <= place < len(own) and abs((own[place].earliest - one.earliest).days) <= _NEIGHBOUR_DAYS:
        if own[place].readable:
            return scene.sample(own[place])
        place += step
    return None


def _recent_low(scene: Scene, own: tuple[ev.Reading, ...], place: int) -> float:
    """The highest low end of the readings of the week before."""
    lows = []
    for at in range(place - 1, -1, -1):
        if (own[place].earliest - own[at].earliest).days > _NEIGHBOUR_DAYS:
            break
        lows += [scene.sample(own[at]).low] if own[at].readable else []
    return max(lows, default=UNKNOWN)


def _beside(side: str, other: Sample | None, one: ev.Reading) -> dict[str, Property]:
    if other is None:
        return {}
    hours = max(hours_between(other.reading, one).high, hours_between(one, other.reading).high)
    return {f"{side}_low": other.low, f"{side}_high": other.high, f"hours_{side}": hours,
            f"{side}_written": other.written, f"{side}_day": other.day}  # fmt: skip


def _apart(one: ev.Reading) -> float:
    """How far apart independent readers are: the gap between their intervals, 0 where all overlap."""
    read = [value for value in one.readers if value.readable]
    if len(read) < 2:
        return 0.0
    return max(0.0, max(v.low for v in read) - min(v.high if v.high is not None else OPEN for v in read))


def _given(scene: Scene, first: ev.Reading | None, last: ev.Reading | None) -> float:
    """The most nitrogen, mg N/L, that may have been given between two readings; unknown amounts count as much."""
    if first is None or last is None:
        return UNKNOWN
    if _rots(scene, last):
        return OPEN
    between = [
        g for g in scene.once(gifts) if not surely_before(g.event, first) and not surely_before(last, g.event)
    ]
    return OPEN if any(g.rise is None for g in between) else float(sum(g.rise.high for g in between))


def _rots(scene: Scene, one: ev.Reading) -> bool:
    """Whether tissue that went in before a reading may still give off nitrogen, so much as nobody knows."""
    tissue = [gift.event for gift in scene.once(gifts) if gift.event.role == "tissue"]
    return any(not surely_before(one, gift) and (one.earliest - gift.earliest).days <= _ROTS_DAYS for gift in tissue)


def _diluted(scene: Scene, first: ev.Reading | None, last: ev.Reading | None) -> float:
    """The largest share of water that may have been changed between two readings."""
    if first is None or last is None:
        return UNKNOWN
    return 1 - kept_by_changes(scene, changes_between(scene, first, last)).low


def _blank(scene: Scene, one: ev.Reading) -> float:
    blank = scene.blank_of(one)
    return blank.high if blank else 0.0


def _nitrite_beside(scene: Scene, one: ev.Reading) -> dict[str, Property]:
    """For a nitrate reading the nearest nitrite of these days, since nitrate tests turn nitrate into nitrite."""
    if one.analyte != "nitrate":
        return {}
    nitrites = [other for other in scene.once(_by_analyte).get("nitrite", ()) if other.readable]
    places = scene.once(_nitrite_moments)
    at = bisect_left(places, one.earliest)
    near = sorted(nitrites[max(0, at - 4) : at + 4], key=lambda other: abs(other.earliest - one.earliest))
    if not near or abs((near[0].earliest - one.earliest).days) > _NITRITE_DAYS:
        return {}
    sample = scene.sample(near[0])
    return {"nitrite_low": sample.low, "nitrite_high": sample.high}


def _nitrite_moments(scene: Scene) -> list[datetime]:
    return [other.earliest for other in scene.once(_by_analyte).get("nitrite", ()) if other.readable]


def kit_of(scene: Scene, analyte: str, name: str, moment: ev.Base | None = None) -> ev.KitDefined | None:
    """The kit in force for an analyte: the newest one by now, or by the day of a reading."""
    kits = [
        one
        for one in scene.once(_kits)
        if one.analyte == analyte
        and (not name or one.name == name)
        and (moment is None or one.earliest <= moment.latest)
    ]
    return kits[-1] if kits else None


def _kits(scene: Scene) -> tuple[ev.KitDefined, ...]:
    return scene.state.everywhere(ev.KitDefined)


def _kit(scene: Scene, one: ev.Reading) -> dict[str, Property]:
    kit = kit_of(scene, one.analyte, one.kit, one) if one.by == "home" else None
    expired = kit is not None and kit.expires is not None and one.day is not None and one.day > kit.expires
    never = scene.once(_blind).get(one.kit, 0.0) if one.analyte == "ammonia" and one.by == "home" else 0.0
    return {
        "kit_expired": "yes" if expired else "no",
        "kit_proven": "yes" if (one.analyte, one.kit) in scene.once(proofs) else "no",
        "kit_never_moves": "yes" if never > 0 else "no",
        "kit_given": never,
    }


def proofs(scene: Scene) -> frozenset[tuple[str, str]]:
    """The kits that were ever borne out by a known standard, another kit, a shop or a lab."""
    return frozenset((one.analyte, one.kit) for one in scene.once(_holds) if _bears_out(scene, one))


def _holds(scene: Scene) -> tuple[ev.Check, ...]:
    """The checks that hold a kit against something else, as far as they could be read, in time order."""
    methods = ("standard", "other kit", "shop", "lab")
    checks = (one for one in scene.state.everywhere(ev.Check) if one.method in methods)
    return tuple(one for one in checks if one.value is not None and one.value.readable)


def _bears_out(scene: Scene, check: ev.Check) -> bool:
    """Whether a check speaks for a kit: within a factor of two of what it should show, and that more than nothing.

    What another test shows is held against the kit's own readings of these days, where there are any.
    """
    value = check.value
    if value is None or not value.readable or value.rank == 0:
        return False
    high = OPEN if value.high is None else value.high
    wanted = [check.expected] if check.expected else _near(scene, check)
    return all(one.low <= 2 * high and value.low <= 2 * one.high for one in wanted)


def _near(scene: Scene, check: ev.Check) -> list[Interval]:
    """What a kit itself showed within a day of a check."""
    own = _own(scene, check.analyte, check.kit)
    day = timedelta(days=1)
    return [Interval(s.low, s.high) for s in own if abs(s.reading.earliest - check.earliest) < day]


def _own(scene: Scene, analyte: str, kit: str) -> list[Sample]:
    return [s for s in scene.usable(analyte) if s.reading.by == "home" and s.reading.kit == kit]


def _has_shown(scene: Scene, analyte: str, kit: str) -> bool:
    """Whether a kit ever showed something: where it did, one of its last tests mostly tells."""
    return any(s.rank > 0 and s.reading.by == "home" and s.reading.kit == kit for s in scene.backwards(analyte))


def _failed(scene: Scene) -> frozenset[tuple[str, str]]:
    """The kits that did not show their newest known standard, or far less than another test showed since."""
    newest = {(one.analyte, one.kit): one for one in scene.once(_holds)}
    return frozenset(
        kit for kit, one in newest.items()
        if (not _bears_out(scene, one) if one.method == "standard" else _outdone(scene, one))
    )  # fmt: skip


def _outdone(scene: Scene, check: ev.Check) -> bool:
    """Whether another test shows more than twice of what the kit showed at most."""
    value = check.value
    return value is not None and value.rank > 0 and any(value.low > 2 * one.high for one in _near(scene, check))


def _blind(scene: Scene) -> dict[str, float]:
    """Ammonia kits that saw nothing in two readings or more after nitrogen was given, and how much that was, mg N/L."""
    given = scene.once(gifts)
    found: dict[str, float] = {}
    own: dict[str, list[Sample]] = {}
    for one in scene.once(_by_analyte).get("ammonia", ()):
        if one.by == "home" and one.readable:
            own.setdefault(one.kit, []).append(scene.sample(one))
    for name, samples in own.items():
        if given and not any(s.rank > 0 for s in samples):
            after = [s for s in samples if surely_before(given[0].event, s.reading)]
            rises = [g.rise.low for g in given if g.rise and after and surely_before(g.event, after[-1].reading)]
            found[name] = float(sum(rises)) if len(after) >= 2 else 0.0
    return found


def kits(scene: Scene) -> list[Fact]:
    """Each kit that was used here, as its own readings and checks show it."""
    used: dict[tuple[str, str], list[ev.Reading]] = {}
    for analyte, own in scene.once(_by_analyte).items():
        for one in own[-_KIT_TESTS:]:
            if one.by == "home":
                used.setdefault((analyte, one.kit), []).append(one)
    return [_kit_fact(scene, analyte, name, own) for (analyte, name), own in used.items()]


def _kit_fact(scene: Scene, analyte: str, name: str, own: list[ev.Reading]) -> Fact:
    last = own[-_LAST_TESTS:]
    kit = kit_of(scene, analyte, name)
    blank, denied = scene.blanks.get((analyte, name)), scene.denied_blanks.get((analyte, name))
    value = blank.value if blank else None
    expired = kit is not None and kit.expires is not None and kit.expires < scene.now.date()
    never = scene.once(_blind).get(name, 0.0) if analyte == "ammonia" else 0.0
    return scene.fact(
        "kit",
        [kit, blank, denied, *(one for one in last if not one.readable)],
        analyte=analyte,
        name=name,
        basis="unknown" if own[-1].basis == "unknown" else "known",
        expired="yes" if expired else "no",
        expires=iso(kit.expires) if kit else "",
        expires_days=float((kit.expires - scene.now.date()).days) if kit and kit.expires else UNKNOWN,
        proven="yes" if (analyte, name) in scene.once(proofs) else "no",
        failed="yes" if (analyte, name) in scene.once(_failed) else "no",
        has_shown="yes" if _has_shown(scene, analyte, name) else "no",
        never_moves="yes" if never > 0 else "no",
        blank_day=iso(blank.day) if blank else "",
        denied_blank=iso(denied.day) if denied else "",
        blank_low=value.low if value else UNKNOWN,
        blank_high=UNKNOWN if value is None else OPEN if value.high is None else value.high,
        blank_rank=float(value.rank) if value else UNKNOWN,
        blank_left=BLANK_HOLDS_DAYS - scene.age_days(blank) if blank and value and value.rank else UNKNOWN,
        unreadable=float(sum(not one.readable for one in last)),
        unreadable_now="no" if last[-1].readable else "yes",
        tests=float(len(own)),
        last_days=scene.age_days(own[-1]),
        same_times=float(_same(scene, own)),
    )


def _same(scene: Scene, own: list[ev.Reading]) -> int:
    """How many of the newest readings in a row show the same small value, neither nothing nor more."""
    samples: Iterator[ev.Reading] = (one for one in reversed(own) if one.readable)
    first = next(samples, None)
    if first is None or scene.sample(first).rank != 1:
        return 0
    count = 1
    for one in samples:
        if [v.written for v in one.readers] != [v.written for v in first.readers]:
            break
        count += 1
    return count
