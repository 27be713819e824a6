"""What the tests after a challenge dose say of it: what answers it, bears that out or takes it back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from itertools import chain, takewhile
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Sample
from reefjournal.facts import UNKNOWN, Query
from reefjournal.timeline import hours_between

ARRIVED_HOURS: Annotated[
    float, Believed("hours", "a dose must be seen by then: no filter takes half of it in that time", "our judgement")
] = 3.0
_LATE_HOURS: Annotated[
    float, Believed("hours", "how late or early a test may be made that was asked for at an hour", "our judgement")
] = 0.5
_DENIED_HOURS: Annotated[
    float, Believed("hours", "how long after a dose a test may still deny that it was gone in time", "our judgement")
] = 52.0
_ANSWER_HOURS: Annotated[
    float,
    Believed("hours", "how long after a dose a test can first show it gone; sooner it never arrived", "our judgement"),
] = 8.0
_APART_MINUTES: Annotated[
    float, Believed("minutes", "how far apart two tests with one kit must lie to be two", "our judgement")
] = 15.0
_BORNE_OUT_HOURS: Annotated[
    float,
    Believed("hours", "how long after the time allowed a test still bears out that a dose was gone", "our judgement"),
] = 4.0

_TAKEN_BACK: Annotated[
    int,
    Believed(
        "tests", "so many that showed a dose gone are taken back by one that shows more after them", "our judgement",
        "a colour is misread as a higher one less often than one of the lowest as none",
    ),
] = 2  # fmt: skip


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
        return sample.rank <= self.rank and sample.high <= self.level(sample)

    @property
    def last_hour(self) -> float:
        """How many hours after the dose a test can still bear a pass out: what is gone later was not gone in time."""
        return self.within + _BORNE_OUT_HOURS

    def level(self, sample: Sample) -> float:
        """The most that a reading may mean, mg N/L."""
        return self.ammonia if sample.reading.analyte == "ammonia" else self.nitrite


def answered_by(
    later: dict[str, list[Sample]], needed: tuple[str, ...], dose: ev.Base, terms: Terms, *, contested: bool = False
) -> tuple[Sample, ...]:
    """The readings that show each needed analyte gone in time, nitrite not before ammonia; none where one lacks.

    ``contested`` ones count too, which a later test takes back.
    """
    found: list[Sample] = []
    for analyte in needed:
        for sample in later[analyte]:
            early = found and sample.reading.earliest < found[-1].reading.earliest
            fits = terms.allows(sample) and in_time(dose, sample, terms) and late_enough(dose, sample)
            if fits and not early and (contested or _stands(later[analyte], dose, terms, sample)):
                found.append(sample)
                break
        else:
            return ()
    return tuple(found)


def _stands(samples: list[Sample], dose: ev.Base, terms: Terms, answer: Sample) -> bool:
    """Whether no test soon after an answer takes it back. One that shows more again does, unless two before it and one
    after it say otherwise, and more than show it, or more than two for each that shows more, all in time, the last too.
    """
    since = _from(samples, answer)
    against = [place for place, one in enumerate(since) if one.rank > 1 and _may_deny(dose, one)]
    if not against:
        return True
    low = [place for place, one in enumerate(since) if one.rank <= 1]
    timely = [place for place in low if _soon_enough(dose, since[place], terms)]
    denials = tests(since[n] for n in against)
    if timely[-1:] > against[-1:] and tests(since[n] for n in timely) > _TAKEN_BACK * denials:
        return True
    outvoted = tests(since[n] for n in low) > denials
    return outvoted and all(tests(since[n] for n in low if n < place) > 1 and low[-1] > place for place in against)


def agreeing(later: dict[str, list[Sample]], dose: ev.Base, terms: Terms, answers: tuple[Sample, ...]) -> int:
    """How many tests, each at another time or by another hand, show every analyte gone: the fewest of one.

    Those before the answer count from the last one on that showed more, and not the one that saw the dose arrive.
    One that shows more after it takes back two.
    """
    return max(0, min(_balance(later[one.reading.analyte], dose, terms, one) for one in answers))


def hours_left(later: dict[str, list[Sample]], dose: ev.Base, terms: Terms, answers: tuple[Sample, ...]) -> float:
    """For how many hours after the answers another test can bear them out; unknown once two of them showed more."""
    rows = [_from(later[one.reading.analyte], one) for one in answers]
    against = [tests(one for one in row if not terms.allows(one)) for row in rows]
    last = max(hours_between(dose, one.reading).high for one in answers)
    return terms.last_hour - last if max(against) < _TAKEN_BACK else UNKNOWN


def _place(samples: list[Sample], answer: Sample) -> int:
    """Where a sample stands; told by the object, for to compare what is written is dear."""
    return next(place for place, one in enumerate(samples) if one is answer)


def _from(samples: list[Sample], answer: Sample) -> list[Sample]:
    return samples[_place(samples, answer) :]


def tests(samples: Iterable[Sample]) -> int:
    """How many tests these are: what one kit shows within minutes, or on the same day without an hour, is one test."""
    hands: dict[tuple[object, ...], list[ev.Reading]] = {}
    for one in samples:
        hands.setdefault((one.reading.by, one.reading.kit), []).append(one.reading)
    return sum(_apart(sorted(own, key=lambda one: one.earliest)) for own in hands.values())


def _apart(readings: list[ev.Reading]) -> int:
    """How many readings of one kit, in time order, are surely tests of their own."""
    timed = [one for one in readings if one.at is not None]
    count, last = 0, None
    for one in timed:
        if last is None or one.earliest - last >= timedelta(minutes=_APART_MINUTES):
            count, last = count + 1, one.earliest
    return count + len({one.day for one in readings} - {one.day for one in timed})


def _balance(samples: list[Sample], dose: ev.Base, terms: Terms, answer: Sample) -> int:
    """The tests in time that agree with an answer, itself among them, less two for each that showed more after it."""
    place = _place(samples, answer)
    timely = [one for one in samples[place:] if _soon_enough(dose, one, terms)]
    before = takewhile(lambda one: terms.allows(one) and _past_arrival(dose, one), reversed(samples[:place]))
    agreeing = tests(chain(before, (one for one in timely if terms.allows(one))))
    return agreeing - _TAKEN_BACK * tests(one for one in timely if not terms.allows(one))


def _may_deny(dose: ev.Base, sample: Sample) -> bool:
    """Whether a test may, by its hour, speak against what became of a dose."""
    return hours_between(dose, sample.reading).low <= _DENIED_HOURS


def _soon_enough(dose: ev.Base, sample: Sample, terms: Terms) -> bool:
    """Whether a test surely, whenever on its day it was made, comes soon enough to bear a pass out."""
    return hours_between(dose, sample.reading).high <= terms.last_hour


def _past_arrival(dose: ev.Base, sample: Sample) -> bool:
    return hours_between(dose, sample.reading).low >= _ANSWER_HOURS


def in_time(dose: ev.Base, sample: Sample, terms: Terms) -> bool:
    """Whether a reading is surely from within the time allowed."""
    return hours_between(dose, sample.reading).high <= terms.within + _LATE_HOURS


def late_enough(dose: ev.Base, sample: Sample) -> bool:
    """Whether a reading can show anything: not one of the same untimed note, which may be minutes after the dose."""
    if dose.day == sample.reading.day and (dose.at is None or sample.reading.at is None):
        return False
    return hours_between(dose, sample.reading).high >= _ANSWER_HOURS


def too_late(dose: ev.Base, sample: Sample, terms: Terms) -> bool:
    """Whether a reading may be from the end of the time allowed, or after it."""
    return hours_between(dose, sample.reading).high >= terms.within - _LATE_HOURS
