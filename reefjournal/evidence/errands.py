"""Jobs, and lines that were not understood."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Scene, iso
from reefjournal.facts import UNKNOWN, Fact

_SOON_DAYS: Annotated[int, Believed("days", "a job due within this time is spoken of", "our judgement")] = 7
_NEVER_DAYS: Annotated[
    float, Believed("days", "a job that comes round later than this never does", "our judgement")
] = 36500.0


def jobs(scene: Scene) -> list[Fact]:
    """Open jobs, each once, with its next due day; a repeated job is open again when its days have passed."""
    newest: dict[str, ev.Job] = {}
    first: dict[str, ev.Job] = {}
    for one in scene.state.everywhere(ev.Job):
        key = one.text.casefold()
        first.setdefault(key, one)
        newest[key] = one
    return [fact for key, one in newest.items() for fact in _job(scene, first[key], one)]


def _job(scene: Scene, first: ev.Job, last: ev.Job) -> list[Fact]:
    every = last.every_days or first.every_days
    done = last.done_on or (last.day if last.done else None)
    if last.done and not every:
        return []
    due = _again(done, every) if every and done else last.due or first.due
    ahead = float((due - scene.now.date()).days) if due else UNKNOWN
    return [
        scene.fact(
            "job",
            dict.fromkeys([first, last]),
            text=last.text,
            state="waiting" if last.after and due is None else _state(scene.now.date(), due),
            due=iso(due),
            after=last.after or first.after,
            days_ahead=ahead,
        )
    ]


def _again(done: date, every: float) -> date | None:
    """The day on which a repeated job comes round again; none where no keeper lives to see it."""
    return done + timedelta(days=every) if every <= _NEVER_DAYS else None


def _state(today: date, due: date | None) -> str:
    if due is None:
        return "open"
    if due < today:
        return "overdue"
    return "due" if (due - today).days <= _SOON_DAYS else "open"


def undated(scene: Scene) -> list[Fact]:
    """Records of no day that could change what is thought of the water: they are doubts until they have one."""
    return [
        scene.fact("undated", [one], text=one.source.text, about=str(getattr(one, "kind", "")))
        for one in scene.vessel.undated
        if not isinstance(one, ev.Mention)
    ]


def unread(scene: Scene) -> list[Fact]:
    """Lines that were not understood: the dated ones by now, and all undated ones."""
    return [
        scene.fact(
            "unread", [one], text=one.text, why=one.why, may_name=", ".join(one.may_name), day=iso(one.day),
            age_days=scene.age_days(one),
        )
        for one in scene.state.everywhere(ev.Unread)
    ]  # fmt: skip
