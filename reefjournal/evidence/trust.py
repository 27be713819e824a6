"""What casts doubt on a reading: its neighbours in time, its kit, what went in and out between them."""

from __future__ import annotations

from collections.abc import Iterator

from reefjournal import events as ev
from reefjournal.evidence.nitrogen import gifts
from reefjournal.evidence.scene import OPEN, Sample, Scene, iso, reading_id
from reefjournal.evidence.water import changes_between, kept_by_changes
from reefjournal.facts import UNKNOWN, Fact, Property
from reefjournal.timeline import hours_between, surely_before

_LOOK_BACK_DAYS = 60.0
_NEIGHBOUR_DAYS = 7.0
_LAST_TESTS = 5


def readings(scene: Scene) -> list[Fact]:
    """One fact a reading of the last 60 days, with its neighbours of the same analyte."""
    found: list[Fact] = []
    for analyte in dict.fromkeys(one.analyte for one in scene.vessel.readings):
        own = [one for one in scene.vessel.readings if one.analyte == analyte]
        for place, one in enumerate(own):
            if scene.within(one, _LOOK_BACK_DAYS):
                found.append(_reading(scene, own, place))
    return found


def _reading(scene: Scene, own: list[ev.Reading], place: int) -> Fact:
    one = own[place]
    sample = scene._sample(one)
    before = _neighbour(scene, own[:place][::-1], one)
    after = _neighbour(scene, own[place + 1 :], one)
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
        recent_low=_recent_low(scene, own[:place], one),
        **around,
        **_kit(scene, one),
        **_nitrite_beside(scene, one),
    )


def _neighbour(scene: Scene, others: list[ev.Reading], one: ev.Reading) -> Sample | None:
    for other in others:
        if other.readable:
            near = max(hours_between(other, one).low, hours_between(one, other).low) <= _NEIGHBOUR_DAYS * 24
            return scene._sample(other) if near else None
    return None


def _recent_low(scene: Scene, earlier: list[ev.Reading], one: ev.Reading) -> float:
    """The highest low end of the readings of the week before."""
    near = [other for other in earlier if other.readable and hours_between(other, one).low <= _NEIGHBOUR_DAYS * 24]
    return max((scene._sample(other).low for other in near), default=UNKNOWN)


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
    between = [
        g for g in scene.once(gifts) if not surely_before(g.event, first) and not surely_before(last, g.event)
    ]
    return OPEN if any(g.rise is None for g in between) else float(sum(g.rise.high for g in between))


def _diluted(scene: Scene, first: ev.Reading | None, last: ev.Reading | None) -> float:
    """The largest share of water that may have been changed between two readings."""
    if first is None or last is None:
        return UNKNOWN
    return 1 - kept_by_changes(scene, changes_between(scene, first, last)).low


def _blank(scene: Scene, one: ev.Reading) -> float:
    blank = scene.blank_of(one)
    return blank.high if blank else 0.0


def _nitrite_beside(scene: Scene, one: ev.Reading) -> dict[str, Property]:
    """For a nitrate reading, the nitrite of the days around it, since nitrate tests turn nitrate into nitrite."""
    if one.analyte != "nitrate":
        return {}
    near = [
        scene._sample(other)
        for other in scene.vessel.readings
        if other.analyte == "nitrite" and other.readable and abs((other.earliest - one.earliest).days) <= 3
    ]
    if not near:
        return {}
    return {"nitrite_low": max(s.low for s in near), "nitrite_high": max(s.high for s in near)}


def kit_of(scene: Scene, analyte: str, name: str, moment: ev.Base | None = None) -> ev.KitDefined | None:
    """The kit in force for an analyte: the newest one by now, or by the day of a reading."""
    kits = [
        one
        for one in scene.state.everywhere(ev.KitDefined)
        if one.analyte == analyte
        and (not name or one.name == name)
        and (moment is None or one.earliest <= moment.latest)
    ]
    return kits[-1] if kits else None


def _kit(scene: Scene, one: ev.Reading) -> dict[str, Property]:
    kit = kit_of(scene, one.analyte, one.kit, one) if one.by == "home" else None
    expired = kit is not None and kit.expires is not None and one.day is not None and one.day > kit.expires
    never = _never_moves(scene, one.analyte, one.kit)
    return {
        "kit_expired": "yes" if expired else "no",
        "kit_proven": "yes" if _proven(scene, one.analyte, one.kit) else "no",
        "kit_never_moves": "yes" if never > 0 else "no",
        "kit_given": never,
    }


def _proven(scene: Scene, analyte: str, name: str) -> bool:
    """Whether the kit has ever been held against a known standard, another kit, a shop or a lab."""
    return any(
        one.analyte == analyte and one.kit == name and one.method in ("standard", "other kit", "shop", "lab")
        for one in scene.state.everywhere(ev.Check)
    )


def _never_moves(scene: Scene, analyte: str, name: str) -> float:
    """Nitrogen given, mg N/L, that an ammonia kit has not seen: two readings or more after it, all at the bottom."""
    if analyte != "ammonia":
        return 0.0
    given = scene.once(gifts)
    own = [one for one in scene.vessel.readings if one.analyte == "ammonia" and one.kit == name and one.by == "home"]
    samples = [scene._sample(one) for one in own if one.readable]
    if not given or any(s.rank > 0 for s in samples):
        return 0.0
    seen_after = [s for s in samples if any(surely_before(g.event, s.reading) for g in given)]
    rises = [g.rise.low for g in given if g.rise and any(surely_before(g.event, s.reading) for s in seen_after)]
    return float(sum(rises)) if len(seen_after) >= 2 else 0.0


def kits(scene: Scene) -> list[Fact]:
    """Each kit that was used here, as its own readings and checks show it."""
    used = dict.fromkeys((one.analyte, one.kit) for one in scene.vessel.readings if one.by == "home")
    return [_kit_fact(scene, analyte, name) for analyte, name in used]


def _kit_fact(scene: Scene, analyte: str, name: str) -> Fact:
    own = [one for one in scene.vessel.readings if (one.analyte, one.kit, one.by) == (analyte, name, "home")]
    last = own[-_LAST_TESTS:]
    kit = kit_of(scene, analyte, name)
    blank = scene.blanks.get((analyte, name))
    value = blank.value if blank else None
    expired = kit is not None and kit.expires is not None and kit.expires < scene.now.date()
    never = _never_moves(scene, analyte, name)
    return scene.fact(
        "kit",
        [kit, blank, *(one for one in last if not one.readable)],
        analyte=analyte,
        name=name,
        basis="unknown" if own[-1].basis == "unknown" else "known",
        expired="yes" if expired else "no",
        expires=iso(kit.expires) if kit else "",
        expires_days=float((kit.expires - scene.now.date()).days) if kit and kit.expires else UNKNOWN,
        proven="yes" if _proven(scene, analyte, name) else "no",
        never_moves="yes" if never > 0 else "no",
        blank_day=iso(blank.day) if blank else "",
        blank_low=value.low if value else UNKNOWN,
        blank_high=UNKNOWN if value is None else OPEN if value.high is None else value.high,
        blank_rank=float(value.rank) if value else UNKNOWN,
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
    if first is None or scene._sample(first).rank != 1:
        return 0
    count = 1
    for one in samples:
        if [v.written for v in one.readers] != [v.written for v in first.readers]:
            break
        count += 1
    return count
