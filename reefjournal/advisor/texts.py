"""Reading the texts of a rule or a gate: each place to fill must exist."""

from __future__ import annotations

from reefjournal.advisor import guard, wording
from reefjournal.advisor.patterns import Aliases, Thresholds
from reefjournal.advisor.rules import Slot, Template
from reefjournal.advisor.tables import Table
from reefjournal.facts import KINDS

NOTHING = Template("")


class Texts:
    """Reads texts of one table, given the patterns and thresholds that they may speak of."""

    def __init__(self, table: Table, thresholds: Thresholds, aliases: Aliases) -> None:
        self.table, self.thresholds, self.aliases = table, thresholds, aliases

    def read(self, key: str, *, required: bool, amount: bool = False) -> Template:
        """The text under ``key``; ``amount`` where it may name one."""
        text = self.table.text(key, None if required else "")
        try:
            found = wording.template(text)
        except ValueError as reason:
            self.table.wrong("", f'{self.table.called}: in "{key}", {reason}.', key=key)
            return NOTHING
        for part in found.parts:
            if isinstance(part, Slot) and not (amount and part == (wording.AMOUNT, "", "")):
                self.check(key, part)
        return found

    def check(self, key: str, part: Slot) -> None:
        """Refuse a place that nothing can fill."""
        table = self.table
        if part.alias == wording.THRESHOLD:
            if part.name not in self.thresholds:
                table.unknown(f"@{part.name}", "threshold", [f"@{name}" for name in self.thresholds], key)
        elif part.alias == wording.AMOUNT:
            hint = 'Only "do" of a rule with [rule.amount] has one.'
            table.wrong("amount", f'{table.called}: "{key}" names an amount.', hint, key)
        elif part.alias not in self.aliases:
            table.unknown(part.alias, "pattern called", self.aliases, key)
        elif part.name not in KINDS[self.aliases[part.alias]].properties:
            table.unknown(part.name, f'property of "{part.alias}"', KINDS[self.aliases[part.alias]].properties, key)
        elif part.spec and part.name not in KINDS[self.aliases[part.alias]].number:
            table.wrong(part.name, f'{table.called}: "{part.name}" is a text and takes no number format.', key=key)


def without_orders(table: Table, *keys: str, owned: str = "") -> None:
    """Refuse texts that tell to put something harmful into the water: only a step may, where the guard sees it."""
    for key in keys:
        for substance in sorted(guard.ordered(str(table.data.get(key, ""))) - {owned}):
            table.wrong("", f'{table.called}: "{key}" tells to give {substance}.', 'Only "do" of a rule may.', key)
