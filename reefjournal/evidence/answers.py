"""What the tests after a challenge dose say of it: what answers it, bears that out or takes it back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from itertools import chain, takewhile
from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.evidence.scene import Sample
from reefjournal.facts import UNKNOWN, Query
from reefjournal.timeline import hours_between, surely_before

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
    later: dict[str, list[Sample]], needed: tuple[str, ...], dose: ev.Base, terms: Terms, *, another: bool = False
) -> tuple[Sample, ...]:
    """The readings that show each needed analyte gone in time, nitrite not before ammonia; none where one lacks.

    With ``another`` those too that would stand if one more test showed it gone now.
    """
    found: list[Sample] = []
    for analyte in needed:
        for sample in later[analyte]:
            early = found and sample.reading.earliest < found[-1].reading.earliest
            fits = terms.allows(sample) and in_time(dose, sample, terms) and late_enough(dose, sample)
            if fits and not early and _stands(later[analyte], dose, sample, another=another):
                found.append(sample)
                break
        else:
            return ()
    return tuple(found)


def _stands(samples: list[Sample], dose: ev.Base, answer: Sample, *, another: bool) -> bool:
    """Whether no test soon after an answer takes it back. One that shows more again does, unless two before it and one
    after it say otherwise, and more than show it.
    """
    against = [one for one in _after(samples, answer) if one.rank > 1 and _may_deny(dose, one)]
    if not against:
        return True
    low = [one for one in _from(samples, answer) if one.rank <= 1]
    outvoted = number_of_tests(low) + another > number_of_tests(against)
    return outvoted and all(
        number_of_tests(one for one in low if surely_before(one.reading, more.reading)) > 1
        and (another or any(surely_before(more.reading, one.reading) for one in low))
        for more in against
    )


def agreeing(
    calm: dict[str, list[Sample]], later: dict[str, list[Sample]], dose: ev.Base, terms: Terms,
    answers: tuple[Sample, ...],
) -> int:  # fmt: skip
    """How many tests, each at another time or by another hand, show every analyte gone: the fewest of one.

    Only ``calm`` readings count for it, and all ``later`` ones that may be in time against it. Those before the answer
    count from the last one on that showed more, and not the one that saw the dose arrive.
    """
    return min(
        number_of_tests(_in_line(calm[one.reading.analyte], later[one.reading.analyte], dose, terms, one))
        for one in answers
    )


def hours_left(later: dict[str, list[Sample]], dose: ev.Base, terms: Terms, answers: tuple[Sample, ...]) -> float:
    """For how many hours after the answers another test can bear them out; unknown once two since showed more."""
    since = [_after(later[one.reading.analyte], one) for one in answers]
    against = sum(number_of_tests(one for one in own if not terms.allows(one)) for own in since)
    last = max(hours_between(dose, one.reading).high for one in answers)
    return terms.last_hour - last if against <= 1 else UNKNOWN


def settled(samples: list[Sample], dose: ev.Base, terms: Terms, answer: Sample) -> Sample:
    """The answer, or the first reading that agrees with it after the last that showed more: surely gone only then."""
    against = [one for one in _after(samples, answer) if not terms.allows(one) and _may_deny(dose, one)]
    last = [one for one in samples if terms.allows(one) and all(surely_before(m.reading, one.reading) for m in against)]
    return next((one for one in last if one is answer or not surely_before(one.reading, answer.reading)), answer)


def _from(samples: list[Sample], answer: Sample) -> list[Sample]:
    """The samples from one of them on; told by the object, for to compare what is written is dear."""
    return samples[next(place for place, one in enumerate(samples) if one is answer) :]


def _after(samples: list[Sample], answer: Sample) -> list[Sample]:
    """The samples that may be from after an answer."""
    return [one for one in samples if one is not answer and not surely_before(one.reading, answer.reading)]


def number_of_tests(samples: Iterable[Sample]) -> int:
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


def _in_line(
    calm: list[Sample], later: list[Sample], dose: ev.Base, terms: Terms, answer: Sample
) -> Iterator[Sample]:  # fmt: skip
    """The readings that agree with an answer, itself among them unless one that may be in time took it back."""
    timely = [one for one in _from(calm, answer) if terms.allows(one) and _soon_enough(dose, one, terms)]
    against = [one for one in _after(later, answer) if not terms.allows(one) and _may_be_soon(dose, one, terms)]
    if against:  # what was said before is taken back, and counting begins anew
        return (one for one in timely if all(surely_before(more.reading, one.reading) for more in against))
    earlier = takewhile(lambda one: one is not answer, calm)
    before = takewhile(lambda one: terms.allows(one) and _past_arrival(dose, one), reversed([*earlier]))
    return chain(before, timely)


def _may_deny(dose: ev.Base, sample: Sample) -> bool:
    """Whether a test may, by its hour, speak against what became of a dose."""
    return hours_between(dose, sample.reading).low <= _DENIED_HOURS


def _soon_enough(dose: ev.Base, sample: Sample, terms: Terms) -> bool:
    """Whether a test surely, whenever on its day it was made, comes soon enough to bear a pass out."""
    return hours_between(dose, sample.reading).high <= terms.last_hour


def _may_be_soon(dose: ev.Base, sample: Sample, terms: Terms) -> bool:
    """Whether a test may, whenever on its day it was made, speak against that a dose was gone in time."""
    return hours_between(dose, sample.reading).low <= terms.last_hour


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
