"""Both engines at once: every match that any layer asks for is looked for by the one and by the other."""

from __future__ import annotations

from collections.abc import Sequence

from reefjournal.advisor import chainer, engine
from reefjournal.advisor.chainer import Match
from reefjournal.advisor.conclude import conclude
from reefjournal.advisor.rules import Clause, Rulebook
from reefjournal.evidence import Witness
from reefjournal.facts import Fact


class DisagreementError(AssertionError):
    """The engines found other matches of the same rules in the same facts."""


def find(clauses: Sequence[Clause], facts: Sequence[Fact]) -> list[Match]:
    """The matches, where the engines agree on them.

    Raises:
        DisagreementError: they do not.
    """
    compiled, plain = engine.find(clauses, facts), chainer.find(clauses, facts)
    if compiled != plain:
        raise DisagreementError(f"found by one engine alone: {sorted({*compiled} ^ {*plain})[:5]}")
    return plain


def agree(book: Rulebook, witness: Witness) -> None:
    """Draws every conclusion of one moment, each step of it with both engines.

    Where they agree on each step, whatever is said of that moment is the same too, since nothing else differs.

    Raises:
        DisagreementError: they do not agree.
    """
    conclude(book, witness, find)
