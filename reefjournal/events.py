"""Everything that can happen in a journal, as frozen models in one union.

An event says what was written, in canonical words and units, and where. Amounts are intervals, since a keeper
measures with colour cards, jugs and kitchen scales; what was not written stays ``None``.

Canonical units: concentrations mg/L (ammonia, nitrite and nitrate as nitrogen, phosphate as PO4), alkalinity dKH,
temperature degrees Celsius, salinity g/kg ("ppt"; a specific gravity keeps the unit ``SG``), conductivity mS/cm,
volume L, mass g, length mm, time in dates and clock times as written, without a zone.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from functools import cached_property
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from reefjournal.quantities import Interval

Group = Literal["fish", "invertebrate", "coral", "algae", "live rock", "microfauna", "unknown"]
Role = Literal["display", "quarantine", "bin", "reservoir", "water"]
Standing = Literal["passed", "failed", "begun", "skipped", "lacking", "done", "unsure"]


# Signs that only an animal can show; of those whose group they do not tell "some" is said.
SHOWN_BY = {
    **dict.fromkeys(("rubbing", "gasping", "eating", "not eating"), "some"),
    **dict.fromkeys(("listless", "sores", "fighting", "many dead", "dead animal", "dying animal", "die-off"), "some"),
    **dict.fromkeys(("white spots on fish", "dust on fish"), "fish"),
    **dict.fromkeys(("bleaching", "closed polyps", "open polyps", "pest anemone"), "coral"),
    **dict.fromkeys(("pods", "worms"), "microfauna"),
    "hitchhiker": "unknown",
}

# Of these a sample that was thinned with clean water holds so many times less.
_THINNED = ("ammonia", "nitrite", "nitrate")


class Frozen(BaseModel):
    """A value that never changes once made. Its checks are built when the first one is made, which starts faster."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Source(Frozen):
    """The words something came from. Line and column count from 1; ``entry`` is the line of the heading above."""

    file: str
    line: int
    column: int
    text: str
    entry: int = 0


class Base(Frozen):
    """What every event carries: its words, its day (``None``: undated, never evidence), and its water."""

    source: Source
    day: date | None
    at: time | None = None
    vessel: str
    remark: str = ""

    @cached_property
    def earliest(self) -> datetime:
        """The first moment at which it can have happened."""
        return datetime.combine(self.day or date.min, self.at or time.min)

    @cached_property
    def latest(self) -> datetime:
        """The last moment at which it can have happened: the end of the day where no time was written."""
        if self.at is not None:
            return self.earliest
        return datetime.combine(self.day or date.min, time.min) + timedelta(days=1)


class VesselDefined(Base):
    """A body of water and its size; a later one of the same name changes it from that day.

    ``volume`` is the net water volume that was written, in L; ``size`` is length, width and height in cm.
    """

    kind: Literal["vessel"] = "vessel"
    role: Role
    size: tuple[float, float, float] | None = None
    volume: Interval | None = None


class KitDefined(Base):
    """A test kit: the basis of its numbers ("" unknown), its card steps or resolution in its own unit, its expiry."""

    kind: Literal["kit"] = "kit"
    analyte: str
    name: str = ""
    basis: str = ""
    unit: str = ""
    steps: tuple[float, ...] = ()
    resolution: float | None = None
    expires: date | None = None


class Value(Frozen):
    """What one reader saw, as an interval in the canonical unit; ``high`` is ``None`` where it is open upwards.

    ``rank`` places it on the kit's card: 0 the lowest colour (below detection), 1 the lowest step above it, 2 higher.
    """

    written: str
    readable: bool = True
    low: float = 0.0
    high: float | None = None
    approximate: bool = False
    rank: Literal[0, 1, 2] = 2


class Reading(Base):
    """A test of one analyte in one sample. ``low`` and ``high`` span all readers who could read it.

    ``high`` is ``None`` where the value is open upwards or nobody could read it (then ``readable`` is false).
    ``basis`` is what the number counts ("N", "NH4", ...), "unknown" where that widened the interval, "" where it has
    no meaning. ``by`` is the keeper's kit or another place: a shop, a lab.
    """

    kind: Literal["reading"] = "reading"
    analyte: str
    unit: str
    readers: tuple[Value, ...]
    readable: bool = True
    low: float = 0.0
    high: float | None = None
    rank: Literal[0, 1, 2] = 2
    basis: str = ""
    kit: str = ""
    by: Literal["home", "shop", "lab"] = "home"


class Check(Base):
    """A test of the test. ``value`` is what the kit showed, ``expected`` what a standard should have shown.

    ``parts`` is how many parts of pure water came to one part of the sample: 4 in a dilution of 1:4.
    """

    kind: Literal["check"] = "check"
    analyte: str
    method: Literal["blank", "standard", "dilution", "other kit", "shop", "lab"]
    value: Value | None = None
    expected: Interval | None = None
    parts: float | None = None
    kit: str = ""

    @property
    def thinned(self) -> Interval:
        """How many times thinner the sample was: "1:4" may be four parts in all, or four of pure water and one more."""
        parts = self.parts or 0.0
        return Interval(parts, parts + 1)

    @cached_property
    def reading(self) -> Reading | None:
        """What a diluted sample says of the water itself, for what is nitrogen; ``None`` of any other test of a test.

        Its lowest colour says "at most" and no more, so it never ranks as below detection.
        """
        value = self.value
        if self.method != "dilution" or not self.parts or value is None or self.analyte not in _THINNED:
            return None
        low, high = value.low * self.thinned.low, None if value.high is None else value.high * self.thinned.high
        written = f"{value.written} diluted 1:{self.parts:g}"
        shown = Value(written=written, readable=value.readable, low=low, high=high)
        return Reading(
            source=self.source, day=self.day, at=self.at, vessel=self.vessel, remark=self.remark, analyte=self.analyte,
            unit="mg/L", readers=(shown,), readable=value.readable, low=low, high=high, kit=self.kit,
        )  # fmt: skip


class Seen(Base):
    """Something visible. ``since`` is the first and last day on which it may have begun."""

    kind: Literal["seen"] = "seen"
    sign: str
    state: Literal["seen", "still", "gone"] = "seen"
    strength: Literal["", "slight", "moderate", "heavy"] = ""
    where: str = ""
    since: tuple[date, date] | None = None


class Gear(Base):
    """A device and what was done to it; ``setting`` keeps the words behind it."""

    kind: Literal["gear"] = "gear"
    device: str
    action: Literal["on", "off", "added", "removed", "set", "cleaned", "replaced", "moved", "calibrated", "filled"]
    setting: str = ""


class Dose(Base):
    """A substance or culture given to the water.

    ``nitrogen`` is the nitrogen it brings, in mg N, where substance and amount tell it; ``None`` is unknown.
    ``raises_to`` is a level that the keeper says it was dosed to, ``raises_by`` one that it was raised by: mg/L, as N
    for a source of ammonia. ``strength`` of a solution is a fraction.
    """

    kind: Literal["dose"] = "dose"
    substance: str
    role: str = "unknown"
    amount: Interval | None = None
    unit: Literal["", "g", "ml"] = ""
    strength: float | None = None
    nitrogen: Interval | None = None
    raises_by: Interval | None = None
    raises_to: Interval | None = None
    every_day: bool = False
    stop: bool = False


class Water(Base):
    """Water that went in, out, or from one vessel to another. ``share`` is a fraction of the vessel's volume.

    ``salinity`` is g/kg, or a specific gravity where it lies between 0.99 and 1.06; ``salt`` is g.
    """

    kind: Literal["water"] = "water"
    action: Literal["changed", "topped up", "drained", "filled", "mixed", "moved"]
    volume: Interval | None = None
    share: Interval | None = None
    origin: str = ""
    target: str = ""
    salt: Interval | None = None
    salinity: Interval | None = None
    temperature: Interval | None = None


class Fed(Base):
    """Food: grams and protein fraction where written; a standing ration with ``every_day``, ended by ``stop``."""

    kind: Literal["fed"] = "fed"
    food: str
    grams: Interval | None = None
    protein: float | None = None
    every_day: bool = False
    stop: bool = False


class Stock(Base):
    """Living things, live rock among them. ``count`` is ``None`` where no number was written."""

    kind: Literal["stock"] = "stock"
    action: Literal["added", "moved", "lost", "born", "removed", "none"]
    animal: str
    group: Group
    count: int | None = None
    origin: str = ""
    target: str = ""


class Treat(Base):
    """A treatment course: what, started, stopped or given once more, and the level it aims at."""

    kind: Literal["treat"] = "treat"
    substance: str
    action: Literal["start", "dose", "stop"]
    target: str = ""


class Plan(Base):
    """What is intended: animals, food, an absence, or other words, with the days it is for."""

    kind: Literal["plan"] = "plan"
    what: Literal["animals", "food", "away", "other"]
    text: str
    first: date | None = None
    last: date | None = None
    animal: str = ""
    group: Group = "unknown"
    count: int | None = None
    grams: Interval | None = None
    protein: float | None = None


class Measure(Base):
    """A dimension of the build in mm, or a mass in g, one to many takes."""

    kind: Literal["measure"] = "measure"
    subject: str
    takes: tuple[float, ...]
    unit: Literal["mm", "g"] = "mm"


class Build(Base):
    """Carpentry, plumbing, electrics in the keeper's words; ``nouns`` are those the vocabulary knows.

    ``standing`` tells of some of them how they stand: a test was passed, a lid sticks, an RCD is missing.
    """

    kind: Literal["build"] = "build"
    text: str
    nouns: tuple[str, ...] = ()
    standing: tuple[tuple[str, Standing], ...] = ()


class Spent(Base):
    """Money, in the currency written ("" where none was)."""

    kind: Literal["spent"] = "spent"
    amount: float
    currency: str = ""
    on: str = ""


class Discard(Base):
    """Withdraws earlier readings (``what`` an analyte) or animals (``what`` "stock") of some days, and says why.

    A ``clock`` narrows it to what was noted at that time of its one day.
    """

    kind: Literal["discard"] = "discard"
    what: str
    first: date
    last: date
    clock: time | None = None
    animal: str = ""
    reason: str = ""

    def covers(self, reading: Reading) -> bool:
        """Whether it withdraws a reading of its water, if that was there before."""
        near = reading.day is not None and self.first <= reading.day <= self.last
        return near and self.what == reading.analyte and self.clock in (None, reading.at)


class Job(Base):
    """A check box: something to do, or done; ``about`` are the things of the build that its words name."""

    kind: Literal["job"] = "job"
    text: str
    about: tuple[str, ...] = ()
    done: bool
    done_on: date | None = None
    due: date | None = None
    every_days: float | None = None
    after: str = ""


class Mention(Base):
    """Prose that names an animal: no record, but a reason not to be sure that nothing lives there."""

    kind: Literal["mention"] = "mention"
    words: str
    group: Group = "unknown"


class Unread(Base):
    """Something written as a record and not understood, with what it may be about ("animal", an analyte, ...)."""

    kind: Literal["unread"] = "unread"
    text: str
    why: str
    may_name: tuple[str, ...] = ()


AnyEvent = (
    VesselDefined | KitDefined | Reading | Check | Seen | Gear | Dose | Water | Fed | Stock | Treat | Plan | Measure
    | Build | Spent | Discard | Job | Mention | Unread
)
Event = Annotated[AnyEvent, Field(discriminator="kind")]


def waters(one: AnyEvent) -> tuple[str, ...]:
    """The vessels an event belongs to: what was moved left one and came into another."""
    if isinstance(one, Water | Stock) and (one.origin or one.target):
        return tuple(dict.fromkeys(name for name in (one.origin, one.target or one.vessel) if name))
    return (one.vessel,)
