"""Random well-formed notes, and what must hold of the advice on any notes whatever. Shared by tests and benchmark."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta

from reefjournal import Journal
from reefjournal.advisor import guard
from reefjournal.advisor.advice import Action, Advice
from reefjournal.advisor.rules import PRECEDENCE
from reefjournal.evidence import nitrogen
from reefjournal.evidence.scene import Scene

START = date(2026, 3, 1)
NITROGEN = 261.87  # mg N in a gram of ammonium chloride: IUPAC weights (2021)
MOST = 4.0  # mg N/L that may be in the water as ammonia
CYCLE = [
    "vessel: display, 290 L water", "vessel: display, 120 x 55 x 50 cm", "vessel: quarantine, 55 L water",
    "kit: ammonia, as N, card 0 0.25 0.5 1 2 4", "kit: ammonia, card 0 0.25 0.5 1 2 4, expires 2026-03",
    "kit: nitrite, as NO2, card 0 0.2 0.6 1.5 4", "water: filled 290 L at 35 ppt", "water: changed 100 L at 35 ppt",
    "water (quarantine): filled 55 L at 35 ppt", "water: changed 30 %", "water: drained",
    "dose: ammonium chloride 2.2 g", "dose: ammonium chloride 1.1 g", "dose: ammonium chloride 0.55 g",
    "dose: ammonium chloride", "dose: raw prawn 40 g", "dose: bacterial culture 50 ml", "dose: ammonia to 2 ppm",
    "dose (quarantine): ammonium chloride 0.21 g", "test: ammonia 0, nitrite 0",
    "test: ammonia 0, nitrite 0, nitrate 10",
    "test: ammonia 2, nitrite 0", "test: ammonia 1, nitrite 0.6", "test: ammonia 0, nitrite 4", "test: ammonia 0.25",
    "test: ammonia cloudy, nitrite 0", "test (quarantine): ammonia 0, nitrite 0", "test: ammonia 4, nitrite 1.5",
    "test: salinity 35 ppt, temperature 25 C, pH 8.2", "check: ammonia blank 0.25", "check: ammonia by shop 0",
    "stock: added 6 turban snails", "stock: added 2 gobies", "stock: lost 2 gobies", "stock: none", "stock: no snails",
    "stock: added 12 kg live rock", "stock: moved 2 gobies quarantine -> display", "stock (quarantine): added 2 gobies",
    "fed: 1.2 g pellets 45 % protein every day", "fed: stop", "plan: food 0.6 g pellets 45 % protein every day",
    "stok: aded 2 crabs", "discard: ammonia 2026-03-02 to 2026-03-09, old reagent", "treat: copper, start",
    "discard: stock 2026-03-02, wrong tank", "seen: haze", "gear: lights on", "saw a snail on the pane",
]  # fmt: skip
REEF = [
    "treat (quarantine): copper, start, target 0.2 mg/L -- plan of the aquatic vet", "treat: copper, end",
    "plan: copper in the display 2026-03-10", "test (quarantine): copper 0.2", "stock: added 3 soft corals",
    "stock: moved 2 gobies display -> quarantine", "stock: no fish", "stock: added 3 zoanthids", "stock: lost 6 snails",
    "seen: white spots on fish", "seen: gasping", "seen: not eating", "seen: rotten smell", "seen: all well",
    "seen: tingle in the water", "seen: water on the floor, by the cabinet", "seen: spray in the water",
    "seen: cut on the hand", "test: temperature 31 C", "test: temperature 17 C", "test: oxygen 3 mg/L",
    "test: salinity 29 ppt", "test: alkalinity 5 dKH", "test: pH 7.4", "gear: return pump off", "gear: heater off",
    "gear: return pump on", "gear: foam block added, five weeks in the sump", "build: leak test failed, a drip",
    "build: leak test passed, 48 h", "build: RCD 30 mA fitted by the electrician, test button pressed",
    "plan: 2 gobies 2026-03-20", "plan: away 2026-03-12 to 2026-03-20", "test (tap): ammonia 0.5, chlorine 1 mg/L",
    "dose: urea 1 g", "dose: sodium bicarbonate 15 g", "water: topped up 6 L RO", "[ ] dose 5 g ammonium chloride",
]  # fmt: skip
HEAD = """
## 2026-02-01
- vessel: display, 290 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4
- kit: nitrite, as N, card 0 0.1 0.2 0.5 1 2
- water: filled 290 L at 35 ppt
"""
PROVEN = f"""{HEAD}- plan: food 0.6 g pellets 45 % protein every day
- dose: ammonium chloride 2.2 g
## 2026-02-02
- ammonia 2, nitrite 0
## 2026-02-14
- ammonia 0, nitrite 2
## 2026-02-26 18:00
- ammonia 0, nitrite 0
## 2026-02-27
- 17:00 ammonia 0, nitrite 0, salinity 35 ppt, temperature 25 C
- 18:00 dose: ammonium chloride 1.1 g
- 19:00 ammonia 1
## 2026-02-28 17:00
- ammonia 0, nitrite 0
"""
BEGINNINGS = ("", HEAD, PROVEN)
CLOCKS = (None, "08:00", "19:30")
Entry = tuple[int, str | None, list[str]]
Drawn = tuple[str, list[Entry]]


def written(drawn: Drawn) -> tuple[str, date]:
    """The notes as text, and their last day; some begin as a keeper's would, so that doses and gates are in reach."""
    beginning, entries = drawn
    day, text = START, [beginning]
    for gap, clock, records in entries:
        day += timedelta(days=gap)
        text += [f"## {day} {clock or ''}".rstrip(), *(f"- {record}" for record in records)]
    return "\n".join(text), day


def draw(rng: random.Random) -> Drawn:
    """Entries of all records alike, or of those of a cycle alone, so that long sequences of it come too."""
    records = CYCLE if rng.random() < 0.5 else CYCLE + REEF
    sizes = [rng.randint(0, 4) for _ in range(rng.randint(1, 14))]
    entries = [(rng.randint(0, 2), rng.choice(CLOCKS), [rng.choice(records) for _ in range(size)]) for size in sizes]
    beginning = rng.choice(BEGINNINGS)
    # What is proven stays so for little more than a note or two.
    return beginning, entries[: rng.randint(1, 2)] if beginning == PROVEN and rng.random() < 0.7 else entries


def broken(journal: Journal, day: date) -> Iterator[str]:
    """What does not hold, of every vessel; nothing where all is well."""
    for vessel in journal.state(day).names:
        advice = journal.advise(day, vessel, forecast=False, engine="plain")
        for action in advice.actions:
            yield from broken_by(journal, day, vessel, action)
        yield from broken_order(journal, advice)
        yield from ajar(journal, day, advice)


def broken_by(journal: Journal, day: date, vessel: str, action: Action) -> Iterator[str]:
    """What a step breaks, by its words and by its amount."""
    state = journal.state(day)
    water = state.vessel(vessel)
    amount = action.amount.value if action.amount and action.amount.substance == "ammonium chloride" else 0.0
    gives = guard.given(action.do)
    if amount or "ammonia" in gives:
        if water.life().present != "no":
            yield f"{vessel}: {action.rule} gives ammonia where something may live"
        if water.volume is None:
            yield f"{vessel}: {action.rule} gives ammonia without a volume"
        elif nitrogen.unoxidised(Scene(state, water)) + amount * NITROGEN / water.volume.low > MOST:
            yield f"{vessel}: {action.rule} gives more ammonia than there is room for"
    if "copper" in gives and any(water.life(group).present != "no" for group in ("invertebrate", "coral")):
        yield f"{vessel}: {action.rule} gives copper where an invertebrate may live"


def broken_order(journal: Journal, advice: Advice) -> Iterator[str]:
    """People first, then leaks, emergencies, doubts and what must stop; the rest among itself as it likes."""
    steps = [journal.rulebook().rules[action.rule].step for action in advice.actions]
    ranks = [min(PRECEDENCE.index(step.precedence), PRECEDENCE.index("cycle")) for step in steps if step]
    if ranks != sorted(ranks):
        yield f"{advice.vessel}: {advice.actions[0].rule} stands above what is more urgent"


def ajar(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """Gates that are open on something unknown, or for animals without clear tests and something that was fed."""
    for gate in advice.gates:
        if gate.open != all(check.state == "met" for check in gate.checks):
            yield f"{advice.vessel}: gate {gate.id} is open on an unknown check"
        if gate.open and gate.id in ("clean-up-crew", "first-fish"):
            readings = journal.state(day).vessel(advice.vessel).readings
            clear = {one.analyte for one in readings if one.rank == 0 and one.readable and (day - one.day).days <= 3}
            given = (one for one in journal.events if one.kind in ("dose", "fed") and one.vessel == advice.vessel)
            if not {"ammonia", "nitrite"} <= clear or not any(one.day for one in given):
                yield f"{advice.vessel}: gate {gate.id} is open without tests, or though nothing was ever given"
