"""What can be seen in the vessel, now and before."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Scene, iso
from reefjournal.facts import UNKNOWN, Fact
from reefjournal.timeline import Visible

_FORGOTTEN_DAYS: Annotated[
    int, Believed("days", "a sign that has been gone for so long is history", "our judgement")
] = 60
_GRAZED = ("brown dusting", "green film", "hair algae", "detritus")
"""What a clean-up crew lives on."""
NO_GROWTH = {
    "animals": (
        "white spots on fish", "dust on fish", "rubbing", "gasping", "not eating", "eating", "listless", "sores",
        "fighting", "bleaching", "closed polyps", "open polyps", "dead animal", "many dead", "dying animal", "all well",
    ),
    "people": ("cut hand", "skin lump", "sting", "feeling ill"),
    "mishap": (
        "leak", "condensation", "rust", "stray voltage", "power cut", "stuck heater", "contaminant", "uneaten food",
        "skimmer overflow", "rotten smell", "egg smell",
    ),
}  # fmt: skip
"""Signs of something else than what grows in the water or clouds it, by their sort."""
_SORTS = {name: sort for sort, names in NO_GROWTH.items() for name in names}
_HOURS = re.compile(r"(\d{1,2}(?:[.,]\d)?)\s*h(?:ours?)?\b")


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
        sort=_SORTS.get(spell.sign, "growth"),
        state="gone" if spell.gone else "visible",
        strength=last.strength or first.strength,
        place=last.where or first.where,
        day=iso(began[0]) if began else "",
        low=float((today - began[1]) / timedelta(days=1)) if began else UNKNOWN,
        high=float((today - began[0]) / timedelta(days=1)) if began else UNKNOWN,
        seen_days=scene.age_days(last),
        gone_days=scene.age_days(spell.gone) if spell.gone else UNKNOWN,
    )


def grazing(scene: Scene) -> list[Fact]:
    """Whether anything grows that grazers eat, and if it is gone, since when."""
    spells = [spell for spell in scene.vessel.signs if spell.sign in _GRAZED]
    visible = [spell for spell in spells if spell.gone is None]
    ends = [spell.gone for spell in spells if spell.gone]
    last = max(ends, key=lambda one: one.earliest, default=None)
    return [
        scene.fact(
            "grazing",
            [spell.last for spell in visible] or [last],
            state="visible" if visible else "gone" if last else "",
            names=", ".join(spell.sign for spell in visible),
            day=iso(last.day) if last else "",
            days=0.0 if visible else scene.age_days(last) if last else UNKNOWN,
        )
    ]


def light(scene: Scene) -> list[Fact]:
    """The lights as they were last set."""
    last = scene.vessel.gear.get("lights")
    if last is None:
        return []
    timed = next((one for one in reversed(_lit(scene)) if _HOURS.search(one.setting)), None)
    found = _HOURS.search(timed.setting) if timed else None
    return [
        scene.fact(
            "light",
            dict.fromkeys([last, timed]),
            state="off" if last.action in ("off", "removed") else "on",
            day=iso(last.day),
            hours=float(found[1].replace(",", ".")) if found else UNKNOWN,
            days=scene.age_days(last),
        )
    ]


def _lit(scene: Scene) -> list[ev.Gear]:
    return [one for one in scene.vessel.log(ev.Gear) if one.device == "lights"]
