from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from html_page import HtmlPage
from notebook import Notebook, cycle

from reefjournal import diary

ON = date(2026, 4, 8)
Written = Callable[[Notebook], dict[str, str]]


@pytest.fixture
def written(tmp_path: Path) -> Written:
    """Writes a notebook's diary and gives its pages by file name."""

    def files(book: Notebook) -> dict[str, str]:
        return {path.name: path.read_text(encoding="utf-8") for path in diary.write(book, tmp_path / "out", ON)}

    return files


@pytest.fixture
def pages(written: Written) -> dict[str, HtmlPage]:
    return {name: HtmlPage(text) for name, text in written(cycle()).items()}
