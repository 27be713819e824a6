"""The folder of a diary: what is written, replaced, left alone and refused."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from conftest import ON
from notebook import Notebook, cycle

from reefjournal import diary
from reefjournal.diary import DiaryError
from reefjournal.diary.writing import MARKER

DAY = date(2026, 3, 3)


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def test_the_same_notes_give_the_same_bytes(tmp_path: Path) -> None:
    for name in ("a", "b"):
        diary.write(cycle(), tmp_path / name, ON)
    assert contents(tmp_path / "a") == contents(tmp_path / "b")


def test_a_second_run_changes_nothing(tmp_path: Path) -> None:
    diary.write(cycle(), tmp_path, ON)
    before = contents(tmp_path)
    diary.write(cycle(), tmp_path, ON)
    assert contents(tmp_path) == before


def test_the_paths_are_returned_start_page_first_and_the_folder_is_marked(tmp_path: Path) -> None:
    paths = diary.write(cycle(), tmp_path / "deep" / "out", ON)
    assert [path.name for path in paths] == ["index.html", "2026-02.html", "2026-03.html", "2026-04.html"]
    assert {path.name for path in (tmp_path / "deep" / "out").iterdir()} == {MARKER, *(path.name for path in paths)}


def test_a_rerun_takes_away_its_own_stale_pages_and_nothing_else(tmp_path: Path) -> None:
    diary.write(cycle(), tmp_path, ON)
    (tmp_path / "mine.txt").write_text("mine")
    diary.write(Notebook().and_then(DAY, "Only March."), tmp_path, ON)
    assert set(contents(tmp_path)) == {MARKER, "index.html", "2026-03.html", "mine.txt"}


def test_a_file_that_is_not_of_the_diary_is_never_replaced(tmp_path: Path) -> None:
    diary.write(Notebook(), tmp_path, ON)
    (tmp_path / "2026-03.html").write_text("mine")
    before = contents(tmp_path)
    with pytest.raises(DiaryError, match=r"2026-03\.html: this file is not from an earlier diary"):
        diary.write(cycle(), tmp_path, ON)
    assert contents(tmp_path) == before


def test_a_marker_cannot_name_files_outside_the_diary(tmp_path: Path) -> None:
    out, mine = tmp_path / "out", tmp_path / "mine.html"
    diary.write(cycle(), out, ON)
    mine.write_text("mine")
    (out / "notes.md").write_text("mine")
    (out / MARKER).write_text("../mine.html\nnotes.md\nindex.html\n2026-02.html\n2026-03.html\n2026-04.html\n")
    diary.write(Notebook(), out, ON)
    assert mine.read_text() == "mine"
    assert set(contents(out)) == {MARKER, "index.html", "notes.md"}


def test_a_folder_with_other_things_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "notes.md").write_text("## 2026-03-03\n")
    with pytest.raises(DiaryError, match="holds other things; name a new or an empty folder"):
        diary.write(cycle(), tmp_path, ON)
    assert set(contents(tmp_path)) == {"notes.md"}


def test_a_file_in_place_of_the_folder_is_refused(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.write_text("mine")
    with pytest.raises(DiaryError, match="this is a file; name a folder"):
        diary.write(cycle(), out, ON)
    with pytest.raises(DiaryError, match="cannot be written"):
        diary.write(cycle(), out / "below", ON)
    assert out.read_text() == "mine"


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_that_cannot_be_written_to_is_one_clear_error(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(DiaryError, match="cannot be written"):
        diary.write(cycle(), tmp_path, ON)


def test_a_page_whose_place_is_taken_by_a_folder_is_one_clear_error(tmp_path: Path) -> None:
    diary.write(cycle(), tmp_path, ON)
    (tmp_path / "index.html").unlink()
    (tmp_path / "index.html").mkdir()
    with pytest.raises(DiaryError, match="cannot be written"):
        diary.write(cycle(), tmp_path, ON)


def test_a_link_in_the_folder_is_replaced_and_its_target_left_alone(tmp_path: Path) -> None:
    out, target = tmp_path / "out", tmp_path / "target"
    diary.write(cycle(), out, ON)
    target.write_text("mine")
    (out / "index.html").unlink()
    (out / "index.html").symlink_to(target)
    diary.write(cycle(), out, ON)
    assert target.read_text() == "mine"


def test_pages_are_readable_to_whom_the_keeper_lets_read(tmp_path: Path) -> None:
    made = tmp_path / "plain"
    made.write_text("")
    for path in diary.write(cycle(), tmp_path / "out", ON):
        assert path.stat().st_mode == made.stat().st_mode


def test_a_problem_in_the_notes_changes_the_start_page_only(tmp_path: Path) -> None:
    diary.write(cycle(), tmp_path / "a", ON)
    diary.write(replace(cycle(), problems=()), tmp_path / "b", ON)
    a, b = contents(tmp_path / "a"), contents(tmp_path / "b")
    assert {name for name in a if a[name] != b[name]} == {"index.html"}


def test_the_order_of_sets_in_another_process_changes_no_byte(tmp_path: Path) -> None:
    code = ("import sys; from pathlib import Path; from notebook import cycle; from datetime import date;"
            "from reefjournal import diary; diary.write(cycle(), Path(sys.argv[1]), date(2026, 4, 8))")
    for seed in ("1", "2"):
        env = os.environ | {"PYTHONHASHSEED": seed, "PYTHONPATH": str(Path(__file__).parent)}
        subprocess.run([sys.executable, "-c", code, str(tmp_path / seed)], env=env, check=True)
    assert contents(tmp_path / "1") == contents(tmp_path / "2")
