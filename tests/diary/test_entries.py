"""Entries on their pages: prose, records, stages, and what is private."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time

import pytest
from conftest import ON, Written
from html_page import HtmlPage
from hypothesis import given
from hypothesis import strategies as st
from notebook import Notebook, advice, because, cycle, discard, dose, job, reading, seen, unread, water

from reefjournal import events as ev
from reefjournal.diary.entries import Ledger, Prose, Record, Splitter
from reefjournal.diary.pages import lay_out
from reefjournal.diary.shown import HIDDEN, mask, public
from reefjournal.problems import Problem

DAY = date(2026, 3, 3)
SECRET = "Margit"


def parts(book: Notebook) -> tuple[Prose | Ledger, ...]:
    return Splitter.of(book.events, book.state(on=ON)).parts(book.entries[0])


def records(book: Notebook) -> list[Record]:
    return [record for part in parts(book) if isinstance(part, Ledger) for record in part.records]


def test_records_are_set_apart_and_keep_their_place_between_the_prose() -> None:
    book = Notebook().and_then(DAY, "Morning.", ("- test: ammonia 1", reading("ammonia", "1", 1, 1)),
                               ("- seen: haze, slight", seen("haze")), "", "Evening.", "- a plain item")
    assert parts(book) == (Prose("Morning."), Ledger((Record("test", "ammonia 1"), Record("seen", "haze, slight"))),
                           Prose("Evening.\n- a plain item"))


@pytest.mark.parametrize(("line", "word", "text"), [
    ("- test: ammonia 1", "test", "ammonia 1"), ("- ammonia 1", "test", "ammonia 1"),
    ("- 19:30 test: ammonia 1", "19:30 test", "ammonia 1"), ("1. 19:30 ammonia 1", "test", "19:30 ammonia 1"),
    ("- test (quarantine): ammonia 1", "test (quarantine)", "ammonia 1"), ("* ammonia: 1", "ammonia", "1"),
])
def test_a_record_is_shown_as_its_first_word_and_the_rest(line: str, word: str, text: str) -> None:
    assert records(Notebook().and_then(DAY, (line, reading("ammonia", "1", 1, 1)))) == [Record(word, text)]


def test_a_job_is_done_or_to_do() -> None:
    book = Notebook().and_then(DAY, ("- [ ] order panels", job(done=False)), ("- [x] oil hinges", job(done=True)))
    assert records(book) == [Record("to do", "order panels"), Record("done", "oil hinges")]


def test_a_table_of_readings_stays_a_table(written: Written) -> None:
    book = Notebook().and_then(DAY, "| ammonia |", "|---|", ("| 0.5 |", reading("ammonia", "0.5", 0.5, 0.5)))
    assert parts(book) == (Prose("| ammonia |\n|---|\n| 0.5 |"),)
    assert "<td>0.5</td>" in written(book)["2026-03.html"]


def test_a_withdrawn_reading_is_struck_out_and_says_why(written: Written) -> None:
    book = Notebook().and_then(DAY, ("- test: ammonia 1", reading("ammonia", "1", 1, 1)))
    book = book.and_then(date(2026, 3, 5), ("- discard: ammonia", discard("ammonia", DAY, DAY, "expired reagent")))
    assert records(book) == [Record("test", "ammonia 1", "withdrawn", "ammonia withdrawn: expired reagent")]
    assert "<s>ammonia 1</s>" in written(book)["2026-03.html"]


def test_a_record_of_which_one_reading_is_withdrawn_is_not_struck_out_as_a_whole() -> None:
    both = reading("ammonia", "1", 1, 1), reading("nitrite", "2", 2, 2)
    book = Notebook().and_then(DAY, ("- ammonia 1, nitrite 2", *both),
                               ("- discard: ammonia", discard("ammonia", DAY, DAY, "expired")))
    assert records(book)[0] == Record("test", "ammonia 1, nitrite 2", "read", "ammonia withdrawn: expired")


def test_an_unread_line_is_shown_with_what_is_wrong(written: Written) -> None:
    text = written(Notebook().and_then(DAY, ("- amonia 1", unread("no such word"))))["2026-03.html"]
    assert "amonia 1 Not understood: no such word" in HtmlPage(text).text


def test_an_entry_carries_day_time_and_title_and_its_stage_or_the_name_of_another_water(written: Written) -> None:
    book = Notebook(stages=((date(2026, 3, 1), "ammonia-rising"),))
    book = book.and_then(DAY, "All calm.", at=time(19, 30), title="Haze").and_then(DAY, "Dark.", vessel="bin")
    page = HtmlPage(written(book)["2026-03.html"])
    assert "3 March 2026 Tuesday, 19:30 Stage: ammonia rising Haze All calm." in page.text
    assert "3 March 2026 Tuesday Water: bin Dark." in page.text
    assert {"datetime": "2026-03-03T19:30"} in page.all("time")


def test_stages_last_until_the_day_of_the_next_and_the_last_until_today() -> None:
    book = Notebook(stages=((date(2026, 3, 1), "filled"), (date(2026, 3, 4), "ammonia-rising")))
    for day in (1, 3, 4, 9):
        book = book.and_then(date(2026, 3, day), "Words.")
    bands = [(b.first.day, b.last.day, b.id) for m in lay_out(book, date(2026, 3, 20)).months for b in m.month.bands]
    assert bands == [(1, 3, "filled"), (4, 20, "ammonia-rising")]


def test_a_month_page_leads_to_the_months_before_and_after() -> None:
    pages = lay_out(cycle(), ON).months
    assert [(p.earlier and p.earlier.file, p.month.file, p.later and p.later.file) for p in pages] == [
        (None, "2026-02.html", "2026-03.html"), ("2026-02.html", "2026-03.html", "2026-04.html"),
        ("2026-03.html", "2026-04.html", None)]


def test_two_entries_of_one_day_have_places_of_their_own(written: Written) -> None:
    text = written(Notebook().and_then(DAY, "One.").and_then(DAY, "Two."))["2026-03.html"]
    assert {"day-2026-03-03", "day-2026-03-03-2"} <= set(HtmlPage(text).values("id"))


def test_later_entries_are_counted_and_not_shown(written: Written) -> None:
    files = written(Notebook().and_then(DAY, "Now.").and_then(date(2026, 5, 1), "Later."))
    assert set(files) == {"index.html", "2026-03.html"}
    assert "1 entry is dated later" in HtmlPage(files["index.html"]).text


def test_undated_notes_and_preambles_stand_on_the_start_page(written: Written) -> None:
    book = Notebook().and_then(None, "Written on a box lid.", title="14.3.2026")
    preamble = replace(book.entries[0], preamble=True, text="My tank.", file="b.md")
    book = replace(book, entries=(*book.entries, preamble))
    text = HtmlPage(written(book)["index.html"]).text
    assert "No day in notes.md 14.3.2026 Written on a box lid." in text
    assert "My tank." in text


def test_an_empty_journal_says_so(written: Written) -> None:
    files = written(Notebook())
    assert set(files) == {"index.html"}
    assert "nothing to show yet" in HtmlPage(files["index.html"]).text


def test_advice_is_shown_in_full(written: Written) -> None:
    said = HtmlPage(written(cycle())["index.html"]).text
    for words in ("Nitrite high", "Since 12 March 2026", "Give the filter 0.55 g ammonium chloride.", "by 22 March",
                  "0.553 g ammonium chloride", "Run the ammonia test once", "this lasts for weeks", "Likely.",
                  "Haze can be seen", "First fish: not yet", "not met Nitrite below detection", "not known A challenge",
                  "do the challenge once nitrite is gone", "does not fit its neighbours", "amonia 0.5",
                  "Nitrite is likely to be gone by 25 April.", "nitrite test by 21 March 2026", "wear gloves",
                  "nitrite present: 0.1 mg/L N common practice"):
        assert words in said


def test_a_quoted_line_leads_to_its_entry(pages: dict[str, HtmlPage]) -> None:
    assert "2026-02.html#day-2026-02-20" in pages["index.html"].values("href")


def test_another_vessel_has_a_chart_of_its_own(written: Written) -> None:
    book = Notebook().and_then(DAY, ("- ammonia 1", reading("ammonia", "1", 1, 1)))
    defined = [ev.VesselDefined(source=book.events[0].source, day=DAY, vessel=name, role="display")
               for name in ("display", "bin")]
    book = replace(book, events=(*defined, *book.events))
    book = book.and_then(DAY, ("- ammonia 3", reading("ammonia", "3", 3, 3)), vessel="bin")
    page = HtmlPage(written(book)["2026-03.html"])
    assert {"chart-1-880-title", "chart-2-880-title"} <= set(page.values("id"))
    assert "nitrate in the bin" in page.text


@pytest.mark.parametrize(("text", "left"), [
    ("plain", "plain"), ("a [[b]] c", "a c"), ("ammonia 0.5 -- [[Margit read it]]", "ammonia 0.5"),
    ("a [[b [[c]] d]] e", "a e"), ("a [[b", "a"), ("a ]] b", "a ]] b"), ("[[a]][[b]]", ""),
    ("a [link](x) b", "a [link](x) b"),
])
def test_private_parts_are_cut_out_of_a_line(text: str, left: str) -> None:
    assert public(text) == left


@given(st.lists(st.sampled_from(["[[", "]]", "[", "]", "\n", "a", " ", "\0"])).map("".join))
def test_masking_moves_nothing_and_leaves_no_opening_mark(text: str) -> None:
    masked = mask(text)
    assert len(masked) == len(text)
    assert [i for i, c in enumerate(masked) if c == "\n"] == [i for i, c in enumerate(text) if c == "\n"]
    assert "[[" not in masked
    assert all(new in (old, HIDDEN, "\ufffd") for old, new in zip(text, masked, strict=True))


PRIVATE = [
    Notebook().and_then(DAY, f"Seen by [[{SECRET}]] and me.", title=f"Visit [[of {SECRET}]]"),
    Notebook().and_then(DAY, "Before [[from here", f"{SECRET} came", "to here]] after."),
    Notebook().and_then(DAY, "Before [[never closed", "", f"{SECRET} came"),
    Notebook().and_then(DAY, (f"- seen: haze -- [[{SECRET} saw it]]", seen("haze")),
                        (f"- [[fed: {SECRET}]]", seen("x"))),
    Notebook().and_then(DAY, f"- [[{SECRET}]]", "- kept"),
    Notebook().and_then(DAY, "[[", ("- amonia 1", unread(f"no word like {SECRET}")), "]]"),
    replace(Notebook().and_then(DAY, "[[", f"amonia for {SECRET}", "]]"),
            problems=(Problem("notes.md", 3, 1, "error", f"“amonia for {SECRET}”"),
                      Problem("notes.md", 0, 0, "error", f"[[{SECRET}]]"))),
    replace(Notebook().and_then(DAY, "[[", f"amonia for {SECRET}", "]]"),
            said=advice(ON, "display") | {"unread": [{"file": "notes.md", "line": 3, "text": f"amonia for {SECRET}",
                                                      "may_name": []}]}),
    replace(Notebook().and_then(DAY, (f"- [[[ ] call {SECRET}]]", job(done=False))),
            said=advice(ON, "display") | {"due": [{"what": f"call {SECRET}", "says": "", "by": None, "because":
                                                   because(("notes.md", 2, f"[[[ ] call {SECRET}]]"))}]}),
    replace(Notebook().and_then(DAY, (f"- [[ask {SECRET}]]", job(done=False))),
            said=advice(ON, "display") | {"doubts": [{"rule": "x", "says": f"Still open: ask {SECRET}.", "because":
                                                      because(("other.md", 2, "x"))}]}),
    replace(Notebook().and_then(DAY, "[[", (f"- [ ] call {SECRET}", job(done=False)), "]]"),
            said=advice(ON, "display") | {"due": [{"what": f"call {SECRET}", "says": "", "by": None, "because":
                                                   because(("notes.md", 3, f"[ ] call {SECRET}"))}]}),
    replace(Notebook().and_then(DAY, f"- spent: 3 on food -- [[{SECRET}]]"),
            said=advice(ON, "display") | {"doubts": [{"rule": "x", "says": f"Because [[{SECRET}]] said so.", "because":
                                                      because(("notes.md", 2, f"spent: 3 on food -- [[{SECRET}]]"))}]}),
    Notebook().and_then(DAY, ("- ammonia 1", reading("ammonia", "1", 1, 1)),
                        (f"- [[ammonia {SECRET}]]", reading("ammonia", SECRET, 3, 3)),
                        (f"- dose: [[{SECRET}]]", dose("sugar", 1)), (f"- [[dose: {SECRET}]]", dose(SECRET, 1))),
    Notebook().and_then(DAY, ("- ammonia 1", reading("ammonia", "1", 1, 1)),
                        (f"- discard: ammonia, [[{SECRET}]]", discard("ammonia", DAY, DAY, f"[[{SECRET}]]"))),
]


@pytest.mark.parametrize("book", PRIVATE)
def test_a_private_part_is_nowhere_in_the_diary(book: Notebook, written: Written) -> None:
    for text in written(book).values():
        assert SECRET not in text


def test_what_stands_around_a_private_part_is_shown(written: Written) -> None:
    text = HtmlPage(written(PRIVATE[1])["2026-03.html"]).text
    assert "Before" in text
    assert "after." in text


def test_a_public_reading_with_a_private_remark_stays_in_the_chart(written: Written) -> None:
    book = Notebook().and_then(DAY, ("- ammonia 1 -- [[read by a guest]]", reading("ammonia", "1", 1, 1)))
    assert "class=\"reading kept\"" in written(book)["2026-03.html"]


def test_other_records_are_kept_word_for_word() -> None:
    book = Notebook().and_then(DAY, ("- water: changed 40 L at 35 ppt -- slow", water(40)))
    assert records(book) == [Record("water", "changed 40 L at 35 ppt -- slow")]
