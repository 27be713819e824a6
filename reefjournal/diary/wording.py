"""Days, numbers and intervals in plain English, the same on every machine whatever its locale."""

from __future__ import annotations

from datetime import date, datetime

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
          "November", "December")
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def in_words(day: date) -> str:
    """Such as ``14 March 2026``."""
    return f"{day.day} {month_in_words(day)}"


def weekday(day: date) -> str:
    """Such as ``Saturday``."""
    return WEEKDAYS[day.weekday()]


def month_in_words(day: date) -> str:
    """Such as ``March 2026``."""
    return f"{MONTHS[day.month - 1]} {day.year}"


def in_short(day: date) -> str:
    """Such as ``14 Mar``."""
    return f"{day.day} {MONTHS[day.month - 1][:3]}"


def moment_in_words(written: str) -> str:
    """An ISO 8601 day or moment in words; anything else stays as it is."""
    try:
        moment = datetime.fromisoformat(written)
    except ValueError:
        return written
    clock = f", {moment:%H:%M}" if len(written) > len("2026-03-14") else ""
    return in_words(moment.date()) + clock


def number(value: float) -> str:
    """Three significant digits without an exponent."""
    text = f"{float(f'{value:.3g}'):.10f}".rstrip("0").rstrip(".")
    return text or "0"


def interval(low: float, high: float | None) -> str:
    """From ``low`` to ``high`` (``None``: open upwards) in words."""
    if high is None:
        return f"above {number(low)}"
    if low == high:
        return number(low)
    return f"below {number(high)}" if low <= 0 else f"{number(low)} to {number(high)}"
