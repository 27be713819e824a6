"""The diary of notes that the real reader read and the real advisor advised on."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from html_page import HtmlPage

import reefjournal
from reefjournal import diary
from reefjournal.diary.pages import lay_out
from reefjournal.diary.series import Series
from reefjournal.diary.shown import Shown

SECRET = "Margit"
NOTES = f"""An invented journal. [[{SECRET} gave me the tank.]]

## 2026-03-01 19:30 Water

Filled. It *smells* of the sea.

- vessel: display, 290 L
- kit: ammonia, as N, card 0 0.5 1 2 4
- dose: ammonium chloride 2.2 g -- [[{SECRET} weighed it]]
- stock: none

| time | ammonia | nitrite |
|------|---------|---------|
| 20:00 | 2 | 0 |

## 2026-03-04 Half

- test: ammonia 1, nitrite 0.6
- amonia 0.5
- [[test: nitrate 17]]
- [[plan: surprise for {SECRET} 2026-04-01]]
- [[[ ] call {SECRET} by 2026-03-05]]
- [ ] oil the hinges by 2026-03-05
- discard: ammonia 2026-03-01, expired reagent

## 2026-03-05 [[{SECRET} came]]

Long talk [[about

- seen: {SECRET}
- dose: {SECRET} 3 ml

and more]] in the evening.

## 14.3.2026 Lid

- ammonia 3
"""


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    journal = reefjournal.read_text(NOTES)
    written = diary.write(journal, tmp_path_factory.mktemp("diary"), date(2026, 3, 6))
    return {path.name: path.read_text(encoding="utf-8") for path in written}


def test_entries_records_tables_and_undated_notes_are_all_there(files: dict[str, str]) -> None:
    march, start = HtmlPage(files["2026-03.html"]).text, HtmlPage(files["index.html"]).text
    for words in ("Water Filled. It smells of the sea.", "vessel display, 290 L", "dose ammonium chloride 2.2 g",
                  "20:00 2 0", "test ammonia 1, nitrite 0.6", "unclear amonia 0.5 Not understood",
                  "to do oil the hinges", "discard ammonia 2026-03-01", "Long talk in the evening."):
        assert words in march
    for words in ("An invented journal.", "14.3.2026 Lid test ammonia 3", "Stage ", "Next "):
        assert words in start


def test_nothing_private_reaches_a_page(files: dict[str, str]) -> None:
    for text in files.values():
        assert SECRET not in text
        assert "nitrate 17" not in text
        assert "[[" not in text
        assert "]]" not in text


def test_the_chart_holds_the_public_readings_of_both_record_and_table(files: dict[str, str]) -> None:
    page = HtmlPage(files["2026-03.html"])
    kinds = [" ".join(sorted((shape.get("class") or "").split())) for _, shape in page.tags]
    # Drawn twice, wide and narrow: ammonia 2 (withdrawn) and 1, nitrite 0 and 0.6, and no nitrate.
    assert (kinds.count("kept reading"), kinds.count("discarded reading")) == (6, 2)


def test_a_diluted_sample_is_drawn_as_what_it_means_for_the_water() -> None:
    notes = reefjournal.read_text(
        "## 2026-03-02\n- vessel: display, 290 L water\n- kit: nitrite, as N, card 0 0.5 1 2\n"
        "- 18:00 check: nitrite 1:4 diluted read 1\n- 09:00 nitrite >2\n"
    )
    vessel = notes.state(date(2026, 3, 6)).vessel("display")
    figure = Series.of(vessel, Shown(notes.entries)).figure("c", date(2026, 3, 1), date(2026, 3, 6))
    assert figure is not None
    assert [cell.written for row in figure.rows for cell in row.cells[1]] == [">2", "1 diluted 1:4"]
    assert [(mark.low, mark.high) for mark in figure.chart.panels[1].marks][1] == pytest.approx((2.83, 7.07), abs=0.01)


def test_every_link_into_the_diary_resolves(files: dict[str, str]) -> None:
    ids = {name: HtmlPage(text).values("id") for name, text in files.items()}
    hrefs = [(name, href) for name, text in files.items() for href in HtmlPage(text).values("href")]
    assert any("#day-" in href for _, href in hrefs)
    for name, href in hrefs:
        file, _, anchor = href.partition("#")
        assert not anchor or anchor in ids[file or name]


def test_a_folder_of_notes_with_the_diary_inside_reads_the_same(tmp_path: Path) -> None:
    (tmp_path / "notes.md").write_text(NOTES, encoding="utf-8")
    before = reefjournal.read(tmp_path)
    diary.write(before, tmp_path / "pages", date(2026, 3, 6))
    (tmp_path / "pages" / "stray.md").write_text("## 2026-03-06\n- ammonia 4\n", encoding="utf-8")
    assert reefjournal.read(tmp_path).notes == before.notes


def test_a_stage_has_the_same_number_on_every_page() -> None:
    notes = reefjournal.read_text(NOTES + "\n## 2026-04-02\n- test: ammonia 0, nitrite 4\n- gear: heater set 25 C\n")
    pages = lay_out(notes, date(2026, 4, 2))
    figures = [figure for page in pages.months for figure in page.figures]
    numbers = {(band.id, band.number) for figure in [*figures, pages.start.figure] if figure for band in figure.stages}
    assert len(figures) == 2
    assert len(numbers) == len({stage for stage, _ in numbers}) > 1
