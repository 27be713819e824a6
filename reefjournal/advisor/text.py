"""Advice as text for a terminal: the stage and the one next step first, then why, and what must wait.

Style is added with click and taken off again by it where the output is not a terminal; NO_COLOR takes it off as well.
"""

from __future__ import annotations

import os
import shutil
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple, TypeVar

from reefjournal.advisor.advice import Advice, Because, CheckRow, GateRow, StageRow, TrackRow
from reefjournal.advisor.rules import Rulebook

Row = TypeVar("Row")

WIDEST, NARROWEST, PIPED = 96, 40, 88
SHOWN = 4
OLD_DAYS = 30  # older doubts, and older lines that were not understood, are told with --why alone
"""So many rows of a kind are shown in full unless the reasons are asked for."""
BUILD_DAYS, LAST_OF_BUILD = 60, "fitting-out"
"""For so many days the last stage of a build is told beside animals."""
STATES = {"unmet": "no", "unknown": "not shown yet", "met": "yes"}
WAYS = (
    ("fill-with-salt-water", "start-the-cycle", "clean-up-crew", "first-fish", "next-fish"),
    ("quarantine-ready", "leave-quarantine"),
)
"""The gates in the order a tank comes to them: of each way the next one is told in full, those behind it in a line."""
URGENCY = {"now": "now", "today": "today", "soon": "in the next days", "wait": "no hurry", "plan": "when it suits"}


class Line(NamedTuple):
    """A paragraph before it is wrapped: its words, how far it is set in, what leads it, and its style."""

    words: str
    indent: int = 0
    bullet: str = ""
    style: str = ""


BLANK = Line("")


def render(advice: Advice, why: bool = False, book: Rulebook | None = None, width: int | None = None) -> str:
    """The whole advice. With ``why`` every statement is followed by what it rests on; ``book`` adds rule sources."""
    return laid_out(Telling(advice, why, book).lines(), width)


def laid_out(lines: Iterable[Line], width: int | None = None) -> str:
    """Paragraphs wrapped to the width of the terminal, or to ``width``."""
    columns = width or shutil.get_terminal_size((PIPED, 24)).columns
    columns = max(NARROWEST, min(WIDEST, columns))
    styled = not os.environ.get("NO_COLOR")
    return "\n".join(wrapped(line, columns, styled=styled) for line in lines)


def wrapped(line: Line, columns: int, *, styled: bool) -> str:
    """One paragraph, wrapped and styled. What could steer a terminal is taken out."""
    safe = "".join(character if character.isprintable() else " " for character in line.words)
    first = " " * line.indent + line.bullet
    rows = textwrap.wrap(
        safe, columns, initial_indent=first, subsequent_indent=" " * len(first), break_on_hyphens=False
    )
    return "\n".join(in_style(row, line.style) if styled else row for row in rows)


def in_style(row: str, style: str) -> str:
    """One row in one of the few styles there are."""
    import click

    styles = {"strong": {"bold": True}, "faint": {"dim": True}, "doubt": {"fg": "yellow"}, "care": {"fg": "red"}}
    return click.style(row, **styles[style]) if style else row  # type: ignore[arg-type]


@dataclass(frozen=True)
class Telling:
    """What is told, in its order; carries along whether the reasons are wanted."""

    advice: Advice
    why: bool
    book: Rulebook | None = None

    def lines(self) -> Iterator[Line]:
        """Everything, with a blank line between the parts."""
        yield from self.head()
        for title, part in (
            ("After that", self.later()),
            ("What is going on", self.findings()),
            ("What must wait", self.waiting()),
            ("What can't be trusted", self.doubts()),
            ("What lies ahead", self.ahead()),
            ("What is due", self.due()),
            ("Take care", self.cautions()),
        ):
            told = list(part)
            if told:
                yield from (BLANK, Line(title, style="strong"), *told)
        yield BLANK
        yield Line(f"Engine: {self.advice.engine}.", style="faint")

    def head(self) -> Iterator[Line]:
        """Vessel and day, stage, and the one next step."""
        advice = self.advice
        yield Line(f"{advice.vessel}, {a_day(advice.on)}", style="strong")
        if advice.stage is None:
            yield Line("The notes do not show a stage of the cycle yet.")
        else:
            yield Line(f"{advice.stage.name}{self.since(advice.stage)}.")
            yield from self.reasons(advice.stage.because)
        for row in self.tracks():
            yield Line(f"{row.track.capitalize()}: {row.name}{self.since(row)}.", 2, style="faint")
            yield from self.reasons(row.because, 4)
        yield BLANK
        if not advice.actions:
            yield Line("Nothing needs to be done now.", style="strong")
            return
        step = advice.actions[0]
        yield Line(step.do, bullet="Next: ", style="strong")
        yield Line(f"{URGENCY[step.urgency]}{by(step.by)}", 6, style="faint")
        yield Line(step.why, 6)
        yield from self.reasons(step.because, 6)

    def tracks(self) -> Iterator[TrackRow]:
        """The other tracks; a build that was left at its last stage is no news where something has lived for long."""
        lives = any(row.track == "life" for row in self.advice.tracks)
        for row in self.advice.tracks:
            days = (only_day(self.advice.on) - row.since).days if row.since else 0
            if self.why or not (lives and row.id == LAST_OF_BUILD and days > BUILD_DAYS):
                yield row

    def since(self, row: StageRow) -> str:
        """Since when, and for how many days."""
        if row.since is None:
            return ""
        days = (only_day(self.advice.on) - row.since).days
        return f", since {a_day(row.since)}" + (f" ({days} day{'s' * (days != 1)})" if days else "")

    def later(self) -> Iterator[Line]:
        """The other steps."""
        for step in self.few(self.advice.actions[1:]):
            yield Line(f"{step.do} ({URGENCY[step.urgency]}{by(step.by)})", 2, "- ")
            if self.why:
                yield Line(step.why, 4)
            yield from self.reasons(step.because, 4)
        yield from self.rest(self.advice.actions[1:])

    def findings(self) -> Iterator[Line]:
        """What is going on, and what can be seen."""
        for row in self.advice.findings:
            yield Line(f"{row.says}{'' if row.sureness == 'shown' else f' ({row.sureness})'}", 2, "- ")
            yield from self.reasons(row.because, 4)
        for sign in self.advice.growth:
            yield Line(f"To be seen: {sign.name}{self.since(sign)}.", 2, "- ")
            yield from self.reasons(sign.because, 4)

    def waiting(self) -> Iterator[Line]:
        """The gates: what they wait for, and what would settle it."""
        later = [] if self.why else later_gates(self.advice.gates)
        for gate in self.advice.gates:
            if (gate.behind and not self.why) or gate in later:
                continue
            missing = [check for check in gate.checks if check.state != "met"]
            if not self.why and all(check.state == "unknown" for check in gate.checks):
                yield Line(f"{gate.name}: nothing is known of it yet. {missing[0].settle}", 2, "- ")
                continue
            yield Line(gate_line(gate, len(missing)), 2, "- ")
            shown = gate.checks if self.why else missing[:SHOWN]
            for place, check in enumerate(shown):
                yield from self.check(check, settle=self.why or place == 0)
            yield from self.rest(missing, 4)
        if later:
            yield Line(f"Later: {', '.join(in_brief(gate) for gate in later)}. --why shows all.", 2, "- ", "faint")

    def check(self, check: CheckRow, *, settle: bool) -> Iterator[Line]:
        """One check of a gate."""
        yield Line(f"{check.says}: {STATES[check.state]}.", 4, "- ")
        if settle and check.state != "met":
            yield Line(check.settle, 6)
        yield from self.reasons(check.because, 6)

    def doubts(self) -> Iterator[Line]:
        """Readings that are not believed, and lines that were not understood."""
        doubts = [row for row in self.advice.doubts if self.why or days_old(row.because) <= OLD_DAYS]
        for row in self.few(doubts):
            yield Line(row.says, 2, "- ", "doubt")
            yield from self.reasons(row.because, 4)
        yield from self.rest(doubts)
        unread = [line for line in self.advice.unread if self.why or line.age_days <= OLD_DAYS]
        for line in self.few(unread):
            named = f" (it may speak of {' or '.join(line.may_name)})" if line.may_name else ""
            yield Line(f"{line.file}:{line.line} was not understood: {line.text}{named}", 2, "- ", "doubt")
        yield from self.rest(unread)
        if old := len(self.advice.unread) - len(unread):
            told = "1 older line was" if old == 1 else f"{old} older lines were"
            yield Line(f"{told} not understood; `reefjournal check` shows them all.", 2, "- ", "faint")

    def ahead(self) -> Iterator[Line]:
        """The forecast; it informs and opens nothing."""
        for row in self.advice.forecast:
            yield Line(row.says, 2, "- ")

    def due(self) -> Iterator[Line]:
        """Tests, jobs and renewals."""
        for row in self.advice.due:
            yield Line(f"{a_day(row.by)}: {row.what}" if row.by else row.what, 2, "- ")
            if self.why or "Hold it" in row.says:
                yield Line(row.says, 4)
            yield from self.reasons(row.because, 4)

    def cautions(self) -> Iterator[Line]:
        """Warnings for what is to be done."""
        for row in self.advice.cautions:
            yield Line(row.says, 2, "- ", "care")
            if self.why:
                yield Line(row.source, 4, style="faint")

    def few(self, rows: Sequence[Row]) -> Sequence[Row]:
        """The first rows, all of them where reasons are wanted."""
        return rows if self.why else rows[:SHOWN]

    def rest(self, rows: Sequence[object], indent: int = 2) -> Iterator[Line]:
        """How many rows were left out."""
        if not self.why and len(rows) > SHOWN:
            yield Line(f"and {len(rows) - SHOWN} more (--why shows all)", indent, style="faint")

    def reasons(self, because: Because, indent: int = 2) -> Iterator[Line]:
        """The chain below a statement: note lines, thresholds with their sources, rules with theirs."""
        if not self.why:
            return
        for note in because.events:
            yield Line(f"{note.file}:{note.line} {note.text}", indent, "| ", "faint")
        for limit in because.thresholds:
            yield Line(f"held against {limit.value:g} {limit.unit}, {limit.id}: {limit.source}", indent, "| ", "faint")
        for rule in because.rules:
            yield Line(f"rule {rule}{self.sources(rule)}", indent, "| ", "faint")

    def sources(self, rule: str) -> str:
        """The sources of a rule."""
        found = self.book.rules.get(rule) if self.book else None
        return ": " + "; ".join(self.book.sources[name].cited for name in found.sources) if found and self.book else ""


def days_old(because: Because) -> float:
    """How old the newest reading is that a statement rests on; 0 where it rests on none."""
    ages = [fact.properties.get("age_days") for fact in because.facts if fact.kind == "reading"]
    return min((age for age in ages if isinstance(age, float)), default=0.0)


def gate_line(gate: GateRow, missing: int) -> str:
    """A gate in one line."""
    if gate.open:
        return f"{gate.name}: nothing stands in the way, every check is met."
    return f"{gate.name}: not yet, {len(gate.checks) - missing} of {len(gate.checks)} checks are met. It waits for"


def later_gates(gates: Sequence[GateRow]) -> list[GateRow]:
    """The shut gates that stand behind another shut one on their way."""
    shut = {gate.id: gate for gate in gates if not gate.open and not gate.behind}
    return [shut[one] for way in WAYS for one in [name for name in way if name in shut][1:]]


def in_brief(gate: GateRow) -> str:
    """A gate that is not the next one, in a few words."""
    met = sum(check.state == "met" for check in gate.checks)
    return f"{gate.name[:1].lower()}{gate.name[1:]}" + (f" ({met} of {len(gate.checks)} checks met)" if met else "")


def by(day: date | None) -> str:
    """By when."""
    return f", by {a_day(day)}" if day else ""


def a_day(day: date | datetime) -> str:
    """A day in words, with the time where it is a moment."""
    return f"{day.day} {day:%B %Y}" + (f", {day:%H:%M}" if isinstance(day, datetime) else "")


def only_day(on: date | datetime) -> date:
    """The day of a moment."""
    return on.date() if isinstance(on, datetime) else on
