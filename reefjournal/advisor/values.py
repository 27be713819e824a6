"""The values of a fact as the tests of a rule see them: the same for the compiled engine and the plain chainer.

Numbers count to four decimals; a number that is missing, infinite or 1e14 and more is unknown, and an unknown number
fails every test. Texts are compared by their first thousand characters.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from reefjournal.facts import KINDS, Fact, Property

DECIMALS = 4
TOO_LARGE = 1e14
TEXT_LENGTH = 1000

Values = Mapping[str, Property]


def seen(fact: Fact) -> Values:
    """The properties of ``fact``, every one of its kind, each as its tests see it."""
    kind = KINDS[fact.kind]
    given = fact.properties
    texts: dict[str, Property] = {name: text(given.get(name, "")) for name in (*kind.text, "vessel", "where")}
    return texts | {name: number(given.get(name, math.nan)) for name in kind.number}


def number(value: Property) -> float:
    """``value`` to four decimals, without a negative zero; NaN where it is not a usable number."""
    if not isinstance(value, (int, float)) or not abs(value) < TOO_LARGE:
        return math.nan
    return round(float(value), DECIMALS) + 0.0


def text(value: Property) -> str:
    """``value`` as text of at most a thousand characters, without halves of surrogate pairs."""
    return str(value)[:TEXT_LENGTH].encode("utf-8", "replace").decode("utf-8")
