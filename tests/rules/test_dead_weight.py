"""Every condition of every built-in rule decides something: without it, some example would come out otherwise.

Each test of a pattern, each pattern and each denial is taken away in turn, and each number is moved by a step; see
changes.py for what a step is. Which examples there are is for test_examples.py to say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache, partial

from changes import mutants
from trials import Outcome, Trial, book, trials_of

from reefjournal.advisor.rules import Condition, Rule

PASSED = {"dose.state = cleared dropped": "unfed_days and times_load are known of a passed challenge only"}
TOLD = "it is there for its words in the text; the rule's other facts do not come without one"
WET = "a source counts for the water that it was given to, so that a dry tank has none"
FITTED = "a chance is what a fit makes of a whole journal: no near miss can be written to a tenth of it"
MEANT: dict[str, dict[str, str]] = {
    "proof-by-challenge": PASSED,
    "proof-below-detection": PASSED,
    "proof-by-nitrate": PASSED | {"@ammonia-clear moved": "a part of the question that this road needs not"},
    "hold-the-ammonia": {"unless 2 state = held dropped": "a proof that went stale was settled by the same tests"},
    "proof-by-food-with-animals": {"life.group = any dropped": "where some group is surely there, any is"},
    "load-too-much": PASSED | {"load dropped": "it is there for its number in the text; there is one on every day"},
    "cycle-running": {"tank.water = filled dropped": WET},
    "cycle-running-by-rock": {"tank.water = filled dropped": WET},
    "lights-in-cycle": {"unless 2 group = any dropped": "where some group may be there, any may be"},
    "split-the-addition": {
        "load dropped": "it is there for its number in the text; there is one on every day",
        "dose.state = cleared dropped": PASSED["dose.state = cleared dropped"],
    },
    "nitrite-plateau-normal": {"nitrite dropped": TOLD},
    "nitrite-being-oxidised": {"nitrite dropped": TOLD},
    "not-stalled-yet": {"tank dropped": TOLD},
    "second-look-by-model": {"@misread-likely moved": FITTED},
    "blank-by-model": {"@kit-fault-likely moved": FITTED},
    "standard-by-model": {"@kit-fault-likely moved": FITTED},
    "slow-by-model": {"@behind-likely moved": FITTED},
    "most-telling-test": {"test.narrows >= telling-least dropped": FITTED, "@telling-least moved": FITTED},
    "blank-once-nitrite-is-gone": {"ammonia dropped": TOLD},
    "raise-alkalinity": {"alkalinity dropped": TOLD},
    "raise-alkalinity-slowly": {"alkalinity dropped": TOLD},
    "warm-the-water": {"warmth dropped": TOLD},
    "let-air-in": {"ph dropped": TOLD},
    "give-phosphorus": {"phosphate dropped": TOLD},
    "ammonia-stalled": {"tank dropped": TOLD},
    "nitrite-stalled": {"tank dropped": TOLD},
    "find-water-source": {"water dropped": TOLD},
    "feed-the-crew": {"life dropped": TOLD},
    "repeat-the-challenge": {"failed.state = not-cleared dropped": "clear tests after its dose leave none open"},
    "plan-less": {"@lowest-step moved": "a dose that left so much leaves no capacity; it is the gate's own question"},
    "challenge-before-fish": dict.fromkeys(
        ("unless 2 gate = first-fish dropped", "unless 2 id = capacity dropped"),
        "a check is told only where some rule asks for it, and no other does",
    ),
    "early-pass-awaited": dict.fromkeys(
        ("@clear-hours moved", "@ammonia-clear moved", "@nitrite-clear moved"),
        "parts of a question that is answered sooner: both at none leave nothing to wait for",
    ),
    **dict.fromkeys(
        ("test-the-arrival-again", "dose-did-not-arrive"),
        dict.fromkeys(
            ("@clear-hours moved", "@ammonia-clear moved", "@nitrite-clear moved", "rank = 0.0 moved"),
            "parts of a question of which only the dose and its arrival are asked here",
        ),
    ),
    "answer-the-newer-challenge": dict.fromkeys(
        ("@clear-hours moved", "@ammonia-clear moved", "@nitrite-clear moved", "rank = 0.0 moved"),
        "parts of a question that is answered sooner, and then there is no older proof",
    ),
    "feed-up": {
        "@challenge-dose moved": "ammonia as low as is asked for leaves room enough; without a record there is none",
        "unless 3 state = held dropped": "a proof that went stale was won by a pass after those that failed",
    },
    "double-challenge-open": {"@ammonia-clear moved": "a part of the question that this road needs not"},
    "release-from-quarantine": {"who dropped": TOLD},
    "count-the-fallow": {"rest dropped": TOLD},
}
"""Conditions that no example can show to matter, by rule, and why they stand all the same."""


def idle(rule: Rule, known: list[Trial]) -> set[str]:
    """What could be taken away or moved, and no example would come out otherwise."""
    before = cache(partial(outcomes, rule, tuple(known)))
    return {mutant.says for mutant in mutants(rule) if not told_apart(before, mutant.rules, known)}


def outcomes(rule: Rule, known: tuple[Trial, ...], told: frozenset[str]) -> list[Outcome]:
    """How the rule comes out on each example."""
    return [trial.outcome(rule, told) for trial in known]


def told_apart(
    before: Callable[[frozenset[str]], list[Outcome]], changed: tuple[Rule, ...], known: list[Trial]
) -> bool:
    """Whether some example comes out otherwise for one of the changed rules."""
    told = frozenset(pattern.alias for pattern in changed[0].when)
    return any(
        trial.outcome(one, told) != was for trial, was in zip(known, before(told), strict=True) for one in changed
    )


def test_no_condition_of_a_rule_is_dead_weight(rule: Rule) -> None:
    assert idle(rule, trials_of(rule)) == set(MEANT.get(rule.id, {}))


def test_a_test_that_always_holds_is_found() -> None:
    rule = book().rules["leave-haze"]
    (haze,) = rule.when
    loose = replace(haze, conditions=(*haze.conditions, Condition("seen_days", "<", 900.0)))
    found = idle(replace(rule, when=(loose,)), trials_of(rule))
    assert found == {"seen_days < 900.0 moved", "haze.seen_days < 900.0 dropped"}


def test_a_number_without_a_near_miss_is_found() -> None:
    rule = book().rules["leave-haze"]
    elsewhere = [
        trial for trial in trials_of(rule) if "gone" in trial.example.journal or "green" in trial.example.journal
    ]
    assert len(elsewhere) == 2
    assert "@haze-days moved" in idle(rule, elsewhere)
