"""Dates and clock times as keepers write them, and what only looks like one."""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import date, time, timedelta
from typing import NamedTuple

from reefjournal.journal.pieces import Misread

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
FULL_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTH = rf"(?:{'|'.join(FULL_MONTHS)}|sept|{'|'.join(MONTHS)})"
WEEKDAY = rf"(?:{'|'.join(WEEKDAYS)}|tues|thurs|thur|{'|'.join(name[:3] for name in WEEKDAYS)})"
DATE = re.compile(
    rf"""(?:(?P<weekday>{WEEKDAY})\b[.,]?\s+)?
    (?:(?P<y>\d{{4}})-(?P<m>\d\d)-(?P<d>\d\d)(?![\d-])
    |(?P<d2>\d{{1,2}})(?:st|nd|rd|th)?\.?\s+(?P<m2>{MONTH})\b[.,]?\s+(?P<y2>\d{{4}})(?!\d)
    |(?P<m3>{MONTH})\b\.?\s+(?P<d3>\d{{1,2}})(?:st|nd|rd|th)?,?\s+(?P<y3>\d{{4}})(?!\d))""",
    re.VERBOSE,
)
# Numbers in the order of some date, a month or weekday, a word where a month should be, a day's ordinal.
LIKE_DATE = re.compile(
    rf"""(?:[a-z]{{2,10}}[.,]?\s+)?
    (?:\d{{1,4}}\s?[-./_]\s?\d{{1,2}}\s?[-./_]\s?\d{{1,4}}(?!\d)|(?:19|20)\d\d\s?[-./_ ]?\s?\d\d?
    |\d{{1,2}}(?:st|nd|rd|th)\b
    |\d{{1,2}}\.?\s+{MONTH}\b|\d{{1,2}}[.,]?\s+[a-z]{{3,10}}[.,]?\s+(?:19|20)\d\d\b)
    |[a-z]{{3,10}}[.,]?\s+\d{{1,2}}(?:st|nd|rd|th)?,?\s+(?:19|20)\d\d\b
    |\d{{1,2}}/\d{{1,2}}(?![\d.,])|\d{{1,2}}\.\d{{1,2}}(?:\.(?!\d)|$)|\d{{4}}-?w\d
    |{MONTH}\b(?!\s+(?:be|have|well|not|i|we))|{WEEKDAY}\b[.,]?\s*(?:$|\d)""",
    re.VERBOSE,
)
IN_TEXT = re.compile(r"(?<![\d.,/-])(?:\d{1,4}([-/])\d{1,2}\1\d{1,4}|\d{1,2}\.\d{1,2}\.\d{2,4})(?![\d/-])")
TIME = re.compile(r"(?P<h>\d{1,2})(?::(?P<m>\d\d)(?::\d\d)?)?(?:\s?(?P<half>[ap])\.?m\b\.?)?(?![\w:])")
MONTH_ONLY = re.compile(rf"(?:(?P<y>\d{{4}})-(?P<m>\d\d)(?![\d-])|(?P<name>{MONTH})\b\.?\s+(?P<year>\d{{4}})(?!\d))")
AGO = re.compile(r"(\d{1,3}|a|an|one|two|three|four|five|six|seven) (day|week)s?(?: ago)?\b")
SMALL = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7}
# A keeper's notes lie between these; anything else is a slip.
YEARS = (1950, 2199)
WRITE = "Write a date as 2026-03-14 or 14 March 2026."
YEAR_FIRST = re.compile(r"(\d{4})[-/._ ](\d{1,2})[-/._ ](\d{1,2})(?!\d)")
# With dots the day comes first; with strokes it may be the month.
DAY_FIRST = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})(?!\d)")
CLOCK = re.compile(
    r"(?:at\s+)?(?P<h>\d{1,2}?)\s?[.:;,h ]?(?P<m>\d\d)?\s*(?:(?P<half>[ap])\.?m\.?|h|hrs|o'clock|uhr)?[\s,:-]*"
)


class Day(NamedTuple):
    """A date in a text: where it ends, and the weekday that the date really is where another was written."""

    day: date
    end: int
    truly: str = ""


def day_at(plain: str, start: int = 0) -> Day | None:
    """The date at ``start`` of a folded text; ``None`` where no date in a form of ours stands there.

    Raises:
        Misread: the form is right and there is no such day.
    """
    match = DATE.match(plain, start)
    if match is None:
        return None
    year, month, day = (match[name] or match[f"{name}2"] or match[f"{name}3"] for name in "ymd")
    number = int(month) if month.isdigit() else MONTHS.index(month[:3]) + 1
    try:
        found = date(int(year) if YEARS[0] <= int(year) <= YEARS[1] else 0, number, int(day))
    except ValueError:
        raise Misread(f'There is no day "{match[0]}".', WRITE) from None
    truly = WEEKDAYS[found.weekday()].capitalize()
    wrong = match["weekday"] and match["weekday"][:3] != truly[:3].lower()
    return Day(found, match.end(), truly if wrong else "")


def write_date(plain: str) -> str:
    """What to write for something that is no date: the date itself where its order is told, else how one looks."""
    first, dotted = YEAR_FIRST.match(plain), DAY_FIRST.match(plain)
    try:
        if dotted:
            found = date(*map(int, reversed(dotted.groups())))
            sure = found.day > 12 or found.day == found.month
            return f"Write {found}." if sure else f"Write {found} if {found.day} {found:%B} is meant."
        return f"Write {date(*map(int, first.groups()))}." if first else WRITE
    except ValueError:
        return WRITE


def write_time(plain: str) -> str:
    """The time of day that a slip such as 7.30pm, 1930 or 8h15 means; 19:30, as an example, where none can be told."""
    match = CLOCK.fullmatch(plain)
    hour, minute = (int(match["h"]), match["m"] or "00") if match else (99, "00")
    if match and match["half"] and 1 <= hour <= 12:
        hour = hour % 12 + (12 if match["half"] == "p" else 0)
    return f"{hour:02}:{minute}" if hour < 24 and int(minute) < 60 else "19:30"


def looks_like_date(plain: str) -> bool:
    """Whether a folded text begins like a date."""
    return LIKE_DATE.match(plain) is not None


def date_inside(plain: str) -> bool:
    """Whether a date stands somewhere in a folded text."""
    return any(DATE.match(plain, match.start()) for match in re.finditer(r"(?<!\d)(?=\d)|\b(?=[a-z]{3})", plain))


def mistaken_date(plain: str) -> re.Match[str] | None:
    """Something inside a folded text that looks like a numeric date and is not an ISO 8601 date."""
    for match in IN_TEXT.finditer(plain):
        try:
            good = day_at(plain, match.start())
        except Misread:
            good = None
        if good is None:
            return match
    return None


def time_at(plain: str, start: int = 0) -> tuple[time, int] | None:
    """The clock time at ``start`` of a folded text, and where it ends: 19:30, 7:30 pm, 7 pm.

    Raises:
        Misread: there is no such time of day.
    """
    match = TIME.match(plain, start)
    if match is None or not (match["m"] or match["half"]):
        return None
    hour, half = int(match["h"]), match["half"]
    if hour > 23 or int(match["m"] or 0) > 59 or (half and not 1 <= hour <= 12):
        raise Misread(f'There is no time "{match[0]}".', "Write a time as 19:30.")
    hour = hour % 12 + (12 if half == "p" else 0) if half else hour
    return time(hour, int(match["m"] or 0)), match.end()


def month_end(plain: str) -> date | None:
    """The last day of a month written as 2027-05 or May 2027: reagents last to the end of it (common practice)."""
    match = MONTH_ONLY.fullmatch(plain)
    if match is None:
        return None
    month = int(match["m"]) if match["m"] else MONTHS.index(match["name"][:3]) + 1
    year = int(match["y"] or match["year"])
    good = 1 <= month <= 12 and YEARS[0] <= year <= YEARS[1]
    return date(year, month, monthrange(year, month)[1]) if good else None


def relative(plain: str, today: date) -> tuple[date, date] | None:
    """The first and last day that words such as "yesterday", "Sunday" or "3 days ago" may mean on a day.

    Raises:
        Misread: a date that is no day.
    """
    words = plain.removesuffix(" ago").strip()
    if found := day_at(words):
        return (found.day, found.day) if found.end == len(words) else None
    back = {"today": (0, 0), "this morning": (0, 0), "tonight": (0, 0), "yesterday": (1, 1), "last night": (1, 1),
            "the day before yesterday": (2, 2), "last week": (13, 1), "a few days": (6, 2)}  # fmt: skip
    span = back.get(words)
    if span is None and re.fullmatch(rf"(?:last )?{WEEKDAY}", words):
        name = words.removeprefix("last ")[:3]
        days = (today.weekday() - [day[:3] for day in WEEKDAYS].index(name)) % 7
        span = (days, days) if days else (7, 0)
    if span is None and (match := AGO.fullmatch(words)):
        count = int(match[1]) if match[1].isdigit() else SMALL[match[1]]
        span = (count, count) if match[2] == "day" else (7 * count + 3, 7 * count - 3)
    if span is None or today.toordinal() <= span[0]:
        return None
    return today - timedelta(days=span[0]), today - timedelta(days=span[1])
