"""Files that were worked out before, in a folder that may be deleted any time.

A fault of the cache is never a fault of the answer: what cannot be read is worked out anew, what cannot be written is
not kept.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

MOST_KEPT = 200
"""So many files of a sort are kept; beyond that the oldest go."""


def folder() -> Path:
    """Where things are kept: the user's own cache folder."""
    own = os.environ.get("LOCALAPPDATA" if os.name == "nt" else "XDG_CACHE_HOME")
    return (Path(own) if own else Path(os.path.expanduser("~")) / ".cache") / "reefjournal"


def write(file: Path, data: bytes) -> None:
    """Writes a file as a whole or not at all.

    Raises:
        OSError: it cannot be written.
    """
    file.parent.mkdir(parents=True, exist_ok=True)
    draft = file.with_suffix(f".{os.getpid()}")
    draft.write_bytes(data)
    os.replace(draft, file)


def kept(sort: str, of: bytes, work: Callable[[], Any]) -> Any:
    """What ``work`` makes of some content, as JSON data: from the cache where it was made before.

    What is kept carries its own check sum, so that a file which was damaged or changed is not believed. ``work`` may
    raise, and nothing is kept then.
    """
    with suppress(OSError, ValueError):
        return found(sort, of)
    made = work()
    keep(sort, of, made)
    return made


def found(sort: str, of: bytes) -> Any:
    """What was kept of some content.

    Raises:
        OSError: nothing was.
        ValueError: it was damaged or changed.
    """
    total, _, data = _file(sort, of).read_bytes().partition(b"\n")
    if total != _sum(of, data):
        raise ValueError(f"{sort} is not what was kept")
    return json.loads(data)


def keep(sort: str, of: bytes, made: Any) -> None:
    """Keeps what was made of some content, where it can be written and is JSON data."""
    with suppress(OSError, TypeError):
        data = json.dumps(made, ensure_ascii=False, separators=(",", ":")).encode()
        write(_file(sort, of), _sum(of, data) + b"\n" + data)
        prune(folder() / sort, MOST_KEPT)


def _file(sort: str, of: bytes) -> Path:
    return folder() / sort / f"{hashlib.sha256(of).hexdigest()[:32]}.json"


def prune(kept_in: Path, most: int) -> None:
    """Takes the oldest files away beyond the ``most`` that are kept, a tenth more so that it seldom has to look.

    Raises:
        OSError: a file cannot be looked at or taken away.
    """
    files = list(kept_in.glob("*.json"))
    if len(files) > most:
        files.sort(key=lambda one: one.stat().st_mtime)
        for one in files[: len(files) - most * 9 // 10]:
            one.unlink(missing_ok=True)


def _sum(of: bytes, data: bytes) -> bytes:
    return hashlib.sha256(of + data).hexdigest().encode()
