"""Whether a challenge dose came into the water: what the tests of its first hours, and those after them, show of it."""

from __future__ import annotations

from reefjournal.evidence.answers import ARRIVED_HOURS, number_of_tests
from reefjournal.evidence.nitrogen import Gift
from reefjournal.evidence.scene import OPEN, Sample
from reefjournal.facts import UNKNOWN
from reefjournal.timeline import hours_between


def arrival(gift: Gift, later: dict[str, list[Sample]]) -> tuple[bool, float]:
    """Whether a dose reached the water, by the tests of the first hours, and for how many hours one more may say so.

    Where one showed less than half of it, it did if more tests, of the same kit or by another hand, surely showed at
    least that, then or later. A shop or a lab that showed less is not outvoted.
    """
    if gift.rise is None:
        return True, UNKNOWN
    half = gift.rise.low / 2
    hours = {id(one): hours_between(gift.event, one.reading).high for one in later["ammonia"]}
    short = [one for one in later["ammonia"] if 0 < hours[id(one)] <= ARRIVED_HOURS and one.high < half]
    if not short:
        return True, UNKNOWN
    kits = {one.reading.kit for one in short}
    shown = [s for s in later["ammonia"] if s.low >= half and (s.reading.by != "home" or s.reading.kit in kits)]
    lacking = number_of_tests(short) - number_of_tests(shown)
    home = all(one.reading.by == "home" for one in short)
    left = ARRIVED_HOURS - max(hours[id(one)] for one in short)
    return home and lacking < 0, left if home and lacking in (0, 1) else UNKNOWN


def seen(gift: Gift, later: dict[str, list[Sample]]) -> bool:
    """Whether some test showed that the dose came into this water: as ammonia, as nitrite, or as nitrate that rose."""
    shown = any(s.rank > 0 for analyte in ("ammonia", "nitrite") for s in later[analyte])
    nitrate, least = later["nitrate"], gift.rise.low / 2 if gift.rise else OPEN
    return shown or (len(nitrate) > 1 and nitrate[-1].middle - nitrate[0].middle >= least)
