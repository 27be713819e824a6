"""The files of a diary: pages through templates into a folder. The only file that knows jinja2.

A page asks for nothing but itself: its style stands inside it, allowed by its hash alone, and its content security
policy refuses everything else, scripts included, whatever the notes say.
"""

from __future__ import annotations

import os
import re
from base64 import b64encode
from collections.abc import Iterable, Iterator
from datetime import date
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from reefjournal.advisor.text import URGENCY
from reefjournal.diary import charts, wording
from reefjournal.diary.pages import START, lay_out
from reefjournal.diary.source import Journal

if TYPE_CHECKING:
    from jinja2 import Environment

MARKER = ".reefjournal-diary"
_OURS = re.compile(r"index\.html|\d{4}-\d{2}\.html")
_HEADING = re.compile(r"<(/?)h[123]>")
_COMMAND = re.compile(r"`([^`]+)`")
_ABOUT = "This folder holds a diary written by reefjournal; it is not read as notes. Files written:\n"


class DiaryError(OSError):
    """The diary cannot be written there; says why and what to do, in one line."""


def write(journal: Journal, out: Path, on: date) -> list[Path]:
    """Write the diary as it stands at the end of ``on`` into ``out``; return the files, the start page first.

    A folder that was written before is brought up to date: only files of its marker are replaced or taken away.

    Raises:
        DiaryError: ``out`` is no folder, holds other things, or cannot be written to.
    """
    try:
        before = _claim(out)
        pages = dict(_render(journal, on))
        _refuse_foreign(out, pages.keys() - before)
        _mark(out, before | pages.keys())
        for name, html in pages.items():
            _replace(out / name, html)
        for name in before - pages.keys():
            (out / name).unlink(missing_ok=True)
        _mark(out, pages.keys())
    except DiaryError:
        raise
    except OSError as error:
        raise DiaryError(f"{out}: the diary cannot be written here ({error.strerror or error}).") from error
    return [out / name for name in pages]


def _claim(out: Path) -> set[str]:
    """The files that an earlier run wrote; the folder is made where there is none."""
    if out.exists() and not out.is_dir():
        raise DiaryError(f"{out}: this is a file; name a folder for the diary.")
    out.mkdir(parents=True, exist_ok=True)
    marker = out / MARKER
    if marker.is_file():
        names = marker.read_text(encoding="utf-8", errors="replace").splitlines()
        return {name for name in names if _OURS.fullmatch(name)}
    if any(out.iterdir()):
        raise DiaryError(f"{out}: this folder holds other things; name a new or an empty folder for the diary.")
    return set()


def _refuse_foreign(out: Path, fresh: Iterable[str]) -> None:
    for name in sorted(fresh):
        if (out / name).exists():
            raise DiaryError(f"{out / name}: this file is not from an earlier diary; move it away and try again.")


def _mark(out: Path, names: Iterable[str]) -> None:
    _replace(out / MARKER, _ABOUT + "".join(f"{name}\n" for name in sorted(names)))


def _replace(path: Path, text: str) -> None:
    """Write a file so that a reader sees the old one or the new one, never half of it."""
    new = path.with_name(f".{path.name.removeprefix('.')}.new")
    new.unlink(missing_ok=True)
    with new.open("x", encoding="utf-8", newline="\n") as file:
        file.write(text)
    os.replace(new, path)


def _render(journal: Journal, on: date) -> Iterator[tuple[str, str]]:
    """Each file's name and content, the start page first."""
    templates = _templates()
    pages = lay_out(journal, on)
    yield START, templates.get_template("start.html").render(page=pages.start, start=pages.start)
    for page in pages.months:
        yield page.month.file, templates.get_template("month.html").render(page=page, start=pages.start)


@cache
def _templates() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    made = Environment(loader=PackageLoader("reefjournal.diary"), autoescape=True, undefined=StrictUndefined,
                       trim_blocks=True, lstrip_blocks=True)
    loader = made.loader
    style = loader.get_source(made, "diary.css")[0] if loader else ""
    made.filters |= {"prose": lambda text: Markup(prose(text)), "weekday": wording.weekday, "day": wording.in_words,
                     "month": wording.month_in_words, "moment": wording.moment_in_words, "number": wording.number,
                     "stage_class": charts.stage_class, "upfirst": lambda text: text[:1].upper() + text[1:],
                     "drawn": lambda chart, wide: Markup(charts.svg(chart, charts.WIDE if wide else charts.NARROW))}
    made.filters["spoken"] = lambda text: Markup(_COMMAND.sub(r"<code>\1</code>", str(Markup.escape(text))))
    made.globals |= {"style": Markup(style), "style_hash": _hash(style), "urgency": URGENCY}
    return made


def _hash(style: str) -> str:
    """The hash by which a content security policy allows one inline style (W3C, Content Security Policy Level 3)."""
    return "sha256-" + b64encode(sha256(style.encode()).digest()).decode()


def prose(text: str) -> str:
    """Safe HTML for a keeper's Markdown, its headings below those of the page, its pictures as their descriptions."""
    from reefjournal.markdown import render

    return _HEADING.sub(r"<\1h4>", render(text, image=lambda _: None))
