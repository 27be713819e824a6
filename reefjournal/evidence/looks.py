"""What can be seen in the vessel, now and before."""

from __future__ import annotations

from datetime import timedelta

from reefjournal.evidence.scene import Scene, iso
from reefjournal.facts import UNKNOWN, Fact
from reefjournal.timeline import Visible

_FORGOTTEN_DAYS = 60
"""A sign that has been gone for so long is history."""


def signs(scene: Scene) -> list[Fact]:
    """Each sign's newest spell: visible or gone, and since when."""
    newest = {spell.sign: spell for spell in scene.vessel.signs}
    return [_sign(scene, spell) for spell in newest.values() if _fresh(scene, spell)]


def _fresh(scene: Scene, spell: Visible) -> bool:
    return spell.gone is None or scene.age_days(spell.gone) <= _FORGOTTEN_DAYS


def _sign(scene: Scene, spell: Visible) -> Fact:
    first, last = spell.first, spell.last
    began = first.since or ((first.day, first.day) if first.day else None)
    today = scene.now.date()
    return scene.fact(
        "sign",
        dict.fromkeys([first, last]),
        name=spell.sign,
        state="gone" if spell.gone else "visible",
        strength=last.strength or first.strength,
        place=last.where or first.where,
        day=iso(began[0]) if began else "",
        low=float((today - began[1]) / timedelta(days=1)) if began else UNKNOWN,
        high=float((today - began[0]) / timedelta(days=1)) if began else UNKNOWN,
        seen_days=scene.age_days(last),
        gone_days=scene.age_days(spell.gone) if spell.gone else UNKNOWN,
    )
