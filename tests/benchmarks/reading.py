"""How fast notes are read: run by hand, ``python tests/benchmarks/reading.py``.

Prints MB/s of reading a diary-like journal of 1 MB, the same for a bare block parse by markdown-it-py, and the ratio;
medians of five. Then, for texts made to be slow, how much longer eight times the text takes: about 8 is linear.
The texts are made up here, from one seed.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from datetime import date, timedelta
from statistics import median

from markdown_it import MarkdownIt

from reefjournal.journal import read_text

SIZE = 1_000_000
PROSE = (
    "The haze is thinner than yesterday, and the back pane can be read again from the sofa.",
    "Spent an hour on the left vent door; the hinge wants two washers and then it closes without a sound.",
    "Nothing to report, which is how I like it, though the return pump hums when the level is low.",
    "Wiped the front pane. What came off was brown and fine, and it settled again within the hour.",
    "I sat in front of it in the dark with a torch for a while, and looked at the rock from all sides.",
    "The room smells of the sea now, a little. The others say so too, so it is not only me who notices.",
)
ITEMS = (
    "test: ammonia {0:.1f} ppm, nitrite {1}, pH 8.1",
    "19:30 nitrite {1}",
    "test: temperature 25.{2} C, salinity 35 ppt, alkalinity 8.{2} dKH",
    "water: changed {3} L at 35 ppt",
    "dose: ammonium chloride 0.{2} g",
    "seen: surface film, slight, weir corner",
    "gear: carbon reactor on",
    "fed: 0.{2} g pellets 45 % protein",
    "build: left vent door planed and sealed again",
    "[ ] clean the weir comb every {3} days",
    "spent: {3}.50 on small parts",
)


def journal(size: int) -> str:
    """Dated entries of records and prose, about ``size`` bytes, two thirds of them prose."""
    chance, day = random.Random(1), date(2026, 1, 1)
    parts = ["## 2025-12-31\n\n- vessel: display, 290 L\n- kit: ammonia, as NH4\n- kit: nitrite, as NO2\n"]
    written = 0
    while written < size:
        day += timedelta(days=chance.choice((0, 1)))
        items = [
            item.format(
                chance.randrange(30) / 10, chance.randrange(40) / 5, chance.randrange(1, 9), chance.randrange(99)
            )
            for item in chance.sample(ITEMS, chance.randrange(1, 5))
        ]
        prose = "\n".join(chance.choice(PROSE) for _ in range(chance.randrange(1, 5)))
        parts.append(f"\n## {day} A day like others\n\n" + "".join(f"- {item}\n" for item in items) + f"\n{prose}\n")
        written += len(parts[-1])
    return "".join(parts)


ADVERSARIAL: dict[str, Callable[[int], str]] = {
    "deep lists": lambda n: "".join(f"{'  ' * (i % 200)}- x\n" for i in range(n)),
    "quotes": lambda n: ">" * n + "\n",
    "one long line": lambda n: "## 2026-03-14\n- " + "ammonia 0.5 " * n,
    "commas": lambda n: "## 2026-03-14\n- test: " + "," * n * 4,
    "brackets": lambda n: "## 2026-03-14\n- test: " + "(" * n * 4,
    "slips": lambda n: "## 2026-03-14\n" + "- amonia 0.5\n" * n,
    "unknown words": lambda n: "## 2026-03-14\n" + "".join(f"- stock: added {i} qu{i}zz\n" for i in range(n)),
    "pipes": lambda n: "|" * n + "\n" + "|-" * n + "\n",
    "digits": lambda n: "## 2026-03-14\n- ammonia " + "1" * n * 4,
    "dates": lambda n: "## 2026-03-14\n- build: " + "2026-3-14 " * n,
    "long paragraph": lambda n: "## 2026-03-14\n" + "the haze is thin today\n" * n,
    "private": lambda n: "## 2026-03-14\n- spent: 5 on " + "[[" * n * 4,
    "wrapped item": lambda n: "## 2026-03-14\n- test: pH 8.1,\n" + "  pH 8.1,\n" * n,
    "headings": lambda n: "## 2026-03-14\n" * n,
    "spaces": lambda n: "## 2026-03-14\n- test: pH" + " " * n * 4 + "8.1",
}


def growth(make: Callable[[int], str]) -> float:
    """How many times longer eight times the text takes, in processor time."""
    small, large = (min(seconds(make(size)) for _ in range(3)) for size in (1000, 8000))
    return large / small


def seconds(text: str) -> float:
    """Processor time of one reading."""
    start = time.process_time()
    read_text(text)
    return time.process_time() - start


def megabytes_a_second(read: Callable[[str], object], text: str) -> float:
    """The median of five runs."""
    taken = []
    for _ in range(5):
        start = time.perf_counter()
        read(text)
        taken.append(time.perf_counter() - start)
    return len(text.encode()) / 1e6 / median(taken)


def main() -> None:
    """Measure and print."""
    text = journal(SIZE)
    notes = read_text(text)
    bare = megabytes_a_second(MarkdownIt("commonmark").disable(["inline"]).parse, text)
    whole = megabytes_a_second(read_text, text)
    print(f"{len(text)} bytes, {text.count(chr(10))} lines, {len(notes.events)} events, {len(notes.problems)} problems")
    print(f"read {whole:.2f} MB/s, bare block parse {bare:.2f} MB/s, ratio {whole / bare:.2f}")
    for name, make in ADVERSARIAL.items():
        print(f"{growth(make):6.1f} {name}")


if __name__ == "__main__":
    main()
