"""Every condition of every built-in rule decides something: without it, some example would come out otherwise.

Each test of a pattern, each pattern and each denial is taken away in turn, and each number is moved by a step; see
changes.py for what a step is. Which examples there are is for test_examples.py to say.
"""

from __future__ import annotations

import pytest
from changes import mutants
from trials import Trial, book, trials

from reefjournal.advisor.rules import Rule

PASSED = {"dose.state = cleared dropped": "unfed_days and times_load are known of a passed challenge only"}
NAMED = "it is there for its day in the text; without a visible sign nothing came before one"
MEANT: dict[str, dict[str, str]] = {
    "proof-by-challenge": PASSED,
    "proof-below-detection": PASSED,
    "proof-by-nitrate": PASSED | {"@ammonia-clear moved": "a part of the question that this road needs not"},
    "load-too-much": PASSED | {"load dropped": "it is there for its number in the text; there is one on every day"},
    "haze-came-after": {"haze dropped": NAMED},
    "film-came-after": {"film dropped": NAMED},
    "film-came-after-gear": {"film dropped": NAMED},
    "dusting-came-after": {"dust dropped": NAMED},
    "dusting-came-after-light": {"dust dropped": NAMED},
}
"""Conditions that no example can show to matter, by rule, and why they stand all the same."""


def of_rule(rule: Rule) -> list[Trial]:
    return [trial for trial in trials() if trial.rule.id == rule.id]


def told_apart(changed: tuple[Rule, ...], known: list[Trial]) -> bool:
    """Whether some example comes out otherwise for one of the changed rules."""
    told = frozenset(pattern.alias for pattern in changed[0].when)
    return any(trial.outcome(rule, told) != trial.outcome(trial.rule, told) for trial in known for rule in changed)


@pytest.mark.parametrize("rule", [rule for rule in book().rules.values() if rule.examples], ids=lambda rule: rule.id)
def test_no_condition_of_a_rule_is_dead_weight(rule: Rule) -> None:
    known = of_rule(rule)
    idle = {mutant.says for mutant in mutants(rule, book()) if not told_apart(mutant.rules, known)}
    assert idle == set(MEANT.get(rule.id, {}))
