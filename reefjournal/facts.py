"""Facts: what the rules see of a day, and the list of kinds and properties that rules may name.

A fact is flat: a kind, text and number properties (yes and no are text), and the note lines it came from. Every fact
of a kind has every property of that kind, so that a rule may join on any of them: an unknown number is ``NaN`` and
fails every test, an unknown text is "".

Two sorts of kinds. A *window* is asked for by a rule, with the rule's own parameters ("the latest ammonia reading of
the last 3 days"): the parameters are properties of the answer too, so a pattern meets the answers to its own question
only. Every other kind is stated once a day for all rules.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

Property = str | float


class Line(NamedTuple):
    """A line of the notes: file, line from 1, and its words."""

    file: str
    line: int
    text: str


@dataclass(frozen=True)
class Fact:
    """One thing that is so. ``where`` is ``here`` for the vessel asked about, else ``elsewhere``."""

    kind: str
    properties: Mapping[str, Property]
    events: tuple[Line, ...] = ()
    thresholds: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()

    @property
    def key(self) -> tuple[object, ...]:
        """What makes two facts the same fact."""
        return (self.kind, *sorted((name, str(value)) for name, value in self.properties.items()))


@dataclass(frozen=True)
class Kind:
    """A kind of fact: what it says, its text and number properties, and, for a window, its parameters."""

    says: str
    text: tuple[str, ...] = ()
    number: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()
    layer: Literal["any", "trust", "concluded"] = "any"
    properties: frozenset[str] = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "properties", frozenset((*self.text, *self.number, "vessel", "where")))


@dataclass(frozen=True)
class Query:
    """A window that some rule asks for: its kind and its parameters, sorted by name."""

    kind: str
    parameters: tuple[tuple[str, Property], ...]

    def __getitem__(self, name: str) -> Property:
        return dict(self.parameters)[name]

    def get(self, name: str, default: Property = "") -> Property:
        """The parameter, or ``default`` where the rule does not give it."""
        return dict(self.parameters).get(name, default)


UNKNOWN = math.nan
OF = ("of", "name", "action")

WINDOWS: dict[str, Kind] = {
    "latest": Kind(
        "The newest usable reading of an analyte, not older than `days` where that is given. `low` and `high` in the "
        "canonical unit (`high` is 1e9 where it is open upwards); `rank` 0 below detection, 1 lowest step, 2 above.",
        text=("analyte", "day", "written", "by"),
        number=("days", "low", "high", "rank", "age_days", "age_hours_low", "age_hours_high"),
        asks=("analyte",),
        optional=("days",),
    ),
    "peak": Kind(
        "The reading with the highest low end, within `days` where given.",
        text=("analyte", "day", "written"),
        number=("days", "low", "high", "age_days"),
        asks=("analyte",),
        optional=("days",),
    ),
    "trend": Kind(
        "The newest usable readings of an analyte, at most `days` back and none older than the last dose or feed that "
        "raises it (for ammonia). `direction` falling or rising where the newest and the oldest or the extreme do not "
        "overlap, flat where all overlap, unclear otherwise; `from_*` is the reading it is measured from.",
        text=("analyte", "direction", "from_day", "from_written", "day", "written"),
        number=("days", "count", "span_days", "from_low", "from_high", "low", "high"),
        asks=("analyte", "days"),
    ),
    "run": Kind(
        "The newest usable readings in a row that stay `below` (high end at most it) or `above` (low end at least it) "
        "a level, at least `times` of them, spanning surely at least `hours`, within `days` where given.",
        text=("analyte", "first_day", "last_day"),
        number=("below", "above", "times", "hours", "days", "count", "span_hours", "age_days"),
        asks=("analyte", "times"),
        optional=("below", "above", "hours", "days"),
    ),
    "count": Kind(
        "How many events of a sort there were in the last `days`: `of` a kind of event (reading, unreadable, dose, "
        "water, gear, seen, stock, fed, check, build), `name` its analyte, substance, device, sign or animal, "
        "`action` what was done. Stated only where there is at least one.",
        text=(*OF, "last_day"),
        number=("days", "times"),
        asks=("of", "days"),
        optional=("name", "action"),
    ),
    "sum": Kind(
        "A total over the last `days`: `of` nitrogen (mg N/L given), changed (share of the water), fed (mg N a day).",
        text=("of",),
        number=("days", "low", "high", "times"),
        asks=("of", "days"),
    ),
    "since": Kind(
        "Time since the last event of a sort, in days, from `low` to `high` (untimed notes make a range).",
        text=(*OF, "day", "words"),
        number=("low", "high", "hours_low", "hours_high"),
        asks=("of",),
        optional=("name", "action"),
    ),
    "after": Kind(
        "The first usable reading of an analyte that came surely at least `hours` after the last event of a sort.",
        text=("analyte", *OF, "day", "written"),
        number=("hours", "low", "high", "rank", "hours_low", "hours_high"),
        asks=("analyte", "of", "hours"),
        optional=("name", "action"),
    ),
    "before": Kind(
        "An event of a sort in the `days` before a visible sign began; one fact an event, newest first as `nth` 1, 2.",
        text=("sign", *OF, "day", "words"),
        number=("days", "days_before", "nth"),
        asks=("sign", "of", "days"),
        optional=("name", "action"),
    ),
    "absent": Kind(
        "No event of a sort in the last `days` (ever, without `days`). `of` reading counts usable readings of the "
        "analyte `name`.",
        text=OF,
        number=("days",),
        asks=("of",),
        optional=("name", "action", "days"),
    ),
}

STATED: dict[str, Kind] = {
    "reading": Kind(
        "Trust only: one reading of the last 60 days with its neighbours in time (`before_*`, `after_*`, each NaN "
        "where there is none within 7 days), and what could explain a change between them: `dosed_since` mg N/L "
        "given and `fall_explained` share of water changed since the one before; `kit_*` what is known of its kit.",
        text=("id", "analyte", "readable", "kit", "by", "day", "written", "basis", "kit_expired", "kit_proven",
              "kit_moved", "dose_unknown", "kit_never_moves"),
        number=("low", "high", "rank", "before_low", "before_high", "hours_before", "after_low", "after_high",
                "hours_after", "dosed_since", "dilution_since", "blank_high", "readers_apart", "nitrogen_given"),
        layer="trust",
    ),
    "doubt": Kind(
        "A reading that a trust rule doubts (`verdict` doubt) or takes out (`verdict` reject); `id` is the reading's.",
        text=("id", "analyte", "verdict", "rule", "day", "written"),
        layer="concluded",
    ),
    "system": Kind(
        "The vessel: `water` dry, filled or fresh (filled, no salt noted); `volume_*` L; `filled_days` since the "
        "first fill; `source_days` since the first ammonia source; `entries_days` since the last entry of all.",
        text=("role", "water", "volume_known", "source", "live_rock"),
        number=("volume_low", "volume_high", "filled_days", "source_days", "entry_days", "wet_days"),
    ),
    "animals": Kind(
        "Whether anything of a `group` (fish, invertebrate, coral, any) lives in the vessel: `present` yes, no (a "
        "written count of none, or nothing ever written) or maybe; `why` says what casts the doubt.",
        text=("group", "present", "why", "names"),
        number=("count", "first_days", "last_days"),
    ),
    "ledger": Kind(
        "Nitrogen given to the vessel: `given_*` mg N/L in all, `unoxidised_high` the most that may still be there as "
        "ammonia, `room` what may be given before that passes the limit; `known` no where a dose has no amount.",
        text=("known", "kit_moves", "oxidation_shown"),
        number=("given_low", "given_high", "unoxidised_high", "room", "last_days"),
    ),
    "dilution": Kind(
        "The share of the newest fall of an analyte, from its peak or its last high, that water changes explain.",
        text=("analyte",),
        number=("share_of_fall", "changed_share"),
    ),
    "milestone": Kind(
        "A point of the cycle that has been reached: `name` ammonia-seen, ammonia-fell, ammonia-cleared, nitrite-seen, "
        "nitrite-fell, nitrite-cleared, nitrate-seen; `day` when; later doses do not take it back.",
        text=("name", "day", "written"),
        number=("days",),
    ),
    "challenge": Kind(
        "The newest challenge: a measured dose of at least 0.4 mg N/L after ammonia and nitrite had cleared. `state` "
        "open (no answer yet), cleared (both kits at their lowest step or below), not-cleared, unanswered (readings "
        "came too late or are unusable). `below` yes: both below detection. Hours from dose to that reading; "
        "`capacity_*` mg N a day; `road` ammonia (ammonia read), nitrite (ammonia not readable, nitrite and nitrate), "
        "second (a second method read the ammonia).",
        text=("state", "below", "road", "day", "answered"),
        number=("dose_low", "dose_high", "hours_low", "hours_high", "capacity_low", "capacity_high", "age_days",
                "last_hours_high", "failures"),
    ),
    "proof": Kind(
        "A proof of the cycle: `road` challenge or food; its age and the capacity it shows, mg N a day; `fed_days` "
        "the longest gap without a source of nitrogen since then.",
        text=("road", "day"),
        number=("age_days", "capacity_low", "capacity_high", "unfed_days"),
    ),
    "load": Kind(
        "Nitrogen that planned or standing food brings, mg N a day; `planned` yes where a plan of animals has a ration.",
        text=("known", "planned", "words"),
        number=("low", "high", "times_capacity"),
    ),
    "sign": Kind(
        "Something visible: `state` visible or gone; days since it began (`low` to `high`) and, gone, since it went.",
        text=("name", "state", "strength", "day", "place"),
        number=("low", "high", "gone_days"),
    ),
    "gear": Kind(
        "A device: `state` on or off, with the days since.",
        text=("device", "state", "setting", "day"),
        number=("days",),
    ),
    "kit": Kind(
        "A kit as the notes show it: is its basis known, is it past its expiry, what its blank reads (canonical unit), "
        "has it been proven on a standard or blank, has it ever moved, how many of its last 5 tests could not be read.",
        text=("analyte", "name", "basis", "expired", "proven", "never_moves", "blank_day"),
        number=("blank_low", "blank_high", "unreadable", "floor", "tests", "same_days"),
    ),
    "free-ammonia": Kind(
        "Un-ionised ammonia, mg NH3/L, of the latest ammonia reading, from the newest pH, temperature and salinity; "
        "`assumed` names what was not measured and taken on the protective side.",
        text=("assumed", "day", "written"),
        number=("low", "high", "age_days", "total_low", "total_high"),
    ),
    "planned": Kind(
        "A plan that lies ahead or in the last week: `what` animals, food, away; days until it begins and ends.",
        text=("what", "text", "group", "animal", "day"),
        number=("days_ahead", "days_to_end", "count"),
    ),
    "job": Kind(
        "An open job: `state` open, due, overdue or waiting (for a stage).",
        text=("text", "state", "due", "after"),
        number=("days_ahead",),
    ),
    "unread": Kind("A line that was not understood, and what it may name.", text=("text", "may_name")),
    "vessel": Kind("Another vessel of the journal and its role.", text=("name", "role")),
    "stage": Kind(
        "The stage of a track, as the stage rules conclude it.",
        text=("track", "id", "rule"),
        layer="concluded",
    ),
    "process": Kind(
        "Something that works, is stuck or is at risk, as the rules conclude it.",
        text=("name", "state"),
        layer="concluded",
    ),
    "gate": Kind(
        "A gate and whether it is open; its first check that is not met.",
        text=("id", "open", "first", "settle"),
        layer="concluded",
    ),
}

KINDS: dict[str, Kind] = {**WINDOWS, **STATED}


def make(kind: str, *, vessel: str, where: str = "here", events: tuple[Line, ...] = (), **given: Property) -> Fact:
    """A fact with every property of its kind: those not given are unknown.

    Raises:
        KeyError: the kind does not exist, or has no such property.
    """
    known = KINDS[kind]
    for name in given:
        if name not in known.properties:
            raise KeyError(f"{kind} has no property {name!r}")
    blank: dict[str, Property] = dict.fromkeys(known.text, "") | dict.fromkeys(known.number, UNKNOWN)
    return Fact(kind, blank | {"vessel": vessel, "where": where} | given, events)
