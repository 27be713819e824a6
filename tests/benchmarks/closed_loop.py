"""Closes the loop: simulated keepers write notes, ask for advice and act on it, and the tank answers. Run by hand:

    python tests/benchmarks/closed_loop.py --runs 500 --results FILE

FILE keeps a line a cycle, so that a run that was broken off goes on where it stood; name a new one after a change.

The gate ``first-fish`` claims that 1 mg/L N goes within a day down to the lowest step of both tests, or within two days
below their detection. Each time it is open, the simulated tank is copied, 1 mg/L N is put in, and the copy runs:

- ``detection``: after 24 h both are where their kits show nothing;
- ``claim``: they are at the lowest step after 24 h (at most 0.5 mg/L N), or show nothing after 48 h;
- ``tolerance``: so with 0.8 mg/L N, and a fifth more left: a dose of 0.9 counts, the net volume of a tank is known to
  a twelfth, kitchen scales to a thirtieth, and the colours of a kit may be a sixth too weak;
- ``wrong``: not even so.

``harm`` counts where the planned ration, fed from that day on, would lift ammonia above 0.2 mg/L N within two weeks.
"""

from __future__ import annotations

import argparse
import json
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from functools import cache
from multiprocessing import Pool
from pathlib import Path
from statistics import median

from cycles import STEPS, Tank, Water
from keepers import DAYS, FOOD_NITROGEN, START, Keeper, draw_keeper

import reefjournal
from reefjournal import Journal
from reefjournal.advisor.advice import Advice
from reefjournal.advisor.advise import advise
from reefjournal.advisor.rulebook import load
from reefjournal.advisor.rules import Rulebook
from reefjournal.evidence import Witness

AFTER_OPENING = 12  # days that a cycle goes on once the gate was open
IN_TIME = DAYS - 12


@dataclass
class Outcome:
    """What became of one cycle; days count from the fill."""

    seed: int
    follows: bool
    working: bool
    could: int | None = None  # the first day on which the tank would have passed
    shown: int | None = None  # the first day on which the tests asked for could have shown it
    opened: int | None = None
    claims: dict[int, str] = field(default_factory=dict)  # what the open gate was worth, by day
    harm: list[int] = field(default_factory=list)
    last_steps: dict[str, int] = field(default_factory=dict)
    shut: dict[str, int] = field(default_factory=dict)
    baffled: list[str] = field(default_factory=list)
    asked: int = 0
    seconds: float = 0.0


@cache
def book() -> Rulebook:
    """The built-in rules, read once for all journals."""
    return load()


class Present(Witness):
    """A witness of one moment that knows no days before it: since when a stage holds is of no use here, and dear."""

    def earlier(self) -> Iterator[Witness]:
        """None."""
        return iter(())


def advised(text: str, day: date) -> Advice:
    """The advice of a day."""
    journal = reefjournal.read_text(text)
    return advise(book(), Present(journal.state(day), journal.default_vessel), "plain")


@dataclass
class Loop:
    """One keeper with a tank through the days; asks, and judges what it is told."""

    keeper: Keeper
    outcome: Outcome

    def run(self) -> Outcome:
        """All visits, then what can only be known afterwards."""
        keeper, outcome = self.keeper, self.outcome
        keeper.begin()
        visit = keeper.look if keeper.habits.follows else keeper.please
        now = 19 * STEPS // 24
        while now < DAYS * STEPS and not self.over(now):
            keeper.world.pass_to(now)
            visit(self.advise)
            now = self.next_visit()
        keeper.world.pass_to(min(now, DAYS * STEPS))
        outcome.could, outcome.shown = self.in_truth()
        outcome.baffled = keeper.baffled
        return outcome

    def over(self, now: int) -> bool:
        """Whether the gate was open long enough ago."""
        return self.outcome.opened is not None and now > (self.outcome.opened + AFTER_OPENING) * STEPS

    def next_visit(self) -> int:
        """The nearest look that was promised; without one, an evening by the keeper's own rhythm."""
        keeper = self.keeper
        now = keeper.world.now
        keeper.due = [one for one in keeper.due if one > now + 8]
        evening = (now // STEPS + keeper.habits.every) * STEPS + 19 * STEPS // 24 + int(keeper.rng.integers(-2, 4))
        return min(keeper.due) if keeper.due and keeper.habits.follows else min([evening, *keeper.due])

    def advise(self) -> Advice:
        """Today's advice; an open gate is held against the truth."""
        advice = advised(self.keeper.journal, self.keeper.today)
        day = (self.keeper.today - START).days
        self.outcome.asked += 1
        gate = next(gate for gate in advice.gates if gate.id == "first-fish")
        if advice.actions and day > DAYS - 30:
            rule = advice.actions[0].rule
            self.outcome.last_steps[rule] = self.outcome.last_steps.get(rule, 0) + 1
        if gate.open:
            self.judge(day)
        elif day > DAYS - 30:
            for check in gate.checks:
                if check.state != "met":
                    self.outcome.shut[check.id] = self.outcome.shut.get(check.id, 0) + 1
        return advice

    def judge(self, day: int) -> None:
        """Notes what an open gate is worth; the first time, the same is asked for in full."""
        keeper = self.keeper
        if self.outcome.opened is None:
            self.outcome.opened = day
            journal = Journal(reefjournal.read_text(keeper.journal).notes, {(): book()})
            whole = journal.advise(keeper.today, forecast=False, engine="plain")
            assert next(gate for gate in whole.gates if gate.id == "first-fish").open
        self.outcome.claims[day] = worth(keeper)
        if harmed(keeper):
            self.outcome.harm.append(day)

    def in_truth(self) -> tuple[int | None, int | None]:
        """The first day of a tank that could pass, and the first by which all tests asked for show it.

        These are two clear days, a challenge that passes, and two clear days again, by tests that err in nothing.
        """
        keeper, noons = self.keeper, self.keeper.world.noons
        able = [passes(keeper, water, day + 0.5) > 0 for day, water in enumerate(noons)]
        both = [clear(keeper, water) for water in noons]
        could = next((day for day, one in enumerate(able) if one), None)
        tried = [day for day in range(1, len(both)) if both[day - 1] and both[day] and able[day]]
        shown = (day + days for day in tried if (days := clear_again(keeper, noons[day], day + 0.5)))
        return could, min(shown, default=None)


def detection(keeper: Keeper) -> tuple[float, float]:
    """Where the kits cease to show nothing, mg N/L."""
    return keeper.kits["ammonia"].edges[1], keeper.kits["nitrite"].edges[1]


def clear(keeper: Keeper, water: Water) -> bool:
    """Whether kits that err in nothing show nothing."""
    levels = detection(keeper)
    return water.ammonia <= levels[0] and water.nitrite <= levels[1]


def clear_again(keeper: Keeper, water: Water, day: float) -> int:
    """How many days after a challenge both tests were clear on two days in a row; 0 where not within a week."""
    probe, row = replace(water, ammonia=water.ammonia + 1), 0
    for days in range(1, 8):
        keeper.world.tank.flow(probe, day + days - 1)
        row = row + 1 if clear(keeper, probe) else 0
        if row == 2:
            return days
    return 0


def goes(tank: Tank, water: Water, day: float, trial: tuple[float, int], levels: tuple[float, float]) -> bool:
    """Whether a trial of so many mg N/L for so many hours ends at or below these levels."""
    dose, hours = trial
    probe = replace(water, ammonia=water.ammonia + dose)
    for hour in range(0, hours, 24):
        tank.flow(probe, day + hour / 24)
    return probe.ammonia <= levels[0] and probe.nitrite <= levels[1]


def passes(keeper: Keeper, water: Water, day: float, dose: float = 1.0, more: float = 1.0) -> int:
    """In how many hours a dose comes down as the gate claims, levels that are ``more`` as high allowed; 0 for never."""
    clear, kits, tank = detection(keeper), keeper.kits, keeper.world.tank
    step = min(kits["ammonia"].edges[2], 0.5), min(kits["nitrite"].edges[2], 0.5)
    trials = ((24, step), (48, clear))
    return next((h for h, (a, n) in trials if goes(tank, water, day, (dose, h), (a * more, n * more))), 0)


def worth(keeper: Keeper) -> str:
    """Which of the trials the tank would stand now, the hardest first."""
    world = keeper.world
    day = world.now / STEPS
    if goes(world.tank, world.water, day, (1.0, 24), detection(keeper)):
        return "detection"
    if passes(keeper, world.water, day):
        return "claim"
    return "tolerance" if passes(keeper, world.water, day, dose=0.8, more=1.2) else "wrong"


def harmed(keeper: Keeper) -> bool:
    """Whether the planned ration would be too much for the tank as it is."""
    probe, world = replace(keeper.world.water), keeper.world
    plans = [float(line.split()[3]) for line in keeper.journal.splitlines() if line.startswith("- plan: food")]
    daily = (plans[-1] if plans else 0.0) * FOOD_NITROGEN / world.litres
    for half_day in range(28):
        probe.ammonia += daily / 2
        world.tank.flow(probe, world.now / STEPS + half_day / 2, STEPS // 2)
        if probe.ammonia > 0.2 + daily / 2:
            return True
    return False


def works(keeper: Keeper) -> bool:
    """Whether both kits read what is there, nearly always."""
    kits = [keeper.kits["ammonia"], keeper.kits["nitrite"]]
    return all(not kit.stuck and kit.offset == 0 and kit.unreadable < 0.1 for kit in kits)


def run(seed: int) -> Outcome:
    """The cycle of this seed."""
    begun = time.perf_counter()
    keeper = draw_keeper(seed)
    outcome = Loop(keeper, Outcome(seed, keeper.habits.follows, works(keeper))).run()
    outcome.seconds = round(time.perf_counter() - begun, 2)
    return outcome


def table(outcomes: list[Outcome]) -> str:
    """The rows for DEVELOPERS.md."""
    rows = ["| | keepers who follow | who do as they please |", "|---|---|---|"]
    groups = [[one for one in outcomes if one.follows], [one for one in outcomes if not one.follows]]
    rows += [row("cycles", groups, len)]
    rows += [row("`first-fish` opened", groups, lambda group: sum(one.opened is not None for one in group))]
    for name in ("detection", "claim", "tolerance", "wrong"):
        rows.append(row(f"at the first opening in truth: {name}", groups, lambda group, name=name: first(group, name)))
    rows.append(row("open on any day and wrong", groups, lambda g: sum("wrong" in o.claims.values() for o in g)))
    rows.append(row("the planned ration would have harmed", groups, lambda group: sum(bool(one.harm) for one in group)))
    could = [[o for o in g if o.working and o.could is not None and o.could <= IN_TIME] for g in groups]
    rows.append(row("working kits, and could pass by day 78", could, len))
    rows.append(row("of these opened", could, lambda g: share(sum(o.opened is not None for o in g), len(g))))
    rows.append(row("delay after the tests could have shown it, days", could, delay))
    return "\n".join(rows)


def row(name: str, groups: list[list[Outcome]], of: object) -> str:
    """A line of the table."""
    return f"| {name} | {of(groups[0])} | {of(groups[1])} |"  # type: ignore[operator]


def first(group: list[Outcome], name: str) -> int:
    """How many of the first openings were worth so much."""
    return sum(next(iter(one.claims.values())) == name for one in group if one.claims)


def share(part: int, whole: int) -> str:
    """A part of a whole, in words."""
    return f"{part} ({100 * part / whole:.0f} %)" if whole else "none"


def delay(group: list[Outcome]) -> str:
    """Median and the spread of the days from what could be shown to the opening."""
    days = sorted(one.opened - one.shown for one in group if one.opened is not None and one.shown is not None)
    return f"median {median(days):.0f}, nine in ten by {days[int(0.9 * (len(days) - 1))]}" if days else "none"


def main() -> None:
    """Run the cycles that are not in the file yet, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    parser.add_argument("--runs", type=int, default=20)
    parser.add_argument("--first-seed", type=int, default=0)
    parser.add_argument("--results", type=Path, required=True, help="a file outside the repository")
    parser.add_argument("--workers", type=int, default=1)
    options = parser.parse_args()
    kept = [json.loads(line) for line in options.results.read_text().splitlines()] if options.results.exists() else []
    outcomes = {row["seed"]: Outcome(**row) for row in kept}
    seeds = [seed for seed in range(options.first_seed, options.first_seed + options.runs) if seed not in outcomes]
    with Pool(options.workers) as pool, options.results.open("a", encoding="utf-8") as file:
        for count, outcome in enumerate(pool.imap_unordered(run, seeds), 1):
            outcomes[outcome.seed] = outcome
            file.write(json.dumps(asdict(outcome)) + "\n")
            file.flush()
            print(f"\r{count} of {len(seeds)}", end="", flush=True)
    chosen = [outcomes[seed] for seed in range(options.first_seed, options.first_seed + options.runs)]
    print(f"\n{table(chosen)}")
    print(Counter(step for one in chosen for step in one.baffled))


if __name__ == "__main__":
    main()
