"""Sorts of events as rules name them: ``of`` a kind, with a ``name`` and an ``action`` where given."""

from __future__ import annotations

from collections.abc import Iterator

from reefjournal import events as ev
from reefjournal.evidence.scene import Scene
from reefjournal.facts import Query
from reefjournal.timeline import Vessel

_MODELS: dict[str, type[ev.Base]] = {
    "reading": ev.Reading,
    "unreadable": ev.Reading,
    "dose": ev.Dose,
    "water": ev.Water,
    "gear": ev.Gear,
    "seen": ev.Seen,
    "stock": ev.Stock,
    "fed": ev.Fed,
    "check": ev.Check,
    "build": ev.Build,
    "treat": ev.Treat,
    "job": ev.Job,
    "unread": ev.Unread,
    "vessel": ev.VesselDefined,
    "kit": ev.KitDefined,
}
SORTS = frozenset(_MODELS)


def names_of(one: ev.Base) -> tuple[str, ...]:  # noqa: PLR0911 - a table of kinds
    """The words by which a rule may name an event."""
    match one:
        case ev.Reading() | ev.Check() | ev.KitDefined():
            return (one.analyte,)
        case ev.Dose():
            return (one.substance, one.role)
        case ev.Gear():
            return (one.device,)
        case ev.Seen():
            return (one.sign,)
        case ev.Stock():
            return (one.animal, one.group)
        case ev.Fed():
            return (one.food,)
        case ev.Treat():
            return (one.substance,)
        case ev.Build():
            return one.nouns
        case ev.VesselDefined():
            return (one.role,)
    return ()


def action_of(one: ev.Base) -> str:
    """What was done, in the word of the record."""
    match one:
        case ev.Check():
            return one.method
        case ev.Seen():
            return one.state
        case ev.Dose() | ev.Fed():
            return "stop" if one.stop else "given"
        case ev.Job():
            return "done" if one.done else "open"
    return str(getattr(one, "action", ""))


def _fits(one: ev.Base, query: Query, vessel: Vessel) -> bool:
    name, action = str(query.get("name")), str(query.get("action"))
    if isinstance(one, ev.Stock | ev.Water) and vessel.loses(one) and action not in ("moved", ""):
        return False
    return (not name or name in names_of(one)) and (not action or action == action_of(one))


def of_sort(scene: Scene, query: Query) -> Iterator[ev.Base]:
    """The events of the sort that a window asks for, newest first, within its ``days`` where it gives them."""
    sort = str(query["of"])
    if sort == "reading":
        found: list[ev.Base] = [one.reading for one in scene.sampled(str(query.get("name")))]
    elif sort == "unreadable":
        found = [one for one in scene.vessel.readings if not one.readable]
    else:
        found = list(scene.vessel.log(_MODELS[sort]))
    for one in reversed(found):
        if not scene.within(one, query.get("days", "")):
            return
        if _fits(one, query, scene.vessel):
            yield one
