"""Random well-formed notes, for the tests of what must always hold (``invariants.py``) and for the attack by hand."""

from __future__ import annotations

import random
from datetime import date, timedelta

START = date(2026, 3, 1)
CYCLE = [
    "vessel: display, 290 L water", "vessel: display, 120 x 55 x 50 cm", "vessel: quarantine, 55 L water",
    "kit: ammonia, as N, card 0 0.25 0.5 1 2 4", "kit: ammonia, card 0 0.25 0.5 1 2 4, expires 2026-03",
    "kit: nitrite, as NO2, card 0 0.2 0.6 1.5 4", "water: filled 290 L at 35 ppt", "water: changed 100 L at 35 ppt",
    "water (quarantine): filled 55 L at 35 ppt", "water: changed 30 %", "water: drained 290 L",
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
    "seen: brown dusting", "seen: green film, slight, front pane", "seen: hair algae", "seen: brown dusting gone",
]  # fmt: skip
REEF = [
    "treat (quarantine): copper, start, target 0.2 mg/L -- plan of the aquatic vet", "treat: copper, stop",
    "plan: copper in the display 2026-03-10", "test (quarantine): copper 0.2", "stock: added 3 soft corals",
    "stock: moved 2 gobies display -> quarantine", "stock: no fish", "stock: added 3 zoanthids", "stock: lost 6 snails",
    "seen: white spots on fish", "seen: gasping", "seen: not eating", "seen: rotten smell", "seen: all well",
    "seen: tingle in the water", "seen: water on the floor, by the cabinet", "seen: spray in the water",
    "seen: cut on the hand", "test: temperature 31 C", "test: temperature 17 C", "test: oxygen 3 mg/L",
    "test: salinity 29 ppt", "test: alkalinity 5 dKH", "test: pH 7.4", "gear: return pump off", "gear: heater off",
    "gear: return pump on", "gear: foam block added, five weeks in the sump", "build: leak test failed, a drip",
    "build: leak test passed, 48 h", "build: RCD 30 mA fitted by the electrician, test button pressed",
    "plan: 2 gobies 2026-03-20", "plan: away 2026-03-12 to 2026-03-20", "test (tap): ammonia 0.5, chlorine 1 mg/L",
    "test (tap): ammonia 0, total chlorine 0 mg/L", "seen: all well, eating",
    "stock: moved 1 firefish quarantine -> display",
    "seen (quarantine): all well, eating", "seen (quarantine): rubbing", "seen (quarantine): rubbing gone",
    "test (quarantine): ammonia 0, nitrite 0, temperature 25.2 C, salinity 35 ppt", "stock (quarantine): none",
    "treat (quarantine): praziquantel, start", "treat (quarantine): praziquantel, stop",
    "gear (quarantine): heater off",
    "build (quarantine): disinfected and dried", "build: drain-down test failed", "build: no sump", "build: no RCD",
    "stock: added 1 firefish", "stock: lost 1 goby", "plan: 1 firefish 2026-03-14", "plan: food 6 g pellets every day",
    "stock (quarantine): lost 1 goby", "[ ] treat the gobies with copper by 2026-03-03",
    "water: moved 20 L quarantine -> display", "dose: urea 1 g", "dose: sodium bicarbonate 15 g",
    "water: topped up 6 L RO", "[ ] dose 5 g ammonium chloride", "[ ] dose 5 g ammonium chloride by 2026-03-04",
]  # fmt: skip
HEAD = """
## 2026-02-01
- vessel: display, 290 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4
- kit: nitrite, as N, card 0 0.1 0.2 0.5 1 2
- water: filled 290 L at 35 ppt
"""
BUILT = """
## 2026-02-01
- vessel: display, 120 x 55 x 50 cm
- build: floor is a slab on the ground
- build: tank lifted on to the stand, no gap under the tank, levelled
- build: bulkheads set in silicone
## 2026-02-20
- build: leak test passed, 48 h
- build: RCD 30 mA fitted by the electrician, test button pressed
- build: drip loop on every cable
- build: drain-down test passed, 90 mm of height to spare
- test (tap): ammonia 0, total chlorine 0 mg/L
"""
SALTED = f"""{BUILT}- vessel: display, 120 x 55 x 50 cm, 290 L water with sump
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4
- kit: nitrite, as N, card 0 0.1 0.2 0.5 1 2
- water: filled 290 L at 35 ppt
## 2026-02-28
- stock: none
- test: salinity 35 ppt, temperature 25.5 C, ammonia 0, nitrite 0
"""
PROVEN = f"""{HEAD}- plan: food 0.6 g pellets 45 % protein every day
- dose: ammonium chloride 2.2 g
## 2026-02-02
- ammonia 2, nitrite 0
## 2026-02-14
- ammonia 0, nitrite 2
- seen: brown dusting
## 2026-02-26
- 17:00 ammonia 0, nitrite 0, salinity 35 ppt, temperature 25 C
- 18:00 dose: ammonium chloride 1.1 g
- 19:00 ammonia 1
## 2026-02-27 17:00
- ammonia 0, nitrite 0
## 2026-02-28 17:00
- ammonia 0, nitrite 0
"""
TWO_TANKS = """
## 2025-10-02
- vessel: display, 290 L water
- vessel: quarantine, 55 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4
- kit: nitrite, as N, card 0 0.1 0.2 0.5 1 2
- water: filled 290 L at 35 ppt
- dose: ammonium chloride 1.1 g
## 2025-10-03
- ammonia 1, nitrite 0
## 2025-10-12
- ammonia 0, nitrite 0.5
"""
SMALL_TANK_PROVEN = f"""{TWO_TANKS}## 2026-02-26 (quarantine)
- water: filled 55 L at 35 ppt
- gear: foam block added, five weeks in the sump
- gear: heater set 25 C
- gear: air pump on
- stock: none
- 18:00 ammonia 0, nitrite 0
- 19:00 dose: ammonium chloride 0.23 g
- 20:00 ammonia 1
## 2026-02-27 (quarantine)
- 18:00 ammonia 0, nitrite 0, salinity 35 ppt, temperature 25.2 C
"""
WATCHED = f"""{TWO_TANKS}## 2026-01-25 (quarantine)
- water: filled 55 L at 35 ppt
- gear: foam block added, five weeks in the sump
- gear: heater set 25 C
- gear: air pump on
- 18:00 dose: ammonium chloride 0.23 g
- 19:00 ammonia 1
## 2026-01-26 (quarantine)
- 18:00 ammonia 0, nitrite 0
## 2026-01-27 (quarantine)
- stock: added 2 gobies
- fed: 0.3 g pellets 45 % protein every day
## 2026-02-03 (quarantine)
- ammonia 0, nitrite 0
- seen: all well
## 2026-02-15 (quarantine)
- ammonia 0, nitrite 0
- seen: all well
## 2026-02-28 (quarantine)
- ammonia 0, nitrite 0, salinity 35 ppt, temperature 25.2 C
- seen: all well, eating
"""
SETTLED = f"""{TWO_TANKS}## 2026-01-20
- stock: added 2 gobies
- fed: 0.4 g pellets 45 % protein every day
## 2026-02-20
- plan: 1 firefish 2026-03-14
- plan: food 0.6 g pellets 45 % protein every day
- fed: 0.6 g pellets 45 % protein every day
## 2026-02-21
- ammonia 0, nitrite 0
## 2026-02-24
- ammonia 0, nitrite 0
## 2026-02-28
- ammonia 0, nitrite 0, salinity 35 ppt, temperature 25 C
- seen: all well
"""
RESTED = f"""{TWO_TANKS}## 2025-11-14
- stock: added 6 turban snails
- fed: 0.6 g pellets 45 % protein every day
## 2025-12-01
- stock: added 2 gobies
- ammonia 0, nitrite 0
## 2025-12-09
- seen: white spots on fish
## 2025-12-10
- stock: moved 2 gobies display -> quarantine
- stock: no fish
- ammonia 0, nitrite 0, temperature 25.2 C
## 2026-01-20
- ammonia 0, nitrite 0, temperature 25.3 C
## 2026-02-28
- ammonia 0, nitrite 0, temperature 25.4 C, salinity 35 ppt
- stock: no fish
"""
BEGINNINGS = ("", HEAD, BUILT, SALTED, PROVEN, SMALL_TANK_PROVEN, WATCHED, SETTLED, RESTED)
"""Notes as a keeper's might begin: each brings one of the gates, or a dose, into reach of what is drawn after it."""
CLOCKS = (None, "08:00", "19:30")
GAPS = (0, 0, 0, 1, 1, 1, 2, 2, 2, 5, 12, 40)
Entry = tuple[int, str | None, list[str]]
Drawn = tuple[str, list[Entry]]


def written(drawn: Drawn, first: date = START) -> tuple[str, date]:
    """The notes as text, their entries from the ``first`` day on, and their last day."""
    beginning, entries = drawn
    day, text = first, [beginning]
    for gap, clock, records in entries:
        day += timedelta(days=gap)
        text += [f"## {day} {clock or ''}".rstrip(), *(f"- {record}" for record in records)]
    return "\n".join(text), day


def draw(rng: random.Random) -> Drawn:
    """Entries of all records alike, or of those of a cycle alone, so that long sequences of it come too."""
    records = CYCLE if rng.random() < 0.5 else CYCLE + REEF
    sizes = [rng.randint(0, 4) for _ in range(rng.randint(1, 14))]
    entries = [(rng.choice(GAPS), rng.choice(CLOCKS), [rng.choice(records) for _ in range(size)]) for size in sizes]
    beginning = rng.choice(BEGINNINGS)
    if beginning not in ("", HEAD) and rng.random() < 0.7:
        # What was reached is lost again within a few notes; most of the trouble lies just before that.
        entries = [(min(gap, 2), clock, found[:2]) for gap, clock, found in entries[: rng.randint(1, 2)]]
    return spoilt(beginning, rng) if rng.random() < 0.5 else beginning, entries


def spoilt(beginning: str, rng: random.Random) -> str:
    """The beginning with some of its records left out, and some in place of others: gates that are nearly met."""
    lines = beginning.splitlines()
    for place, line in enumerate(lines):
        if line.startswith("- ") and rng.random() < 0.08:
            lines[place] = f"- {rng.choice(CYCLE + REEF)}" if rng.random() < 0.5 else ""
    return "\n".join([*lines, ""])
