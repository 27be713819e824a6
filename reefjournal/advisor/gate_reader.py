"""Reading one gate. A check that is wrong stays in its gate as unknown, so that a slip of the pen never opens it."""

from __future__ import annotations

from itertools import chain

from reefjournal.advisor import guard
from reefjournal.advisor.known import Known
from reefjournal.advisor.patterns import clause, identifier
from reefjournal.advisor.rules import Check, Clause, Gate, Template
from reefjournal.advisor.tables import Table
from reefjournal.advisor.texts import Texts, without_orders


def gate(table: Table, known: Known) -> Gate | None:
    """One gate, ``None`` where it has no id or no checks."""
    table.allow("id", "name", "role", "behind", "check")
    name, title = identifier(table, "id"), table.text("name")
    without_orders(table, "name")
    checks = [check(inner, known) for inner in table.tables("check")]
    if not checks:
        table.wrong("", f"{table.called} has no [[gate.check]].", "A gate without checks would stand open.")
    for one in {one.id for one in checks if [other.id for other in checks].count(one.id) > 1}:
        table.wrong(one, f'{table.called} has two checks called "{one}".')
    behind = roads(table, "behind", known, together=False)
    return Gate(name, title, tuple(checks), table.text("role", ""), behind) if name and title and checks else None


def check(table: Table, known: Known) -> Check:
    """One check; without its roads, and so never met, where anything in it is wrong."""
    table.allow("id", "says", "met", "unmet", "settle", "test")
    texts = Texts(table, known.thresholds, {})
    name = identifier(table, "id")
    says, settle = texts.read("says", required=True), texts.read("settle", required=True)
    without_orders(table, "says")
    for substance in sorted(guard.given(settle.text)):
        table.wrong("", f'{table.called}: "settle" gives {substance}.', "Leave that to a rule.", "settle")
    met, unmet = roads(table, "met", known, together=True), roads(table, "unmet", known, together=False)
    if not met and not table.broken:
        table.wrong("", f'{table.called}: "met" is missing, so it could never be met.')
    if table.broken:
        return Check(name or "unreadable", says if says.text else Template(name, (name,)), settle)
    return Check(name, says, settle, met, unmet, table.text("test", ""))


def roads(table: Table, key: str, known: Known, *, together: bool) -> tuple[Clause, ...]:
    """The roads under ``key``, of which one is enough. A list of lists names them one by one.

    A plain list of patterns is read on the protective side: all ``together`` for met, each alone for unmet.
    """
    value = table.data.get(key, [])
    if not isinstance(value, list):
        table.wrong(key, f'{table.called}: "{key}" must be a list of patterns.', key=key)
        return ()
    nested = [item if isinstance(item, list) else [item] for item in value]
    groups = [list(chain(*nested))] if together and nested and not isinstance(value[0], list) else nested
    if not all(groups):
        # Nothing to look for is found on any day: such a road would always stand open.
        table.wrong(key, f'{table.called}: "{key}" has a road without a pattern.', key=key)
    return tuple(
        clause((table.inner((key,), item, f"{key} {place + 1}") for place, item in enumerate(group)), "gate",
               known.thresholds)
        for group in groups
    )  # fmt: skip
