"""No ammonia where anything may live, nor without a volume or room; no copper where an invertebrate may live."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from speaker import Speaker, filled, ledger, lives, say
from test_rule_problems import ADVICE, told
from test_rulebook import with_file

from reefjournal.advisor import guard
from reefjournal.advisor.advice import Advice
from reefjournal.advisor.advise import advise
from reefjournal.advisor.rulebook import load
from reefjournal.chemistry.dosing import DOSE_LIMIT
from reefjournal.facts import Fact, Property

SAFE = [filled(), lives("no"), ledger()]
GIVING = (
    ADVICE.replace("Look.", "Dissolve {amount} and pour it in.")
    + 'gives = "ammonia"\namount = { function = "ammonium-chloride", target = "@dose" }\n'
)


def advised(folder: Path, said: Sequence[Fact], rule: str = GIVING) -> Advice:
    return advise(with_file(folder, rule), Speaker(said), engine="plain")


def actions(advice: Advice) -> dict[str, str]:
    return {action.rule: action.do for action in advice.actions}


def test_ammonia_may_be_given_to_a_known_empty_volume(tmp_path: Path) -> None:
    # 2 mg/L N in 290 L: 2 * 290 / 261.87 = 2.215 g. Source (published): IUPAC 2021 abridged weights, N 14.007 in
    # NH4Cl 53.489. Rounded down to two figures.
    first = GIVING.replace("gives =", 'before = ["give-ammonia"]\ngives =')  # of two doses one is told
    assert actions(advised(tmp_path, SAFE, first))["mine"] == "Dissolve 2.2 g ammonium chloride and pour it in."


def without(kind: str, *instead: Fact) -> list[Fact]:
    return [*(fact for fact in SAFE if fact.kind != kind), *instead]


def system(**given: Property) -> list[Fact]:
    return without("system", filled(**given))


UNSAFE = {
    "an animal lives there": without("animals", lives("yes")),
    "an animal may live there": without("animals", lives("maybe")),
    "nothing is said of animals": without("animals"),
    "only fish are said not to be there": without("animals", lives("no", "fish")),
    "any says no but a group says maybe": [*SAFE, lives("maybe", "invertebrate")],
    "any says no but there is a coral": [*SAFE, lives("yes", "coral")],
    "two answers that differ": [*SAFE, lives("maybe")],
    "the volume is not known": system(volume_known="no"),
    "the volume is not a number": system(volume_low=float("nan")),
    "nothing was given before but that is not known": without("ledger"),
    "no room is left": without("ledger", ledger(room=1.9)),
    "the upper bound would pass 4 mg/L": without("ledger", ledger(unoxidised=2.1, room=4.0)),
    "the bound is not a number": without("ledger", ledger(unoxidised=float("nan"))),
}


@pytest.mark.parametrize("why", UNSAFE)
def test_ammonia_is_struck_out_and_told_as_held_back(why: str, tmp_path: Path) -> None:
    advice = advised(tmp_path, UNSAFE[why])
    assert "mine" not in actions(advice)
    assert any(row.rule == "mine" and "not advised, since" in row.says for row in advice.findings)


def test_ammonia_is_struck_out_where_no_water_is_noted() -> None:
    assert guard.refusal({"ammonia"}, None, [lives("no")]) == "the notes do not show that the vessel is filled"
    dry = [filled(water="dry"), lives("no"), ledger()]
    assert guard.refusal({"ammonia"}, None, dry) == "the notes do not show that the vessel is filled"


def test_facts_about_another_vessel_clear_nothing(tmp_path: Path) -> None:
    other = Fact("animals", {**lives("no").properties, "where": "elsewhere"})
    assert "mine" not in actions(advised(tmp_path, without("animals", other)))


ORDERS = [
    "Dose 3 g NH4Cl.",
    "Dose 3 g N H 4 C l into the sump.",
    "Add 3 g NH₄Cl.",
    "Ammonium chloride: 3 g.",
    "Pour a little amonium chlorid into the tank.",
    "Add household ammonia until the test shows a colour.",
    "Put 2 ml of ammonia in.",
    "2 ml ammonia, then test.",
    "Raise ammonia to 2 mg/L.",
    "Do not forget to add the ammonium chloride.",
    "Do not stop before adding ammonia.",
    "Hang a raw prawn in the sump.",
    "Drop a dead fish in.",
    "Add a spoon of urea.",
    "Wait a day and give ammonia.",
    "ADD *AMMONIA* NOW",
    "Add am\u00admonia.",
    "Top up with ammonia.",
    "Sprinkle sal ammoniac.",
]  # fmt: skip
HARMLESS = [
    "Test ammonia today and again tomorrow.",
    "Wait, and add nothing until ammonia is clear.",
    "Use another ammonia kit and write down what it shows.",
    "Add a blank to the ammonia test.",
    "Do not dose ammonia here.",
    "No more ammonium chloride.",
    "Repeat the reading: ammonia 0.5 mg/L as NH4.",
    "Take the dead fish out.",
    "Change 30 L; ammonia should fall below 0.2 mg/L.",
    "Look for copper pipes.",
    "Test copper.",
    "Add copper-free hose.",
]


@pytest.mark.parametrize("text", ORDERS)
def test_a_text_that_gives_ammonia_is_known_by_its_words(text: str) -> None:
    assert guard.given(text) == {"ammonia"}


@pytest.mark.parametrize("text", HARMLESS)
def test_a_text_that_only_speaks_of_it_gives_nothing(text: str) -> None:
    assert guard.given(text) == set()


@pytest.mark.parametrize("text", ORDERS)
def test_a_rule_that_gives_ammonia_without_owning_up_to_it_is_not_loaded(text: str, tmp_path: Path) -> None:
    rule = ADVICE.replace('"Look."', f'"{text}"')
    assert "mine" not in with_file(tmp_path, rule).rules
    assert told(tmp_path, rule)[0].endswith('error: rule "mine": "do" gives ammonia. Own up to it: gives = "ammonia".')


@pytest.mark.parametrize("key", ["says", "why", "title", "due"])
def test_an_order_to_give_ammonia_cannot_hide_in_another_text(key: str, tmp_path: Path) -> None:
    rule = ADVICE.replace('says = "It is so."\n', "").replace('title = "Mine"\n', "")
    texts = {"says": "It is so.", "title": "Mine", key: "All is well. Dose 3 g NH4Cl."}
    rule += "".join(f'{name} = "{text}"\n' for name, text in texts.items())
    assert "mine" not in with_file(tmp_path, rule).rules


def test_a_rule_cannot_own_up_to_ammonia_and_name_its_own_quantity(tmp_path: Path) -> None:
    assert told(tmp_path, GIVING.replace("{amount}", "{amount}, then 3 g more,")) == [
        ':12:31: error: rule "mine": "do" holds a quantity of its own, "3 g". Write {amount}.'
    ]


def test_a_rule_cannot_own_up_to_ammonia_without_an_amount(tmp_path: Path) -> None:
    rule = ADVICE.replace("Look.", "Give ammonia.") + 'gives = "ammonia"\n'
    assert told(tmp_path, rule) == [
        ':15:1: error: rule "mine" gives ammonia without [rule.amount]. Let function = "ammonium-chloride" work it out.'
    ]


def test_words_that_a_placeholder_brings_in_are_judged_too(tmp_path: Path) -> None:
    rule = ADVICE.replace("Look.", "{system.role}")
    said = [filled(role="Dose 3 g NH4Cl"), lives("no"), ledger()]
    assert "mine" not in actions(advised(tmp_path, said, rule))


def test_owning_up_to_copper_does_not_cover_ammonia(tmp_path: Path) -> None:
    rule = ADVICE.replace("Look.", "Add copper and ammonium chloride.") + 'gives = "copper"\n'
    assert "mine" not in with_file(tmp_path, rule).rules


COPPER = ADVICE.replace("Look.", "Raise copper to the level on the label.") + 'gives = "copper"\n'


@pytest.mark.parametrize("group", ["any", "invertebrate", "coral"])
@pytest.mark.parametrize("present", ["yes", "maybe"])
def test_copper_is_struck_out_where_an_invertebrate_may_live(group: str, present: str, tmp_path: Path) -> None:
    said = [filled(), *(lives(present if one == group else "no", one) for one in ("any", "invertebrate", "coral"))]
    assert ("mine" in actions(advised(tmp_path, said, COPPER))) == (group == "any")


def test_copper_is_struck_out_where_nothing_is_said_of_invertebrates(tmp_path: Path) -> None:
    assert "mine" not in actions(advised(tmp_path, [filled(), lives("yes")], COPPER))
    assert "mine" not in actions(advised(tmp_path, [filled()], COPPER))


def test_a_job_in_the_notes_that_would_give_ammonia_says_hold_it(tmp_path: Path) -> None:
    job = say("job", text="dose ammonium chloride", state="due", due="2026-03-14")
    (row,) = advised(tmp_path, [filled(), lives("yes"), ledger(), job], ADVICE).due
    assert row.says == "In the notes this is due. Hold it: an animal may be present, and ammonia harms it."


def test_the_limit_of_the_guard_and_that_of_the_book_are_one_number() -> None:
    """The guard keeps its own, since it must hold whatever a rule file says."""
    assert load().thresholds["ammonia-most"].value == DOSE_LIMIT
