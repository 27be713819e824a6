"""What holds for every page, whatever the notes say."""

from __future__ import annotations

import re
import tempfile
from base64 import b64encode
from dataclasses import replace
from datetime import date
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

from conftest import ON, Written
from html_page import HtmlPage
from hypothesis import example, given, settings
from hypothesis import strategies as st
from notebook import Notebook, advice, because, cycle, reading, seen, unread

from reefjournal import diary
from reefjournal.problems import Problem

LOADING = ("src", "srcset", "poster", "data", "background", "action", "formaction", "ping", "style", "manifest")
SCRIPTS = {"script", "iframe", "object", "embed", "link", "base", "form", "img", "audio", "video",
           "foreignobject", "use"}

PIECES = [*"<>&\"'`[](){}!/\\=:;#*_-|~ \n\t\0abjs", "http://", "javascript:", "<script>", "</style>", "]]>", "<!--",
          "-->", "data:", "onerror=", "{{", "}}", "{%", "\u2028", "[[", "]]", "\n\n", "    ", "```"]


def check(text: str, names: set[str], anchors: dict[str, list[str]]) -> HtmlPage:
    """A page is balanced, loads nothing, runs nothing, and its links into the diary lead somewhere."""
    page = HtmlPage(text)
    assert not SCRIPTS & {tag for tag, _ in page.tags}
    assert not [name for _, attributes in page.tags for name in attributes if name in LOADING or name.startswith("on")]
    for href in page.values("href"):
        file, _, anchor = href.partition("#")
        if not re.match(r"(https?|mailto):", href) and (file in names or not file):
            assert not anchor or not file or anchor in anchors[file]
    return page


def ids_of(files: dict[str, str]) -> dict[str, list[str]]:
    return {name: HtmlPage(text).values("id") for name, text in files.items()}


def test_every_page_is_balanced_and_every_internal_link_resolves(written: Written) -> None:
    files = written(cycle())
    anchors = ids_of(files)
    for name, text in files.items():
        page = check(text, set(files), anchors)
        for href in page.values("href"):
            file, _, anchor = href.partition("#")
            assert (file or name) in files
            assert not anchor or anchor in anchors[file or name]
        for attribute in ("aria-labelledby", "aria-describedby"):
            for value in page.values(attribute):
                assert set(value.split()) <= set(anchors[name])


def test_ids_are_unique_on_every_page(pages: dict[str, HtmlPage]) -> None:
    for page in pages.values():
        ids = page.values("id")
        assert ids
        assert len(ids) == len(set(ids))


def test_every_page_has_a_language_one_h1_a_main_part_and_a_skip_link_to_it(pages: dict[str, HtmlPage]) -> None:
    for page in pages.values():
        assert page.all("html")[0]["lang"] == "en"
        assert len(page.all("h1")) == len(page.all("main")) == 1
        assert page.all("a")[0]["href"] == f"#{page.all('main')[0]['id']}"


def test_headings_never_skip_a_level_downwards(pages: dict[str, HtmlPage]) -> None:
    for page in pages.values():
        levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch(r"h[1-6]", tag)]
        assert levels[0] == 1
        assert all(after <= before + 1 for before, after in pairwise(levels))


def test_the_policy_allows_the_page_own_style_by_hash_and_nothing_else(written: Written) -> None:
    # Hash source of an inline style: W3C, Content Security Policy Level 3, section 2.3.1.
    for text in written(cycle()).values():
        style = re.search(r"<style>(.*?)</style>", text, re.DOTALL)
        assert style
        digest = b64encode(sha256(style[1].encode()).digest()).decode()
        policy = next(meta["content"] for meta in HtmlPage(text).all("meta")
                      if meta.get("http-equiv") == "Content-Security-Policy")
        assert policy == f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"


def test_nothing_in_a_page_or_its_style_names_an_outside_address_to_load(written: Written) -> None:
    for text in written(cycle()).values():
        assert "@import" not in text
        assert "url(" not in text
        assert set(re.findall(r"https?://[^\"]*", text)) <= {"http://www.w3.org/2000/svg"}


def test_a_chart_has_a_title_a_description_a_caption_and_a_table(pages: dict[str, HtmlPage]) -> None:
    page = pages["2026-03.html"]
    assert page.all("figure")
    assert page.all("figcaption")
    assert page.all("table")
    charts = [svg for svg in page.all("svg") if svg.get("role") == "img"]
    assert len(charts) == 2
    titles = {title["id"] for title in page.all("title") if "id" in title} | {desc["id"] for desc in page.all("desc")}
    assert all(set((svg["aria-labelledby"] or "").split()) <= titles for svg in charts)


def hostile(words: str) -> Notebook:
    """A notebook that says the same hostile words in every place where a keeper's words can come."""
    day, line = date(2026, 3, 3), words.replace("\n", " ")
    why = because(("notes.md", 2, line), (line, 1, line))
    said = advice(ON, line) | {"cautions": [{"id": line, "says": words, "source": words}],
                               "findings": [{"rule": line, "says": words, "sureness": line, "because": why}],
                               "stage": {"id": line, "name": words, "since": line, "because": why}}
    return replace(
        Notebook().and_then(day, *words.split("\n"), title=line, vessel=line)
        .and_then(day, (f"- {line}", unread(line)), (f"- seen: {line}", seen(line)), vessel=line)
        .and_then(None, words, title=line, file=line or "x")
        .and_then(day, ("- ammonia 1", reading("ammonia", line, 0.5, 1.5))),
        problems=(Problem(line, 1, 1, "error", words, words),), stages=((day, line),), said=said)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=30).map("".join))
@example("</title></style><script>alert(1)</script>")
@example("![x](http://evil.example/x.png) <img src=x onerror=alert(1)>")
@example("[x](javascript:alert(1)) [y](data:text/html,x) <http://a.example>")
@example("{{ 7 * 7 }}{% include 'start.html' %}")
@example('" onmouseover="alert(1)')
def test_hostile_words_stay_words(words: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        files = {p.name: p.read_text(encoding="utf-8") for p in diary.write(hostile(words), Path(folder), ON)}
    anchors = ids_of(files)
    for text in files.values():
        page = check(text, set(files), anchors)
        assert len(page.values("id")) == len(set(page.values("id")))
        for href in page.values("href"):
            scheme = re.sub(r"[\s\x00-\x20]", "", href).lower().partition(":")[0]
            assert scheme not in ("javascript", "data", "vbscript")
    assert set(files) == {"index.html", "2026-03.html"}


def test_template_language_in_the_notes_is_shown_as_written(written: Written) -> None:
    files = written(Notebook().and_then(date(2026, 3, 3), "{{ 7 * 7 }}"))
    assert "{{ 7 * 7 }}" in HtmlPage(files["2026-03.html"]).text


def test_raw_html_in_the_notes_is_shown_as_text(written: Written) -> None:
    files = written(Notebook().and_then(date(2026, 3, 3), "<b>bold</b>", ("- seen: <i>haze</i>", seen("haze"))))
    page = HtmlPage(files["2026-03.html"])
    assert "<b>bold</b>" in page.text
    assert "<i>haze</i>" in page.text
    assert not page.all("b") + page.all("i")


def test_a_remote_picture_becomes_its_description(written: Written) -> None:
    files = written(Notebook().and_then(date(2026, 3, 3), "![the stand](https://example.org/a.png)"))
    assert "the stand" in HtmlPage(files["2026-03.html"]).text
    assert "example.org" not in files["2026-03.html"]
