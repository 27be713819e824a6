"""The changes between two days as text for a terminal, told as a calm person would."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from reefjournal.advisor.changes import Changes, GateChange, Part, StageChange
from reefjournal.advisor.text import BLANK, STATES, Line, a_day, laid_out

MOVED = {
    "opened": "is open now: every check is met.", "shut": "is shut again.", "stays open": "stays open.",
    "stays shut": "still waits.", "done": "is behind you: its step was taken.",
}  # fmt: skip


def render(found: Changes, width: int | None = None) -> str:
    """Everything that changed."""
    return laid_out(_lines(found), width)


def _lines(found: Changes) -> Iterator[Line]:
    yield Line(f"{found.vessel}, {a_day(found.on)}", style="strong")
    if found.none:
        yield Line(f"Since {a_day(found.since)} nothing has changed in the advice. {records(found.lines)} in between.")
        return
    yield Line(f"Since {a_day(found.since)}:")
    yield from (Line(_stage(one), 2, "- ") for one in found.stages)
    if found.next:
        yield Line(found.next.after or "nothing needs to be done now.", 2, "- The next step is now: ")
        yield Line(found.next.before or "nothing.", 2, "  Before it was: ", "faint")
    for title, part in (("Steps", found.actions), ("What is going on", found.findings),
                        ("What can't be trusted", found.doubts), ("To be seen", found.growth)):  # fmt: skip
        yield from _part(title, part, told=(found.next.before, found.next.after) if found.next else ())
    if found.gates:
        yield from (BLANK, Line("Gates", style="strong"))
        yield from (line for gate in found.gates for line in _gate(gate))
    yield from (BLANK, Line("What it rests on", style="strong"))
    yield from (Line(f"{line.file}:{line.line} {line.text}", 2, "| ", "faint") for line in found.rests_on)
    yield Line(_written(found), 2)


def _stage(one: StageChange) -> str:
    track = "The cycle" if one.track == "nitrogen" else f"The {one.track} track"
    if one.before is None:
        return f"{track} stands at: {one.after}."
    return f"{track} was at: {one.before}. " + (f"Now: {one.after}." if one.after else "It is not told of any more.")


def _part(title: str, part: Part, told: Collection[str | None]) -> Iterator[Line]:
    """What came and went, without what was ``told`` as the next step."""
    new = [Line(row.says, 2, "- new: ") for row in part.new if row.says not in told]
    ended = [Line(row.says, 2, "- no longer: ", "faint") for row in part.ended if row.says not in told]
    if new or ended:
        yield from (BLANK, Line(title, style="strong"), *new, *ended)


def _gate(gate: GateChange) -> Iterator[Line]:
    yield Line(f"{gate.name} {MOVED[gate.change]}", 2, "- ")
    for check in gate.checks:
        before = f", was {STATES[check.before]}" if check.before else ""
        yield Line(f"{check.says}: {STATES[check.after]}{before}.", 4, "- ")


def _written(found: Changes) -> str:
    """How much was written, and whether that explains it."""
    told = f"{records(found.lines)} in between."
    return told if found.rests_on else f"No new record: it came with the passing of time. {told}"


def records(count: int) -> str:
    """How many records were written."""
    return "No record was written" if not count else f"{count} record{'s were' if count > 1 else ' was'} written"
