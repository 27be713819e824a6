"""What is different between two advices on one vessel, and which note lines between them it rests on.

Pure data in, pure data out. A change that no new line explains came with the passing of time: a test grew old, a
waiting time was over.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import date, datetime
from typing import Literal, TypeVar

from reefjournal.advisor.advice import Action, Advice, Because, Doubt, Finding, Frozen, GateRow, GrowthRow, NoteLine

Told = TypeVar("Told", Finding, Action, Doubt)


class StageChange(Frozen):
    """A track that moved on; null where it had not begun, or is told no more."""

    track: str
    before: str | None
    after: str | None
    because: Because


class NextChange(Frozen):
    """The next step, where it is another one; null where there was or is none."""

    before: str | None
    after: str | None
    because: Because


class CheckChange(Frozen):
    """A check of a gate that came to another answer."""

    id: str
    says: str
    before: Literal["met", "unmet", "unknown"] | None
    after: Literal["met", "unmet", "unknown"]
    because: Because


class GateChange(Frozen):
    """A gate that opened or shut, or that stands as it stood with checks that changed."""

    id: str
    name: str
    change: Literal["opened", "shut", "stays open", "stays shut", "done"]
    checks: tuple[CheckChange, ...]


class Row(Frozen):
    """Something that is said now and was not, or the other way round."""

    id: str
    says: str
    because: Because


class Part(Frozen):
    """What came and what went of one kind of statement."""

    new: tuple[Row, ...] = ()
    ended: tuple[Row, ...] = ()


class Changes(Frozen):
    """Everything that changed in the advice from the end of ``since`` to ``on``.

    ``rests_on`` are the note lines written in between that the changes cite; ``lines`` is how many were written in all.
    """

    since: datetime | date
    on: datetime | date
    vessel: str
    stages: tuple[StageChange, ...]
    next: NextChange | None
    gates: tuple[GateChange, ...]
    findings: Part
    doubts: Part
    actions: Part
    growth: Part
    rests_on: tuple[NoteLine, ...]
    lines: int

    @property
    def none(self) -> bool:
        """Whether nothing changed at all."""
        parts = (self.findings, self.doubts, self.actions, self.growth)
        return not (self.stages or self.next or self.gates or any(one.new or one.ended for one in parts))


def changes(before: Advice, after: Advice, written: Collection[tuple[str, int]]) -> Changes:
    """From one advice to a later one on the same vessel; ``written`` are file and line of the notes in between."""
    found = Changes(
        since=before.on,
        on=after.on,
        vessel=after.vessel,
        stages=tuple(_stages(before, after)),
        next=_next(before, after),
        gates=tuple(_gates(before, after)),
        findings=_part(before.findings, after.findings),
        doubts=_part(before.doubts, after.doubts),
        actions=_part(before.actions, after.actions),
        growth=_signs(before.growth, after.growth),
        rests_on=(),
        lines=len(written),
    )
    cited = {line for because in _reasons(found) for line in because.events if (line.file, line.line) in written}
    return found.model_copy(update={"rests_on": tuple(sorted(cited, key=lambda line: (line.file, line.line)))})


def _stages(before: Advice, after: Advice) -> Iterator[StageChange]:
    was, now = _tracks(before), _tracks(after)
    for track in {**was, **now}:
        old, new = was.get(track), now.get(track)
        if (old and old[0]) != (new and new[0]):
            because = (new or old or ("", Because()))[1]
            yield StageChange(track=track, before=old and old[0], after=new and new[0], because=because)


def _tracks(advice: Advice) -> dict[str, tuple[str, Because]]:
    nitrogen = {"nitrogen": (advice.stage.name, advice.stage.because)} if advice.stage else {}
    return nitrogen | {row.track: (row.name, row.because) for row in advice.tracks}


def _next(before: Advice, after: Advice) -> NextChange | None:
    old, new = (advice.actions[0] if advice.actions else None for advice in (before, after))
    if (old.rule if old else None) == (new.rule if new else None):
        return None
    because = new.because if new else Because()
    return NextChange(before=old.do if old else None, after=new.do if new else None, because=because)


def _gates(before: Advice, after: Advice) -> Iterator[GateChange]:
    was = {gate.id: gate for gate in before.gates}
    for gate in after.gates:
        old = was.get(gate.id)
        checks = tuple(_checks(old, gate))
        if old is None or checks or (old.open, old.behind) != (gate.open, gate.behind):
            yield GateChange(id=gate.id, name=gate.name, change=_moved(old, gate), checks=checks)


def _moved(old: GateRow | None, new: GateRow) -> Literal["opened", "shut", "stays open", "stays shut", "done"]:
    if new.behind and not (old and old.behind):
        return "done"
    if new.open:
        return "stays open" if old and old.open else "opened"
    return "shut" if old and old.open else "stays shut"


def _checks(old: GateRow | None, new: GateRow) -> Iterator[CheckChange]:
    was = {check.id: check.state for check in old.checks} if old else {}
    for check in new.checks:
        if was.get(check.id, "unknown") != check.state:
            yield CheckChange(
                id=check.id, says=check.says, before=was.get(check.id), after=check.state, because=check.because
            )


def _part(before: Sequence[Told], after: Sequence[Told]) -> Part:
    """What came and went, told apart by the rule and what it is about: a number that moves in a text is no change."""
    was, now = ({_about(row): row for row in rows} for rows in (before, after))
    return Part(
        new=tuple(_row(row) for key, row in now.items() if key not in was),
        ended=tuple(_row(row) for key, row in was.items() if key not in now),
    )


def _about(row: Finding | Action | Doubt) -> tuple[str, ...]:
    """A doubt is about one reading, and a finding about what its first fact names; an action stands for itself."""
    if isinstance(row, Action):
        return (row.rule,)
    first = row.because.facts[0].properties if row.because.facts else {}
    names = ("analyte", "name", "device", "group", "symptom", *(("id", "day") if isinstance(row, Doubt) else ()))
    return (row.rule, *(str(first.get(name, "")) for name in names))


def _row(row: Finding | Action | Doubt) -> Row:
    return Row(id=row.rule, says=row.do if isinstance(row, Action) else row.says, because=row.because)


def _signs(before: Sequence[GrowthRow], after: Sequence[GrowthRow]) -> Part:
    was, now = {row.id: row for row in before}, {row.id: row for row in after}
    return Part(
        new=tuple(_sign(row) for key, row in now.items() if key not in was),
        ended=tuple(_sign(row) for key, row in was.items() if key not in now),
    )


def _sign(row: GrowthRow) -> Row:
    return Row(id=row.id, says=row.name, because=row.because)


def _reasons(found: Changes) -> Iterator[Because]:
    """What the changes rest on now; what ended rests on lines that were there before."""
    yield from (one.because for one in found.stages)
    yield from (check.because for gate in found.gates for check in gate.checks)
    yield from (row.because for part in (found.findings, found.doubts, found.actions, found.growth) for row in part.new)
    if found.next:
        yield found.next.because
