"""Every number that the program believes: its unit, what it means, where it comes from, and where it stands.

The thresholds come from the rulebook, everything else from the very places that the program counts with: annotated
constants (see ``believed``), the unknowns of the nitrification model, the numbers of the vocabulary. A formula has
numbers of its own that say nothing alone; it is listed with the source that its docstring names.
"""

from __future__ import annotations

import inspect
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import timedelta
from importlib import import_module
from pkgutil import walk_packages
from types import ModuleType
from typing import Any, NamedTuple, get_type_hints

import reefjournal
from reefjournal.advisor.rules import Rulebook
from reefjournal.believed import KINDS, Believed
from reefjournal.journal import vocabulary
from reefjournal.nitrification.priors import Prior

Value = float | tuple[float, ...] | None
FORMULAS = ("reefjournal.chemistry", "reefjournal.workshop")
DERIVED = "derived"
"""The kind of what follows from geometry or from a law of conservation, and of sums of other formulas."""
LEFT_OUT = ("reefjournal.cli", "reefjournal.__main__")
"""The command line believes nothing of its own."""
SAID = re.compile(r"\bSources?(?: \((?P<kind>[^),]*)[^)]*\))?:? (?P<source>.+?)(?:\n\n| Raises |$)", re.DOTALL)
USUAL_STEP = "the smallest step of a usual kit, where no kit is defined"
USUAL_RANGE = "what is read in this unit where none is written"


@dataclass(frozen=True)
class Row:
    """One number, range or list of numbers; ``value`` is ``None`` for a formula."""

    id: str
    value: Value
    unit: str
    means: str
    kind: str
    source: str
    spread: str = ""
    where: str = ""

    @property
    def written(self) -> str:
        """The value and its unit as a reader sees them."""
        numbers = self.value if isinstance(self.value, tuple) else (self.value,)
        shown = [f"{number:.6g}" for number in numbers if number is not None]
        return f"{(' to ' if len(shown) == 2 else ', ').join(shown)} {self.unit}".rstrip()

    def mentions(self, words: tuple[str, ...]) -> bool:
        """Whether all the words stand somewhere in the row; a word that is a kind of source must be its kind."""
        text = " ".join((self.id, self.unit, self.means, self.kind, self.source, self.spread)).casefold()
        return all(word == self.kind if word in (*KINDS, DERIVED) else word.casefold() in text for word in words)


def rows(book: Rulebook) -> tuple[Row, ...]:
    """Everything, the rulebook first, then the code by module."""
    modules = [module for module in _modules() if not module.__name__.startswith(LEFT_OUT)]
    found = [row for module in modules for row in (*_constants(module), *_unknowns(module), *_formulas(module))]
    return (*_thresholds(book), *found, *_vocabulary())


def _thresholds(book: Rulebook) -> Iterator[Row]:
    for name, one in book.thresholds.items():
        source = book.sources[one.source]
        cited = source.cited.removesuffix(f" ({source.kind})")
        where = str(book.places["threshold", name])
        yield Row(name, one.value, one.unit, one.means, source.kind, cited, one.spread, where)


def _modules() -> Iterator[ModuleType]:
    names = sorted(one.name for one in walk_packages(reefjournal.__path__, "reefjournal."))
    return (import_module(name) for name in names if not name.startswith(LEFT_OUT))


class Placed(NamedTuple):
    """A number's name and value in a module, and what is said of it."""

    name: str
    value: Any
    said: Believed


def _constants(module: ModuleType) -> Iterator[Row]:
    """The annotated numbers of a module and of the fields of its dataclasses."""
    found = list(_annotated(module, vars(module)))
    for one in vars(module).values():
        if isinstance(one, type) and is_dataclass(one) and one.__module__ == module.__name__:
            defaults = {field.name: field.default for field in fields(one)}
            found += [Placed(f"{one.__name__}.{name}", value, said) for name, value, said in _annotated(one, defaults)]
    for name, value, said in found:
        values = list(_values(name, value))
        units = said.unit if isinstance(said.unit, tuple) else (said.unit,) * len(values)
        for (inner, number), unit in zip(values, units, strict=True):
            means = said.means if inner == name else f"{said.means}: {inner.removeprefix(f'{name}.')}"
            yield Row(_id(module, inner), number, unit, means, said.kind, said.cited, said.spread, _file(module))


def _annotated(owner: ModuleType | type, values: Mapping[str, Any]) -> Iterator[Placed]:
    if not any(str(one).startswith("Annotated[") for one in vars(owner).get("__annotations__", {}).values()):
        return
    for name, hint in get_type_hints(owner, include_extras=True).items():
        for said in getattr(hint, "__metadata__", ()):
            if isinstance(said, Believed):
                yield Placed(name, values[name], said)


def _values(name: str, value: Any) -> Iterator[tuple[str, Value]]:
    """A number, or a tuple of them, as it is; a time in days; each value of a dict under its key."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _values(f"{name}.{key}", inner)
    elif isinstance(value, timedelta):
        yield name, value / timedelta(days=1)
    else:
        yield name, tuple(map(float, value)) if isinstance(value, tuple) else float(value)


def _unknowns(module: ModuleType) -> Iterator[Row]:
    """The unknowns of the nitrification model, each by its median and its spread."""
    for name, value in vars(module).items():
        for one in value if isinstance(value, tuple) else (value,):
            if isinstance(one, Prior):
                said = Believed(one.unit, one.means, one.source)
                spread = f"times or over {math.exp(one.log_sd):.2g}, one standard deviation of the logarithm"
                called = f"{name}.{one.name}" if isinstance(value, tuple) else name
                yield Row(_id(module, called), one.median, one.unit, one.means, said.kind, said.cited, spread,
                          _file(module))  # fmt: skip


def _formulas(module: ModuleType) -> Iterator[Row]:
    """The functions of a module that name their source."""
    if not module.__name__.startswith(FORMULAS):
        return
    for name, one in inspect.getmembers(module, inspect.isfunction):
        said = SAID.search(inspect.getdoc(one) or "") if one.__module__ == module.__name__ else None
        if said:
            means = str(inspect.getdoc(one)).partition(".\n")[0]
            kind = next((kind for kind in KINDS if (said["kind"] or "").startswith(kind)), DERIVED)
            yield Row(_id(module, name), None, "", _flat(means), kind, _flat(said["source"]), where=_file(module))


def _vocabulary() -> Iterator[Row]:
    """What the language of the notes takes for granted."""
    words = vocabulary.builtin()
    for one in sorted(set(words.analytes.meanings.values()), key=lambda one: one.name):
        yield Row(f"analytes.{one.name}.step", one.step, one.unit, USUAL_STEP, "common practice", "common practice",
                  where="reefjournal/journal/analytes.toml")  # fmt: skip
        for unit, ends in one.usual.items():
            yield Row(f"analytes.{one.name}.usual.{unit}", ends, unit, USUAL_RANGE, "our judgement", "our judgement",
                      where="reefjournal/journal/analytes.toml")  # fmt: skip
    for name in sorted({one.name for one in words.substances.meanings.values() if one.source}):
        thing = words.substances.meanings[name]
        for key, span, unit in (("nitrogen", thing.nitrogen, "mg N/g"), ("density", thing.density, "g/ml")):
            if span and span != (1.0, 1.0):
                said = Believed(unit, f"{key} of {name}, from lowest to highest", thing.source)
                yield Row(f"substances.{name}.{key}", tuple(span), unit, said.means, said.kind, said.cited,
                          where="reefjournal/journal/substances.toml")  # fmt: skip


def _id(module: ModuleType, name: str) -> str:
    return f"{module.__name__.removeprefix('reefjournal.')}.{name}"


def _file(module: ModuleType) -> str:
    return f"{module.__name__.replace('.', '/')}.py"


def _flat(text: str) -> str:
    return " ".join(text.replace("``", "").replace("`", "").split())
