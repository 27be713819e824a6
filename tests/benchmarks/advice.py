"""How long whole commands and ten years of notes take; run by hand: python tests/benchmarks/advice.py

Prints medians of five and the peak memory, and first how long `import pydantic` takes here, which says what the
machine is. Nothing is judged.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from reefjournal.advisor.rulebook import built_in, load_only

ROOT = Path(__file__).parent.parent.parent
SAMPLE = ROOT / "sample_journal"
DAYS = ("2026-03-20", "2026-05-20", "2026-08-25", "2026-10-04")
# Under PYTHONDONTWRITEBYTECODE, which test shells like to set, every process compiles all its sources again: a fifth
# of a second that no keeper ever waits for.
ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
START = date(2016, 1, 1)
CYCLE = """
## 2016-01-01 09:00
- vessel: display, 290 L water
- kit: ammonia, as N, card 0 0.25 0.5 1 2 4
- kit: nitrite, as N, card 0 0.05 0.2 0.5 1 2
- water: filled 290 L at 35 ppt
- dose: ammonium chloride 2.2 g
"""


def ten_years() -> str:
    """About 20,000 records: a cycle, then animals, daily feeding and temperature, tests and changes by the week."""
    text = [CYCLE]
    for n in range(1, 3653):
        lines = [f"## {START + timedelta(days=n)} 19:00", "Quiet day; the snails are on the front pane.", ""]
        lines += ["- test: temperature 25.3 C, pH 8.1", "- fed: 1.2 g pellets 45 % protein", "- water: topped up 4 L"]
        if n < 60:
            lines.append(f"- test: ammonia {2 if n < 15 else 0}, nitrite {0 if n < 8 or n > 40 else 2}")
        elif n == 61:
            lines.append("- stock: added 6 turban snails")
        elif n % 2 == 0:
            lines += ["- test: alkalinity 8.1 dKH, salinity 35 ppt", "- seen: green film, slight, front pane"]
        if n % 7 == 0 and n > 60:
            lines += ["- test: ammonia 0, nitrite 0, nitrate 10", "- water: changed 30 L at 35 ppt"]
        text.append("\n".join(lines))
    return "\n\n".join(text)


def median(work: Callable[[], object], times: int = 5) -> float:
    """The median of the seconds that some work takes."""
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken)


def python(*words: str) -> Callable[[], object]:
    """A whole process of Python; its first run, which compiles the sources, should not be counted."""
    return lambda: subprocess.run([sys.executable, *words], capture_output=True, check=False, env=ENVIRONMENT)


def command(*words: str) -> Callable[[], object]:
    """A whole process of the program."""
    return python("-m", "reefjournal", *words)


def advise(day: str, *more: str) -> Callable[[], object]:
    """Advice on a day of the sample."""
    return command("advise", str(SAMPLE), "--on", day, *more)


def alone(code: str) -> tuple[float, float]:
    """Seconds and peak megabytes of some code in a process of its own."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, env=ENVIRONMENT)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    return time.perf_counter() - begun, peak


def main() -> None:
    """Print the table."""
    advise(DAYS[0])()
    rows = [
        ("python, doing nothing", median(python("-c", ""))),
        ("import pydantic", median(python("-c", "import pydantic"))),
        ("reefjournal --help", median(command("--help"))),
        ("check, the sample", median(command("check", str(SAMPLE)))),
        *((f"advise, the sample, {day}, no forecast", median(advise(day, "--no-forecast"))) for day in DAYS),
        (f"advise, the sample, {DAYS[0]}, forecast kept", median(advise(DAYS[0]))),
        ("rules", median(command("rules"))),
        ("sources", median(command("sources"))),
        ("the rulebook, with its examples", median(lambda: load_only([built_in()]))),
        ("the rulebook as advice reads it, kept parsed", median(lambda: load_only([built_in()], examples=False))),
    ]
    for name, seconds in rows:
        print(f"{name:50} {seconds:6.2f} s")
    with tempfile.TemporaryDirectory() as folder:
        notes = Path(folder) / "notes.md"
        notes.write_text(ten_years(), encoding="utf-8")
        code = (
            f"import reefjournal, datetime; j = reefjournal.read({str(notes)!r});"
            "a = j.advise(datetime.date(2025, 12, 30), forecast=False);"
            "print(len(j.events), 'records,', a.stage.id, 'since', a.stage.since)"
        )
        seconds, peak = alone(code)
        print(f"{'reading ten years and advising':50} {seconds:6.2f} s, {peak:.0f} MB in all")


if __name__ == "__main__":
    main()
