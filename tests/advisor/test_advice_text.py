"""The advice on a terminal: stage and next step first, plain where it is piped, reasons on request."""

from __future__ import annotations

from datetime import date

import pytest
from click import unstyle
from speaker import Speaker, filled, ledger, lives, say, small_book
from test_advise import OLD
from test_layers import AMMONIA, NITRITE

from reefjournal.advisor import text
from reefjournal.advisor.advice import Because, TrackRow
from reefjournal.advisor.advise import advise
from reefjournal.facts import Fact, Line


def shown(*said: Fact, why: bool = False, width: int = 88) -> str:
    speaker = Speaker(said, past=[Speaker(said, day="2026-03-10")])
    return text.render(advise(small_book(), speaker, engine="plain"), why=why, book=small_book(), width=width)


WHOLE = """\
display, 12 March 2026
Filled, since 10 March 2026 (2 days).

Next: Test ammonia today.
      today, by 12 March 2026
      The last tests are old.

After that
  - Dissolve 2.2 g ammonium chloride and pour it in. (in the next days)

What is going on
  - To be seen: haze, since 11 March 2026 (1 day).

What must wait
  - Crew: not yet, 1 of 3 checks are met. It waits for
    - Ammonia at most 0.2 mg/L N: not shown yet.
      Test ammonia, at most 3 days before.
    - The filter eats, by either road: not shown yet.

What is due
  - 12 March 2026: ammonia test
  - 15 March 2026: order panels

Take care
  - Never let it meet bleach.

Engine: plain."""


def test_the_whole_text() -> None:
    haze = say("sign", name="haze", sort="growth", state="visible", day="2026-03-11")
    job = say("job", text="order panels", state="due", due="2026-03-15")
    assert unstyle(shown(filled(), lives("no"), ledger(), OLD, haze, job)) == WHOLE


def test_no_color_takes_every_style_off(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    styled = shown(filled(), OLD)
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b" in styled
    assert shown(filled(), OLD) == unstyle(styled)


@pytest.mark.parametrize("width", [40, 60, 96])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    told = shown(filled(), lives("no"), ledger(), OLD, NITRITE, AMMONIA, why=True, width=width)
    assert max(len(line) for line in unstyle(told).splitlines()) <= width


def test_the_reasons_are_told_on_request() -> None:
    told = unstyle(shown(NITRITE, AMMONIA, why=True, width=96))
    assert "    | notes.md:5 - nitrite 1\n" in told
    assert "    | held against 0.5 mg/L N, present: keepers, custom of the trade (common practice)\n" in told
    assert "    | rule filter-eats: A. Author, On filters, 1990, Journal of Invented Results 1:1 (published)\n" in told
    assert "notes.md:5" not in shown(NITRITE, AMMONIA)


def test_what_could_steer_a_terminal_is_taken_out() -> None:
    line = Line("notes.md", 7, "x")
    told = unstyle(shown(say("unread", line, text="stok\x1b[2J\x07: 2\u202e gobies", may_name="animal")))
    assert "notes.md:7 was not understood: stok [2J : 2  gobies (it may speak of animal)" in told.replace("\n    ", " ")


def test_many_rows_are_shortened_until_the_reasons_are_asked_for() -> None:
    lines = [say("unread", Line("notes.md", n, "x"), text=f"line {n}") for n in range(1, 8)]
    assert "and 3 more (--why shows all)" in shown(*lines)
    assert "line 7" in shown(*lines, why=True)


def test_nothing_to_do_is_said() -> None:
    assert "The notes do not show a stage of the cycle yet.\n\nNothing needs to be done now." in unstyle(shown())


def test_lines_not_understood_long_ago_are_counted() -> None:
    lines = [say("unread", Line("notes.md", n, "x"), text=f"line {n}", age_days=float(n)) for n in (29, 30, 31, 32)]
    told = unstyle(shown(*lines))
    assert "notes.md:30 was not understood" in told
    assert "notes.md:31" not in told
    assert "2 older lines were not understood; `reefjournal check` shows them all." in told.replace("\n    ", " ")
    assert "notes.md:32 was not understood" in unstyle(shown(*lines, why=True))


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (("fitting-out", "build", date(2026, 1, 1)), False),
        (("fitting-out", "build", date(2026, 2, 1)), True),
        (("snags", "build", date(2026, 1, 1)), True),
    ],
)
def test_the_last_stage_of_a_build_is_not_told_for_months_where_something_lives(
    row: tuple[str, str, date], told: bool
) -> None:
    tracks = [
        TrackRow(id=id_, name=f"Name of {id_}", since=since, because=Because(), track=track)
        for id_, track, since in (row, ("crew", "life", date(2026, 1, 1)))
    ]
    found = advise(small_book(), Speaker([filled()]), engine="plain").model_copy(update={"tracks": tuple(tracks)})
    assert ("Name of " + row[0] in unstyle(text.render(found))) is told
    assert "Name of " + row[0] in unstyle(text.render(found, why=True))
    assert "Name of crew" in unstyle(text.render(found))
