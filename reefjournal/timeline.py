"""The state of every vessel at a moment, folded from the events up to it.

A fold keeps, for each vessel, the events of each kind in time order; everything else (what is on, what is visible,
what may live there) is read off those logs when it is asked for. Folding in two parts equals folding at once, and
an earlier state is a prefix of a later one, so looking back costs a search and no second fold.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from functools import cached_property
from types import MappingProxyType
from typing import Annotated, Any, Literal, NamedTuple, TypeVar

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.quantities import Interval

E = TypeVar("E", bound=ev.Base)
UNDATED = "undated"
ANYWHERE = "*"
Presence = Literal["yes", "no", "maybe"]

# What a group of animals may be hidden in: an unknown animal may be of any group, live rock carries invertebrates.
_MAY_BE = {
    "live rock": ("invertebrate",),
    "microfauna": ("invertebrate",),
    "unknown": ("fish", "invertebrate", "coral"),
}
# What a note without a day may change of what is thought of the water.
_DOUBTS = (ev.Stock, ev.Mention, ev.Dose, ev.Reading, ev.Water, ev.Treat, ev.Discard)
_WETS = ("filled", "moved", "mixed", "changed", "topped up")
_LIVING = ("fish", "invertebrate", "coral")
_EVERYONE = re.compile(r"\b(?:all|both|every\w*)\b")
_NET_OF_OUTER: Annotated[
    float,
    Believed(
        "of the outer size", "the least water that a tank with rock and sand holds", "common practice",
        "15 to 30 % less than its outer size",
    ),
] = 0.7  # fmt: skip
_SUMP: Annotated[
    float, Believed("times the tank", "no sump of a home makes more of it: that is a slip of the pen", "our judgement")
] = 3.0


def moment_of(on: date | datetime) -> datetime:
    """The moment a day is asked about: its end, so that everything of that day counts."""
    return on if isinstance(on, datetime) else datetime.combine(on, time.max)


def surely_before(first: ev.Base, second: ev.Base) -> bool:
    """Whether ``first`` came before ``second``: by their times, or by their order in one entry of one day."""
    if first.latest <= second.earliest and first.day != second.day:
        return True
    if first.day != second.day:
        return False
    if first.at is not None and second.at is not None and first.at != second.at:
        return first.at < second.at
    one, other = first.source, second.source
    # Some write the newest entry first, and some write a morning down at night.
    return (one.file, one.entry) == (other.file, other.entry) and one.line <= other.line


def hours_between(first: ev.Base, second: ev.Base) -> Interval:
    """From ``first`` to ``second`` in hours; notes without a time make a range."""
    low = (second.earliest - first.latest).total_seconds() / 3600
    high = (second.latest - first.earliest).total_seconds() / 3600
    return Interval(max(low, 0.0), max(high, 0.0))


def hours_since(event: ev.Base, moment: datetime) -> Interval:
    """From ``event`` to ``moment`` in hours, never below zero."""
    low = (moment - event.latest).total_seconds() / 3600
    high = (moment - event.earliest).total_seconds() / 3600
    return Interval(max(low, 0.0), max(high, 0.0))


class Log(NamedTuple):
    """Events of one kind in one vessel, in time order, with their first possible moments for searching."""

    events: tuple[Any, ...] = ()
    moments: tuple[datetime, ...] = ()

    def until(self, moment: datetime) -> tuple[Any, ...]:
        """The events that can have happened by ``moment``."""
        return self.events[: bisect_right(self.moments, moment)]


class Life(NamedTuple):
    """What may live in a vessel: is a group ``present``, how many of each surely are, and the events that say so."""

    present: Presence
    counts: Mapping[str, int]
    why: str
    events: tuple[ev.Base, ...]

    @property
    def surely(self) -> int:
        """How many animals there are at least."""
        return sum(self.counts.values())


class Visible(NamedTuple):
    """A sign from its first notice to its last word; ``gone`` is the event that ended it."""

    sign: str
    first: ev.Seen
    last: ev.Seen
    gone: ev.Seen | None


@dataclass(frozen=True)
class Vessel:
    """One body of water at a moment."""

    name: str
    moment: datetime
    logs: Mapping[tuple[str, str], Log] = field(repr=False)
    default: bool = False

    def log(self, model: type[E]) -> tuple[E, ...]:
        """All events of a kind in this vessel by now, in time order."""
        if model not in self._by_kind:
            kind = model.model_fields["kind"].default
            own = self.logs.get((self.name, kind), Log()).until(self.moment)
            # A file that could not be read may speak of any vessel.
            anywhere = self.logs.get((ANYWHERE, kind), Log()).events if model is ev.Unread else ()
            self._by_kind[model] = (*anywhere, *own)
        return self._by_kind[model]

    @cached_property
    def _by_kind(self) -> dict[type[ev.Base], tuple[Any, ...]]:
        return {}

    @cached_property
    def definition(self) -> ev.VesselDefined | None:
        """The newest record of what this vessel is."""
        own = self.log(ev.VesselDefined)
        return own[-1] if own else None

    @property
    def role(self) -> str:
        """What the vessel is for; without a record of it, the default one is a display, any other just water."""
        if self.definition:
            return self.definition.role
        return "display" if self.default else "water"

    @cached_property
    def volume(self) -> Interval | None:
        """Net water volume in L as last written; ``None`` without one, or where the outer size can't hold it."""
        written = [one.volume for one in self.log(ev.VesselDefined) if one.volume is not None]
        outer = self.outer_volume
        if not written or (outer is not None and written[-1].low > _SUMP * outer.high):
            return None
        return written[-1]

    @cached_property
    def outer_volume(self) -> Interval | None:
        """Water volume in L as the outer size allows it, wide; ``None`` where no size was written."""
        sizes = [one.size for one in self.log(ev.VesselDefined) if one.size is not None]
        if not sizes:
            return None
        length, width, height = sizes[-1]
        outer = length * width * height / 1000
        return Interval(outer * _NET_OF_OUTER, outer)

    @cached_property
    def filled(self) -> ev.Base | None:
        """The event since which there has been water in it: a fill, or the first record that needs water."""
        wet = (w for w in self.log(ev.Water) if w.action in _WETS and not self.loses(w))
        stock = (one for one in self.log(ev.Stock) if one.action != "none")
        firsts = (next((one for one in log if self.of_this_fill(one)), None)
                  for log in (wet, self.log(ev.Reading), stock, self.log(ev.Dose)))  # fmt: skip
        return min((one for one in firsts if one is not None), key=lambda one: one.earliest, default=None)

    @cached_property
    def _emptied(self) -> ev.Base | None:
        """The newest time at which all of its water was drained, or the tank itself was disinfected."""
        waters = (w for w in reversed(self.log(ev.Water)) if w.action == "drained" and _all(w, self.volume))
        cleaned = (one for one in reversed(self.log(ev.Build)) if _disinfects(one))
        newest = (one for one in (next(waters, None), next(cleaned, None)) if one is not None)
        return max(newest, key=lambda one: one.earliest, default=None)

    def of_this_fill(self, event: ev.Base) -> bool:
        """Whether a note comes after the vessel was last emptied: what was drained shows nothing of the new water."""
        return self._emptied is None or _follows(event, self._emptied)

    def loses(self, moved: ev.Water | ev.Stock) -> bool:
        """Whether water or animals that were moved left this vessel."""
        return moved.action == "moved" and moved.origin == self.name

    @cached_property
    def discards(self) -> tuple[ev.Discard, ...]:
        """What the keeper has withdrawn by now."""
        return self.log(ev.Discard)

    def discarded(self, reading: ev.Reading) -> ev.Discard | None:
        """The record that withdraws this reading, if one does: only what was read before it can be withdrawn."""
        for one in self.discards:
            if one.covers(reading) and not surely_before(one, reading):
                return one
        return None

    @cached_property
    def readings(self) -> tuple[ev.Reading, ...]:
        """Every reading that the keeper has not withdrawn, in time order."""
        return self._kept(self.log(ev.Reading))

    def readings_of(self, analyte: str) -> tuple[ev.Reading, ...]:
        """The readings of one analyte that the keeper has not withdrawn, in time order."""
        return self._kept(self.logs.get((self.name, f"reading {analyte}"), Log()).until(self.moment))

    @cached_property
    def analytes(self) -> tuple[str, ...]:
        """What was tested here by now, by name."""
        tested = (kind.removeprefix("reading ") for name, kind in self.logs if name == self.name and " " in kind)
        return tuple(sorted(analyte for analyte in tested if self.readings_of(analyte)))

    def _kept(self, own: tuple[ev.Reading, ...]) -> tuple[ev.Reading, ...]:
        return tuple(one for one in own if self.discarded(one) is None) if self.discards else own

    @cached_property
    def signs(self) -> tuple[Visible, ...]:
        """Every sign ever noticed, each spell of it apart, in the order of their beginning."""
        return tuple(_spells(self.log(ev.Seen), self._eats_again))

    def _eats_again(self, fast: Visible, one: ev.Seen) -> bool:
        """Whether a later word of eating ends a fast: all eat, by name those that did not, or no name is told."""
        later = one.day is not None and fast.last.day is not None and one.day > fast.last.day
        whole = not one.where or _EVERYONE.search(one.where.casefold())
        if not (later and whole) or (fast.sign, one.sign) != ("not eating", "eating") or one.strength == "slight":
            return False
        eat = {name for name, _ in self._named_with(one)}
        fasted = [n for n in self.log(ev.Seen) if n.sign == fast.sign and n.earliest >= fast.first.earliest]
        named = [self._named_with(note) for note in fasted]
        counts = self.life().counts
        others = not all(named) and "fish" not in eat and not (counts and counts.keys() <= eat)
        known = {name for names in named for name, group in names if not (group == "fish" and "fish" in eat)}
        return not eat or (known <= eat and not others)

    def _named_with(self, seen: ev.Seen) -> set[tuple[str, str]]:
        """The animals that are named where something was seen, each with its group."""
        return {(one.words, one.group) for one in self.log(ev.Mention) if _line(one) == _line(seen)}

    @cached_property
    def gear(self) -> dict[str, ev.Gear]:
        """The last thing that was done to each device that matters for whether it runs."""
        return {one.device: one for one in self.log(ev.Gear) if one.action in ("on", "off", "added", "removed", "set")}

    @cached_property
    def treatments(self) -> dict[str, ev.Treat]:
        """Courses that have been started and not stopped."""
        last = {one.substance: one for one in self.log(ev.Treat)}
        return {name: one for name, one in last.items() if one.action != "stop"}

    @cached_property
    def ration(self) -> tuple[ev.Fed, ...]:
        """Standing feeding that is in force."""
        standing: dict[str, ev.Fed] = {}
        for one in self.log(ev.Fed):
            if one.stop:
                standing = {k: v for k, v in standing.items() if one.food and k != one.food}
            elif one.every_day:
                standing[one.food] = one
        return tuple(standing.values())

    @property
    def undated(self) -> tuple[ev.Base, ...]:
        """What notes without a day say of animals and the water: no evidence, but a reason for care on every day."""
        return self.logs.get((self.name, UNDATED), Log()).events

    @cached_property
    def living(self) -> tuple[ev.Base, ...]:
        """Every reason to think that something lives here, those that a written count of none takes back left out."""
        stock = self.log(ev.Stock)
        # Of what prose says of a group in passing, the newest mention stands for all; a sign's line is no prose.
        signs = self._sign_lines
        mentions = {(one.group, one.words if _line(one) in signs else ""): one for one in self.log(ev.Mention)}
        shown = {one.sign: one for one in self.log(ev.Seen)}
        courses = {one.substance: one for one in self.log(ev.Treat)}
        reasons: list[ev.Base] = [*self.undated, *stock, *self.log(ev.Unread), *mentions.values()]
        reasons += [*self.discards, *shown.values(), *courses.values()]
        nones = [one for one in stock if one.action == "none"]
        found = (one for one in reasons if _names_life(one))
        return tuple(one for one in found if not any(_clears(none, one, _line(one) in signs) for none in nones))

    @cached_property
    def _sign_lines(self) -> frozenset[tuple[str, int]]:
        """The lines on which something was seen, by file and number."""
        return frozenset(_line(one) for one in self.log(ev.Seen))

    def life(self, group: str = "any") -> Life:
        """Whether anything of a group may live here: fish, invertebrate, coral or any."""
        return _life(self, group)


@dataclass(frozen=True)
class State:
    """Every vessel at a moment, and what belongs to no vessel alone."""

    moment: datetime
    logs: Mapping[tuple[str, str], Log] = field(repr=False)
    default: str = "display"

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The vessels by now, the default one first, then in the order of their definition."""
        named = [(log.moments[0], name) for (name, kind), log in self.logs.items()
                 if kind == "vessel" and log.until(self.moment)]
        return tuple(dict.fromkeys([self.default, *(name for _, name in sorted(named))]))

    @cached_property
    def vessels(self) -> dict[str, Vessel]:
        """Each vessel by its name."""
        return {name: Vessel(name, self.moment, self.logs, name == self.default) for name in self.names}

    def vessel(self, name: str) -> Vessel:
        """One water by its name, a sample point that was never defined included."""
        return self.vessels.get(name) or Vessel(name, self.moment, self.logs)

    def everywhere(self, model: type[E]) -> tuple[E, ...]:
        """The events of a kind in every water, in time order."""
        kind = model.model_fields["kind"].default
        found = {id(one): one for (_, k), log in self.logs.items() if k == kind for one in log.until(self.moment)}
        return tuple(sorted(found.values(), key=lambda one: (one.earliest, one.source.file, one.source.line)))

    def at(self, moment: datetime) -> State:
        """The state at another moment of the same journal."""
        return State(moment, self.logs, self.default)


def fold(events: Iterable[ev.AnyEvent], onto: State | None = None, default: str = "display") -> State:
    """The state after ``events``, which come in time order and after everything in ``onto``.

    Undated notes are shown elsewhere and are no evidence, but what they say of animals and of the water casts doubt
    on every day.
    """
    logs: dict[tuple[str, str], list[ev.AnyEvent]] = {}
    if onto is not None:
        logs = {key: list(log.events) for key, log in onto.logs.items()}
        default = onto.default
    for one in events:
        for vessel in ev.waters(one):
            if one.day is not None or isinstance(one, ev.Unread):
                logs.setdefault((vessel, one.kind), []).append(one)
            elif isinstance(one, _DOUBTS):
                logs.setdefault((vessel, UNDATED), []).append(one)
        if isinstance(one, ev.Reading) and one.day is not None:
            logs.setdefault((one.vessel, f"reading {one.analyte}"), []).append(one)
    frozen = {key: Log(tuple(found), tuple(e.earliest for e in found)) for key, found in logs.items()}
    return State(datetime.max, MappingProxyType(frozen), default)


def _follows(one: ev.Base, dry: ev.Base) -> bool:
    """Whether a note can be of the time after a draining."""
    return one is not dry and one.earliest >= dry.earliest and not surely_before(one, dry)


def _disinfects(build: ev.Build) -> bool:
    """Whether a note tells of the vessel as disinfected, and not of a net or a hose alone."""
    others = set(build.nouns) - {"disinfection", "drying", "strong cleaner"}
    return "disinfection" in build.nouns and (not others or "tank" in others)


def _all(water: ev.Water, volume: Interval | None) -> bool:
    """Whether a draining took all the water: no amount written, or at least the vessel's volume."""
    if water.volume is not None and volume is not None:
        return water.volume.low >= volume.low
    if water.share is not None:
        return water.share.low >= 1
    return water.volume is None


def _spells(seen: tuple[ev.Seen, ...], eats_again: Callable[[Visible, ev.Seen], bool]) -> Iterable[Visible]:
    open_: dict[str, Visible] = {}
    closed: list[Visible] = []
    for one in seen:
        now = open_.get(one.sign)
        if one.state == "gone":
            if now is not None:
                closed.append(now._replace(last=one, gone=one))
                del open_[one.sign]
            continue
        fast = open_.get("not eating")
        if fast is not None and eats_again(fast, one):
            closed.append(fast._replace(last=one, gone=one))
            del open_["not eating"]
        if now is None:
            open_[one.sign] = Visible(one.sign, one, one, None)
        else:
            open_[one.sign] = now._replace(last=one)
    return sorted([*closed, *open_.values()], key=lambda v: (v.first.earliest, v.sign))


def _names_life(one: ev.Base) -> bool:
    """Whether an event speaks of something that lives, lived, came or went."""
    if isinstance(one, ev.Stock):
        return one.group != "algae" and one.action != "none"
    if isinstance(one, ev.Unread):
        return "animal" in one.may_name
    if isinstance(one, ev.Discard):
        return one.what == "stock"
    if isinstance(one, ev.Seen | ev.Treat):
        return _group(one) != "none"
    return isinstance(one, ev.Mention) and one.group != "algae"


def _touches(group: str, one: ev.Base) -> bool:
    if group == "any":
        return True
    own = _group(one)
    return group == own or group in _MAY_BE.get(own, ())


def _group(one: ev.Base) -> str:
    """The group of animals that an event speaks of: "some" where it tells of one, and not which."""
    if isinstance(one, ev.Seen):
        return ev.SHOWN_BY.get(one.sign, "none")
    return "some" if isinstance(one, ev.Treat) else getattr(one, "group", "unknown")


def _line(one: ev.Base) -> tuple[str, int]:
    """Where a note stands: its file and line."""
    return one.source.file, one.source.line


def _clears(none: ev.Stock, one: ev.Base, seen: bool) -> bool:
    """Whether a written count of none takes back an earlier reason to think that something lives here.

    "None" takes back all; "no fish" all records of fish and what was ``seen`` of them; "no snails" those of snails.
    What prose says in passing, and what was not understood, only "none" takes back.
    """
    if one.day is None or _line(one) == _line(none) or not surely_before(one, none):
        return False
    if not none.animal:
        return True
    if isinstance(one, ev.Mention):
        return seen and none.animal in (one.words, one.group)
    if isinstance(one, ev.Seen):
        return none.animal == _group(one)
    return isinstance(one, ev.Stock) and none.animal in (one.animal, one.group)


def _life(vessel: Vessel, group: str) -> Life:
    standing = [one for one in vessel.living if _touches(group, one)]
    counts = _balance(standing, vessel.name)
    if any(counts.values()):
        return Life("yes", counts, "written", tuple(standing))
    arrived = [one for one in standing if not (isinstance(one, ev.Stock) and vessel.loses(one))]
    if standing:
        return Life("maybe", {}, _doubt(arrived or standing), tuple(standing))
    nones = [one for one in vessel.log(ev.Stock) if one.action == "none"]
    return Life("no", {}, "none written" if nones else "nothing written", tuple(nones[-1:]))


def _balance(standing: list[ev.Base], vessel: str) -> dict[str, int]:
    """How many of each animal there surely are, at least; live rock and unknown things count as none."""
    counts: dict[str, int] = {}
    for one in standing:
        if not isinstance(one, ev.Stock) or one.group not in _LIVING or one.day is None:
            continue
        sign = _sign(one, vessel)
        change = (1 if sign > 0 else counts.get(one.animal, 0)) if one.count is None else one.count
        counts[one.animal] = max(0, counts.get(one.animal, 0) + sign * change)
    return counts


def _sign(one: ev.Stock, vessel: str) -> int:
    if one.action == "moved":
        return -1 if one.origin == vessel else 1
    return -1 if one.action in ("lost", "removed") else 1


_DOUBTFUL: dict[type[ev.Base], str] = {
    ev.Unread: "a line that was not understood may name an animal",
    ev.Mention: "the notes speak of an animal",
    ev.Seen: "a sign was seen that an animal shows",
    ev.Treat: "a treatment is for an animal",
    ev.Discard: "a record of animals was withdrawn",
}


def _doubt(standing: list[ev.Base]) -> str:
    last = standing[-1]
    if any(one.day is None for one in standing):
        return "a note without a date speaks of an animal"
    if isinstance(last, ev.Stock) and last.group == "live rock":
        return "live rock carries animals"
    if isinstance(last, tuple(_DOUBTFUL)):
        which = next((getattr(last, name) for name in ("words", "sign", "substance") if hasattr(last, name)), "")
        return f"{_DOUBTFUL[type(last)]} ({', '.join(filter(None, (which, f'{last.day}')))})"
    return "animals went out, and no count of none was written"
