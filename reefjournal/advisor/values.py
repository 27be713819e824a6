"""The values of a fact as the tests of a rule see them: the same for the compiled engine and the plain chainer.

Numbers count to four decimals; a number that is missing, infinite or 1e14 and more is unknown, and an unknown number
fails every test. Texts are compared by their first thousand characters.
"""

from __future__ import annotations

import math

from reefjournal.facts import KINDS, Fact, Property

DECIMALS = 4
TOO_LARGE = 1e14
TEXT_LENGTH = 1000
NUMBERS = {name: frozenset(kind.number) for name, kind in KINDS.items()}


def value(fact: Fact, name: str) -> Property:
    """A property of ``fact`` as a test sees it: a number or a text, as its kind says."""
    seen = fact.seen
    if name not in seen:
        is_number = name in NUMBERS[fact.kind]
        seen[name] = number(fact.properties.get(name, math.nan)) if is_number else text(fact.properties.get(name, ""))
    return seen[name]


def number(given: Property) -> float:
    """``given`` to four decimals, without a negative zero; NaN where it is not a usable number."""
    if not isinstance(given, (int, float)) or not abs(given) < TOO_LARGE:
        return math.nan
    return round(float(given), DECIMALS) + 0.0


def text(given: Property) -> str:
    """``given`` as text of at most a thousand characters, without halves of surrogate pairs."""
    found = str(given)[:TEXT_LENGTH]
    return found if found.isascii() else found.encode("utf-8", "replace").decode("utf-8")
