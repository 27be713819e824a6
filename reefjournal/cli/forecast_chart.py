"""The forecast as a drawing: ammonia and nitrite with their ranges, the tests, and the day that is asked about.

Plain sums and text, so that the same forecast is the same file everywhere. Colours follow light and dark.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from html import escape

from reefjournal.diary.charts import round_up
from reefjournal.diary.wording import in_short, number
from reefjournal.evidence.outlook import Outlook, in_words
from reefjournal.nitrification.bands import bands
from reefjournal.nitrification.results import Band
from reefjournal.nitrification.run import Reading

WIDTH, LEFT, RIGHT, TOP, PANEL, GAP, AXIS = 880.0, 44.0, 16.0, 34.0, 150.0, 40.0, 34.0
AFTER, LEAST_AHEAD = 7.0, 21.0
"""Days that are drawn behind the last date, and ahead at least."""
THRESHOLD = 0.1
MOST_TICKS = 10
STYLE = """
text{font:13px system-ui,sans-serif;fill:#222}.faint{fill:#555}.line{stroke:#888;stroke-width:1}
.ammonia{fill:#824506;stroke:#824506}.nitrite{fill:#8b2252;stroke:#8b2252}
.wide{opacity:.18;stroke:none}.narrow{opacity:.32;stroke:none}.middle{fill:none;stroke-width:2}
.test{stroke:none}.today{stroke:#222;stroke-width:1;stroke-dasharray:5 4}.low{stroke:#888;stroke-dasharray:1 3}
@media(prefers-color-scheme:dark){text{fill:#eee}.faint{fill:#bbb}.today{stroke:#eee}
.ammonia{fill:#f0b35c;stroke:#f0b35c}.nitrite{fill:#f39abc;stroke:#f39abc}}
""".strip()


def svg(found: Outlook, vessel: str) -> str:
    """The drawing. Fits the model anew, for the courses themselves are not kept."""
    last = _last_day(found)
    frames = [_frame(found, band, place) for place, band in enumerate(bands(found.cycle.run, last))]
    height = TOP + len(frames) * (PANEL + GAP) + AXIS
    title = f"{vessel}: ammonia and nitrite as of {in_words(found.on, found.on)} {found.on.year}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {height:.0f}" role="img" '
        'aria-labelledby="title desc">',
        f'<title id="title">{escape(title)}</title>',
        f'<desc id="desc">{escape(_summary(found))}</desc>',
        f"<style>{STYLE}</style>",
        _text(LEFT, 18, title),
    ]
    for frame in frames:
        parts += frame.panel()
    return "\n".join([*parts, *frames[-1].days(), "</svg>\n"])


def _summary(found: Outlook) -> str:
    """What the drawing shows, in words."""
    key = "Bands: 50 % and 80 % ranges, line: median, bars: tests, dashes: the day asked about, dots: 0.1 mg N/L."
    return " ".join([*(row.says for row in found.rows), key])


def _last_day(found: Outlook) -> float:
    """A week behind the last date of ammonia or nitrite, within the horizon."""
    known = found.assessment
    lows = [one for one in known.outcomes if one.id in ("ammonia", "nitrite")]
    ends = [known.on + known.horizon if one.middle80[1] is None else one.middle80[1] + AFTER for one in lows]
    return float(round(min(max(known.on + LEAST_AHEAD, *ends), known.on + known.horizon)))


def _frame(found: Outlook, band: Band, place: int) -> Frame:
    tests = tuple(one for one in found.cycle.run.readings if one.analyte == band.analyte and one.counts)
    highs = [high if high < float("inf") else low for one in tests for low, high in one.seen]
    top = round_up(max(*highs, *band.quantiles[-1], 1.0) if highs else max(*band.quantiles[-1], 1.0))
    return Frame(found, band, tests, top, TOP + place * (PANEL + GAP) + GAP + PANEL - 16)


@dataclass(frozen=True)
class Frame:
    """Where days and values of one panel lie in the drawing: its band, its tests, its top value, its floor."""

    found: Outlook
    band: Band
    tests: tuple[Reading, ...]
    top: float
    floor: float

    def x(self, day: float) -> float:
        """Left to right from the start of the run to the last day."""
        return LEFT + (WIDTH - LEFT - RIGHT) * day / self.band.days[-1]

    def y(self, value: float) -> float:
        """The height of a value, held inside the panel."""
        return self.floor - PANEL * min(value / self.top, 1.0)

    def panel(self) -> Iterator[str]:
        """One analyte: grid, ranges, median, tests, the day that is asked about."""
        analyte, (lowest, low, middle, high, highest) = self.band.analyte, self.band.quantiles
        yield _text(LEFT, self.floor - PANEL - 8, f"{analyte}, mg N/L", "faint")
        for share in (0.0, 0.5, 1.0):
            yield _line(LEFT, self.floor - PANEL * share, WIDTH - RIGHT, self.floor - PANEL * share, "line")
            yield _text(LEFT - 6, self.floor - PANEL * share + 4, number(self.top * share), "faint", "end")
        yield f'<path class="{analyte} wide" d="{self.area(lowest, highest)}"/>'
        yield f'<path class="{analyte} narrow" d="{self.area(low, high)}"/>'
        yield f'<path class="{analyte} middle" d="M{self.points(middle)}"/>'
        yield _line(LEFT, self.y(THRESHOLD), WIDTH - RIGHT, self.y(THRESHOLD), "low")
        for test in self.tests:
            yield from self.test(test)
        now = self.x(self.found.cycle.now)
        yield _line(now, self.floor, now, self.floor - PANEL, "today")

    def points(self, values: Sequence[float], step: int = 1) -> str:
        """A row of points, backwards with a step of -1."""
        pairs = list(zip(self.band.days, values, strict=True))[::step]
        return "L".join(f"{self.x(day):.1f} {self.y(value):.1f}" for day, value in pairs)

    def area(self, low: Sequence[float], high: Sequence[float]) -> str:
        """Between two rows of values."""
        return f"M{self.points(low)}L{self.points(high, -1)}Z"

    def test(self, test: Reading) -> Iterator[str]:
        """A bar for each reader, from the low to the high end; to the top of the panel where it is open."""
        x = self.x(test.time + test.span / 2)
        for low, high in test.seen:
            top, bottom = self.y(high), self.y(low)
            yield (
                f'<rect class="{test.analyte} test" x="{x - 1.5:.1f}" y="{top:.1f}" width="3" '
                f'height="{max(bottom - top, 2):.1f}"/>'
            )

    def days(self) -> Iterator[str]:
        """Dates below the last panel."""
        last = self.band.days[-1]
        step = next(n for n in (1, 2, 4, 7, 14, 28, 56, 112, int(last) + 1) if last / n <= MOST_TICKS)
        for day in range(0, int(last) + 1, step):
            x = self.x(day)
            yield _line(x, self.floor, x, self.floor + 5, "line")
            words = in_short((self.found.cycle.start + timedelta(days=day)).date())
            yield _text(min(x, WIDTH - RIGHT - 10), self.floor + 20, words, "faint", "middle")


def _line(x1: float, y1: float, x2: float, y2: float, kind: str) -> str:
    return f'<line class="{kind}" x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"/>'


def _text(x: float, y: float, words: str, kind: str = "", anchor: str = "start") -> str:
    return f'<text class="{kind}" x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
