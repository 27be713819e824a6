"""Binders of ammonia: how long one may be at work, so that what a test shows or does not show is not the filter's."""

from __future__ import annotations

from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Scene
from reefjournal.timeline import hours_between, surely_before

# Many a conditioner for tap water binds ammonia beside chlorine, and its name does not tell.
_ROLES = ("binder", "conditioner")
_AT_WORK_HOURS: Annotated[
    float,
    Believed("hours", "how long a binder may go on binding the ammonia that comes", "common practice", "1 to 2 days"),
] = 48.0


def binders_between(scene: Scene, first: ev.Base, last: ev.Base) -> list[ev.Dose]:
    """The doses of a binder that may have been at work at some time from one note to another."""
    given = (one for one in scene.once(_binders) if not surely_before(last, one))
    return [one for one in given if not _spent(scene, one, first)]


def _binders(scene: Scene) -> tuple[ev.Dose, ...]:
    return tuple(one for one in scene.vessel.log(ev.Dose) if one.role in _ROLES and not one.stop)


def _spent(scene: Scene, binder: ev.Dose, by: ev.Base) -> bool:
    """Whether a binder, or the last of a standing one, surely binds nothing any more at a note."""
    end = stop_of(scene, binder) if binder.every_day else binder
    return end is not None and surely_before(end, by) and hours_between(end, by).low >= _AT_WORK_HOURS


def stop_of(scene: Scene, begun: ev.Dose) -> ev.Dose | None:
    """The record that ends what was put in or is given every day; none where it goes on."""
    later = (one for one in scene.vessel.log(ev.Dose) if one.stop and surely_before(begun, one))
    return next((one for one in later if one.substance == begun.substance), None)
