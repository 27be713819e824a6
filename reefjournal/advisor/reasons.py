"""Why a statement is made: the facts it rests on, back to the note lines, the thresholds and the rules."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from reefjournal.advisor.advice import Because, Limit, NoteLine, SeenFact
from reefjournal.advisor.conclude import Firing
from reefjournal.advisor.rules import Rulebook
from reefjournal.facts import Fact, Key


@dataclass(frozen=True)
class Reasons:
    """Finds the reasons of a statement, given the book and what each concluded fact rests on."""

    book: Rulebook
    origins: Mapping[Key, Sequence[Fact]]

    def of(self, *firings: Firing) -> Because:
        """The reasons of rules that fired."""
        facts = [fact for firing in firings for fact in firing.facts]
        return self.rest(
            facts, [name for one in firings for name in one.rule.thresholds], [one.rule.id for one in firings]
        )

    def rest(self, facts: Iterable[Fact], thresholds: Iterable[str] = (), rules: Iterable[str] = ()) -> Because:
        """The reasons of a statement on some facts, with thresholds and rules of its own."""
        chain = list({fact.key: fact for fact in self.chain(facts)}.values())
        events = sorted({line for fact in chain for line in fact.events})
        limits = dict.fromkeys([*thresholds, *(name for fact in chain for name in fact.thresholds)])
        named = dict.fromkeys([*(name for fact in chain for name in fact.rules), *rules])
        return Because(
            facts=tuple(shown(fact) for fact in chain),
            events=tuple(NoteLine(file=file, line=line, text=text) for file, line, text in events),
            thresholds=tuple(self.limit(name) for name in limits),
            rules=tuple(named),
        )

    def chain(self, facts: Iterable[Fact]) -> Iterator[Fact]:
        """The facts, each after those that it was concluded from."""
        for fact in facts:
            yield from self.chain(self.origins.get(fact.key, ()))
            yield fact

    def limit(self, name: str) -> Limit:
        """A threshold with its source in words."""
        found = self.book.thresholds[name]
        return Limit(id=name, value=found.value, unit=found.unit, source=self.book.sources[found.source].cited)


def shown(fact: Fact) -> SeenFact:
    """A fact as it is shown: an unknown number is null."""
    values = {
        name: value if isinstance(value, str) or math.isfinite(value) else None
        for name, value in sorted(fact.properties.items())
        if name not in {"vessel", "where"}
    }
    return SeenFact(kind=fact.kind, vessel=str(fact.properties.get("vessel", "")), properties=values)
