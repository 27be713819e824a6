"""Read a reef keeper's notes and say what phase the tank is in, what comes next, and why.

>>> import reefjournal
>>> journal = reefjournal.read_text("## 2026-03-14\\n- ammonia 0.5 ppm\\n", name="notes.md")
>>> journal.events[0].analyte
'ammonia'
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from reefjournal.advisor.advice import Advice, StageRow
    from reefjournal.advisor.changes import Changes
    from reefjournal.advisor.replay import Memory
    from reefjournal.advisor.rules import Rulebook
    from reefjournal.events import AnyEvent
    from reefjournal.evidence import Witness
    from reefjournal.evidence.outlook import Outlook
    from reefjournal.journal import Entry, Notes
    from reefjournal.marks import Marks
    from reefjournal.problems import Problem
    from reefjournal.timeline import State

__version__ = "0.1.0"
__all__ = ["Journal", "UnknownVesselError", "read", "read_text"]


class UnknownVesselError(ValueError):
    """The notes know no vessel of that name."""


@dataclass(frozen=True)
class Journal:
    """A keeper's notes as events, and what can be said of any day from them."""

    notes: Notes
    _books: dict[tuple[str, ...], Rulebook] = field(default_factory=dict, repr=False)
    _memories: dict[Any, Memory] = field(default_factory=dict, repr=False)

    @property
    def events(self) -> tuple[AnyEvent, ...]:
        """Everything that happened, in time order."""
        return self.notes.events

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Everything that was not understood, in the order of files and lines."""
        return self.notes.problems

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The dated entries and preambles, in time order."""
        return self.notes.entries

    @cached_property
    def _whole(self) -> State:
        from reefjournal.timeline import fold

        return fold(self.events, default=self.default_vessel)

    @property
    def default_vessel(self) -> str:
        """The vessel that a note without one is about: the first that was defined."""
        return next((one.vessel for one in self.events if one.kind == "vessel" and one.day), "display")

    def last_day(self) -> date | None:
        """The newest day of the notes, ``None`` where there is no dated entry."""
        return max((one.day for one in self.entries if one.day is not None), default=None)

    def state(self, on: date | datetime) -> State:
        """The state of every vessel at a moment, or at the end of a day."""
        from reefjournal.timeline import moment_of

        return self._whole.at(moment_of(on))

    def rulebook(self, rules: Sequence[Path | str] = ()) -> Rulebook:
        """The built-in rules, without their examples, with the keeper's own folders over them, read once."""
        from reefjournal.advisor.rulebook import load

        key = tuple(str(folder) for folder in rules)
        if key not in self._books:
            self._books[key] = load(rules, examples=False)
        return self._books[key]

    def advise(
        self,
        on: date | datetime,
        vessel: str | None = None,
        rules: Sequence[Path | str] = (),
        forecast: bool = True,
        engine: str = "auto",
    ) -> Advice:
        """What phase a vessel is in at the end of a day (or at a moment), what comes next, and why.

        ``vessel`` is the default one if not given, ``rules`` are extra rule folders, ``forecast`` false skips the fit.

        Raises:
            UnknownVesselError: the notes know no such vessel by then.
        """
        from reefjournal.advisor.advice import ForecastRow
        from reefjournal.advisor.advise import advise

        book, witness = self.rulebook(rules), replace(self.witness(on, vessel), fits=forecast)
        memory = self._memory(witness.vessel, rules)
        advice = advise(book, witness, engine, memory)  # type: ignore[arg-type]
        memory.keep(book)
        ahead = witness.outlook(advice.stage.id) if forecast and advice.stage else None
        rows = (ForecastRow.model_validate(row, from_attributes=True) for row in (ahead.in_short if ahead else ()))
        return advice.model_copy(update={"forecast": tuple(rows)})

    def changes(
        self, since: date | datetime, on: date | datetime, vessel: str | None = None, rules: Sequence[Path | str] = ()
    ) -> Changes:
        """What changed in the advice from the end of ``since`` to ``on``, and the notes that changed it.

        Forecasts are left out: they move with every test.

        Raises:
            UnknownVesselError: the notes know no such vessel by then.
            ValueError: ``since`` is not before ``on``.
        """
        from reefjournal.advisor.changes import changes
        from reefjournal.timeline import moment_of

        first, last = moment_of(since), moment_of(on)
        if first >= last:
            raise ValueError(f"{since} is not before {on}; choose an earlier day")
        written = {(one.source.file, one.source.line) for one in self.events if first < one.earliest <= last}
        before, after = (self.advise(day, vessel, rules, forecast=False) for day in (since, on))
        return changes(before, after, written)

    def outlook(
        self, on: date | datetime, vessel: str | None = None, rules: Sequence[Path | str] = ()
    ) -> Outlook | None:
        """What the nitrification model says of the cycle that runs; ``None`` where nothing can be forecast.

        Raises:
            UnknownVesselError: the notes know no such vessel by then.
        """
        from reefjournal.advisor.advise import stage_on

        book, witness = self.rulebook(rules), self.witness(on, vessel)
        stage = stage_on(book, witness, self._memory(witness.vessel, rules))
        return witness.outlook(stage.id) if stage else None

    def stage_on(self, day: date, vessel: str | None = None) -> StageRow | None:
        """The nitrogen stage of a past day."""
        from reefjournal.advisor.advise import stage_on

        return stage_on(self.rulebook(), self.witness(day, vessel), self._memory(vessel or self.default_vessel, ()))

    def witness(self, on: date | datetime, vessel: str | None = None) -> Witness:
        """What can be said of a vessel (the default one if not given) at a moment, or at the end of a day.

        Raises:
            UnknownVesselError: the notes know no such vessel by then.
        """
        from reefjournal.evidence import Witness

        state = self.state(on)
        name = (vessel or self.default_vessel).casefold()
        known = {one.casefold(): one for one in self._whole.names}
        if name not in known:
            raise UnknownVesselError(f"no vessel is called {vessel!r}; there are: {', '.join(known.values())}")
        return Witness(state, known[name])

    def _memory(self, vessel: str, rules: Sequence[Path | str]) -> Memory:
        from reefjournal.advisor.replay import Memory

        key = (vessel, tuple(map(str, rules)))
        if key not in self._memories:
            self._memories[key] = Memory.of(self.rulebook(rules), self._mark)  # type: ignore[arg-type]
        return self._memories[key]

    def _mark(self, witness: Witness) -> str:
        """What the stages of a past day rest on."""
        from reefjournal.marks import mark

        settled = None if witness.settled is None else sorted(witness.settled_by_now)
        return mark(witness.vessel, witness.on, self.default_vessel, settled, self._marks.by(witness.on.date()))

    @cached_property
    def _marks(self) -> Marks:
        from reefjournal.marks import Marks

        return Marks(self.events)


def read(path: str | Path, today: date | None = None) -> Journal:
    """The journal in a file or a folder of Markdown files; what can't be read becomes a problem, never an error.

    ``today`` lets the reader warn of days in the future; it has no clock of its own.
    """
    from reefjournal import journal

    return Journal(journal.read(Path(path), today))


def read_text(text: str, name: str = "notes.md") -> Journal:
    """The journal in a text, as if it were the file ``name``."""
    from reefjournal import journal

    return Journal(journal.read_text(text, name))
