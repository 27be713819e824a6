'''The rulebook: TOML files that hold everything the advisor believes, read and checked into frozen rules.

A file may hold any of the tables below, in any order; every id is written once in a folder. A table in a keeper's
folder replaces the built-in one of the same id, and the book says so. Small letters, digits and hyphens make an id.

Sources, thresholds and cautions::

    [[source]]
    id = "epa-1989"
    who = "US Environmental Protection Agency"
    title = "Ambient water quality criteria for ammonia (saltwater)"
    year = 1989                       # may be left out
    where = "EPA 440/5-88-004"        # may be left out
    kind = "published"                # published | common practice | from memory

    [[threshold]]
    id = "ammonia-clear"
    value = 0.05                      # at most four decimals
    unit = "mg N/L"                   # may be left out
    means = "what it stands for, in words"
    source = "common-practice"        # one id
    spread = "where experts differ"   # may be left out

    [[caution]]
    id = "mixed-cleaners"
    says = "the warning itself"
    when = "what calls for it"
    source = "common-practice"

Stages, in order; where several rules of one track fit, the stage listed last holds. The track of the cycle is
"nitrogen". A track whose stages have a role is shown as it stands in the first vessel of that role::

    [[stage]]
    id = "nitrite-high"
    name = "waiting for nitrite to fall"
    track = "nitrogen"
    means = "one or two sentences for the keeper"
    role = "display"                  # may be left out

Rules::

    [[rule]]
    id = "ammonia-being-oxidised"
    layer = "diagnosis"               # trust | evidence | stage | diagnosis | advice
    title = "The first half of the cycle works"
    says = "Ammonia fell from {ammonia.from_written} to {ammonia.low:.2g}, at most {@ammonia-clear}."
    sureness = "likely"               # shown | likely (when left out) | possible
    wrong_if = "what would make it wrong"                     # may be left out
    source = ["nijhof-1990"]          # at least one
    # advice only:
    do = "Test ammonia today; {amount}"
    why = "..."                       # left out: says
    urgency = "today"                 # now | today | soon | wait | plan
    precedence = "cycle"              # people leak emergency doubt stop cycle running build looks, highest first
    by_days = 2                       # or "@threshold", or the "alias.property" of a fact; may be left out
    by_from = "ammonia"               # counted from the day of what fills this pattern; left out: from today
    before = ["keep-it-fed"]          # advice of the same precedence that this one outranks
    covers = ["test-ammonia"]         # advice that is left out where this one is told before it
    cautions = ["mixed-cleaners"]
    due = "ammonia test"              # also a row in what is due
    gives = "ammonia"                 # ammonia | copper: owned up to, and guarded in code

    [[rule.when]]                     # all must be filled, each by another fact
    as = "ammonia"                    # left out: the kind of fact
    fact = "trend"                    # a kind of reefjournal.facts
    analyte = "ammonia"               # text or number: must equal
    days = "@trend-days"              # "@id" is a threshold's value
    low = { at_least = "@present", below = 4.0 }      # at_least at_most above below not
    high = { below = "from_low" }                     # a property of the same fact ...
    vessel = { same_as = "other.vessel" }             # ... or of an earlier pattern
    span_days = { known = true }                      # an unknown number fails every other test

A pattern looks at ``where = "here"`` unless it says ``where = "elsewhere"`` or ``"any"``: facts of the first vessel of
each role that some gate or stage names, windows left out, for diagnosis and advice. The parameters of a window
(``latest``, ``trend``, ``run``, ...) are its question and take plain values or "@id"; one that is left out is not
part of the question. Trust rules see stated facts and single readings, no windows; other rules no single readings.

    [[rule.unless]]                   # each stands alone: one fact of a LOWER layer that fits, and the rule is off;
    fact = "dilution"                 # it may also be a fact that fills a pattern above
    share_of_fall = { at_least = "@fall-by-dilution" }

    [rule.concludes]                  # trust: doubt, stage: stage, evidence and diagnosis: process (may be left out
    fact = "process"                  # in diagnosis), advice: none
    name = "ammonia-oxidation"        # a value, "@id", or { same_as = "alias.property" }
    state = "working"

A trust rule concludes ``fact = "doubt"`` with ``verdict = "doubt"`` or ``"reject"``; it is about the reading that
fills its first pattern. A stage rule concludes ``fact = "stage"`` and an ``id`` of a ``[[stage]]``.

    [rule.amount]                     # advice: a function of amounts.py with its numbers
    function = "ammonium-chloride"
    target = "@challenge-dose"

    [[rule.example]]                  # at least one that fires, and a near miss
    on = 2026-03-12                   # a date, or a date and time
    fires = true
    vessel = "display"                # may be left out
    journal = """..."""

Gates; open only when every check is met. ``met`` as a list of patterns: all must be filled together. ``unmet``: one is
enough. Roads, of which one is enough, are written as a list of lists. Neither is unknown, both is unmet::

    [[gate]]
    id = "first-fish"
    name = "first fish"
    role = "display"                  # judged in the vessel of this role; left out: in the one that is asked about
    behind = [{ fact = "animals", group = "fish", present = "yes" }]     # its step was taken; may be left out

    [[gate.check]]
    id = "ammonia-clear"
    says = "Ammonia below {@ammonia-clear}, twice, a day apart"
    met = [{ fact = "run", analyte = "ammonia", below = "@ammonia-clear", times = 2, hours = 20 }]
    unmet = [{ fact = "latest", analyte = "ammonia", low = { at_least = "@ammonia-clear" } }]
    settle = "test ammonia today and again tomorrow"
'''

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TypeVar

from reefjournal import __version__
from reefjournal.advisor.book_checks import checked
from reefjournal.advisor.gate_reader import gate
from reefjournal.advisor.known import Known
from reefjournal.advisor.patterns import exact, identifier
from reefjournal.advisor.rule_reader import rule
from reefjournal.advisor.rules import SOURCE_KINDS, Caution, Rule, Rulebook, Source, Stage, Threshold
from reefjournal.advisor.tables import Table
from reefjournal.advisor.texts import without_orders
from reefjournal.advisor.toml_places import Place, TomlFile
from reefjournal.cache import kept
from reefjournal.problems import Problem

TABLES = ("source", "threshold", "caution", "stage", "rule", "gate")
PACKAGE = Path(__file__).parent.parent
SHOWN_AS = "rules"
EXAMPLE = "[[rule.example]]"
Item = TypeVar("Item")


def load(folders: Sequence[Path | str] = (), *, examples: bool = True) -> Rulebook:
    """The built-in rules, then those of the keeper's ``folders``, each of which may replace ids of those before it.

    Without ``examples`` those of the built-in rules are passed over, and what is left of them is kept parsed: that
    takes a third of the time, and advice needs no example.
    """
    return load_only([built_in(), *map(Path, folders)], examples=examples) if folders else alone(examples)


@cache
def alone(examples: bool) -> Rulebook:
    """The built-in rules by themselves, read once in a process."""
    return load_only([built_in()], examples=examples)


def load_only(folders: Sequence[Path], *, examples: bool = True) -> Rulebook:
    """The rules of these folders alone. Mistakes are in ``problems``; what is wrong is left out, never the rest."""
    reading = Reading()
    whole = {folder: examples or folder != built_in() for folder in folders}
    reading.tables = [table for folder in folders for table in tables_of(folder, reading.problems, whole[folder])]
    sources = reading.collect("source", source)
    known = Known(sources, {}, {}, {})
    thresholds = reading.collect("threshold", lambda table: threshold(table, known))
    cautions = reading.collect("caution", lambda table: caution(table, known))
    stages = reading.collect("stage", stage)
    names = {str(table.data.get("id")) for key, table in reading.tables if key == "rule"}
    known = Known(sources, thresholds, cautions, stages, names)
    rules = reading.collect("rule", lambda table: rule(table, known))
    gates = reading.collect("gate", lambda table: gate(table, known))
    found = Rulebook(
        sources, thresholds, cautions, stages, rules, gates, reading.places,
        tuple(reading.problems), tuple(reading.replaced),
    )  # fmt: skip
    return checked(found, reading.former, unread=None if examples else built_in())


@dataclass
class Reading:
    """What is carried along while the tables of all folders are read; ``former`` are the rules that were replaced."""

    tables: list[tuple[str, Table]] = field(default_factory=list)
    places: dict[tuple[str, str], Place] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    replaced: list[Problem] = field(default_factory=list)
    former: dict[str, Rule] = field(default_factory=dict)

    def collect(self, key: str, read: Callable[[Table], Item | None]) -> dict[str, Item]:
        """The tables of one name, by id.

        A gate that is wrong is kept, shut, unless it would replace a good one; every other table is left out.
        """
        found: dict[str, Item] = {}
        for table in (table for name, table in self.tables if name == key):
            table.start = len(self.problems)
            item, name = read(table), str(table.data.get("id"))
            kept = item is not None and (not table.broken or (key == "gate" and name not in found))
            if item is not None and kept and self.placed(key, name, table):
                before, found[name] = found.get(name), item
                if isinstance(before, Rule):
                    self.former[name] = before
        return found

    def placed(self, key: str, name: str, table: Table) -> bool:
        """Whether a table may have its id: the same one in one folder is a mistake, in a later folder it replaces."""
        first = self.places.get((key, name))
        if first and first.file.folder == table.file.folder:
            table.wrong(name, f'there is a {key} "{name}" already, at {first}.', "The first one is used.", "id")
            return False
        if first:
            said = f'this {key} "{name}" replaces the one at {first}.'
            self.replaced.append(Problem(table.file.name, table.place.line, 1, "warning", said))
        self.places[key, name] = table.place
        return True


def built_in() -> Path:
    """The rules that come with the program: inside the wheel, or beside the package in a checkout."""
    shipped = PACKAGE / "_rules"
    return shipped if shipped.is_dir() else PACKAGE.parent / "rules"


def tables_of(folder: Path, problems: list[Problem], examples: bool = True) -> Iterator[tuple[str, Table]]:
    """Every table of every TOML file of a folder, with its name, in the order of files and lines."""
    if not folder.is_dir():
        problems.append(Problem(str(folder), 0, 1, "error", "this folder of rules does not exist or cannot be read."))
        return
    for path in sorted(folder.glob("[!.]*.toml")):
        shown = f"{SHOWN_AS}/{path.name}" if folder == built_in() else str(path)
        file, data = parsed(path, shown, problems, examples)
        whole = Table(file, (), data, shown, problems)
        whole.allow(*TABLES)
        for key in TABLES:
            yield from ((key, named(table, key)) for table in whole.tables(key))


def named(table: Table, key: str) -> Table:
    """A table of a file, called by its id."""
    table.called = f'{key} "{table.data["id"]}"' if isinstance(table.data.get("id"), str) else f"this {key}"
    return table


def parsed(
    path: Path, shown: str, problems: list[Problem], examples: bool = True
) -> tuple[TomlFile, Mapping[str, object]]:
    """The text and the data of one file; no data where it cannot be read."""
    try:
        content = path.read_bytes()
        text = content.decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as reason:
        cause = "is not UTF-8" if isinstance(reason, UnicodeDecodeError) else f"cannot be read: {reason.strerror}"
        problems.append(Problem(shown, 0, 1, "error", f"this file {cause}.", "None of it is used."))
        return TomlFile(shown, "", path.parent), {}
    file = TomlFile(shown, text, path.parent)
    try:
        if examples:
            return file, tomllib.loads(text)
        made_of = f"{__version__} without {EXAMPLE}\n".encode() + content
        return file, kept("rules", made_of, lambda: tomllib.loads(file.without(EXAMPLE)))
    except (tomllib.TOMLDecodeError, RecursionError) as reason:
        problems.append(not_toml(shown, str(reason)))
        return file, {}


def not_toml(shown: str, reason: str) -> Problem:
    """The mistake that keeps a file from being TOML."""
    found = re.search(r" \(at line (\d+), column (\d+)\)", reason)
    line, column = (int(found[1]), int(found[2])) if found else (0, 1)
    said = reason[: found.start()] if found else reason.removesuffix(" (at end of document)")
    return Problem(shown, line, column, "error", f"this is not TOML: {said}.", "None of this file is used.")


def source(table: Table) -> Source:
    """One source."""
    table.allow("id", "who", "title", "year", "where", "kind")
    year = int(table.number("year")) if "year" in table.data else None
    return Source(
        identifier(table, "id"), table.text("who"), table.text("title"), table.choice("kind", SOURCE_KINDS), year,
        table.text("where", ""),
    )  # fmt: skip


def threshold(table: Table, known: Known) -> Threshold:
    """One threshold."""
    table.allow("id", "value", "unit", "means", "source", "spread")
    value = table.number("value")
    if not exact(value):
        table.wrong(str(value), f"{table.called}: {value} has more than four decimals.", key="value")
    return Threshold(
        identifier(table, "id"), value, table.text("unit", ""), table.text("means"),
        table.choice("source", known.sources), table.text("spread", ""),
    )  # fmt: skip


def caution(table: Table, known: Known) -> Caution:
    """One caution."""
    table.allow("id", "says", "when", "source")
    without_orders(table, "says")
    return Caution(
        identifier(table, "id"), table.text("says"), table.text("when"), table.choice("source", known.sources)
    )


def stage(table: Table) -> Stage:
    """One stage."""
    table.allow("id", "name", "track", "means", "role")
    without_orders(table, "name", "means")
    name, track = identifier(table, "id"), identifier(table, "track")
    return Stage(name, table.text("name"), track, table.text("means"), table.text("role", ""))
