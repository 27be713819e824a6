"""Forecasts of the tests are kept in a folder of their own."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

import pytest

from reefjournal.advisor import engine


@pytest.fixture(scope="session", autouse=True)
def _own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        for name in ("XDG_CACHE_HOME", "LOCALAPPDATA"):
            patch.setenv(name, str(tmp_path_factory.mktemp("cache")))
        yield


# Loaded once the way the program does it: on Python 3.13 a plain import misses a symbol that nothing calls.
with contextlib.suppress(engine.EngineError):
    engine.modules()
