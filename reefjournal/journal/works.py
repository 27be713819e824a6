"""The build and the book-keeping: dimensions, carpentry, money, withdrawn readings, jobs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date, time
from typing import Any

from reefjournal.events import AnyEvent, Build, Discard, Job, Measure, Spent
from reefjournal.journal.amounts import NUMBER, number, unit_at
from reefjournal.journal.dates import MONTH, WEEKDAY, WRITE, date_inside, day_at, time_at
from reefjournal.journal.pieces import Misread, Piece
from reefjournal.journal.record import PUNCTUATION, Fact, Record, animals_in, mention
from reefjournal.journal.verdicts import standings
from reefjournal.quantities import UNITS

PLACE = (
    r"(?:below|under|above|over|behind|in front of|from)\s+(?:the\s+)?"
    r"(?:hinge|surface|water|rim|lid|frame|stand|tank|glass|floor|top|sump)"
)
TAKES = re.compile(
    rf"(?P<subject>.*?)[\s:]+(?P<takes>{NUMBER}(?:\s*/\s*{NUMBER})*)(?P<unit>\s*[a-z\"]+?)?(?:\s+(?P<place>{PLACE}))?$"
)
NO_LENGTH = ("A dimension needs a unit of length.", "Write mm, cm, m or in behind it.")
MASS = re.compile(r"\b(?:mass|weight)$")
MONEY = re.compile(
    rf"(?P<before>[€$£¥]|[a-z]{{3}}\s)?\s*(?P<amount>{NUMBER})\s*(?P<after>[€$£¥]|(?:eur|usd|gbp|chf|sek|nok|dkk|pln|czk|cad|aud|nzd|jpy|euros?|dollars?|pounds?)\b)?\s*(?:(?:on|for)\s+)?(?P<on>.*)$"
)
OF = re.compile(r"\s*(?:readings?|tests?|of|from|on|at|:)*\s*")
AT = re.compile(r"t?\s*(?:at\s+)?")
CLOCK = re.compile(r"\b\d{1,2}(?::\d\d|\s?[ap]\.?m)\b")
WITHDRAW = 'Write "discard: ammonia 2026-03-10 to 2026-03-14, expired reagent".'
UNTIL = re.compile(r"\s*(?:to|until|till|-+)\s*")
BY = re.compile(r"[\s,;]*\b(?:by|before|due|on)\s+(?=\d|[a-z]{3})")
EVERY = re.compile(
    rf"[\s,;]*\bevery\s+(?:(?P<count>{NUMBER}|two|three|four|six)\s*)?(?P<unit>days?|weeks?|months?)\b|[\s,;]*\b(?P<word>daily|weekly|monthly|fortnightly)\b"
)
DONE = re.compile(r"[\s,;]*\(?\bdone\s+(?:on\s+)?(?=\d|[a-z]{3})")
AFTER = re.compile(r"[\s,;]+after\s+(?P<stage>[^,;]+)$")
DAYLESS = re.compile(rf"\bby\s+(?:\d|{MONTH}\b|{WEEKDAY}\b)")
DAYS = {"day": 1.0, "week": 7.0, "month": 30.4, "daily": 1.0, "weekly": 7.0, "fortnightly": 14.0, "monthly": 30.4}
COUNTS = {"two": 2.0, "three": 3.0, "four": 4.0, "six": 6.0}


def read_measure(record: Record) -> Iterator[AnyEvent]:
    """Dimensions, one event a subject."""
    yield from record.each([[fact] for fact in record.facts()] or [[]], measurement)


def measurement(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One dimension with its takes in mm, or one mass in g; where it was taken goes with what was measured."""
    piece = group[0].piece if group else record.piece
    match = TAKES.fullmatch(piece.plain)
    if match is None or re.search(r"[\d/]\s*$", match["subject"]):
        raise Misread("This is no dimension.", 'Write "measure: hood opening width 1192/1191/1192.5 mm".', piece.at)
    weighs = MASS.search(match["subject"]) is not None
    unit = UNITS.get(unit_at(match["unit"] or "", 0)[0])
    if unit is None or unit.measures != ("mass" if weighs else "length"):
        wrong = ("A mass needs a unit of mass.", "Write g, kg or lb behind it.") if weighs else NO_LENGTH
        raise Misread(*wrong, piece.at + match.end("takes"))
    takes = (number(take) for take in re.findall(NUMBER, match["takes"]))
    where = f" {match['place'].replace(' the ', ' ')}" if match["place"] else ""
    subject = piece.written[: match.end("subject")].strip() + where
    yield Measure(
        **record.common(group), subject=subject, takes=tuple(map(unit.canonical, takes)), unit="g" if weighs else "mm"
    )


def read_build(record: Record) -> Iterator[AnyEvent]:
    """Carpentry, plumbing, electrics in the keeper's own words."""
    if not record.piece.plain:
        yield record.unread(
            "This says nothing.", 'Write what was built: "build: leak test passed, 48 h".', record.piece.at, ""
        )
        return
    nouns, slips = nouns_in(record)
    standing = standings(record)
    for written, known, at in slips:
        record.tell("warning", f'"{written}" is not known.', f'Write "{known}" if that is meant.', at)
    yield Build(**record.common(), text=record.piece.written, nouns=nouns, standing=standing)


def nouns_in(record: Record) -> tuple[tuple[str, ...], list[tuple[str, str, int]]]:
    """The carpentry nouns of a record, the longest at each place, and what may be a slip of one, with its place."""
    text, found, slips, end = record.piece.plain.translate(PUNCTUATION), [], [], 0
    for match in re.finditer(r"\S+", text):
        if match.start() < end:
            continue
        hit, slip = record.words.nouns.find(text, match.start()), record.words.nouns.near(text, match.start())
        if not slip and not hit and not record.words.verdicts.find(text, match.start()):
            slip = record.words.verdicts.near(text, match.start())
        if slip and (hit is None or slip[1] > hit.end):
            end = slip[1]
            slips.append((record.piece.written[match.start() : end], slip[0], record.piece.at + match.start()))
        elif hit:
            found.append(hit.meaning)
            end = hit.end
    return tuple(dict.fromkeys(found)), slips


def read_spent(record: Record) -> Iterator[AnyEvent]:
    """Money spent."""
    yield from record.each([[Fact(record.piece)]], spent)


def spent(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One sum, its currency, and what it went on."""
    piece = group[0].piece
    match = MONEY.match(piece.plain)
    if match is None:
        raise Misread("This names no sum.", 'Write "spent: 84.50 on door panels".', piece.at)
    value = number(match["amount"])
    unit = UNITS.get(unit_at(piece.plain, match.end("amount"))[0])
    if re.match(r"[\d.,/:-]", match["on"]) or (unit and unit.measures == "time"):
        raise Misread(f'"{piece.written}" is no single sum.', 'Write "spent: 84.50 on door panels".', piece.at)
    currency = (match["before"] or match["after"] or "").strip().upper()
    yield Spent(**record.common(), amount=value, currency=currency, on=piece.written[match.start("on") :])


def read_discard(record: Record) -> Iterator[AnyEvent]:
    """Readings or stock that are withdrawn."""
    yield from record.each([record.facts()], discard)


def discard(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """What is withdrawn, of which days or of which time of a day, and why."""
    whole = group[0].piece if group else record.piece
    clock, begin = time_at(whole.plain) or (None, 0)
    piece = whole.cut(begin)
    analyte = record.words.analytes.find(piece.plain)
    stock = re.match(r"(?:stock|animals?|livestock)\b", piece.plain)
    if not analyte and not stock:
        near = record.words.analytes.near(piece.plain)
        raise Misread(
            f'"{whole.written}" is not known as a reading.', f'Write "{near[0]}".' if near else WITHDRAW, whole.at
        )
    what = analyte.meaning.name if analyte else "stock"
    start = OF.match(piece.plain, analyte.end if analyte else stock.end()).end()  # type: ignore[union-attr]
    first, last, clock, rest = span(record, piece.cut(start), clock)
    parts = [rest, *(fact.piece for fact in group[1:])]
    for part in parts[:1] if clock else parts:
        if other := CLOCK.search(part.plain):
            unclear = "A time in the reason leaves open which readings are meant."
            says = "One record withdraws one time." if clock else unclear
            hint = f'Write "discard: {what} {first} {other[0]}"; a time in the reason stands behind " -- ".'
            raise Misread(says, hint, part.at + other.start())
    reason = ", ".join(filter(None, (*(part.written for part in parts), record.remark)))
    animals = animals_in(reason.lower(), record.words) if stock else []
    yield Discard(
        **record.common(), what=what, first=first, last=last, clock=clock, animal=animals[0].name if animals else "",
        reason=reason,
    )  # fmt: skip


def span(record: Record, piece: Piece, clock: time | None) -> tuple[date, date, time | None, Piece]:
    """The days that a piece begins with, the time of a single one, and what stands behind.

    ``clock`` is a time that was written in front of all. A time without a day is one of the record's own day.

    Raises:
        Misread: they are no days, or there are several times or days for one time.
    """
    day = day_at(piece.plain)
    until = UNTIL.match(piece.plain, day.end) if day else None
    last = day_at(piece.plain, until.end()) if until else day
    end = last.end if last else day.end if day else 0
    behind = time_at(piece.plain, AT.match(piece.plain, end).end())  # type: ignore[union-attr]
    rest = piece.cut(behind[1] if behind else end)
    first = day.day if day else record.day if clock or behind else None
    if first is None:
        raise Misread("This names no day.", WITHDRAW, piece.at)
    if (until and last is None) or date_inside(rest.plain):
        raise Misread(f'"{rest.written}" is no day.', WRITE, rest.at)
    if re.match(r"\d", rest.plain):
        raise Misread(f'"{rest.written}" is no time.', "Write a time as 19:00, and a reason behind a comma.", rest.at)
    if last and last.day < first:
        raise Misread("This ends before it begins.", f"Write {last.day} to {first}.", piece.at)
    if (behind and clock) or (until and (behind or clock)):
        raise Misread("One record withdraws one time of one day.", "Write a record for each.", piece.at)
    return first, last.day if last else first, behind[0] if behind else clock, rest


def read_job(record: Record) -> Iterator[AnyEvent]:
    """A check box; ``record.name`` is "open" or "done"."""
    yield from record.each([[Fact(record.piece)]], job)
    if record.name == "done":
        yield from mention(record, record.piece.plain, record.piece.at)


def job(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One job: its words, and when it is due, comes again, waits for, or was done."""
    piece = group[0].piece
    said: dict[str, Any] = {}
    rest, day = taken(piece, DONE)
    said["done_on"] = day
    rest, said["due"] = taken(rest, BY)
    if match := EVERY.search(rest.plain):
        said["every_days"] = days_between(match)
        rest = joined(rest, match)
    if match := AFTER.search(rest.plain):
        said["after"] = rest.written[match.start("stage") : match.end("stage")].strip()
        rest = rest.cut(0, match.start())
    if not rest.plain:
        raise Misread("This job has no words.", 'Write "[ ] order door panels by 2026-04-01".', piece.at)
    if date_inside(rest.plain) or DAYLESS.search(rest.plain):
        record.tell("warning", "The date in this job is no day for it.", 'Write "by 2026-04-01" or "done 2026-04-01".')
    about, _ = nouns_in(record)
    yield Job(**record.common(), text=rest.written, about=about, done=record.name == "done", **said)


def taken(piece: Piece, lead: re.Pattern[str]) -> tuple[Piece, date | None]:
    """The piece without a day behind some lead-in word, and that day."""
    for match in lead.finditer(piece.plain):
        if found := day_at(piece.plain, match.end()):
            rest = piece.cut(found.end)
            return (joined_pieces(piece.cut(0, match.start()), rest), found.day)
    return piece, None


def joined(piece: Piece, match: re.Match[str]) -> Piece:
    """The piece without what matched."""
    return joined_pieces(piece.cut(0, match.start()), piece.cut(match.end()))


def joined_pieces(one: Piece, other: Piece) -> Piece:
    """Two pieces as one, with a space where both have words."""
    other = other.cut(len(other.plain) - len(other.plain.lstrip(" ,;)")))
    if not one.plain or not other.plain:
        return one if one.plain else other
    return Piece(f"{one.written} {other.written}", f"{one.plain} {other.plain}", one.at)


def days_between(match: re.Match[str]) -> float:
    """Days from one time of a repeated job to the next; a month is 30.4 days."""
    if match["word"]:
        return DAYS[match["word"]]
    count = match["count"]
    return (COUNTS[count] if count in COUNTS else number(count) if count else 1.0) * DAYS[match["unit"].rstrip("s")]
