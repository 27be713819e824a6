"""Assessments that were worked out before, kept as files by what they were made of: see ``cache``."""

from __future__ import annotations

import hashlib
from contextlib import suppress
from functools import cache
from pathlib import Path

from pydantic import TypeAdapter

from reefjournal import __version__, nitrification
from reefjournal.cache import folder, prune, write
from reefjournal.nitrification.results import Assessment
from reefjournal.nitrification.run import Run

AHEAD = (0.0, 7.0, 14.0, 28.0, 56.0)
"""Days from the day that is asked about for which a probability is told."""
MOST_KEPT = 400
"""So many assessments are kept, a megabyte or two; beyond that the oldest go."""
_KEPT = TypeAdapter(Assessment)

Lowest = tuple[float | None, float | None]


def assessment(run: Run, on: float, lowest: Lowest = (None, None)) -> Assessment:
    """What the model says of a run on a day, from the cache where it was asked before.

    ``lowest`` is where the lowest steps of the ammonia and the nitrite test end, mg N/L, as far as they are known.
    """
    file = folder() / f"{_name(run, on, lowest)}.json"
    with suppress(OSError, ValueError):
        return _KEPT.validate_json(file.read_bytes())
    found = _assess(run, on, lowest)
    with suppress(OSError):
        write(file, _KEPT.dump_json(found))
        prune(file.parent, MOST_KEPT)
    return found


def _assess(run: Run, on: float, lowest: Lowest) -> Assessment:
    from reefjournal.nitrification.assess import assess
    from reefjournal.nitrification.forecast import LOWEST_STEP, Question

    ammonia, nitrite = (LOWEST_STEP if end is None else end for end in lowest)
    return assess(run, Question(on, cleared=(ammonia, nitrite), by=tuple(on + days for days in AHEAD)))


def _name(run: Run, on: float, lowest: Lowest) -> str:
    """The same for the same run, day and program, whatever file and line the notes stand on."""
    return hashlib.sha256(repr((run, on, lowest, AHEAD, _program())).encode()).hexdigest()[:32]


@cache
def _program() -> tuple[str, str]:
    """Version and model: the sources count too, since a model that is worked on keeps its version for a while."""
    sources = sorted(Path(nitrification.__path__[0]).glob("*.py"))
    return __version__, hashlib.sha256(b"".join(one.read_bytes() for one in sources)).hexdigest()
