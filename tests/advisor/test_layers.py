"""Rules see their own and lower layers, deny lower ones only, and a rejected reading is folded out."""

from __future__ import annotations

from pathlib import Path

import pytest
from speaker import Speaker, filled, say, small_book
from test_chainer import ENGINES
from test_rule_problems import RULE
from test_rulebook import with_file

from reefjournal.advisor import chainer, engine
from reefjournal.advisor.chainer import Find
from reefjournal.advisor.conclude import Conclusions, conclude, observe
from reefjournal.facts import Line

NITRITE = say("latest", Line("notes.md", 5, "- nitrite 1"), analyte="nitrite", low=0.6, high=1.4)
AMMONIA = say("latest", Line("notes.md", 6, "- ammonia 0"), analyte="ammonia", low=0.0, high=0.1)


@pytest.fixture(params=ENGINES, ids=["plain", "compiled"])
def find(request: pytest.FixtureRequest) -> Find:
    """Each engine in turn."""
    if request.param is engine.find:
        pytest.importorskip("durable.engine", exc_type=ImportError)
    return request.param  # type: ignore[no-any-return]


def fired(found: Conclusions) -> set[str]:
    return {firing.rule.id for firing in found.firings}


def test_a_conclusion_feeds_rules_of_its_own_layer_and_of_higher_ones(find: Find) -> None:
    found = conclude(small_book(), Speaker([NITRITE, AMMONIA]), find)
    assert {"filter-eats", "filter-lives", "first-half-works"} <= fired(found)


def test_a_concluded_fact_carries_the_lines_thresholds_and_rules_it_rests_on(find: Find) -> None:
    found = observe(small_book(), Speaker([NITRITE, AMMONIA]), find)
    (process,) = (fact for fact in found.facts if fact.kind == "process")
    assert {line.line for line in process.events} == {5, 6}
    assert process.thresholds == ("present", "clear")
    assert process.rules == ("filter-eats",)


def test_of_the_stages_of_a_track_the_one_listed_last_holds(find: Find) -> None:
    found = observe(small_book(), Speaker([filled(source="yes")]), find)
    assert {track: stage.id for track, stage in found.stages.items()} == {"nitrogen": "fed"}
    assert fired(found) == {"is-fed"}


def test_each_track_has_a_stage_of_its_own(find: Find) -> None:
    found = observe(small_book(), Speaker([filled(live_rock="no")]), find)
    assert {track: stage.id for track, stage in found.stages.items()} == {"nitrogen": "filled", "build": "cured"}


def test_a_rule_is_off_while_a_fact_of_a_lower_layer_denies_it(find: Find) -> None:
    slime = say("sign", name="slime", state="visible")
    found = observe(small_book(), Speaker([filled(live_rock="no"), slime]), find)
    assert "build" not in found.stages


def test_a_denial_may_look_at_the_facts_that_fill_the_rule(find: Find, tmp_path: Path) -> None:
    text = (
        RULE.replace('{ fact = "system", water = "filled" }', '{ fact = "latest", analyte = "nitrite" }')
        + 'unless = [{ as = "same", fact = "latest", analyte = "ammonia", low = { at_least = "latest.low" } }]\n'
    )
    book = with_file(tmp_path, text)
    assert "mine" in fired(conclude(book, Speaker([NITRITE, AMMONIA]), find))
    high = say("latest", analyte="ammonia", low=0.7, high=1.0)
    assert "mine" not in fired(conclude(book, Speaker([NITRITE, high]), find))


def test_a_rejected_reading_is_taken_out_before_the_day_is_folded(find: Find) -> None:
    def speaker(moves: str) -> Speaker:
        reading = say("reading", id="r1", analyte="ammonia", kit_never_moves=moves, written="0")
        return Speaker([NITRITE, say("latest", analyte="ammonia", high=0.1, written="r1")], [reading])

    assert "filter-eats" in fired(conclude(small_book(), speaker("no"), find))
    assert fired(conclude(small_book(), speaker("yes"), find)) >= {"blind-kit"}
    assert "filter-eats" not in fired(conclude(small_book(), speaker("yes"), find))


def test_a_doubted_reading_is_told_and_kept(find: Find) -> None:
    reading = say("reading", id="r1", analyte="ammonia", low=0.0, high=0.1, before_low=1.0, after_low=1.0)
    found = conclude(small_book(), Speaker([NITRITE, AMMONIA], [reading]), find)
    (doubt,) = (fact for fact in found.facts if fact.kind == "doubt")
    assert doubt.properties["id"] == "r1"
    assert doubt.properties["rule"] == "odd-one-out"
    assert {"odd-one-out", "filter-eats"} <= fired(found)


def test_a_reading_at_the_edge_of_the_notes_contradicts_no_neighbour(find: Find) -> None:
    reading = say("reading", id="r1", analyte="ammonia", low=0.0, high=0.1, before_low=1.0)
    assert fired(conclude(small_book(), Speaker([], [reading]), find)) == set()


def test_the_order_in_which_facts_are_said_changes_nothing(find: Find) -> None:
    said = [NITRITE, AMMONIA, filled(live_rock="no"), say("unread", text="x")]
    first, second = (conclude(small_book(), Speaker(facts), find) for facts in (said, said[::-1]))
    assert first.firings == second.firings
    assert first.gates == second.gates
    assert first.origins == second.origins


def test_both_engines_draw_the_same_conclusions() -> None:
    pytest.importorskip("durable.engine", exc_type=ImportError)
    speaker = Speaker([NITRITE, AMMONIA, filled(live_rock="no", source="yes"), say("unread", text="x")])
    assert conclude(small_book(), speaker, engine.find) == conclude(small_book(), speaker, chainer.find)


MISREAD = say("misread", Line("notes.md", 7, "- ammonia 4"), analyte="ammonia", probability=0.9)
LIKELY = RULE.replace('"system", water = "filled"', '"misread", probability = { at_least = 0.5 }')


def test_what_a_fit_says_is_heard_once_the_stage_is_known_and_not_before(tmp_path: Path, find: Find) -> None:
    book = with_file(tmp_path, LIKELY)
    fed, bare = (Speaker([filled(water=water)], likely=[MISREAD]) for water in ("filled", "dry"))
    assert "mine" in fired(conclude(book, fed, find))
    assert "mine" not in fired(conclude(book, bare, find))
    assert MISREAD not in observe(book, fed, find).facts


def test_what_a_fit_says_moves_no_stage_and_no_gate(find: Find) -> None:
    said = [filled(source="yes"), NITRITE, AMMONIA]
    without, heard = (conclude(small_book(), Speaker(said, likely=likely), find) for likely in ((), [MISREAD]))
    assert (heard.stages, heard.gates) == (without.stages, without.gates)
    assert MISREAD in heard.facts
