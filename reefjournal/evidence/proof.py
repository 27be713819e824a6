"""Proofs of a cycle: a measured dose that was brought down in time, or days of food with nothing left over."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice, takewhile
from typing import Annotated, Literal

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.life import load_high, ration_between, standing_rations
from reefjournal.evidence.nitrogen import Gift, gifts
from reefjournal.evidence.scene import OPEN, Sample, Scene, iso
from reefjournal.evidence.trust import proofs
from reefjournal.evidence.water import changes_between, day_of, kept_by_changes
from reefjournal.facts import UNKNOWN, Fact, Property, Query
from reefjournal.quantities import Interval
from reefjournal.timeline import hours_between, hours_since, surely_before

State = Literal["open", "cleared", "not-cleared", "unanswered"]
Road = Literal["ammonia", "nitrite", "second"]
_BEFORE_DAYS: Annotated[
    int, Believed("days", "how old the readings may be that show the water clear before a challenge", "our judgement")
] = 4
_ARRIVED_HOURS: Annotated[
    float, Believed("hours", "a dose must be seen by then: no filter takes half of it in that time", "our judgement")
] = 3.0
_ANSWER_DAYS: Annotated[
    int, Believed("days", "how long after a dose a reading may still answer it, late as it then is", "our judgement")
] = 10
_FOOD_DAYS: Annotated[int, Believed("days", "how far back a proof by food is looked for", "our judgement")] = 60
_FAST_DAYS: Annotated[int, Believed("days", "meals further apart than this are no daily ration", "our judgement")] = 3
_KEPT: Annotated[
    float, Believed("of the water", "what must stay in it for food to be what the tests speak of", "our judgement")
] = 0.5
_GRACE_HOURS: Annotated[
    float,
    Believed("hours", "how long a challenge may still wait for an answer that was not written yet", "our judgement"),
] = 24.0

_ANSWERED_HOURS: Annotated[
    float, Believed("hours", "how long after a dose a test still bears a pass out or speaks against it", "our judgement")
] = 52.0


@dataclass(frozen=True)
class Terms:
    """What a rule asks of a challenge: at least ``dose`` mg N/L, gone ``within`` hours, to a rank and a level."""

    dose: float
    within: float
    rank: float
    ammonia: float
    nitrite: float
    road: str

    @classmethod
    def of(cls, query: Query) -> Terms:
        """The terms as a window gives them."""
        return cls(
            float(query["dose"]), float(query["within"]), float(query["rank"]),
            float(query["ammonia"]), float(query["nitrite"]), str(query["road"]),
        )  # fmt: skip

    def allows(self, sample: Sample) -> bool:
        """Whether a reading is low enough."""
        level = self.ammonia if sample.reading.analyte == "ammonia" else self.nitrite
        return sample.rank <= self.rank and sample.high <= level


@dataclass(frozen=True)
class Trial:
    """One challenge dose and what came of it; ``agreeing`` tests of each analyte show it gone."""

    gift: Gift
    state: State
    answers: tuple[Sample, ...]
    hours: Interval
    agreeing: int = 0


def challenges(scene: Scene, query: Query) -> Iterator[Fact]:
    """The newest challenge on the rule's terms, and how many before it, since the last cleared one, failed."""
    terms = Terms.of(query)
    tried = [(_trial(scene, gift, after, terms), known) for gift, after, known in _challenge_doses(scene, terms)]
    # A dose to water that was not tested, or that never held ammonia, begins a cycle: only a pass makes it a challenge.
    trials = [trial for trial, known in tried if known or trial.state == "cleared"]
    decided = [t for t in trials if t.state in ("cleared", "not-cleared")]
    for trial in ([trials[-1]] if trials else []) + [t for t in decided[-1:] if t is not trials[-1]]:
        yield _fact(scene, query, trial, trials)


def _challenge_doses(scene: Scene, terms: Terms) -> Iterator[tuple[Gift, Gift | None, bool]]:
    """Large enough doses that did not meet ammonia or nitrite: each, the next dose, and was it known to be clear."""
    given = tuple(gift for gift in scene.once(gifts) if scene.vessel.of_this_fill(gift.event))
    for place, gift in enumerate(given):
        following = given[place + 1] if place + 1 < len(given) else None
        measured = gift.event.role == "ammonia" and gift.rise is not None and gift.rise.low >= terms.dose
        clear = _was_clear(scene, gift.event, terms) if measured else False
        if clear is not False:
            yield gift, following, clear is True and _begun(scene, gift.event, given[:place])


def _was_clear(scene: Scene, dose: ev.Base, terms: Terms) -> bool | None:
    """Whether the newest readings before a dose were low; ``None`` where there were none in the days before it."""
    known = True
    for analyte in ("ammonia", "nitrite") if terms.road == "ammonia" else ("nitrite",):
        before = [s for s in scene.usable(analyte) if surely_before(s.reading, dose)]
        if before and before[-1].rank > 1:
            return False
        known = known and bool(before) and (dose.earliest - before[-1].reading.earliest).days <= _BEFORE_DAYS
    return known or None


def _begun(scene: Scene, dose: ev.Base, earlier: tuple[Gift, ...]) -> bool:
    """Whether the filter had been fed before a dose, by what was given or by what was seen in the water."""
    seen = (s for a in ("ammonia", "nitrite") for s in scene.usable(a) if s.rank > 0)
    return bool(earlier) or any(surely_before(s.reading, dose) for s in seen)


def _trial(scene: Scene, gift: Gift, following: Gift | None, terms: Terms) -> Trial:
    later = {a: _later(scene, a, gift.event, following) for a in ("ammonia", "nitrite", "nitrate")}
    needed = ("ammonia", "nitrite") if terms.road != "nitrite" else ("nitrite",)
    waited = hours_since(gift.event, scene.now)
    answers = _answers(later, needed, gift.event, terms)
    arrived = _test_sees(scene, terms, answers) and not any(_denies_arrival(gift, s) for s in later["ammonia"])
    if answers and arrived and _undisturbed(scene, gift, answers) and _nitrate_agrees(scene, gift, later, terms):
        spans = [hours_between(gift.event, s.reading) for s in answers]
        hours = Interval(min(s.low for s in spans), max(s.high for s in spans))
        return Trial(gift, "cleared", answers, hours, _agreeing(later, gift.event, answers))
    late = [s for a in needed for s in later[a] if _too_late(gift.event, s, terms) and _late_enough(gift.event, s)]
    failed = [s for s in late if not terms.allows(s)]
    if failed and not answers:
        return Trial(gift, "not-cleared", tuple(failed[:2]), hours_between(gift.event, failed[0].reading))
    # Once both are gone, however loosely that is timed, there is nothing left to wait for.
    gone = terms.road == "ammonia" and all(later[a] and later[a][-1].rank == 0 for a in needed)
    waiting = following is None and not gone and waited.low <= terms.within + _GRACE_HOURS
    return Trial(gift, "open" if waiting else "unanswered", (), waited)


def _later(scene: Scene, analyte: str, dose: ev.Base, following: Gift | None) -> list[Sample]:
    samples = scene.usable(analyte)
    end = dose.latest + timedelta(days=_ANSWER_DAYS)
    start = bisect_left(samples, day_of(dose), key=lambda s: s.reading.earliest)
    near = takewhile(lambda s: s.reading.earliest <= end, islice(samples, start, None))
    after = [s for s in near if surely_before(dose, s.reading)]
    return after if following is None else [s for s in after if surely_before(s.reading, following.event)]


def _answers(
    later: dict[str, list[Sample]], needed: tuple[str, ...], dose: ev.Base, terms: Terms
) -> tuple[Sample, ...]:
    """The readings that show each needed analyte gone in time, nitrite not before ammonia; none where one lacks."""
    found: list[Sample] = []
    for analyte in needed:
        for sample in later[analyte]:
            early = found and sample.reading.earliest < found[-1].reading.earliest
            fits = terms.allows(sample) and _in_time(dose, sample, terms) and _late_enough(dose, sample)
            if fits and not early and not any(one.rank > 1 for one in _soon_after(later[analyte], dose, sample)):
                found.append(sample)
                break
        else:
            return ()
    return tuple(found)


def _soon_after(samples: list[Sample], dose: ev.Base, answer: Sample) -> list[Sample]:
    """The tests after an answer that still speak of the dose: one that shows more again takes the answer back."""
    after = samples[samples.index(answer) + 1 :]
    return [one for one in after if hours_between(dose, one.reading).low <= _ANSWERED_HOURS]


def _agreeing(later: dict[str, list[Sample]], dose: ev.Base, answers: tuple[Sample, ...]) -> int:
    """How many tests, each at another time or by another hand, show every analyte gone: the fewest of one."""
    rows = ([one, *_soon_after(later[one.reading.analyte], dose, one)] for one in answers)
    return min(len({(s.reading.earliest, s.reading.by, s.reading.kit) for s in row}) for row in rows)


def _in_time(dose: ev.Base, sample: Sample, terms: Terms) -> bool:
    return hours_between(dose, sample.reading).high <= terms.within


def _late_enough(dose: ev.Base, sample: Sample) -> bool:
    """Whether a reading can show anything: not one of the same untimed note, which may be minutes after the dose."""
    if dose.day == sample.reading.day and (dose.at is None or sample.reading.at is None):
        return False
    return hours_between(dose, sample.reading).high > 0


def _too_late(dose: ev.Base, sample: Sample, terms: Terms) -> bool:
    """Whether a reading may be from the end of the time allowed, or after it."""
    return hours_between(dose, sample.reading).high >= terms.within


def _test_sees(scene: Scene, terms: Terms, answers: tuple[Sample, ...]) -> bool:
    """Whether the ammonia test that answers has ever shown ammonia here: the nothing of a blind test is no answer.

    A kit that was held against a standard, a shop or a lab answers where any other test has shown some.
    """
    if terms.road != "ammonia":
        return True
    shown = {(s.reading.by, s.reading.kit) for s in scene.usable("ammonia") if s.rank > 0}
    asked = [s.reading for s in answers if s.reading.analyte == "ammonia" and s.reading.by == "home"]
    able = {("home", kit) for analyte, kit in scene.once(proofs) if analyte == "ammonia"} | shown
    return bool(shown) and all((one.by, one.kit) in able for one in asked)


def _undisturbed(scene: Scene, gift: Gift, answers: tuple[Sample, ...]) -> bool:
    """Whether nothing else can have taken the dose away: no new water, no binder, and no line left unread."""
    dose, answer = gift.event, answers[-1].reading
    others = [*scene.vessel.log(ev.Unread), *(one for one in scene.vessel.log(ev.Dose) if one.role == "binder")]
    between = [one for one in others if not surely_before(one, dose) and not surely_before(answer, one)]
    return not changes_between(scene, dose, answer) and not between


def _denies_arrival(gift: Gift, sample: Sample) -> bool:
    """Whether a reading within three hours shows less than half of the dose: then it did not reach the water."""
    soon = 0 < hours_between(gift.event, sample.reading).high <= _ARRIVED_HOURS
    return soon and gift.rise is not None and sample.high < gift.rise.low / 2


def _nitrate_agrees(scene: Scene, gift: Gift, later: dict[str, list[Sample]], terms: Terms) -> bool:
    """On the road by nitrite, nitrate must have risen by at least half of what was given."""
    if terms.road != "nitrite":
        return True
    before = [s for s in scene.usable("nitrate") if surely_before(s.reading, gift.event)]
    if not before or not later["nitrate"] or gift.rise is None:
        return False
    first, last = before[-1], later["nitrate"][-1]
    return last.low > first.low and last.middle - first.middle >= gift.rise.low / 2


def _fact(scene: Scene, query: Query, trial: Trial, trials: list[Trial]) -> Fact:
    dose, volume = trial.gift.event, scene.vessel.volume
    rise = trial.gift.rise or Interval(0.0, 0.0)
    gone = max(0.0, rise.low - sum(s.high for s in trial.answers))
    low = gone * volume.low / trial.hours.high * 24 if volume and trial.hours.high > 0 else UNKNOWN
    high = rise.high * volume.high / trial.hours.low * 24 if volume and trial.hours.low > 0 else OPEN
    cleared = trial.state == "cleared"
    answered = trial.answers[-1].reading if trial.answers else None
    return scene.fact(
        "challenge",
        [dose, *(s.reading for s in trial.answers)],
        **dict(query.parameters),
        state=trial.state,
        newest="yes" if trial is trials[-1] else "no",
        day=iso(dose.day),
        answered=iso(answered.day) if answered else "",
        dose_low=rise.low,
        dose_high=rise.high,
        hours_low=trial.hours.low,
        hours_high=trial.hours.high,
        capacity_low=low if cleared else UNKNOWN,
        capacity_high=high if cleared else UNKNOWN,
        age_days=scene.age_days(answered or dose),
        failures=float(_failures(trials)),
        agreeing=float(trial.agreeing),
        times_load=low / scene.once(load_high) if cleared else UNKNOWN,
        unfed_days=_longest_fast(scene, answered) if cleared and answered else UNKNOWN,
    )


def _failures(trials: list[Trial]) -> int:
    count = 0
    for one in reversed(trials):
        if one.state == "cleared":
            break
        count += one.state == "not-cleared"
    return count


def _longest_fast(scene: Scene, since: ev.Base) -> float:
    """The longest time in days without a source of nitrogen from a note to now; a standing ration is a source."""
    if since.day is None:
        return UNKNOWN
    today = scene.now.date()
    given = [(g.event.day, g.event.day) for g in scene.once(gifts) if g.event.day]
    return float(_longest_gap([*given, *_meals(scene)], since.day, today))


def _meals(scene: Scene) -> list[tuple[date, date]]:
    """The first and last day of each feeding by now."""
    fed = (one for one in scene.vessel.log(ev.Fed) if one.grams is None or one.grams.high > 0)
    single = [one.day for one in fed if one.day and not (one.stop or one.every_day)]
    return [(day, day) for day in single] + standing_rations(scene)


def _longest_gap(spans: list[tuple[date, date]], first: date, last: date) -> int:
    """The longest time in days between two days that no span of days touches."""
    longest, until = 0, first
    for begin, end in sorted([*spans, (last, last)]):
        longest = max(longest, (min(begin, last) - until).days)
        until = max(until, min(end, last))
    return longest


def fed_proof(scene: Scene, query: Query) -> Iterator[Fact]:
    """Ammonia and nitrite below detection on enough days, over enough days, at a ration that was written down.

    The newest days that suffice count: a ration that was raised is proven by the tests since then. What is fed on the
    day of the last test may be fed after it; new water and a binder do the work of a filter.
    """
    times, days = float(query["times"]), float(query["days"])
    rows = [_clear_days(scene, a, float(query[a])) for a in ("ammonia", "nitrite")]
    both = sorted(set(rows[0]) & set(rows[1]))
    recent = [day for day in both if day >= max(min(rows[0]), min(rows[1]))] if all(rows) and both else []
    enough = [day for day in recent if (recent[-1] - day).days >= days and sum(one >= day for one in recent) >= times]
    if not enough:
        return
    first, last = enough[-1], recent[-1]
    ration = ration_between(scene, first, last - timedelta(days=1))
    if ration is None or _longest_gap(_meals(scene), first, last) > _FAST_DAYS or _helped(scene, rows, first, last):
        return
    samples = [rows[0][first], rows[1][first], rows[0][last], rows[1][last]]
    given: dict[str, Property] = {
        "day": iso(last), "ration_low": ration.low, "ration_high": ration.high,
        "age_days": float((scene.now.date() - last).days), "span_days": float((last - first).days),
        "times_load": ration.low / scene.once(load_high),
    }  # fmt: skip
    yield scene.fact("fed-proof", [s.reading for s in samples], **dict(query.parameters), **given)


def _helped(scene: Scene, rows: list[dict[date, Sample]], first: date, last: date) -> bool:
    """Whether something else than the filter may have kept the water clear from a first to a last test."""
    start, end = rows[0][first].reading, rows[0][last].reading
    binders = (one for one in scene.vessel.log(ev.Dose) if one.role == "binder" and not one.stop)
    bound = any(not surely_before(one, start) and not surely_before(end, one) for one in binders)
    return bound or kept_by_changes(scene, changes_between(scene, start, end)).low < _KEPT


def _clear_days(scene: Scene, analyte: str, level: float) -> dict[date, Sample]:
    """The days of the newest unbroken row of readings below detection, each with a reading."""
    found: dict[date, Sample] = {}
    for sample in reversed(scene.usable(analyte)):
        old = scene.age_days(sample.reading) > _FOOD_DAYS or not scene.vessel.of_this_fill(sample.reading)
        if sample.rank > 0 or sample.high > level or old:
            break
        found[sample.reading.earliest.date()] = sample
    return found


def both_clear(scene: Scene, query: Query) -> Iterator[Fact]:
    """The first row of days on which ammonia and nitrite were both clear after both had been seen."""
    seen: dict[str, bool] = {"ammonia": False, "nitrite": False}
    newest: dict[str, Sample] = {}
    row: list[Sample] = []
    samples = (s for s in scene.usable("ammonia") + scene.usable("nitrite") if scene.vessel.of_this_fill(s.reading))
    for sample in sorted(samples, key=lambda s: s.reading.earliest):
        analyte = sample.reading.analyte
        clear = sample.rank <= float(query["rank"]) and sample.high <= float(query[analyte])
        seen[analyte] = seen[analyte] or sample.low >= float(query[f"{analyte}_seen"])
        newest[analyte] = sample
        if not clear:
            row = []
        elif all(seen.values()) and _together(newest, query):
            row += [] if row and row[-1].reading.day == sample.reading.day else [sample]
        if len(row) >= float(query["times"]):
            rested = [s.reading for s in newest.values()]
            given: dict[str, Property] = {"day": sample.day, "age_days": scene.age_days(sample.reading)}
            yield scene.fact("both-clear", rested, **dict(query.parameters), **given)
            return


def _together(newest: dict[str, Sample], query: Query) -> bool:
    """Whether the newest readings of both are clear and belong to the same two days."""
    if len(newest) < 2:
        return False
    clear = all(s.rank <= float(query["rank"]) and s.high <= float(query[a]) for a, s in newest.items())
    one, other = (s.reading.earliest for s in newest.values())
    return clear and abs(one - other) <= timedelta(days=2)
