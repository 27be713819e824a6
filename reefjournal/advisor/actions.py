"""From the advice rules that fired to the steps that may be taken, the next one first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from reefjournal.advisor import guard
from reefjournal.advisor.amounts import VOLUME_UNKNOWN, Worked, work_out
from reefjournal.advisor.conclude import Conclusions, Firing
from reefjournal.advisor.patterns import MOST_DAYS
from reefjournal.advisor.rules import PRECEDENCE, URGENCY, Rulebook, Step
from reefjournal.advisor.wording import fill
from reefjournal.facts import Fact, Property


@dataclass(frozen=True)
class Candidate:
    """A step with its words and its amount; ``refused`` says why it must not be taken, "" where it may."""

    firings: tuple[Firing, ...]
    step: Step
    do: str
    why: str
    amount: Worked | None
    refused: str

    @property
    def rule(self) -> str:
        """The id of the rule that asks for it."""
        return self.firings[0].rule.id

    @property
    def doses(self) -> bool:
        """Whether it gives ammonia."""
        return self.amount is not None and self.amount.nitrogen > 0

    def by(self, today: date) -> date | None:
        """The day by which it should be done: today where it is urgent; what is open upwards is no number of days."""
        days = self.step.by_days
        if self.step.by_fact is not None:
            fact = self.firings[0].named[self.step.by_fact.alias]
            days = float(fact.properties[self.step.by_fact.name])
        if days is not None and self.step.by_from:
            days = max(0.0, days - float(self.firings[0].named[self.step.by_from].properties["age_days"]))
        if days is not None and abs(days) <= MOST_DAYS:
            return today + timedelta(days=days)
        return today if self.step.urgency in {"now", "today"} else None


def candidates(book: Rulebook, found: Conclusions) -> list[Candidate]:
    """The steps of all advice rules that fired, in order; firings that ask for the same are one step."""
    by_words: dict[tuple[str, str], list[Firing]] = {}
    for firing in found.of("advice"):
        said = candidate(book, found, (firing,))
        by_words.setdefault((said.rule, said.do), []).append(firing)
    return uncovered(ordered([candidate(book, found, tuple(firings)) for firings in by_words.values()]))


def uncovered(steps: Sequence[Candidate]) -> list[Candidate]:
    """The steps in their order, without those that one told before them covers.

    Where something must be done now, what suits any day is not spoken of. Of several doses of ammonia only the first
    is told: who reads two gives two.
    """
    told: list[Candidate] = []
    for one in steps:
        taken = [other for other in told if not other.refused]
        waits = one.step.urgency == "plan" and any(other.step.urgency == "now" for other in taken)
        again = one.doses and any(other.doses for other in taken)
        if one.refused or not (waits or again or any(one.rule in other.step.covers for other in taken)):
            told.append(one)
    return told


def candidate(book: Rulebook, found: Conclusions, firings: tuple[Firing, ...]) -> Candidate:
    """One step with its texts filled, judged by the guard."""
    first = firings[0]
    step = first.rule.step
    assert step is not None  # every advice rule has one
    amount = work_out(step.amount.function, found.stated, step.amount.arguments) if step.amount else None
    do = fill(step.do, first.named, book.thresholds, written(amount, step, found.stated))
    gives = guard.given(do) | ({step.gives} - {""})
    return Candidate(
        firings=firings,
        step=step,
        do=do,
        why=fill(step.why, first.named, book.thresholds),
        amount=amount if isinstance(amount, Worked) else None,
        refused=guard.refusal(gives, amount, found.stated),
    )


def written(amount: Worked | str | None, step: Step, facts: Sequence[Fact]) -> str:
    """The amount as a reader sees it; without a known volume, water as a share and anything else by what to find."""
    if isinstance(amount, Worked):
        return amount.written
    if amount != VOLUME_UNKNOWN or step.amount is None:
        return f"an amount that is not known yet ({amount})"
    of_hundred = work_out(step.amount.function, [with_litres(fact, 100.0) for fact in facts], step.amount.arguments)
    if isinstance(of_hundred, Worked) and of_hundred.unit == "L":
        return f"{of_hundred.value:g} % of its volume in {of_hundred.substance}"
    return "an amount that is not known yet (first write the net volume down, such as: vessel: display, 290 L water)"


def with_litres(fact: Fact, litres: float) -> Fact:
    """The fact as it would be if the vessel held so much."""
    if fact.kind != "system":
        return fact
    volume: dict[str, Property] = {"volume_known": "yes", "volume_low": litres, "volume_high": litres}
    return replace(fact, properties={**fact.properties, **volume})


def ordered(steps: Iterable[Candidate]) -> list[Candidate]:
    """By rank; within it a step comes before all that it outranks, then the more urgent one, then by the book."""
    waiting = sorted(steps, key=rank)
    found: list[Candidate] = []
    while waiting:
        found.append(next(one for one in waiting if not outranked(one, waiting)))
        waiting.remove(found[-1])
    return found


def rank(one: Candidate) -> tuple[bool, int, int]:
    """By precedence, then urgency; below danger and doubt what must be done today comes before all that can wait."""
    precedence, urgency = PRECEDENCE.index(one.step.precedence), URGENCY.index(one.step.urgency)
    can_wait = precedence >= PRECEDENCE.index("cycle") and urgency > URGENCY.index("today")
    return can_wait, precedence, urgency


def outranked(one: Candidate, waiting: Sequence[Candidate]) -> bool:
    """Whether a step that is still waiting must come first."""
    return any(one.rule in other.step.before for other in waiting)
