"""Facts: what the rules see of a day, and the list of kinds and properties that rules may name.

A fact is flat: a kind, text and number properties (yes and no are text), and the note lines it came from. Every fact
of a kind has every property of that kind, so that a rule may join on any of them: an unknown number is ``NaN`` and
fails every test, an unknown text is "".

Three sorts of kinds. A *window* is asked for by a rule, with the rule's own parameters ("the latest ammonia reading of
the last 3 days"): the parameters are properties of the answer too, so a pattern meets the answers to its own question
only. A *fitted* kind is what the nitrification model makes of the readings: likely, never shown. It is there only where
a forecast is, for diagnosis and advice alone; no gate, stage or conclusion may rest on it. Every other kind is stated
once a day for all rules.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, NamedTuple

Property = str | float
Key = tuple[str | tuple[str, str], ...]


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

    @cached_property
    def key(self) -> Key:
        """What makes two facts the same fact, and what they are sorted by."""
        return (self.kind, *sorted((name, str(value)) for name, value in self.properties.items()))

    @cached_property
    def seen(self) -> dict[str, Property]:
        """Its values as the tests of rules see them: filled by who tests, since a fact is tested hundreds of times."""
        return {}


@dataclass(frozen=True)
class Kind:
    """A kind of fact: what it says, its text and number properties, and, for a window, its parameters."""

    says: str
    text: tuple[str, ...] = ()
    number: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()
    optional: tuple[str, ...] = ()
    layer: Literal["any", "trust", "concluded", "fitted"] = "any"

    @cached_property
    def properties(self) -> frozenset[str]:
        """The names of all its properties."""
        return frozenset((*self.text, *self.number, "vessel", "where"))

    @cached_property
    def blank(self) -> Mapping[str, Property]:
        """Its own properties, all unknown."""
        return dict.fromkeys(self.text, "") | dict.fromkeys(self.number, UNKNOWN)


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
        "canonical unit (`high` is 1e9 where it is open upwards); `rank` 0 below detection, 1 lowest step, 2 above. Of "
        "nitrite a diluted sample in which a colour showed is a reading too, of rank 2.",
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
        "raises it (for ammonia). `direction` falling or rising where the newest lies clear of the highest or the "
        "lowest before it, flat otherwise; `from_*` is the reading it is measured from. A fall ends at the newest, or "
        "at the lowest before it where it rose clear of that again.",
        text=("analyte", "direction", "from_day", "from_written", "day", "written"),
        number=("days", "count", "span_days", "from_low", "from_high", "low", "high"),
        asks=("analyte", "days"),
    ),
    "run": Kind(
        "The newest usable readings in a row that stay `below` (high end at most it) or `above` (low end at least it) "
        "a level (and at most `rank`), at least `times` of them, spanning at least `hours`, within `days` where given; "
        "with `undosed` yes only those since ammonia was last given.",
        text=("analyte", "undosed", "first_day", "last_day"),
        number=(
            "below", "above", "rank", "times", "hours", "days", "count", "span_hours", "age_days", "first_age_days",
        ),
        asks=("analyte", "times"),
        optional=("below", "above", "rank", "hours", "days", "undosed"),
    ),
    "reached": Kind(
        "The first usable reading with its low end at `above` or more; with `below`, the first one after it with its "
        "high end at `below` or less (and at most `rank`). What was reached once stays so: later doses change nothing.",
        text=("analyte", "day", "written"),
        number=("above", "below", "rank", "days", "age_days"),
        asks=("analyte",),
        optional=("above", "below", "rank", "days"),
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
        "A total over the last `days`: `of` nitrogen (mg N/L given) or changed (the share of the water).",
        text=("of",),
        number=("days", "low", "high", "times"),
        asks=("of", "days"),
    ),
    "since": Kind(
        "Time since the last event of a sort, in days, from `low` to `high` (untimed notes make a range).",
        text=(*OF, "day", "words"),
        number=("low", "high", "hours_low", "hours_high", "age_days"),
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
    "challenge": Kind(
        "The newest challenge on these terms, and beside it the newest one that is decided: a measured dose of at "
        "least `dose` mg N/L given to clear water, both tests at most at `rank` and at the levels `ammonia` and "
        "`nitrite` surely `within` so many hours. `road` ammonia, or nitrite, where nitrite and nitrate stand in for "
        "ammonia. `state` open (no answer yet), cleared, lapsed (cleared, and since then ammonia was measured where "
        "something lived), not-cleared, unanswered (no usable answer in time). "
        "`capacity_*` mg N a day, `times_load` its low end over the high end of the planned load; `failures` "
        "since the last cleared one; `unfed_days` the longest fast since the answer, `hungry_days` since the dose; "
        "`agreeing` tests of each analyte, the answer among them, bear a pass out, made at most a few hours after the "
        "time allowed, less two for each that showed more after it; another one still can in the `hours_left`, `until` "
        "that hour, unless two since showed more; `seen` yes once a test showed the dose itself, as ammonia, nitrite "
        "or nitrate; it `arrived` unless the tests of the first hours showed too little of it; where one more "
        "may outvote them, it can in the `arrival_left` hours, `arrival_until` that hour.",
        text=("road", "state", "newest", "day", "answered", "until", "seen", "arrived", "arrival_until"),
        number=(
            "dose", "within", "rank", "ammonia", "nitrite", "dose_low", "dose_high", "hours_low", "hours_high",
            "capacity_low", "capacity_high", "age_days", "failures", "unfed_days", "hungry_days", "times_load",
            "agreeing", "hours_left", "arrival_left",
        ),
        asks=("dose", "within", "rank", "ammonia", "nitrite", "road"),
    ),
    "suspect": Kind(
        "What came before a `symptom` - a sign that is visible, or, with `by`, a reading that moved by as much (an "
        "analyte, with up or down behind it where the way matters) - in the `days` before it `began`. `strong`, "
        "`medium` and `weak` list the changes to look for as kind/name/action, by how often they are found before it. "
        "The weightiest is the `change`; `rivals` weigh as much; `more` tells of these and of the time before.",
        text=(
            "symptom", "strong", "medium", "weak", "began", "direction", "from_written", "written", "change", "link",
            "more",
        ),
        number=("days", "by", "days_before", "weight", "rivals", "spared", "times"),
        asks=("symptom", "days", "strong", "medium", "weak"),
        optional=("by",),
    ),
    "spread": Kind(
        "How far apart the middles of the readings of an analyte of the last `days` lie; two readings at least.",
        text=("analyte",),
        number=("days", "lowest", "highest", "spread", "count", "span_days"),
        asks=("analyte", "days"),
    ),
    "test-round": Kind(
        "The next round of the tests that the tank is given, each newest one so many days old at most: `often` "
        "salinity and temperature, `weekly` alkalinity, pH and nutrients, `slow` the rest. `names` what comes first "
        "and `when`, in `ahead_days` (0 today) or `late_days` late, with what comes after it and its day.",
        text=("names", "when"),
        number=("often", "weekly", "slow", "ahead_days", "late_days"),
        asks=("often", "weekly", "slow"),
    ),
    "novelties": Kind(
        "Substances and devices that came for the first time in the last `days`: how many, the age of the newest, and "
        "how many days lie between the first and the last of them.",
        text=("names",),
        number=("days", "count", "age_days", "apart_days"),
        asks=("days",),
    ),
    "both-clear": Kind(
        "The first time, after both had been seen at `ammonia_seen` and `nitrite_seen`, that ammonia and nitrite were "
        "both at most at `rank` and at the levels `ammonia` and `nitrite`, on `times` days in a row of tests. Reached "
        "once it stays so: a dose that is given later changes nothing.",
        text=("day",),
        number=("ammonia", "nitrite", "ammonia_seen", "nitrite_seen", "rank", "times", "age_days"),
        asks=("ammonia", "nitrite", "ammonia_seen", "nitrite_seen", "rank", "times"),
    ),
    "losses": Kind(
        "The `number` of animals of a `group` that were lost in the last `days`. Stated only where there is one.",
        text=("group", "day", "words"),
        number=("days", "number", "age_days"),
        asks=("group", "days"),
    ),
    "lead": Kind(
        "What a planned animal needs `days` before it comes: `by` which day, with how many days `left`; `held` yes "
        "where it waits in quarantine already.",
        text=("group", "animal", "day", "by", "words", "held"),
        number=("days", "left"),
        asks=("days",),
    ),
    "days-full": Kind(
        "The day, `until`, on which so many `days` of watching in quarantine (`of` watching), or without fish after an "
        "illness (`of` fallow), are full, and the days `left`. Not stated while a sign or medicine goes on.",
        text=("of", "until"),
        number=("days", "left_low", "left_high"),
        asks=("of", "days"),
    ),
    "untested": Kind(
        "Which of alkalinity, pH, temperature and phosphate have no usable reading of the last days; none, no fact.",
        text=("names",),
        number=("days", "count"),
        asks=("days",),
    ),
    "fed-proof": Kind(
        "Ammonia and nitrite below detection and at most at the levels `ammonia` and `nitrite` on at least `times` "
        "days spanning `days`, while food was written down: the mean ration in mg N a day, the age of the last day.",
        text=("day",),
        number=(
            "times", "days", "ammonia", "nitrite", "ration_low", "ration_high", "age_days", "span_days", "times_load",
        ),
        asks=("times", "days", "ammonia", "nitrite"),
    ),
}

STATED: dict[str, Kind] = {
    "reading": Kind(
        "Trust only: one reading of the last 60 days with its neighbours in time (`before_*`, `after_*`, unknown where "
        "there is none within 7 days), what may have been given (`dosed_*`, mg N/L) or changed (`dilution_*`, share) "
        "between them, the highest low end of the 7 days before (`recent_low`), the nitrite of the same days for a "
        "nitrate reading, and what is known of its kit.",
        text=(
            "id", "analyte", "readable", "kit", "by", "day", "written", "basis", "kit_expired", "kit_proven",
            "kit_never_moves", "before_written", "before_day", "after_written", "after_day",
        ),
        number=(
            "low", "high", "rank", "age_days", "before_low", "before_high", "hours_before", "after_low", "after_high",
            "hours_after", "dosed_since", "dilution_since", "dosed_after", "dilution_after", "blank_high", "recent_low",
            "readers_apart", "nitrite_low", "nitrite_high", "kit_given",
        ),
        layer="trust",
    ),
    "doubt": Kind(
        "A reading that a trust rule doubts (`verdict` doubt) or takes out (`verdict` reject); `id` is the reading's.",
        text=("id", "analyte", "verdict", "rule", "day", "written"),
        number=("age_days",),
        layer="concluded",
    ),
    "system": Kind(
        "The vessel: `water` dry, filled or fresh (filled, no salt noted); `volume_*` L, from the outer "
        "size where no volume is known; days since the first fill and since the first ammonia source; `used` whether "
        "salt water ever stood in it.",
        text=("role", "water", "volume_known", "source", "source_day", "live_rock", "used"),
        number=("volume_low", "volume_high", "filled_days", "source_days"),
    ),
    "animals": Kind(
        "Whether anything of a `group` (fish, invertebrate, coral, any) lives in the vessel: `present` yes, no (a "
        "written count of none, or nothing ever written) or maybe; `why` says what casts the doubt.",
        text=("group", "present", "why", "names"),
        number=("count", "first_days", "last_days"),
    ),
    "ledger": Kind(
        "Nitrogen given to the vessel: `given_*` mg N/L in all, `unoxidised_high` the most that may still be there as "
        "ammonia, `room` what may be given before that passes the limit; `known` no where a dose has no amount, "
        "or where a line that was not understood or has no day may be one; `given_since` yes where some may have been "
        "given after the newest ammonia test, or too short a time before it to be seen.",
        text=("known", "kit_moves", "oxidation_shown", "given_since"),
        number=("given_low", "given_high", "unoxidised_high", "room", "last_days"),
    ),
    "dilution": Kind(
        "The share of the newest fall of an analyte, from its peak or its last high (`from_*`) to the first reading as "
        "low as the newest, that the water changes between them explain.",
        text=("analyte", "from_day", "from_written", "day", "written"),
        number=("share_of_fall", "changed_share", "age_days"),
    ),
    "load": Kind(
        "Nitrogen that the food will bring once what is planned has come, mg N a day: food planned by itself is the "
        "whole ration, food planned with animals comes on top of what was fed in the week before (`fed_*`). `known` no "
        "without a plan that names food; `covers` yes where the plan is newer than the last fish, more than these were "
        "fed in their second week, and not below what is fed already.",
        text=("known", "covers", "words"),
        number=("low", "high", "fed_low", "fed_high"),
    ),
    "addition": Kind(
        "The newest addition of a `group` (any, fish, invertebrate, coral) to this water, bought or moved: on how many "
        "days there were `times` any, the `gap_days` to the one before, animals of the group `lost` since; and the "
        "newest unbroken row of clear tests made on later days: `ammonia_days` of them, their highest high end. "
        "`untested_days` since both were last tested, or since it; `shown_days` since either was above detection, and "
        "which it was (`shown`).",
        text=("group", "day", "words", "animal", "shown"),
        number=(
            "age_days", "times", "gap_days", "lost", "lost_days", "untested_days", "ammonia_days", "ammonia_high",
            "nitrite_days", "nitrite_high", "shown_days",
        ),
    ),
    "health": Kind(
        "How the animals are by the last word on it: `state` well (all well was written, `age_days` ago), amiss "
        "(`signs` of trouble stand since) or blank; days since any sign of trouble was last noticed.",
        text=("state", "signs", "day"),
        number=("age_days", "trouble_days"),
    ),
    "arrival": Kind(
        "Animals that are planned for this water, today or later: are they `held` in quarantine, `listed` in trade "
        "law, by `nature` bold or late, `named` by more than fish or coral; does the plan say their size "
        "(`described`) and their `papers`; days to them from the last of their group; the longest that fits the tank.",
        text=("group", "animal", "day", "words", "held", "listed", "nature", "named", "described", "papers"),
        number=("days_ahead", "count", "gap_days", "longest_cm"),
    ),
    "grazing": Kind(
        "What grazers eat: `state` visible, gone (all that was seen is gone, `days` ago) or blank (never seen).",
        text=("state", "names", "day"),
        number=("days",),
    ),
    "light": Kind(
        "The lights as last set: hours a day where they were written, and whether they are on.",
        text=("state", "day"),
        number=("hours", "days"),
    ),
    "level": Kind(
        "The newest usable reading of each analyte that was tested here, for texts and amounts.",
        text=("analyte", "day", "written"),
        number=("low", "high", "middle", "rank", "age_days"),
    ),
    "sign": Kind(
        "Something that was seen: `sort` growth (what grows in the water or clouds it, any word of the keeper's own), "
        "animals, people or mishap; `state` visible or gone; days since it began (`low` to `high`) and, gone, since it "
        "went.",
        text=("name", "sort", "state", "strength", "day", "place"),
        number=("low", "high", "seen_days", "gone_days"),
    ),
    "off-card": Kind(
        "The newest ammonia or nitrite readings in a row that are open upwards: `low` of the last, how many `times`, "
        "`days` since the first, and since a diluted sample was last read.",
        text=("analyte", "day", "written", "first_day"),
        number=("low", "times", "days", "age_days", "diluted_days"),
    ),
    "gear": Kind(
        "A device: `state` on or off, with the days since.",
        text=("device", "state", "setting", "day"),
        number=("days",),
    ),
    "kit": Kind(
        "A kit as the notes show it: is its basis known, is it past its expiry, what its blank reads (canonical unit), "
        "for how many days that blank still holds (`blank_left`, where it shows a colour), the day of a blank that its "
        "own readings deny (`denied_blank`), was it ever borne out by a "
        "standard or another test (`failed`: the newest says otherwise), has it ever shown more than nothing, has it "
        "never moved though nitrogen was given, how many of its last 5 tests could not be read, how often in a row it "
        "showed the same lowest step.",
        text=(
            "analyte", "name", "basis", "expired", "expires", "proven", "failed", "has_shown", "never_moves",
            "blank_day", "denied_blank", "unreadable_now",
        ),
        number=(
            "blank_low", "blank_high", "blank_rank", "blank_left", "unreadable", "tests", "last_days", "same_times",
            "expires_days",
        ),
    ),
    "free-ammonia": Kind(
        "Un-ionised ammonia, mg NH3/L, of the latest ammonia reading, from the newest pH, temperature and salinity; "
        "`assumed` names what was not measured and taken on the protective side.",
        text=("assumed", "day", "written"),
        number=("low", "high", "value", "age_days", "total_low", "total_high"),
    ),
    "planned": Kind(
        "A plan that lies ahead or in the last week: `what` animals, food, away; days until it begins and ends; `next` "
        "yes where none of its group comes sooner.",
        text=("what", "text", "group", "animal", "day", "next"),
        number=("days_ahead", "days_to_end", "count"),
    ),
    "job": Kind(
        "An open job: `state` open, due, overdue or waiting (for a stage).",
        text=("text", "state", "due", "after"),
        number=("days_ahead",),
    ),
    "unread": Kind(
        "A line that was not understood, and what it may name.",
        text=("text", "why", "may_name", "day"),
        number=("age_days",),
    ),
    "undated": Kind(
        "A record that belongs to no day: `about` its kind (reading, dose, water, stock, treat, discard).",
        text=("text", "about"),
    ),
    "source-water": Kind(
        "Another water that was tested in the last 30 days (tap, mixing bin, top-up), one fact an analyte; `pure` is "
        "water that is meant to hold nothing.",
        text=("name", "analyte", "day", "written", "pure"),
        number=("low", "high", "rank", "age_days"),
    ),
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
        "A gate and whether it is open; its first check that is not met; `by_test` yes where tests alone can open it; "
        "`behind` yes once its step was taken.",
        text=("id", "open", "behind", "by_test", "first", "settle"),
        layer="concluded",
    ),
    "gate-check": Kind(
        "A check of a gate, and its state: met, unmet or unknown.", text=("gate", "id", "state"), layer="concluded"
    ),
    "criteria": Kind(
        "The published limits of ammonia in this water, as total ammonia in mg N/L: `acute_*` for an hour, `chronic_*` "
        "for four days, from the newest pH, temperature and salinity (`assumed` where that was not measured), and what "
        "the high end of the latest ammonia reading leaves to the low end of each (below 0: it may be above).",
        text=("assumed", "day", "written", "ph", "temperature"),
        number=(
            "acute_low", "acute_high", "chronic_low", "chronic_high", "acute_margin", "chronic_margin", "age_days",
        ),
    ),
    "oxygen": Kind(
        "The oxygen, mg/L, that the water holds in balance with air, from the newest temperature and salinity "
        "(`assumed` names what was not measured), and the newest oxygen reading in mg/L and in per cent of that.",
        text=("assumed", "day", "written"),
        number=("low", "high", "percent_low", "percent_high", "saturation_low", "saturation_high", "age_days"),
    ),
    "balance": Kind(
        "Nitrogen found as ammonia, nitrite and nitrate against what should be there by all that was given since "
        "`first_day` and changed since, mg N/L; `share_*` found over expected. Only at a nitrate test with nitrite "
        "below detection beside it, in the first months, and where every amount is known.",
        text=("day", "written", "first_day"),
        number=(
            "expected_low", "expected_high", "found_low", "found_high", "share_low", "share", "share_high", "changes",
            "age_days",
        ),
    ),
    "panels": Kind(
        "An opening whose width and height were measured, with the `takes` of the side that has fewer. With three of "
        "both, and the depths of both grooves, a sliding pair of acrylic in mm: whether it `fits` (no: see `warning`), "
        "its `growth` in height, and what growth leaves to run, to `lift` in, to hold and to lap.",
        text=("opening", "fits", "warning"),
        number=(
            "takes", "age_days", "full_days", "width", "height", "growth", "running", "lift", "engagement", "lap",
        ),
    ),
    "drift": Kind(
        "The newest usable reading of an analyte against the one before it: `change` between their middles, `surely` "
        "what their intervals leave of it, `a_day` over the `days` between (1 at least); was anything `given` that "
        "raises it, was water `changed` meanwhile? `used` is what was lost a day.",
        text=("analyte", "from_day", "from_written", "day", "written", "given", "changed"),
        number=("change", "surely", "days", "a_day", "used", "age_days"),
    ),
    "new-water": Kind(
        "New salt water of the last days (a bin) against the tank: `apart` is new less tank, `distance` without sign.",
        text=("name", "analyte", "day", "written", "tank_day", "tank_written"),
        number=("apart", "distance"),
    ),
    "dose-pair": Kind(
        "An alkalinity and a calcium dose of the last week, the pair nearest in time; only where both have a time.",
        text=("day",),
        number=("minutes", "age_days"),
    ),
    "light-step": Kind(
        "The newest setting of the lights against the one before: how many `times` the light a day, by the hours and "
        "the per cent that both name.",
        text=("from_setting", "setting", "day"),
        number=("times", "age_days"),
    ),
    "evaporation": Kind(
        "Litres a day topped up in the last week, the same of the weeks `before`, and the one over the other.",
        number=("a_day", "before", "times"),
    ),
    "turnover": Kind(
        "The newest flow that was measured, as the `times` an hour that it moves the whole water.",
        text=("written", "day"),
        number=("times",),
    ),
    "nitrate-from-food": Kind(
        "What nitrate surely rose by between its newest two readings with no water changed, against the most that the "
        "food of those days can make (`expected`), mg/L N, and the one over the other.",
        text=("from_day", "day"),
        number=("rise", "expected", "times", "days", "age_days"),
    ),
    "reservoir": Kind(
        "A top-up reservoir of known volume: by how much salinity would `drop`, g/kg, if all of it ran in at once.",
        text=("name",),
        number=("litres", "drop"),
    ),
    "upkeep": Kind(
        "When a device in use was last calibrated, renewed (added, replaced or filled) or cleaned; `reads` what a "
        "meter is for.",
        text=("device", "work", "day", "reads"),
        number=("age_days",),
    ),
    "outage": Kind(
        "The newest power cut: `state` on or over, and how many hours it has lasted.",
        text=("state", "day"),
        number=("hours_low", "hours_high", "age_days"),
    ),
    "deaths": Kind(
        "The newest deaths, those of the day before included: at least how many, how many `a_day` where the keeper "
        "was away until then, and the body found or missing.",
        text=("day", "names", "body"),
        number=("count", "a_day", "age_days"),
    ),
    "oxygen-risk": Kind(
        "What makes oxygen short by morning: haze, film, warmth, pumps that stand still, a death, a medicine.",
        text=("words",),
        number=("count",),
    ),
    "scare": Kind(
        "What is an emergency by the newest notes, where something lives or may live.",
        text=("words", "day"),
        number=("age_days",),
    ),
    "silence": Kind("Days since the last note about this vessel.", text=("day",), number=("days",)),
    "thread": Kind(
        "A loose end, the oldest of its sort: `what` plan (its day has passed), unread (a test that could not be read "
        "and was not repeated), sign (never written as gone), off (never switched on again), job (overdue).",
        text=("what", "name", "words", "day"),
        number=("age_days", "others"),
    ),
    "contradiction": Kind(
        "Two tests of one day that cannot both be right.",
        text=("analyte", "day", "first", "second"),
        number=("age_days",),
    ),
    "correction": Kind(
        "A record that withdraws readings, and how many; `words` tell all of it.",
        text=("what", "day", "first", "last", "reason", "words"),
        number=("times", "age_days"),
    ),
    "misplaced": Kind(
        "The newest reading of an analyte, where it leaves what this water showed before and fits another vessel.",
        text=(
            "analyte", "day", "written", "before_day", "before_written", "other", "other_day", "other_written",
        ),
        number=("age_days",),
    ),
    "watched": Kind(
        "How long the animals in a quarantine tank have been watched: days since the newest arrival, death, medicine "
        "or sign of illness, which is the `reason`; 0, and not `counting`, while a sign (`ill`) or medicine goes on. "
        "`gap_days` the longest stretch of them without a word on what was seen, `looked_days` the present one; "
        "`batches` how many days of arrival share the water.",
        text=("reason", "words", "day", "ill", "counting", "first_day", "last_day"),
        number=("low", "high", "gap_days", "looked_days", "arrived_days", "batches"),
    ),
    "fallow": Kind(
        "How long the vessel has been without fish after an illness (`called` yes, `cause` what was seen or given; no: "
        "nothing calls for it), counted from the last fish, or from what came in later out of other water. "
        "`fish` no only by a count of none; `cleaned` disinfected and dried since.",
        text=("called", "cause", "day", "words", "fish", "cleaned"),
        number=("low", "high", "left_days", "coldest"),
    ),
    "foam": Kind(
        "A foam or medium that carries bacteria for quarantine: its `place` is quarantine, display or none; `meant` "
        "whether its words say that it is for quarantine; `laid` the day it was laid, in days from today (below 0).",
        text=("place", "meant", "day", "words"),
        number=("days", "laid"),
    ),
    "lime": Kind("Rock, sand or shell in a quarantine tank.", text=("words", "day")),
    "crossing": Kind(
        "Salinity (g/kg) and temperature (degrees C) of a quarantine tank and of the display, of the last 14 days.",
        text=("target",),
        number=("salinity_here", "salinity_there", "temperature_here", "temperature_there"),
    ),
    "crossed": Kind("Water or gear that came out of a quarantine tank into the display.", text=("words", "day")),
    "illness": Kind(
        "A sign of illness on an animal that can be seen now, by its `sort`: spots, dust, appetite, breath or other; "
        "`parasite` whether it is one of a parasite that lives on in the water.",
        text=("name", "sort", "parasite", "day", "words"),
        number=("days",),
    ),
    "course": Kind(
        "A medicine: `state` running, planned or ended; `vet` whether the notes name one; `absorbers` the gear that is "
        "on and takes it out of the water again; `target` the level as written; `invertebrates` or corals there: yes "
        "(or may), named (by prose alone) or no.",
        text=("substance", "state", "day", "target", "vet", "words", "absorbers", "invertebrates"),
        number=("days", "last_days"),
    ),
    "build": Kind(
        "A thing of the build, by the newest note or ticked job that names it: the `work` that it belongs to, its "
        "`state` (passed, failed, begun, skipped, lacking, done, unsure, or none written); `there` no where it is "
        "lacking, unsure, only begun or left out, or a trouble that is over; `fumes` yes for paint, glue and sealant. "
        "Days since that note, and since the first one on it.",
        text=("thing", "work", "state", "there", "fumes", "words", "day"),
        number=("days", "first_days"),
    ),
    "bench": Kind(
        "That the notes speak of the build, and whether anything of it that holds water is up.",
        text=("wet_side",),
        number=("first_days",),
    ),
    "build-job": Kind(
        "An open job of the build, and what it must be done `before`: water, fish, or neither (later).",
        text=("text", "before", "due"),
    ),
    "out-of-level": Kind(
        "How far the stand or the water line is out of level, by the newest measure of it.",
        text=("subject", "day"),
        number=("mm",),
    ),
    "mass": Kind(
        "Something of the build that was weighed, and how many people lift it.",
        text=("subject",),
        number=("kg", "people", "age_days"),
    ),
    "drain-down": Kind(
        "Litres that come down for each centimetre that the water of the vessel falls (`per_cm`), and in all, where it "
        "was measured how far under the surface its lowest outlet lies (`fall_mm`).",
        number=("per_cm", "fall_mm", "litres"),
    ),
    "lid": Kind(
        "A lid whose mass and depth were written: its centre of gravity from the hinge (`assumed` where that was not "
        "measured); with the points of its struts (`mounted`) the push in N that each must have so that the open lid "
        "stays up in the cold (`needed`); with struts that are `fitted`, whether the lid `holds` and `fits` (no: see "
        "`warning`), and the most at its front edge, N, to push it shut (`closing`) or to lift it (`lifting`).",
        text=("lid", "assumed", "mounted", "fitted", "holds", "fits", "warning"),
        number=(
            "mass_kg", "depth_mm", "gravity_mm", "number", "needed", "newton", "closing", "lifting", "age_days",
        ),
    ),
    "floor-load": Kind(
        "What the vessel puts on its footprint when full, kN/m2, by its outer size: about the least, for the stand "
        "comes on top; `times_room` the load that room floors are designed for.",
        number=("mass_kg", "kn_m2", "times_room"),
    ),
}

FITTED: dict[str, Kind] = {
    "misread": Kind(
        "A reading that was misread with some `probability`, all others considered (from a tenth on), and what it "
        "should have shown by the others, mg N/L, 10 to 90 %.",
        text=("analyte", "day", "written"),
        number=("probability", "expected_low", "expected_high", "age_days"),
        layer="fitted",
    ),
    "kit-finding": Kind(
        "The fault that a kit most likely has, if any: `high` (shows too much throughout) or `stuck` (at zero), and "
        "its `probability`; `step` its first colour in mg N/L; how many `tests` the cycle has of it, the age of the "
        "last one.",
        text=("analyte", "name", "fault"),
        number=("probability", "step", "tests", "last_days"),
        layer="fitted",
    ),
    "slow-step": Kind(
        "What a half of the filter (`eats` ammonia or nitrite) can do, mg N/L a day at 25 degrees C, 10 to 90 %, and "
        "what `expected` of such a cycle without a look at the tests; `behind` is the chance that such a cycle has "
        "more left by now.",
        text=("eats",),
        number=("behind", "low", "high", "expected_low", "expected_high"),
        layer="fitted",
    ),
    "telling-test": Kind(
        "The test of the coming week that would narrow the forecast most, and the share by which it would.",
        text=("analyte", "day"),
        number=("narrows", "days_ahead"),
        layer="fitted",
    ),
}

KINDS: dict[str, Kind] = {**WINDOWS, **STATED, **FITTED}


_YES_NO = ("yes", "no")
_GROUPS = ("any", "fish", "invertebrate", "coral")
_SORTS = (
    "reading", "unreadable", "dose", "water", "gear", "seen", "stock", "fed", "check", "build", "treat", "job",
    "vessel", "kit", "unread",
)  # fmt: skip
_ROLES = ("display", "quarantine", "bin", "reservoir", "water")

VALUES: dict[tuple[str, str], tuple[str, ...]] = {
    **{(kind, "of"): _SORTS for kind in ("count", "since", "after", "before", "absent")},
    ("sum", "of"): ("nitrogen", "changed"),
    ("trend", "direction"): ("falling", "rising", "flat", "unclear"),
    ("latest", "by"): ("home", "shop", "lab"),
    ("challenge", "road"): ("ammonia", "nitrite"),
    ("challenge", "state"): ("open", "cleared", "lapsed", "not-cleared", "unanswered"),
    **{("challenge", name): _YES_NO for name in ("newest", "seen", "arrived")},
    ("reading", "by"): ("home", "shop", "lab"),
    **{("reading", name): _YES_NO for name in ("readable", "kit_expired", "kit_proven", "kit_never_moves")},
    ("doubt", "verdict"): ("doubt", "reject"),
    ("system", "role"): _ROLES,
    ("system", "water"): ("dry", "filled", "fresh"),
    **{("system", name): _YES_NO for name in ("volume_known", "source", "live_rock", "used")},
    ("animals", "group"): _GROUPS,
    ("animals", "present"): ("yes", "no", "maybe"),
    **{("ledger", name): _YES_NO for name in ("known", "kit_moves", "oxidation_shown")},
    **{("load", name): _YES_NO for name in ("known", "covers")},
    **{(kind, "group"): _GROUPS for kind in ("addition", "losses")},
    ("health", "state"): ("well", "amiss"),
    **{("arrival", name): _YES_NO for name in ("held", "listed", "named", "described", "papers")},
    ("arrival", "nature"): ("bold", "late"),
    ("lead", "held"): _YES_NO,
    ("grazing", "state"): ("visible", "gone"),
    ("light", "state"): ("on", "off"),
    ("sign", "state"): ("visible", "gone"),
    ("sign", "sort"): ("growth", "animals", "people", "mishap"),
    ("sign", "strength"): ("slight", "moderate", "heavy"),
    ("gear", "state"): ("on", "off"),
    ("kit", "basis"): ("known", "unknown"),
    **{("kit", name): _YES_NO for name in ("expired", "proven", "failed", "has_shown")},
    **{("kit", name): _YES_NO for name in ("never_moves", "unreadable_now")},
    ("planned", "what"): ("animals", "food", "away", "other"),
    ("planned", "next"): _YES_NO,
    ("job", "state"): ("open", "due", "overdue", "waiting"),
    ("vessel", "role"): _ROLES,
    ("days-full", "of"): ("watching", "fallow"),
    ("watched", "counting"): _YES_NO,
    ("watched", "reason"): ("arrival", "sign", "death", "treatment"),
    ("fallow", "called"): _YES_NO,
    ("fallow", "fish"): ("no", "maybe"),
    ("fallow", "cleaned"): _YES_NO,
    ("foam", "place"): ("quarantine", "display", "none"),
    ("foam", "meant"): _YES_NO,
    ("illness", "sort"): ("spots", "dust", "appetite", "breath", "other"),
    ("illness", "parasite"): _YES_NO,
    ("course", "invertebrates"): ("yes", "named", "no"),
    ("course", "state"): ("running", "planned", "ended"),
    ("course", "vet"): _YES_NO,
    ("kit-finding", "fault"): ("high", "stuck"),
    ("slow-step", "eats"): ("ammonia", "nitrite"),
    **{("gate", name): _YES_NO for name in ("open", "behind", "by_test")},
    ("gate-check", "state"): ("met", "unmet", "unknown"),
    ("panels", "fits"): _YES_NO,
    ("build", "work"): (
        "structure", "tank-in-place", "plumbing", "leak-testing", "electrics", "lifting", "joinery",
    ),
    ("build", "state"): ("passed", "failed", "begun", "skipped", "lacking", "done", "unsure"),
    **{("build", name): _YES_NO for name in ("there", "fumes")},
    ("bench", "wet_side"): _YES_NO,
    ("build-job", "before"): ("water", "fish", "later"),
    **{("lid", name): _YES_NO for name in ("mounted", "fitted", "holds", "fits")},
    ("outage", "state"): ("on", "over"),
    ("deaths", "body"): ("found", "missing"),
    ("thread", "what"): ("plan", "unread", "sign", "off", "job"),
    **{("drift", name): _YES_NO for name in ("given", "changed")},
    ("source-water", "pure"): _YES_NO,
    ("upkeep", "work"): ("calibrated", "renewed", "cleaned"),
}
"""The words of text properties that know only a few; every other text is free."""


def make(kind: str, *, vessel: str, where: str = "here", events: tuple[Line, ...] = (), **given: Property) -> Fact:
    """A fact with every property of its kind: those not given are unknown.

    Raises:
        KeyError: the kind does not exist, or has no such property.
    """
    known = KINDS[kind]
    if not given.keys() <= known.properties:
        raise KeyError(f"{kind} has no property {min(given.keys() - known.properties)!r}")
    return Fact(kind, {**known.blank, "vessel": vessel, "where": where, **given}, events)
