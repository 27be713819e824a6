"""How a number in the code says what it is: unit, meaning and source stand in its annotation.

    _FRESH_DAYS: Annotated[float, Believed("days", "how old a pH may be", "common practice")] = 7.0

The number stays a plain number, and `reefjournal sources` lists what is assigned there: it cannot drift from what the
sums use.
"""

from __future__ import annotations

from dataclasses import dataclass

KINDS = ("published", "common practice", "from memory", "computed", "our judgement")
CITED = ("published", "from memory", "computed")
"""The kinds that must say whose number it is."""


@dataclass(frozen=True)
class Believed:
    """Unit, meaning and source of a number, of a range (low, high), or of each value of a dict.

    ``unit`` is one for all values, or one a value in their order. ``source`` begins with its kind: "published: US EPA
    1989, EPA 440/5-88-004", or "common practice".

    Raises:
        ValueError: the source has no known kind, or cites nobody where its kind must.
    """

    unit: str | tuple[str, ...]
    means: str
    source: str
    spread: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS or (self.kind in CITED and self.cited == self.kind):
            raise ValueError(f"{self.source!r} must begin with one of {', '.join(KINDS)}, and say whose number it is")

    @property
    def kind(self) -> str:
        """Of which kind the source is."""
        return self.source.partition(": ")[0]

    @property
    def cited(self) -> str:
        """The source itself, or its kind where nobody is cited."""
        return self.source.partition(": ")[2] or self.kind
