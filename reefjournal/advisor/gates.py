"""Gates: every check is met, unmet or unknown, and a gate is open only when every check is met."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from reefjournal.advisor import guard
from reefjournal.advisor.chainer import Find, filled
from reefjournal.advisor.rules import Check, Clause, Gate
from reefjournal.facts import Fact

State = Literal["met", "unmet", "unknown"]


@dataclass(frozen=True)
class JudgedCheck:
    """A check, its state, and the facts and thresholds that it rests on."""

    check: Check
    state: State
    facts: tuple[Fact, ...] = ()
    thresholds: tuple[str, ...] = ()


@dataclass(frozen=True)
class JudgedGate:
    """A gate with the state of each check, and whether the step that it guards was taken already."""

    gate: Gate
    checks: tuple[JudgedCheck, ...]
    behind: bool = False

    @property
    def open(self) -> bool:
        """Whether every check is met; a gate without checks is shut."""
        return bool(self.checks) and all(one.state == "met" for one in self.checks)

    @property
    def grounds(self) -> tuple[Fact, ...]:
        """The facts that its checks rest on."""
        return tuple(fact for one in self.checks for fact in one.facts)

    @property
    def first(self) -> Check | None:
        """The first check that is not met."""
        return next(iter(self.open_checks), None)

    @property
    def also(self) -> tuple[str, ...]:
        """The tests that settle further checks, to be made in the same round as what the first one asks for."""
        return tuple(one.test for one in self.open_checks[1:] if one.test)

    @property
    def by_test(self) -> bool:
        """Whether it is shut, and waits for nothing but tests that were not made yet."""
        waits = [one for one in self.checks if one.state != "met"]
        return bool(waits) and all(one.check.test and one.state == "unknown" for one in waits)

    @property
    def open_checks(self) -> tuple[Check, ...]:
        """The checks that are not met."""
        return tuple(one.check for one in self.checks if one.state != "met")


def in_a_row(names: Sequence[str]) -> str:
    """Names as "a, b and c"."""
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def judge(gates: Iterable[Gate], facts: Sequence[Fact], find: Find) -> tuple[JudgedGate, ...]:
    """Every gate on the facts of the day, in one run of the engine."""
    gates = tuple(gates)
    clauses: list[Clause] = [road for gate in gates for check in gate.checks for road in (*check.met, *check.unmet)]
    clauses += [road for gate in gates for road in gate.behind]
    found: dict[Clause, tuple[Fact, ...]] = {}
    for place, chosen in filled(find, clauses, facts):
        found.setdefault(clauses[place], chosen)
    return tuple(judge_gate(gate, found, facts) for gate in gates)


def judge_gate(gate: Gate, found: Mapping[Clause, tuple[Fact, ...]], facts: Sequence[Fact]) -> JudgedGate:
    """One gate: its checks, and whether it is behind; a check whose test was overtaken is not met by it."""
    judged = (judge_check(one, found) for one in gate.checks)
    checks = tuple(
        replace(one, state="unknown") if one.state == "met" and guard.overtaken(one.check, facts) else one
        for one in judged
    )
    return JudgedGate(gate, checks, behind=any(road in found for road in gate.behind))


def judge_check(check: Check, found: Mapping[Clause, tuple[Fact, ...]]) -> JudgedCheck:
    """One check: unmet where anything says so, else met, else unknown."""
    states: tuple[tuple[State, tuple[Clause, ...]], ...] = (("unmet", check.unmet), ("met", check.met))
    for state, roads in states:
        for road in roads:
            if road in found:
                limits = tuple(name for pattern in road for name in pattern.thresholds)
                return JudgedCheck(check, state, found[road], limits)
    return JudgedCheck(check, "unknown")
