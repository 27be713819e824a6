"""Reading the patterns of a rule or a gate: which fact, and what its properties must be like."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache

from reefjournal.advisor.rules import LAYERS, Clause, Condition, Layer, Op, Pattern, Reference, Threshold
from reefjournal.advisor.tables import Table, counted
from reefjournal.advisor.values import DECIMALS, TOO_LARGE
from reefjournal.facts import FITTED, KINDS, STATED, VALUES, WINDOWS, Kind, Property, Query

COMPARISONS: Mapping[str, Op] = {"at_least": ">=", "at_most": "<=", "above": ">", "below": "<", "not": "!="}
TEXT_TESTS = ("not", "same_as")
NUMBER_TESTS = (*COMPARISONS, "same_as", "known")
FITTED_IN: tuple[Layer, ...] = ("diagnosis", "advice")
CONCLUDED_IN: Mapping[str, Layer] = {
    "doubt": "trust", "process": "evidence", "stage": "stage", "gate": "gate", "gate-check": "gate",
}  # fmt: skip
MOST_PATTERNS = 16
MOST_DAYS = 36500
ANYWHERE = "any"
PLACES = ("here", "elsewhere", ANYWHERE)
IDENTIFIER = re.compile(r"[a-z][a-z0-9-]*")

Thresholds = Mapping[str, Threshold]
Aliases = Mapping[str, str]
"""The kind of fact behind each name that a pattern was given."""


def clause(tables: Iterator[Table], layer: Layer, thresholds: Thresholds, outer: Aliases | None = None) -> Clause:
    """Patterns that one match fills together; each may look at those before it, and at the ``outer`` ones."""
    read: dict[str, Pattern] = {}
    for table in tables:
        earlier = {alias: known.kind for alias, known in read.items()}
        found = pattern(table, layer, thresholds, {**(outer or {}), **earlier})
        if found and found.alias in read:
            table.wrong(found.alias, f'{table.called}: there are two patterns called "{found.alias}".',
                        'Give one of them another name with "as".')  # fmt: skip
        elif found:
            read[found.alias] = found
        if len(read) > MOST_PATTERNS:
            table.wrong("", f"{table.called}: that is one pattern too many.", f"At most {MOST_PATTERNS} go together.")
            break
    return tuple(read.values())


def pattern(table: Table, layer: Layer, thresholds: Thresholds, earlier: Aliases) -> Pattern | None:
    """One pattern; ``None`` where not even its kind of fact is clear."""
    name = table.choice("fact", visible(layer))
    if name not in visible(layer):
        return None
    kind = KINDS[name]
    table.allow("as", "fact", *kind.properties)
    alias = identifier(table, "as", name)
    reader = Conditions(table, thresholds, {**earlier, alias: name}, alias)
    tested = [key for key in table.data if key in kind.properties and (key, table.data[key]) != ("where", ANYWHERE)]
    conditions = [condition for key in tested for condition in reader.read(key)]
    query = asked(table, name, conditions) if name in WINDOWS else None
    standing = [*placed(table, name), *unasked(table, kind)]
    return Pattern(alias, name, (*conditions, *standing), query, tuple(reader.used))


@cache
def visible(layer: Layer) -> Mapping[str, Kind]:
    """The kinds of fact that a layer can see: single readings for trust alone, windows and conclusions for the rest.

    What the model makes of the readings is for saying and advising alone: no gate and no stage can look at it.
    """
    if layer == "trust":
        return {name: kind for name, kind in STATED.items() if kind.layer != "concluded"}
    fitted = FITTED if layer in FITTED_IN else {}
    lower = LAYERS[: LAYERS.index(layer)]
    concluded = {name for name, of in CONCLUDED_IN.items() if of in lower or of == layer == "evidence"}
    return {name: kind for name, kind in KINDS.items() if kind.layer == "any" or name in concluded or name in fitted}


def placed(table: Table, name: str) -> list[Condition]:
    """A pattern looks at the vessel itself unless it says otherwise; a window can look nowhere else."""
    if name in WINDOWS and table.data.get("where", "here") != "here":
        table.wrong("where", f"{table.called}: a window looks at the vessel itself.", 'Leave "where" out.', "where")
    return [] if "where" in table.data else [Condition("where", "=", "here")]


def asked(table: Table, name: str, conditions: list[Condition]) -> Query:
    """The question of a window: its parameters, as plain values."""
    kind = KINDS[name]
    given = [condition for condition in conditions if condition.name in {*kind.asks, *kind.optional}]
    for key in kind.asks:
        if key not in table.data:
            table.wrong("", f'{table.called}: {name} needs "{key}".', f"It asks for: {', '.join(kind.asks)}.")
    for condition in given:
        if condition.op != "=" or isinstance(condition.right, Reference):
            key = condition.name
            table.wrong(key, f'{table.called}: "{key}" is part of the question, so it takes a plain value.', key=key)
    values = {condition.name: condition.right for condition in given}
    days = values.get("days", 0.0)
    if isinstance(days, float) and not 0 <= days <= MOST_DAYS:
        table.wrong("days", f'{table.called}: "days" must be from 0 to {MOST_DAYS}.', key="days")
    return Query(name, tuple(sorted((key, value) for key, value in values.items() if isinstance(value, (str, float)))))


def unasked(table: Table, kind: Kind) -> list[Condition]:
    """What keeps a pattern to the answers of its own question: a parameter that is not given is blank in the answer."""
    left_out = [key for key in kind.optional if key not in table.data]
    return [Condition(key, "=", "") if key in kind.text else Condition(key, "unknown") for key in left_out]


class Conditions:
    """Reads the conditions of one pattern, and keeps which thresholds they name."""

    def __init__(self, table: Table, thresholds: Thresholds, aliases: Aliases, alias: str) -> None:
        self.table, self.thresholds, self.aliases, self.alias = table, thresholds, aliases, alias
        self.used: dict[str, None] = {}

    def read(self, key: str) -> list[Condition]:
        """The conditions on one property: a plain value is equality, a table holds comparisons."""
        value = self.table.data[key]
        if not isinstance(value, dict):
            right, threshold = self.operand(key, value)
            return [Condition(key, "=", right, threshold)]
        known = NUMBER_TESTS if self.is_number(key) else TEXT_TESTS
        if not value:
            self.wrong(key, key, f'"{key}" is compared with nothing; there are: {", ".join(known)}.')
        return [self.comparison(key, word, side, known) for word, side in value.items()]

    def comparison(self, key: str, word: str, side: object, known: tuple[str, ...]) -> Condition:
        """One comparison of a property."""
        if word not in known:
            self.table.unknown(word, f'comparison for "{key}"', known, key)
            return Condition(key, "=")
        if word == "known":
            if not isinstance(side, bool):
                self.wrong(key, word, '"known" is true or false.')
            return Condition(key, "known" if side else "unknown")
        if word == "same_as" or (word != "not" and isinstance(side, str) and not side.startswith("@")):
            return Condition(key, COMPARISONS.get(word, "="), self.reference(key, side))
        right, threshold = self.operand(key, side)
        return Condition(key, COMPARISONS[word], right, threshold)

    def operand(self, key: str, value: object) -> tuple[Property, str]:
        """A plain value or a threshold's, and the threshold's id."""
        if not self.is_number(key):
            return self.word(key, value), ""
        if isinstance(value, str) and value.startswith("@"):
            return self.threshold(key, value[1:]), value[1:]
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            self.wrong(key, str(value), f'"{key}" is a number; write one, or "@" and a threshold.')
            return 0.0, ""
        found = counted(value)
        if not exact(found):
            large = not abs(found) < TOO_LARGE
            said = f'"{key}" is too large.' if large else f"{value} has more than {DECIMALS} decimals."
            self.wrong(key, key if large else str(value), said)
        return found, ""

    def word(self, key: str, value: object) -> str:
        """A plain text; one of a few where the property knows no others."""
        known = PLACES if key == "where" else VALUES.get((self.aliases[self.alias], key), ())
        if not isinstance(value, str):
            self.wrong(key, str(value), f'"{key}" is a text, so it is compared with one.')
        elif value and known and value not in known:
            self.table.unknown(value, key, known, key)
        return str(value)

    def threshold(self, key: str, name: str) -> float:
        """The value of a threshold that must exist."""
        if name not in self.thresholds:
            self.table.unknown(f"@{name}", "threshold", [f"@{known}" for known in self.thresholds], key)
            return 0.0
        self.used[name] = None
        return self.thresholds[name].value

    def reference(self, key: str, side: object) -> Reference:
        """``alias.property`` of an earlier pattern, or a property of the same fact; both texts or both numbers."""
        alias, _, name = str(side).rpartition(".")
        alias = alias or self.alias
        if alias not in self.aliases:
            self.table.unknown(alias, "pattern called", self.aliases, key)
        elif name not in KINDS[self.aliases[alias]].properties:
            self.table.unknown(name, f'property of "{alias}"', KINDS[self.aliases[alias]].properties, key)
        elif (name in KINDS[self.aliases[alias]].number) != self.is_number(key):
            self.wrong(key, str(side), f'"{key}" and "{side}" are not both numbers or both texts.')
        return Reference(alias, name)

    def wrong(self, key: str, word: str, message: str) -> None:
        """Note a mistake at one property."""
        self.table.wrong(word, f"{self.table.called}: {message}", key=key)

    def is_number(self, key: str) -> bool:
        """Whether a property of this pattern's kind is a number."""
        return key in KINDS[self.aliases[self.alias]].number


def exact(value: float) -> bool:
    """Whether a number survives being seen with four decimals."""
    return abs(value) < TOO_LARGE and round(value, DECIMALS) == value


def identifier(table: Table, key: str, default: str | None = None) -> str:
    """An id or an alias: small letters, digits and hyphens."""
    word = table.text(key, default)
    if (word or default is not None) and not IDENTIFIER.fullmatch(word):
        table.wrong(word, f'{table.called}: "{word}" cannot be a name.', "Use small letters, digits and hyphens.", key)
    return word
