"""What the diary needs of a journal: shapes only, so that it depends on no reader and no advisor."""

# ruff: noqa: D102 - the shapes are described by their class

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time
from typing import Any, Protocol

from reefjournal import events as ev
from reefjournal.problems import Problem
from reefjournal.timeline import State


class Item(Protocol):
    """A part of an entry that was read as records: its first and last line in the file, counted from 1."""

    @property
    def line(self) -> int: ...
    @property
    def last_line(self) -> int: ...


class Entry(Protocol):
    """A dated part of the notes (``day`` ``None``: undated): its heading, and its Markdown from ``text_line`` on."""

    @property
    def file(self) -> str: ...
    @property
    def line(self) -> int: ...
    @property
    def last_line(self) -> int: ...
    @property
    def day(self) -> date | None: ...
    @property
    def at(self) -> time | None: ...
    @property
    def vessel(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def text(self) -> str: ...
    @property
    def items(self) -> Sequence[Item]: ...
    @property
    def text_line(self) -> int: ...
    @property
    def preamble(self) -> bool: ...


class Stage(Protocol):
    """A stage of the nitrogen track: its id and its name in plain words."""

    @property
    def id(self) -> str: ...
    @property
    def name(self) -> str: ...


class Advice(Protocol):
    """Advice as the advisor gives it, able to become plain data."""

    def model_dump(self, *, mode: str) -> dict[str, Any]: ...


class Journal(Protocol):
    """A journal that has been read."""

    @property
    def entries(self) -> Sequence[Entry]: ...
    @property
    def events(self) -> Sequence[ev.AnyEvent]: ...
    @property
    def problems(self) -> Sequence[Problem]: ...

    def state(self, *, on: date) -> State: ...
    def advise(self, *, on: date, vessel: str) -> Advice: ...
    def stage_on(self, day: date) -> Stage | None: ...
