"""Attacks the advice with random well-formed notes, and counts what does not hold. Run by hand:

    python tests/benchmarks/attack.py --runs 5000

The generator and the invariants are those of ``tests/test_invariants.py``; every tenth sequence is also asked of the
compiled engine, in every vessel.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from functools import cache
from multiprocessing import Pool
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from random_notes import broken, draw, written

import reefjournal
from reefjournal.advisor.rulebook import load
from reefjournal.advisor.rules import Rulebook

ENGINES = ("compiled", "plain")


@cache
def book() -> Rulebook:
    """The built-in rules, read once."""
    return load()


def attacked(seed: int) -> tuple[int, list[str], Counter[str]]:
    """One sequence: its seed, what does not hold, and what was met on the way."""
    text, day = written(draw(random.Random(seed)))
    journal = reefjournal.read_text(text)
    journal = reefjournal.Journal(journal.notes, {(): book()})
    found = list(broken(journal, day))
    met: Counter[str] = Counter()
    for vessel in journal.state(day).names:
        if seed % 10 == 0:
            said = [journal.advise(day, vessel, forecast=False, engine=name) for name in ENGINES]
            met["asked of both engines"] += 1
            if len({one.model_copy(update={"engine": ""}).model_dump_json() for one in said}) > 1:
                found.append(f"{vessel}: the engines do not say the same")
        advice = journal.advise(day, vessel, forecast=False, engine="plain")
        met["vessels asked"] += 1
        met.update(kinds(journal, advice))
    return seed, found, met


def kinds(journal: reefjournal.Journal, advice: object) -> set[str]:
    """Which of the things that the invariants are about came up."""
    steps = [journal.rulebook().rules[action.rule].step for action in advice.actions]  # type: ignore[attr-defined]
    found = {f"a step of {step.precedence}" for step in steps if step and step.precedence in ("people", "emergency")}
    amounts = [action.amount.substance for action in advice.actions if action.amount]  # type: ignore[attr-defined]
    found |= {"an ammonia dose"} & ({"an ammonia dose"} if "ammonium chloride" in amounts else set())
    return found | {f"gate {gate.id} open" for gate in advice.gates if gate.open}  # type: ignore[attr-defined]


def main() -> None:
    """Attack, show progress, print what was met and what broke."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    parser.add_argument("--runs", type=int, default=200)
    parser.add_argument("--first-seed", type=int, default=0)
    parser.add_argument("--workers", type=int, default=1)
    options = parser.parse_args()
    begun = time.perf_counter()
    met: Counter[str] = Counter()
    wrong: dict[int, list[str]] = {}
    with Pool(options.workers) as pool:
        seeds = range(options.first_seed, options.first_seed + options.runs)
        for count, (seed, found, seen) in enumerate(pool.imap_unordered(attacked, seeds, chunksize=10), 1):
            met += seen
            if found:
                wrong[seed] = found
            print(f"\r{count} of {options.runs}, {len(wrong)} broken", end="", flush=True)
    print(f"\n| {options.runs} sequences, {time.perf_counter() - begun:.0f} s | |\n|---|---|")
    for name, count in sorted(met.items()):
        print(f"| {name} | {count} |")
    print(f"| sequences with something broken | {len(wrong)} |")
    for seed, found in sorted(wrong.items()):
        print(seed, "; ".join(found))


if __name__ == "__main__":
    main()
