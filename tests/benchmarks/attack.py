"""Attacks the advice with random well-formed notes, and counts what does not hold. Run by hand:

    python tests/benchmarks/attack.py --runs 5000

The notes are drawn by ``tests/random_notes.py``, what must hold stands in ``tests/invariants.py``. Every sequence is
asked of in every vessel; each gate that is open, and each dose, must not outlive one more note that speaks against it,
nor forty days of silence. Every tenth sequence is also asked of both engines, after other days, and with later notes;
every hundredth with a forecast.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache
from multiprocessing import Pool
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
import both_engines
import invariants
from random_notes import draw, written

import reefjournal
from reefjournal.advisor.advice import Advice
from reefjournal.advisor.rulebook import load
from reefjournal.advisor.rules import Rulebook


@cache
def book() -> Rulebook:
    """The built-in rules, read once."""
    return load(examples=False)


def read(text: str) -> reefjournal.Journal:
    """The journal in a text, with rules that are read already."""
    return reefjournal.Journal(reefjournal.read_text(text).notes, {(): book()})


def attacked(seed: int) -> tuple[int, list[str], Counter[str]]:
    """One sequence: its seed, what does not hold, and what was met on the way."""
    rng = random.Random(seed)
    text, day = written(draw(rng))
    met: Counter[str] = Counter()
    try:
        journal = read(text)
        found = [*invariants.broken(journal, day), *invariants.unspoilt(text, journal, day, rng.choice)]
        found += invariants.outlasting(journal, day)
        for vessel in journal.state(day).names:
            met["vessels asked"] += 1
            met.update(kinds(journal, journal.advise(day, vessel, forecast=False, engine="plain")))
        found += seldom(seed, text, journal, day, met)
    except Exception:  # noqa: BLE001 that nothing raises is one of the invariants
        found = [traceback.format_exc(limit=-3)]
    return seed, found, met


def seldom(seed: int, text: str, journal: reefjournal.Journal, day: date, met: Counter[str]) -> Iterator[str]:
    """What takes longer, and is asked of a few sequences."""
    if seed % 10 == 0:
        yield from invariants.forgetful(text, journal, day)
        more, _ = written(("", draw(random.Random(-seed - 1))[1]), day + timedelta(days=1))
        yield from invariants.hindsight(text, more, day)
        for vessel in journal.state(day).names:
            both_engines.agree(book(), journal.witness(day, vessel))
            met["asked of both engines"] += 1
    if seed % 100 == 0:
        met["asked with a forecast"] += 1
        journal.advise(day, forecast=True)


def kinds(journal: reefjournal.Journal, advice: Advice) -> set[str]:
    """Which of the things that the invariants are about came up."""
    steps = [journal.rulebook().rules[action.rule].step for action in advice.actions]
    found = {f"a step of {step.precedence}" for step in steps if step and step.precedence in ("people", "emergency")}
    if any(action.amount and action.amount.substance == "ammonium chloride" for action in advice.actions):
        found.add("an ammonia dose")
    if any("Hold it" in row.says for row in advice.due):
        found.add("a job of the keeper's held back")
    return found | {f"gate {gate.id} open" for gate in advice.gates if gate.open}


def main() -> None:
    """Attack, show progress, print what was met and what broke."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    parser.add_argument("--runs", type=int, default=200)
    parser.add_argument("--first-seed", type=int, default=0)
    parser.add_argument("--workers", type=int, default=1)
    options = parser.parse_args()
    begun = time.perf_counter()
    # What never came up is told as well: an invariant of a gate that is never open holds of nothing.
    met: Counter[str] = Counter({f"gate {name} open": 0 for name in book().gates})
    wrong: dict[int, list[str]] = {}
    with Pool(options.workers) as pool:
        seeds = range(options.first_seed, options.first_seed + options.runs)
        for count, (seed, found, seen) in enumerate(pool.imap_unordered(attacked, seeds, chunksize=10), 1):
            met.update(seen)
            if found:
                wrong[seed] = found
            if count % 100 == 0:
                print(f"{count} of {options.runs}, {len(wrong)} broken", file=sys.stderr, flush=True)
    print(f"| {options.runs} sequences, {time.perf_counter() - begun:.0f} s | |\n|---|---|")
    for name, times in sorted(met.items()):
        print(f"| {name} | {times} |")
    print(f"| sequences with something broken | {len(wrong)} |")
    for seed, found in sorted(wrong.items()):
        print(seed, "; ".join(found))


if __name__ == "__main__":
    main()
