"""What a kit shows on clean salt water, and when that can't be believed."""

from __future__ import annotations

from typing import Annotated

from reefjournal import events as ev
from reefjournal.believed import Believed
from reefjournal.timeline import State

_DENIED_DAYS: Annotated[
    int, Believed("days", "how far from a blank a reading may lie that denies it", "our judgement")
] = 30
_DENIED_TIMES: Annotated[
    int, Believed("readings", "so many of none deny a blank above the lowest step: one may be a slip", "our judgement")
] = 2

Blanks = dict[tuple[str, str], ev.Check]


def blanks(state: State) -> tuple[Blanks, Blanks]:
    """The newest readable blank of each kit, by analyte and name, wherever it was made: those to go by, and the denied.

    A kit cannot show less in a tank than in clean salt water: a blank above the lowest step, of a kit that showed
    none, is a slip or was made of water that held something. To go by it would hide real ammonia.
    """
    made = (one for one in state.everywhere(ev.Check) if one.method == "blank" and one.value is not None)
    newest = {(one.analyte, one.kit): one for one in made if one.value is not None and one.value.readable}
    denied = {kit: one for kit, one in newest.items() if _denied(state, one)}
    return {kit: one for kit, one in newest.items() if kit not in denied}, denied


def _denied(state: State, blank: ev.Check) -> bool:
    if blank.value is None or blank.value.rank < 2:
        return False
    own = (one for one in state.everywhere(ev.Reading) if one.readable and one.by == "home" and one.kit == blank.kit)
    near = (one for one in own if one.analyte == blank.analyte and _days_apart(one, blank) <= _DENIED_DAYS)
    return sum(one.rank == 0 for one in near) >= _DENIED_TIMES


def _days_apart(one: ev.Base, other: ev.Base) -> int:
    return abs((one.earliest.date() - other.earliest.date()).days)
