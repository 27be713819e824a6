"""The examples of a keeper's own rules, tried: does each rule fire where it says so, and rest where it says so?"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import reefjournal
from reefjournal.advisor.chainer import find
from reefjournal.advisor.conclude import conclude
from reefjournal.advisor.rules import Example, Rule, Rulebook
from reefjournal.problems import Problem


def own_rules(book: Rulebook, folder: Path) -> list[Rule]:
    """The rules of the book that come from a folder."""
    return [rule for name, rule in book.rules.items() if book.places["rule", name].file.folder == folder]


def misfires(book: Rulebook, folder: Path) -> Iterator[Problem]:
    """A problem for each example of the folder's rules that comes out otherwise than it says, or cannot be read."""
    for rule in own_rules(book, folder):
        for number, example in enumerate(rule.examples):
            for message, hint in _wrong(book, rule, example):
                place = book.places["rule", rule.id]
                line = place.file.line((*place.path, "example", number))
                said = f'rule "{rule.id}", example {number + 1}: {message}'
                yield Problem(place.file.name, line, 1, "error", said, hint)


def _wrong(book: Rulebook, rule: Rule, example: Example) -> Iterator[tuple[str, str]]:
    """What is wrong with an example, and what to do about it."""
    journal = reefjournal.read_text(example.journal + "\n", name="journal")
    for problem in journal.problems:
        if problem.severity == "error":
            yield f"line {problem.line} of its journal is not understood: {problem.message}", problem.suggestion
    try:
        witness = journal.witness(example.on, example.vessel or None)
    except reefjournal.UnknownVesselError as unknown:
        yield f"{unknown}.", 'Define it in the journal: "- vessel: display, 290 L".'
        return
    fires = rule.id in {firing.rule.id for firing in conclude(book, witness, find).firings}
    if fires != example.fires:
        yield (f"the rule {'fires' if fires else 'rests'} here.",
               f"Change the rule or the example, or write fires = {str(fires).lower()}.")  # fmt: skip
