"""An invented keeper's notes for the diary's tests, built by hand: no reader and no advisor is needed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, time, timedelta
from typing import Any, NamedTuple

from reefjournal import events as ev
from reefjournal.problems import Problem
from reefjournal.quantities import Interval
from reefjournal.timeline import State, fold, moment_of

Made = Callable[[dict[str, Any]], ev.AnyEvent]


class Item(NamedTuple):
    line: int
    last_line: int


@dataclass(frozen=True)
class Entry:
    file: str
    line: int
    last_line: int
    day: date | None
    at: time | None
    vessel: str
    title: str
    text: str
    items: tuple[Item, ...]
    text_line: int
    preamble: bool = False


@dataclass(frozen=True)
class Stage:
    id: str
    name: str


@dataclass(frozen=True)
class Advice:
    said: dict[str, Any]

    def model_dump(self, *, mode: str) -> dict[str, Any]:
        assert mode == "json"
        return self.said


@dataclass(frozen=True)
class Notebook:
    """A journal: pages of notes, with the stage of each day looked up from the days on which one began."""

    entries: tuple[Entry, ...] = ()
    events: tuple[ev.AnyEvent, ...] = ()
    problems: tuple[Problem, ...] = ()
    stages: tuple[tuple[date, str], ...] = ()
    said: dict[str, Any] | None = None

    def state(self, *, on: date) -> State:
        return fold(self.events).at(moment_of(on))

    def advise(self, *, on: date, vessel: str) -> Advice:
        return Advice(advice(on, vessel) if self.said is None else self.said)

    def stage_on(self, day: date) -> Stage | None:
        begun = [stage for first, stage in self.stages if first <= day]
        return Stage(begun[-1], begun[-1].replace("-", " ")) if begun else None

    def and_then(self, day: date | None, *lines: str | tuple[str, *tuple[Made, ...]], at: time | None = None,
                 vessel: str = "display", title: str = "", file: str = "notes.md") -> Notebook:
        """One more entry: lines of prose, and records, each with what it was read as."""
        heading = max((one.last_line for one in self.entries if one.file == file), default=0) + 1
        texts, items, events = [], [], list(self.events)
        for number, line in enumerate(lines, start=heading + 1):
            text, *made = (line,) if isinstance(line, str) else line
            texts.append(text)
            if made:
                items.append(Item(number, number))
            source = ev.Source(file=file, line=number, column=3, text=text[2:])
            events += [one({"source": source, "day": day, "at": at, "vessel": vessel}) for one in made]
        entry = Entry(file, heading, heading + len(texts), day, at, vessel, title, "\n".join(texts), tuple(items),
                      heading + 1)
        return replace(self, entries=(*self.entries, entry), events=tuple(events))


def reading(analyte: str, written: str, low: float = 0.0, high: float | None = None, *, readable: bool = True) -> Made:
    value = ev.Value(written=written, low=low, high=high, readable=readable)
    return lambda base: ev.Reading(**base, analyte=analyte, unit="mg/L", readers=(value,), low=low, high=high,
                                   readable=readable)


def dose(substance: str, grams: float) -> Made:
    return lambda base: ev.Dose(**base, substance=substance, amount=Interval.exactly(grams), unit="g",
                                nitrogen=Interval.exactly(262 * grams))


def seen(sign: str) -> Made:
    return lambda base: ev.Seen(**base, sign=sign)


def discard(analyte: str, first: date, last: date, reason: str) -> Made:
    return lambda base: ev.Discard(**base, what=analyte, first=first, last=last, reason=reason)


def unread(why: str) -> Made:
    return lambda base: ev.Unread(**base, text=base["source"].text, why=why)


def job(*, done: bool) -> Made:
    return lambda base: ev.Job(**base, text=base["source"].text.strip("[] "), done=done)


def water(litres: float) -> Made:
    return lambda base: ev.Water(**base, action="changed", volume=Interval.exactly(litres))


def because(*lines: tuple[str, int, str]) -> dict[str, Any]:
    return {"facts": [], "events": [{"file": f, "line": n, "text": t} for f, n, t in lines],
            "thresholds": [{"id": "nitrite-present", "value": 0.1, "unit": "mg/L N", "source": "common practice"}],
            "rules": ["feed-the-filter"]}


def advice(on: date, vessel: str) -> dict[str, Any]:
    """Advice with a row in every part, in the words of an invented advisor."""
    why = because(("notes.md", 3, "test: ammonia 2 ppm"), ("elsewhere.md", 1, "a line of no entry"))
    return {
        "on": on.isoformat(), "vessel": vessel, "engine": "plain",
        "unread": [{"file": "notes.md", "line": 4, "text": "amonia 0.5", "may_name": ["ammonia"]}],
        "stage": {"id": "nitrite-high", "name": "nitrite high", "since": "2026-03-12", "because": why},
        "tracks": [{"track": "build", "id": "doors", "name": "doors hung", "since": None, "because": why}],
        "growth": [{"id": "haze", "name": "haze", "since": "2026-03-18", "because": why}],
        "findings": [{"rule": "nitrite-plateau-normal", "sureness": "likely", "because": why, "says":
                      "Ammonia is gone and nitrite is high. In sea water this lasts for weeks and is no stall."}],
        "actions": [
            {"rule": "feed-the-filter", "do": "Give the filter 0.55 g ammonium chloride.", "urgency": "soon",
             "why": "The first half of the cycle starves while the second half grows.", "by": "2026-03-22",
             "amount": {"value": 0.553, "unit": "g", "substance": "ammonium chloride"}, "because": why},
            {"rule": "run-a-blank", "do": "Run the ammonia test once on fresh salt water.", "urgency": "plan",
             "why": "Its blank has never been read.", "by": None, "amount": None, "because": why},
        ],
        "gates": [{"id": "first-fish", "name": "first fish", "open": False, "behind": False, "checks": [
            {"id": "ammonia-clear", "says": "Ammonia below detection, twice, a day apart", "state": "met",
             "settle": "test again tomorrow", "because": why},
            {"id": "nitrite-clear", "says": "Nitrite below detection, twice, a day apart", "state": "unmet",
             "settle": "wait, and test in three days", "because": why},
            {"id": "challenge", "says": "A challenge of 1 mg/L N cleared", "state": "unknown",
             "settle": "do the challenge once nitrite is gone", "because": why}]}],
        "forecast": [{"id": "nitrite-gone", "says": "Nitrite is likely to be gone by 25 April.",
                      "threshold": "nitrite-clear", "median": "2026-04-09", "low": "2026-03-30", "high": "2026-04-25",
                      "level": 0.8, "beyond": 0.04}],
        "doubts": [{"rule": "contradicts-neighbours", "says": "The ammonia of 16 March does not fit its neighbours.",
                    "because": why}],
        "cautions": [{"id": "gloves", "says": "Ammonium chloride irritates eyes and skin: wear gloves and goggles.",
                      "source": "common practice"}],
        "due": [{"what": "nitrite test", "says": "The last one is three days old.", "by": "2026-03-21",
                 "because": why}],
    }


def cycle() -> Notebook:
    """Two months of a cycle, with every mark that a chart can hold."""
    stages = (("2026-02-20", "dry"), ("2026-03-01", "filled"), ("2026-03-03", "ammonia-rising"),
              ("2026-03-07", "ammonia-falling"), ("2026-03-15", "nitrite-high"), ("2026-04-04", "nitrite-falling"))
    slip = Problem("notes.md", 4, 3, "error", "“amonia” is no word that I know.", "Did you mean ammonia?")
    book = Notebook(stages=tuple((date.fromisoformat(day), stage) for day, stage in stages), problems=(slip,))
    book = book.and_then(date(2026, 2, 20), "The stand is level. Rock cures in its bin.", "", "- tape", "- *one* clamp",
                         ("- [ ] order door panels by 2026-03-10", job(done=False)), title="Stand")
    book = book.and_then(date(2026, 3, 1), "Filled with mixed water, and the hallway smells of the sea.",
                         ("- dose: ammonium chloride 2.2 g", dose("ammonium chloride", 2.2)), at=time(19, 30),
                         title="Water")
    for step in range(18):
        day = date(2026, 3, 3) + timedelta(days=2 * step)
        ammonia, nitrite, nitrate = max(2.0 - 0.3 * step, 0.0), min(0.3 * step, 2.6), 0.4 * step
        book = book.and_then(
            day, f"Day {step * 2}, all calm. The water is clear to the back pane." if step % 3 else "",
            (f"- test: ammonia {ammonia:.2f}, nitrite {nitrite:.2f} ppm",
             reading("ammonia", f"{ammonia:.2f}", ammonia * 0.7, ammonia * 1.3 or 0.1) if step != 4
             else reading("ammonia", f"{ammonia:.2f}", readable=False),
             reading("nitrite", f"{nitrite:.2f}", nitrite * 0.75, nitrite * 1.25 or 0.05 if step < 8 else None)),
            *([(f"- nitrate {nitrate:.1f}", reading("nitrate", f"{nitrate:.1f}", nitrate, nitrate))][: step % 2]),
            *([("- seen: haze, slight", seen("haze"))] if step == 6 else []),
            *([("- dose: ammonium chloride 0.55 g", dose("ammonium chloride", 0.55))] if step in (9, 12, 15) else []),
            *([("- amonia 0.5", unread("“amonia” is no word that I know"))] if step == 5 else []),
            title=("Haze again", "", "Two colours that I cannot tell apart")[step % 3] if step % 4 else "")
    return book.and_then(date(2026, 4, 8), "An old bottle after all.",
                         ("- discard: ammonia 2026-03-09 to 2026-03-10, expired reagent",
                          discard("ammonia", date(2026, 3, 9), date(2026, 3, 10), "expired reagent")))
