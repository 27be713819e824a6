"""Assessments that were worked out before, kept as files by what they were made of. The folder may be deleted any time.

A fault of the cache is never a fault of the answer: what cannot be read is worked out anew, what cannot be written is
not kept.
"""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from functools import cache
from pathlib import Path

from pydantic import TypeAdapter

from reefjournal import __version__, nitrification
from reefjournal.nitrification.results import Assessment
from reefjournal.nitrification.run import Run

AHEAD = (0.0, 7.0, 14.0, 28.0, 56.0)
"""Days from the day that is asked about for which a probability is told."""
_KEPT = TypeAdapter(Assessment)


def assessment(run: Run, on: float) -> Assessment:
    """What the model says of a run on a day, from the cache where it was asked before."""
    file = folder() / f"{_name(run, on)}.json"
    with suppress(OSError, ValueError):
        return _KEPT.validate_json(file.read_bytes())
    found = _assess(run, on)
    with suppress(OSError):
        _write(file, _KEPT.dump_json(found))
    return found


def folder() -> Path:
    """Where assessments are kept."""
    own = os.environ.get("LOCALAPPDATA" if os.name == "nt" else "XDG_CACHE_HOME")
    return (Path(own) if own else Path(os.path.expanduser("~")) / ".cache") / "reefjournal"


def _assess(run: Run, on: float) -> Assessment:
    from reefjournal.nitrification.assess import assess
    from reefjournal.nitrification.forecast import Question

    return assess(run, Question(on, by=tuple(on + days for days in AHEAD)))


def _name(run: Run, on: float) -> str:
    """The same for the same run, day and program, whatever file and line the notes stand on."""
    return hashlib.sha256(repr((run, on, AHEAD, _program())).encode()).hexdigest()[:32]


@cache
def _program() -> tuple[str, str]:
    """Version and model: the sources count too, since a model that is worked on keeps its version for a while."""
    sources = sorted(Path(nitrification.__path__[0]).glob("*.py"))
    return __version__, hashlib.sha256(b"".join(one.read_bytes() for one in sources)).hexdigest()


def _write(file: Path, data: bytes) -> None:
    """Writes a file as a whole or not at all."""
    file.parent.mkdir(parents=True, exist_ok=True)
    draft = file.with_suffix(f".{os.getpid()}")
    draft.write_bytes(data)
    os.replace(draft, file)
