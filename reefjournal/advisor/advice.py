"""Advice as data: frozen models whose JSON is what ``advise --json`` prints."""

from __future__ import annotations

from datetime import date, datetime
from typing import Literal

from pydantic import BaseModel, ConfigDict

from reefjournal.advisor.rules import Sureness, Urgency

Text = str | float | None


class Frozen(BaseModel):
    """A value that never changes once made. Its checks are built when the first one is made, which starts faster."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class SeenFact(Frozen):
    """A fact that a statement rests on; a number that is not known is null."""

    kind: str
    vessel: str
    properties: dict[str, Text]


class NoteLine(Frozen):
    """A line of the notes."""

    file: str
    line: int
    text: str


class Limit(Frozen):
    """A number that facts were held against, and where it comes from."""

    id: str
    value: float
    unit: str
    source: str


class Because(Frozen):
    """What a statement rests on: facts, note lines, thresholds and rules."""

    facts: tuple[SeenFact, ...] = ()
    events: tuple[NoteLine, ...] = ()
    thresholds: tuple[Limit, ...] = ()
    rules: tuple[str, ...] = ()


class Amount(Frozen):
    """How much of what."""

    value: float
    unit: str
    substance: str


class UnreadLine(Frozen):
    """A line that was not understood, and what it may name."""

    file: str
    line: int
    text: str
    may_name: tuple[str, ...]
    age_days: float = 0.0


class StageRow(Frozen):
    """The stage of the nitrogen track; ``since`` is null where it cannot be known."""

    id: str
    name: str
    since: date | None
    because: Because


class TrackRow(StageRow):
    """The stage of another track."""

    track: str


class GrowthRow(StageRow):
    """A sign that is visible now."""


class Finding(Frozen):
    """What is going on."""

    rule: str
    says: str
    sureness: Sureness
    because: Because


class Action(Frozen):
    """A step to take; the first is the next one."""

    rule: str
    do: str
    why: str
    urgency: Urgency
    by: date | None
    amount: Amount | None
    because: Because


class CheckRow(Frozen):
    """A condition of a gate, and what would settle it."""

    id: str
    says: str
    state: Literal["met", "unmet", "unknown"]
    settle: str
    because: Because


class GateRow(Frozen):
    """A gate, open only when every check is met; ``behind`` once the step that it guards was taken."""

    id: str
    name: str
    open: bool
    behind: bool = False
    checks: tuple[CheckRow, ...]


class ForecastRow(Frozen):
    """When a threshold is likely to be passed; ``beyond`` is the chance of "not within 120 days"."""

    id: str
    says: str
    threshold: str
    median: date | None
    low: date | None
    high: date | None
    level: float
    beyond: float


class Doubt(Frozen):
    """A reading that should not be trusted, and why."""

    rule: str
    says: str
    because: Because


class CautionRow(Frozen):
    """A warning that goes with an action."""

    id: str
    says: str
    source: str


class DueRow(Frozen):
    """A test, a job or a renewal that is due."""

    what: str
    says: str
    by: date | None
    because: Because


class Advice(Frozen):
    """Everything that is said about one vessel at one moment."""

    on: datetime | date
    vessel: str
    engine: str
    unread: tuple[UnreadLine, ...] = ()
    stage: StageRow | None = None
    tracks: tuple[TrackRow, ...] = ()
    growth: tuple[GrowthRow, ...] = ()
    findings: tuple[Finding, ...] = ()
    actions: tuple[Action, ...] = ()
    gates: tuple[GateRow, ...] = ()
    forecast: tuple[ForecastRow, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    cautions: tuple[CautionRow, ...] = ()
    due: tuple[DueRow, ...] = ()
