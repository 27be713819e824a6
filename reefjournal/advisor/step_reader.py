"""Reading what an advice rule asks for, and holding its words against what it owns up to."""

from __future__ import annotations

from reefjournal.advisor import guard
from reefjournal.advisor.amounts import FUNCTIONS
from reefjournal.advisor.known import Known
from reefjournal.advisor.rules import PRECEDENCE, URGENCY, AmountCall, Reference, Slot, Step
from reefjournal.advisor.tables import Table
from reefjournal.advisor.texts import Texts

STEP = (
    "do", "why", "urgency", "precedence", "by_days", "by_from", "before", "covers", "cautions", "due", "gives",
    "amount",
)  # fmt: skip


def step(texts: Texts, known: Known) -> Step:
    """What an advice rule asks for; ``why`` says the same as ``says`` where it is left out."""
    table = texts.table
    amount = amount_call(table, known) if "amount" in table.data else None
    by_days, by_threshold, by_fact = deadline(texts, known)
    default = FUNCTIONS[amount.function].gives if amount else ""
    found = Step(
        do=texts.read("do", required=True, amount=amount is not None),
        why=texts.read("why" if "why" in table.data else "says", required=True),
        urgency=table.choice("urgency", URGENCY),
        precedence=table.choice("precedence", PRECEDENCE),
        by_days=by_days,
        by_threshold=by_threshold,
        by_fact=by_fact,
        by_from=counted_from(texts),
        before=frozenset(table.references("before", "rule", known.rules)),
        covers=frozenset(table.references("covers", "rule", known.rules)),
        cautions=table.references("cautions", "caution", known.cautions),
        due=table.text("due", ""),
        gives=table.choice("gives", guard.GIVES, default) if "gives" in table.data else default,
        amount=amount,
    )
    safe(table, found)
    return found


def safe(table: Table, found: Step) -> None:
    """Hold what the texts say against what the rule owns up to giving; see ``guard``."""
    for substance in sorted((guard.given(found.do.text) | guard.given(found.due)) - {found.gives}):
        table.wrong("", f'{table.called}: "do" gives {substance}.', f'Own up to it: gives = "{substance}".', "do")
    if found.amount and FUNCTIONS[found.amount.function].gives not in {"", found.gives}:
        table.wrong(found.gives, f"{table.called} gives something else than its amount.", key="gives")
    if found.gives == "ammonia" and not (found.amount and FUNCTIONS[found.amount.function].gives == "ammonia"):
        table.wrong("", f"{table.called} gives ammonia without [rule.amount].",
                    'Let function = "ammonium-chloride" work it out.', "gives")  # fmt: skip
    if found.gives and (own := guard.quantity(found.do.text)):
        table.wrong(own, f'{table.called}: "do" holds a quantity of its own, "{own}".', "Write {amount}.", "do")


def deadline(texts: Texts, known: Known) -> tuple[float | None, str, Reference | None]:
    """``by_days``: a number of days, a threshold of them, or the ``alias.property`` of a fact."""
    table = texts.table
    value = table.data.get("by_days")
    if isinstance(value, str) and "." in value:
        alias, _, name = value.partition(".")
        texts.check("by_days", Slot(alias, name, ".0f"))
        return None, "", Reference(alias, name)
    return (*quantity(table, "by_days", known, "days"), None) if "by_days" in table.data else (None, "", None)


def counted_from(texts: Texts) -> str:
    """``by_from``: the pattern whose day ``by_days`` are counted from; its fact must tell how old it is."""
    name = texts.table.text("by_from", "")
    if name:
        texts.check("by_from", Slot(name, "age_days", ".0f"))
    return name


def quantity(table: Table, key: str, known: Known, unit: str) -> tuple[float, str]:
    """A number, or a threshold's value and its id."""
    value = table.data.get(key)
    if isinstance(value, str):
        if value.startswith("@") and value[1:] in known.thresholds:
            return known.thresholds[value[1:]].value, value[1:]
        table.unknown(value, "threshold", [f"@{name}" for name in known.thresholds], key)
    elif value is None:
        table.wrong("", f'{table.called}: "{key}" is missing.', f"It is a number ({unit}) or a threshold.")
    return (0.0, "") if isinstance(value, str) else (table.number(key, 0.0), "")


def amount_call(table: Table, known: Known) -> AmountCall | None:
    """A named amount function with all its numbers."""
    inner = table.inner(("amount",), table.data["amount"], "amount")
    name = inner.choice("function", FUNCTIONS)
    if name not in FUNCTIONS:
        return None
    takes = FUNCTIONS[name].takes
    inner.allow("function", *takes)
    read = {key: quantity(inner, key, known, unit) for key, unit in takes.items()}
    return AmountCall(
        name, {key: value for key, (value, _) in read.items()}, tuple(used for _, used in read.values() if used)
    )
