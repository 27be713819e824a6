"""Stocking: what came in and what the tests said since, how the animals are, what is planned and by when."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from itertools import takewhile
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.life import GROUPS, additions
from reefjournal.evidence.scene import Sample, Scene, iso
from reefjournal.facts import UNKNOWN, Fact, Property, Query
from reefjournal.timeline import surely_before

TROUBLE = (
    "white spots on fish", "dust on fish", "rubbing", "gasping", "not eating", "listless", "sores", "fighting",
    "bleaching", "closed polyps",
)  # fmt: skip
"""Signs that say of some animal that it is not well."""
LISTED = ("stony coral", "acropora", "montipora", "euphyllia", "brain coral", "clam", "seahorse")
"""Protected by trade law, CITES appendix II: all stony corals, giant clams, seahorses (from memory)."""
NATURE = {
    "damselfish": "bold", "dottyback": "bold", "triggerfish": "bold", "hawkfish": "bold", "pufferfish": "bold",
    "lionfish": "bold", "eel": "bold", "dragonet": "late", "pipefish": "late", "seahorse": "late",
    "butterflyfish": "late", "anemone": "late",
}  # fmt: skip
"""Bold: takes a tank over; late: lives on what only an older tank grows (common practice)."""
_TESTED = ("ammonia", "nitrite")
_NAMELESS = ("fish", "coral", "animal", "invertebrate")
_SIZE = re.compile(r"\d\s*(?:cm|mm|in(?:ch(?:es)?)?)\b", re.IGNORECASE)
_PAPERS = re.compile(r"permit|invoice|certificate|papers?\b|captive|bred|cultured|aquacultured", re.IGNORECASE)
_LENGTHS: Annotated[
    float, Believed("lengths", "so many adult lengths of a fish a tank should be long", "common practice")
] = 6.0


def last_addition(scene: Scene) -> list[Fact]:
    """One fact a group of which something came: the newest addition, and what was tested and lost since."""
    return [_addition(scene, group, came) for group in GROUPS if (came := additions(scene, group))]


def _addition(scene: Scene, group: str, came: list[ev.Stock]) -> Fact:
    last = came[-1]
    days = sorted({one.day for one in came if one.day})
    lost = [one for one in _losses(scene, group) if not _before(one, last)]
    rows = {analyte: _since(scene, analyte, last) for analyte in _TESTED}
    tested = [row[0].reading for row in rows.values() if row]
    shown = scene.once(_shown)[:1]
    return scene.fact(
        "addition",
        [last, *tested, *lost, *(s.reading for s in shown)],
        group=group,
        day=iso(last.day),
        words=last.source.text,
        animal=last.animal,
        age_days=scene.age_days(last),
        times=float(len(days)),
        gap_days=float((days[-1] - days[-2]).days) if len(days) > 1 else UNKNOWN,
        lost=float(sum(one.count or 1 for one in lost)),
        lost_days=scene.age_days(lost[-1]) if lost else UNKNOWN,
        untested_days=max(map(scene.age_days, tested)) if len(tested) == len(rows) else scene.age_days(last),
        shown=", ".join(f"{s.reading.analyte} {s.written} ({s.day})" for s in shown),
        shown_days=min((scene.age_days(s.reading) for s in shown), default=UNKNOWN),
        **_clear(rows),
    )


def _clear(rows: dict[str, list[Sample]]) -> dict[str, Property]:
    """Of each analyte the days below detection without a break up to now, and the highest that there may have been."""
    clear = {analyte: list(takewhile(lambda s: s.rank == 0, row)) for analyte, row in rows.items()}
    days: dict[str, Property] = {f"{name}_days": float(len({s.day for s in row})) for name, row in clear.items()}
    return days | {f"{name}_high": max((s.high for s in row), default=UNKNOWN) for name, row in clear.items()}


def _before(one: ev.Base, other: ev.Base) -> bool:
    return one.day is not None and other.day is not None and one.day < other.day


def _since(scene: Scene, analyte: str, came: ev.Base) -> list[Sample]:
    """The usable readings of the days after the one on which something came, newest first."""
    return list(takewhile(lambda s: _before(came, s.reading), reversed(scene.usable(analyte))))


def _shown(scene: Scene) -> list[Sample]:
    """The newest readings of ammonia and of nitrite that were above detection, the newer one first."""
    rows = (reversed(scene.usable(analyte)) for analyte in _TESTED)
    newest = (next((s for s in row if s.rank > 0), None) for row in rows)
    return sorted((s for s in newest if s), key=lambda s: scene.age_days(s.reading))


def _losses(scene: Scene, group: str) -> list[ev.Stock]:
    """The records of animals of a group that died or went missing."""
    lost = (one for one in scene.vessel.log(ev.Stock) if one.action == "lost")
    return [one for one in lost if group in ("any", one.group)]


def losses(scene: Scene, query: Query) -> Iterator[Fact]:
    """How many animals of a group were lost in the last days."""
    found = [one for one in _losses(scene, str(query["group"])) if scene.within(one, query["days"])]
    if found:
        yield scene.fact(
            "losses", found, **dict(query.parameters), number=float(sum(one.count or 1 for one in found)),
            day=iso(found[-1].day), words=found[-1].source.text, age_days=scene.age_days(found[-1]),
        )  # fmt: skip


def health(scene: Scene) -> list[Fact]:
    """How the animals are, by the last word on it; unknown where nothing was written."""
    well = [one for one in scene.vessel.log(ev.Seen) if one.sign == "all well" and one.state != "gone"]
    bad = [spell for spell in scene.vessel.signs if spell.sign in TROUBLE]
    standing = [spell for spell in bad if spell.gone is None and not (well and _before(spell.last, well[-1]))]
    return [
        scene.fact(
            "health",
            [*well[-1:], *(spell.last for spell in standing or bad[-1:])],
            state="amiss" if standing else "well" if well else "",
            signs=", ".join(spell.sign for spell in standing),
            day=iso(well[-1].day) if well else "",
            age_days=scene.age_days(well[-1]) if well else UNKNOWN,
            trouble_days=min((scene.age_days(spell.last) for spell in bad), default=UNKNOWN),
        )
    ]


def arrivals(scene: Scene) -> list[Fact]:
    """The animals that are planned for this water, each with the day and what is known of them."""
    return [_arrival(scene, plan) for plan in _planned(scene)]


def _planned(scene: Scene) -> list[ev.Plan]:
    """The plans of animals that lie ahead, today's included, and that have not come yet."""
    animals = [one for one in scene.vessel.log(ev.Plan) if one.what == "animals" and one.first]
    newest = {one.animal: one for one in animals}
    return [one for one in newest.values() if one.first and one.first >= scene.now.date() and not _came(scene, one)]


def _came(scene: Scene, plan: ev.Plan) -> bool:
    """Whether an animal of the planned name came in after the plan was written."""
    since = [one for one in additions(scene, plan.group) if not surely_before(one, plan)]
    return any(_is(one.animal, plan.animal) or _is(plan.animal, one.animal) for one in since)


def _arrival(scene: Scene, plan: ev.Plan) -> Fact:
    assert plan.first is not None
    came = additions(scene, plan.group)
    gap = float((plan.first - came[-1].day).days) if came and came[-1].day else UNKNOWN
    size = scene.vessel.definition.size if scene.vessel.definition else None
    said = f"{plan.text} {plan.remark}"
    return scene.fact(
        "arrival",
        [plan],
        group=plan.group,
        animal=plan.animal,
        day=iso(plan.first),
        words=plan.source.text,
        held="yes" if _held(scene, plan.animal) else "no",
        listed="yes" if any(_is(plan.animal, name) for name in LISTED) else "no",
        nature=next((nature for name, nature in NATURE.items() if _is(plan.animal, name)), ""),
        named="no" if plan.animal in _NAMELESS else "yes",
        described="yes" if _SIZE.search(plan.remark) else "no",
        papers="yes" if _PAPERS.search(said) else "no",
        days_ahead=float((plan.first - scene.now.date()).days),
        count=float(plan.count) if plan.count is not None else UNKNOWN,
        gap_days=gap,
        longest_cm=size[0] / _LENGTHS if size else UNKNOWN,
    )


def _is(animal: str, name: str) -> bool:
    """Whether a name, described or not, is of a kind: "yellow watchman goby" is a goby."""
    return animal == name or animal.endswith(f" {name}")


def _held(scene: Scene, animal: str) -> bool:
    """Whether an animal of that name lives in a quarantine tank now."""
    tanks = (one for one in scene.state.vessels.values() if one.role == "quarantine" and one.name != scene.vessel.name)
    names = (name for tank in tanks for name, count in tank.life().counts.items() if count > 0)
    return any(_is(name, animal) or _is(animal, name) for name in names)


def lead(scene: Scene, query: Query) -> Iterator[Fact]:
    """What a planned animal needs so many days before it comes: by when, and how many days are left."""
    for plan in _planned(scene):
        assert plan.first is not None
        by = plan.first - timedelta(days=float(query["days"]))
        given: dict[str, Property] = {
            "group": plan.group, "animal": plan.animal, "held": "yes" if _held(scene, plan.animal) else "no",
        }  # fmt: skip
        yield scene.fact(
            "lead", [plan], **dict(query.parameters), **given, day=iso(plan.first), by=iso(by),
            words=plan.source.text, left=float((by - scene.now.date()).days),
        )  # fmt: skip
