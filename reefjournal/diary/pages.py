"""The pages of a diary as plain data, without a word of HTML: a start page and one page a month."""

from __future__ import annotations

from calendar import monthrange
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from itertools import groupby, zip_longest
from typing import Any

from reefjournal.diary.charts import Band
from reefjournal.diary.entries import Part, Splitter
from reefjournal.diary.said import Said
from reefjournal.diary.series import Figure, Series, clip
from reefjournal.diary.shown import Page, Shown, public, unmask
from reefjournal.diary.source import Entry, Journal, Stage
from reefjournal.problems import Problem

START = "index.html"


@dataclass(frozen=True)
class DayEntry:
    """One entry: its place on the page, its head, the stage where it is of the default vessel, and its parts."""

    anchor: str
    day: date | None
    at: time | None
    vessel: str
    title: str
    stage: Stage | None
    parts: tuple[Part, ...]
    file: str


@dataclass(frozen=True)
class Month:
    """A month in the list of all: its first day, its file, how many entries it has, and the stages it went through."""

    first: date
    file: str
    entries: int
    bands: tuple[Band, ...]


@dataclass(frozen=True)
class MonthPage:
    """A month: its entries, its charts, and the months before and after that have entries."""

    month: Month
    entries: tuple[DayEntry, ...]
    figures: tuple[Figure, ...]
    earlier: Month | None
    later: Month | None


@dataclass(frozen=True)
class StartPage:
    """The first page: the advice of the day, the last year's chart, the months, what has no day, and what to mend.

    ``advice`` is empty where no entry is dated, ``problems`` come with their place in the diary, ``still_to_come``
    counts the entries after ``on``.
    """

    on: date
    vessel: str
    advice: Mapping[str, Any]
    figure: Figure | None
    months: tuple[Month, ...]
    undated: tuple[DayEntry, ...]
    problems: tuple[tuple[Problem, str], ...]
    still_to_come: int


@dataclass(frozen=True)
class Pages:
    """A whole diary."""

    start: StartPage
    months: tuple[MonthPage, ...]


def lay_out(journal: Journal, on: date) -> Pages:
    """The diary of a journal as it stands at the end of a day; later entries are counted, not shown."""
    state, shown = journal.state(on=on), Shown(journal.entries)
    past = [one for one in journal.entries if one.day is not None and not one.preamble and one.day <= on]
    stages = _stages(journal, on)
    bands = tuple(_bands(stages, on))
    entries = tuple(_entries(past, stages, Splitter.of(journal.events, state)))
    loose = [one for one in journal.entries if one.preamble or one.day is None]
    undated = tuple(_entries(loose, stages, Splitter.of(journal.events, state)))
    series = [Series.of(state.vessel(name), shown) for name in state.names]
    advice = journal.advise(on=on, vessel=state.default).model_dump(mode="json") if past else {}
    placed = zip([*past, *loose], [*entries, *undated], strict=True)
    links = [(one, f"{_file(day.day)}#{day.anchor}") for one, day in placed if day.day or day.parts]
    said = Said.of(shown, journal.events, links)
    months = tuple(_months(entries, bands))
    start = StartPage(
        on=on,
        vessel=public(state.default),
        advice=said.advice(advice),
        figure=_last_year(series[0], on, bands),
        months=months,
        undated=tuple(one for one in undated if one.parts),
        problems=tuple(said.problem(one) for one in journal.problems),
        still_to_come=len(journal.entries) - len(past) - len(loose),
    )
    return Pages(start, tuple(_month_pages(months, entries, series, bands)))


def _stages(journal: Journal, on: date) -> dict[date, Stage | None]:
    """The stage of each day on which something was written, and of the last day."""
    written = {one.day for one in [*journal.events, *journal.entries] if one.day is not None and one.day <= on}
    return {day: journal.stage_on(day) for day in sorted(written | {on})} if written else {}


def _bands(stages: Mapping[date, Stage | None], on: date) -> Iterator[Band]:
    """Stretches of one stage; a stage lasts until a day with another. Stages are numbered as they first came."""
    numbers: dict[str, int] = {}
    runs = [list(run) for _, run in groupby(stages.items(), key=lambda item: item[1] and item[1].id)]
    for run, after in zip_longest(runs, runs[1:]):
        first, stage = run[0]
        if stage is not None:
            number = numbers.setdefault(stage.id, len(numbers) + 1)
            yield Band(first, after[0][0] - timedelta(days=1) if after else on, stage.id, stage.name, number)


def _entries(written: Sequence[Entry], stages: Mapping[date, Stage | None], splitter: Splitter) -> Iterator[DayEntry]:
    """The entries as they are shown; stages are those of the default vessel and say nothing of another."""
    taken: Counter[str] = Counter()
    for one in written:
        name = "undated" if one.day is None else f"day-{one.day.isoformat()}"
        taken[name] += 1
        anchor = name if taken[name] == 1 else f"{name}-{taken[name]}"
        title = unmask(Page.of(one).title)
        home = one.vessel in ("", splitter.state.default)
        stage = stages.get(one.day) if one.day and home else None
        yield DayEntry(anchor, one.day, one.at, public(one.vessel), title, stage, splitter.parts(one), one.file)


def _file(day: date | None) -> str:
    return START if day is None else f"{day.isoformat()[:7]}.html"


def _months(entries: Sequence[DayEntry], bands: Sequence[Band]) -> Iterator[Month]:
    counts = Counter(one.day.replace(day=1) for one in entries if one.day)
    for first in sorted(counts):
        yield Month(first, _file(first), counts[first], tuple(clip(bands, first, _last_of(first))))


def _last_of(month: date) -> date:
    """The last day of the month that begins on that day."""
    return month.replace(day=monthrange(month.year, month.month)[1])


def _month_pages(months: Sequence[Month], entries: Sequence[DayEntry], series: Sequence[Series],
                 bands: Sequence[Band]) -> Iterator[MonthPage]:
    own = {file: tuple(run) for file, run in groupby(entries, key=lambda one: _file(one.day))}
    for place, month in enumerate(months):
        last = _last_of(month.first)
        figures = [one.figure(f"chart-{n}", month.first, last, bands if n == 1 else ())
                   for n, one in enumerate(series, start=1)]
        yield MonthPage(month, own[month.file], tuple(one for one in figures if one),
                        months[place - 1] if place else None, months[place + 1] if place + 1 < len(months) else None)


def _last_year(series: Series, on: date, bands: Sequence[Band]) -> Figure | None:
    """The chart of the start page: from a week before the first reading or dose, a year at most."""
    days = [one.day for one in [*series.readings, *series.doses] if one.day is not None]
    first = max(min(days, default=on), on - timedelta(days=357)) - timedelta(days=7)
    return series.figure("chart-1", first, on, bands)
