"""Advice for one vessel at one moment: all layers, told as rows with their reasons."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from math import isnan
from typing import Any, Literal

from reefjournal.advisor import actions, chainer, guard
from reefjournal.advisor import engine as compiled
from reefjournal.advisor.actions import Candidate
from reefjournal.advisor.advice import (
    Action,
    Advice,
    Amount,
    CautionRow,
    CheckRow,
    Doubt,
    DueRow,
    Finding,
    GateRow,
    GrowthRow,
    StageRow,
    TrackRow,
    UnreadLine,
)
from reefjournal.advisor.conclude import Conclusions, Firing, Witness, conclude, observe, stage_of
from reefjournal.advisor.gates import JudgedGate
from reefjournal.advisor.reasons import Reasons
from reefjournal.advisor.replay import Memory, since
from reefjournal.advisor.rules import NITROGEN, Layer, Rule, Rulebook, Stage
from reefjournal.advisor.wording import fill
from reefjournal.facts import Fact, Property

EngineName = Literal["auto", "compiled", "plain"]
DUE = {"due": "is due", "overdue": "is overdue"}


def advise(
    book: Rulebook,
    witness: Witness,
    engine: EngineName = "auto",
    memory: Memory | None = None,
) -> Advice:
    """Advice on what the witness says. ``memory`` may be kept for other days and vessels of the same book.

    Raises:
        EngineError: ``engine`` is "compiled", and it is missing or misbehaved.
    """
    memory = memory or Memory()
    found, name = concluded(book, witness, engine)
    rows = rows_of(book, witness, found, memory)
    abroad = {role: rows_of(book, witness.of(other.vessel), own_tracks(other, role), memory)
              for role, other in found.abroad.items()}  # fmt: skip
    return rows.advice(moment(witness.on), name, abroad)


def stage_on(book: Rulebook, witness: Witness, memory: Memory | None = None) -> StageRow | None:
    """The stage of the nitrogen track at a moment, without everything else that could be said of it."""
    return rows_of(book, witness, observe(book, witness, chainer.find), memory or Memory()).stage()


def rows_of(book: Rulebook, witness: Witness, found: Conclusions, memory: Memory) -> Rows:
    """The rows of what was concluded."""
    begun = since(book, witness, found.stages, memory)
    return Rows(book, found, Reasons(book, found.origins), witness.on.date(), begun)


def own_tracks(found: Conclusions, role: str) -> Conclusions:
    """The conclusions with the stages of the tracks that are judged in vessels of a role alone."""
    return replace(found, stages={track: stage for track, stage in found.stages.items() if stage.role == role})


def moment(on: datetime) -> date | datetime:
    """The day alone where the end of a day was asked about."""
    return on.date() if on.time() == time.max else on


def concluded(book: Rulebook, witness: Witness, wanted: EngineName) -> tuple[Conclusions, str]:
    """The conclusions, and the engine that drew them; the plain one steps in unless the compiled one is insisted on."""
    if wanted == "plain":
        return conclude(book, witness, chainer.find), "plain"
    try:
        return conclude(book, witness, compiled.find), "compiled"
    except compiled.EngineError as reason:
        if wanted == "compiled":
            raise
        return conclude(book, witness, chainer.find), f"plain ({reason})"


@dataclass(frozen=True)
class Rows:
    """Turns conclusions into the rows of an advice; carries the book, the reasons and the day along."""

    book: Rulebook
    found: Conclusions
    reasons: Reasons
    today: date
    begun: Mapping[str, date | None]

    def advice(self, on: date | datetime, engine: str, abroad: Mapping[str, Rows]) -> Advice:
        """Everything that is said; the tracks of other roles from the rows ``abroad``."""
        steps = actions.candidates(self.book, self.found)
        taken = [step for step in steps if not step.refused]
        return Advice(
            on=on,
            vessel=self.found.vessel,
            engine=engine,
            unread=tuple(self.unread()),
            stage=self.stage(),
            tracks=tuple(self.tracks(abroad)),
            growth=tuple(self.growth()),
            findings=(*self.findings(), *(self.held_back(step) for step in steps if step.refused)),
            actions=tuple(self.action(step) for step in taken),
            gates=tuple(self.gate(gate) for gate in self.found.gates),
            doubts=tuple(self.doubts()),
            cautions=tuple(self.cautions(taken)),
            due=tuple(sorted((*self.jobs(), *self.due(taken)), key=lambda row: (row.by or date.max, row.what))),
        )

    def stated(self, kind: str) -> Iterator[Fact]:
        """The stated facts of a kind about the vessel itself."""
        return (fact for fact in self.found.stated if fact.kind == kind and fact.properties["where"] == "here")

    def stage(self) -> StageRow | None:
        """The stage of the nitrogen track, where it has begun."""
        stage = self.found.stages.get(NITROGEN)
        return StageRow(**self.stage_of(stage)) if stage else None

    def tracks(self, abroad: Mapping[str, Rows]) -> Iterator[TrackRow]:
        """The stages of the other tracks that have begun, each where it is judged."""
        roles = {stage.track: stage.role for stage in self.book.stages.values() if stage.track != NITROGEN}
        for track in sorted(roles):
            rows = abroad.get(roles[track], self)
            if track in rows.found.stages:
                yield TrackRow(track=track, **rows.stage_of(rows.found.stages[track]))

    def stage_of(self, stage: Stage) -> dict[str, Any]:
        """What every stage row says."""
        firings = [one for one in self.found.of("stage") if stage_of(one.rule) == stage.id]
        return {
            "id": stage.id, "name": stage.name, "since": self.begun.get(stage.track),
            "because": self.reasons.of(*firings),
        }  # fmt: skip

    def growth(self) -> Iterator[GrowthRow]:
        """What grows in the water or clouds it now; rules tell of animals, people and mishaps."""
        for fact in sorted(self.stated("sign"), key=lambda fact: fact.key):
            if fact.properties["state"] == "visible" and fact.properties["sort"] == "growth":
                name = str(fact.properties["name"])
                day = a_day(fact.properties["day"])
                yield GrowthRow(id=name.replace(" ", "-"), name=name, since=day, because=self.reasons.rest([fact]))

    def findings(self) -> Iterator[Finding]:
        """What the diagnosis rules say, those that speak of unreadable tests apart."""
        for says, firings in self.said("diagnosis"):
            rule = firings[0].rule
            if says and not speaks_of_unreadable(rule):
                yield Finding(rule=rule.id, says=says, sureness=rule.sureness, because=self.reasons.of(*firings))

    def doubts(self) -> Iterator[Doubt]:
        """What the trust rules say, and the rules that speak of tests that could not be read."""
        for says, firings in (*self.said("trust"), *self.said("evidence", "diagnosis")):
            rule = firings[0].rule
            if says and (rule.layer == "trust" or speaks_of_unreadable(rule)):
                yield Doubt(rule=rule.id, says=says, because=self.reasons.of(*firings))

    def said(self, *layers: Layer) -> Iterator[tuple[str, list[Firing]]]:
        """Each text that the rules of some layers come to, once, with all the firings that say it."""
        by_text: dict[tuple[str, str], list[Firing]] = {}
        for firing in self.found.of(*layers):
            says = fill(firing.rule.says, firing.named, self.book.thresholds)
            by_text.setdefault((firing.rule.id, says), []).append(firing)
        return ((says, firings) for (_, says), firings in by_text.items())

    def held_back(self, step: Candidate) -> Finding:
        """A step that the guard struck out, told as what is so."""
        says = f"{step.firings[0].rule.title}: not advised, since {step.refused}."
        return Finding(rule=step.rule, says=says, sureness="shown", because=self.reasons.of(*step.firings))

    def action(self, step: Candidate) -> Action:
        """A step that may be taken."""
        amount = step.amount
        return Action(
            rule=step.rule,
            do=step.do,
            why=step.why,
            urgency=step.step.urgency,
            by=step.by(self.today),
            amount=Amount(value=amount.value, unit=amount.unit, substance=amount.substance) if amount else None,
            because=self.reasons.of(*step.firings),
        )

    def gate(self, judged: JudgedGate) -> GateRow:
        """A gate with its checks."""
        checks = [
            CheckRow(
                id=one.check.id,
                says=fill(one.check.says, {}, self.book.thresholds),
                state=one.state,
                settle=fill(one.check.settle, {}, self.book.thresholds),
                because=self.reasons.rest(one.facts, one.thresholds),
            )
            for one in judged.checks
        ]
        gate = judged.gate
        return GateRow(id=gate.id, name=gate.name, open=judged.open, behind=judged.behind, checks=tuple(checks))

    def cautions(self, taken: Sequence[Candidate]) -> Iterator[CautionRow]:
        """The warnings that the steps call for, each once."""
        for name in dict.fromkeys(name for step in taken for name in step.step.cautions):
            caution = self.book.cautions[name]
            yield CautionRow(id=name, says=caution.says, source=self.book.sources[caution.source].cited)

    def jobs(self) -> Iterator[DueRow]:
        """The keeper's own jobs that have a day; one that would give what must not be given says so."""
        for fact in self.stated("job"):
            what, day = str(fact.properties["text"]), a_day(fact.properties["due"])
            if day and fact.properties["state"] in DUE:
                refused = guard.refusal(guard.given(what), None, self.found.stated)
                says = f"In the notes this {DUE[str(fact.properties['state'])]}."
                says = f"{says} Hold it: {refused}." if refused else says
                yield DueRow(what=what, says=says, by=day, because=self.reasons.rest([fact]))

    def due(self, taken: Sequence[Candidate]) -> Iterator[DueRow]:
        """The steps that are tests or renewals as well."""
        for step in taken:
            if step.step.due:
                because = self.reasons.of(*step.firings)
                yield DueRow(what=step.step.due, says=step.do, by=step.by(self.today), because=because)

    def unread(self) -> Iterator[UnreadLine]:
        """The lines that were not understood."""
        for fact in sorted(self.found.stated, key=lambda fact: fact.events[:1]):
            if fact.kind == "unread":
                names = tuple(name for name in str(fact.properties["may_name"]).split(", ") if name)
                text, age = str(fact.properties["text"]), float(fact.properties.get("age_days", 0.0))
                days = 0.0 if isnan(age) else age
                for line in fact.events[:1]:
                    yield UnreadLine(file=line.file, line=line.line, text=text, may_name=names, age_days=days)


def speaks_of_unreadable(rule: Rule) -> bool:
    """Whether a rule looks at tests that were done and could not be read."""
    return any(
        one.right == "unreadable" or (one.name.startswith("unreadable") and one.right != "no")
        for pattern in rule.when
        for one in pattern.conditions
    )


def a_day(value: Property) -> date | None:
    """A day written in ISO 8601, ``None`` where it is none."""
    try:
        return date.fromisoformat(str(value))
    except ValueError:
        return None
