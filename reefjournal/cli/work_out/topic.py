"""A topic: one question, its inputs, and how a command is made of it.

An input is written on the command line, or taken from the notes, or has a default; what is written wins, and the
answer says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from reefjournal.chemistry.answer import shown
from reefjournal.cli import options
from reefjournal.cli.work_out.quantity import Refused, Unit, Written
from reefjournal.cli.work_out.result import Noted, Origin, Result, as_json, as_text, show

if TYPE_CHECKING:
    from reefjournal.cli.work_out.from_notes import Notes

Values = Mapping[str, Any]


@dataclass(frozen=True)
class Input:
    """One input: its option, what it is, and how it is read.

    ``noted`` names what the notes hold for it (see `from_notes.find`); ``many`` may be given several times.
    """

    name: str
    says: str
    type: click.ParamType  # type: ignore[type-arg]
    default: Any = None
    optional: bool = False
    noted: str = ""
    many: bool = False
    hidden: bool = False

    @property
    def option(self) -> str:
        """The option as it is typed."""
        return "--" + self.name.replace("_", "-")

    @property
    def label(self) -> str:
        """Its name in a sentence."""
        return "pH" if self.name == "ph" else self.name.replace("_", " ")

    @property
    def unit(self) -> Unit:
        """The unit of a plain number, one without a name where the input is no number."""
        return self.type.unit if isinstance(self.type, Written) else Unit("")

    @property
    def asked(self) -> str:
        """What is asked for where it is missing: "--volume in L"."""
        return f"{self.option} in{self.unit.behind}" if self.unit.behind else self.option

    @property
    def help(self) -> str:
        """The help of the option, with its default."""
        default = "" if self.default is None else f"  [{in_words(self.default)}]"
        return f"{self.says}{default}"

    def decorate(self, command: Callable[..., None]) -> Callable[..., None]:
        """The command with this input as an option."""
        shown_as = self.type.name if self.unit.name else None
        option = click.option(
            self.option, self.name, type=self.type, multiple=self.many, metavar=shown_as, help=self.help
        )
        return option(command)


@dataclass(frozen=True)
class Topic:
    """One question: ``work`` gets the inputs by name, and ``judged`` looks whether its answer may stand.

    ``example`` is what is typed without notes, ``in_notes`` with them.
    """

    name: str
    says: str
    example: str
    inputs: tuple[Input, ...]
    work: Callable[..., Result]
    judged: Callable[[Notes | None, Result, Values], Result] | None = None
    in_notes: str = ""

    @property
    def help(self) -> str:
        """The sentence, and the examples as they are typed."""
        typed = [f"reefjournal work-out {self.name} {self.example}"]
        typed += [f"reefjournal work-out {self.name} {self.in_notes} --notes my-tank".replace("  ", " ")] * self.noted
        return "\n".join([self.says, "", "\b", "For example:", *(f"  {line}" for line in typed)])

    @property
    def noted(self) -> bool:
        """Whether the notes can hold anything for it."""
        return any(one.noted for one in self.inputs)

    def command(self) -> click.Command:
        """The command that answers it."""

        def run(as_json: bool, **given: Any) -> None:
            answer(self, given, as_json)

        json = click.option("--json", "as_json", is_flag=True, help="Print the answer and its working as JSON.")
        command: Callable[..., None] = json(run)
        if self.noted:
            command = _notes(options.on(options.vessel(command)))
        for one in reversed([one for one in self.inputs if not one.hidden]):
            command = one.decorate(command)
        return click.command(self.name, help=self.help, short_help=self.says)(command)


def _notes(command: Callable[..., None]) -> Callable[..., None]:
    text = "Take what is not given here from these notes, each with its line."
    return click.option("--notes", type=click.Path(path_type=Path), metavar="PATH", help=text)(command)


def answer(topic: Topic, given: dict[str, Any], json: bool) -> None:
    """Gather the inputs, work it out, and print."""
    path, on, vessel = (given.pop(name, None) for name in ("notes", "on", "vessel"))
    if path is None and (on or vessel):
        raise Refused(f"--{'on' if on else 'vessel'} speaks of notes; write --notes PATH too.")
    notes = _opened(path, on, vessel) if path else None
    values, origins = gathered(topic, given, notes)
    try:
        result = topic.work(**values)
    except ValueError as wrong:
        raise Refused(f"{topic.name}: {wrong}.") from None
    if topic.judged is not None:
        result = topic.judged(notes, result, values)
    show(as_json(topic.name, result, origins) if json else as_text(result, origins))


def _opened(path: Path, on: Any, vessel: str | None) -> Notes:
    from reefjournal.cli.work_out.from_notes import opened

    return opened(path, on or options.today(), vessel)


def gathered(topic: Topic, given: Values, notes: Notes | None) -> tuple[dict[str, Any], list[Origin]]:
    """The value of each input, and where those that bear on the notes came from.

    Raises:
        Refused: something that is needed was neither given nor noted.
    """
    values: dict[str, Any] = {}
    origins: list[Origin] = []
    missing: dict[str, str] = {}
    for one in topic.inputs:
        written = given.get(one.name)
        asked = notes is not None and bool(one.noted)
        found = notes.find(one.noted, one.unit, given) if notes and asked else ""
        values[one.name] = one.default if written is None else written
        if written not in (None, ()):
            origins += [Origin(one.name, written, _overrides(one, written, found))] if asked else []
        elif isinstance(found, Noted):
            values[one.name] = found.value
            origins.append(Origin(one.name, found.value, f"{one.label}: {found.cited}"))
        elif one.optional:
            origins += [Origin(one.name, None, f"{one.label}: left out, since {found}")] if asked else []
        elif asked or one.default is None:  # what the notes do not show is asked for, never assumed
            missing[one.asked] = found
    if missing:
        why = "; ".join(dict.fromkeys(filter(None, missing.values())))
        needed = ", ".join(missing) + (f" ({why})" if why else "")
        raise Refused(f"{topic.name} needs {needed}. For example: {topic.example}")
    return values, origins


def _overrides(one: Input, written: Any, found: Noted | str) -> str:
    instead = f", instead of {found.cited}" if isinstance(found, Noted) else ""
    return f"{one.label}: {in_words(written)}{one.unit.behind} from the command line{instead}"


def in_words(value: Any) -> str:
    """A value as it is read aloud."""
    if isinstance(value, float | int):
        return f"{value:g}"
    if isinstance(value, tuple) and len(value) == 2 and all(isinstance(end, float) for end in value):
        return shown(value, 4)
    if isinstance(value, tuple):
        return "/".join(in_words(one) for one in value)
    return str(value)
