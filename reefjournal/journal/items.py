"""From the blocks of an entry to events: which words are a record, which are prose, and which went wrong."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Iterator, Sequence

from reefjournal.events import AnyEvent, Build, Discard, Plan, Stock, Unread, VesselDefined
from reefjournal.journal.dates import day_at, looks_like_date, mistaken_date, time_at, write_date, write_time
from reefjournal.journal.givings import read_dose, read_fed, read_treat
from reefjournal.journal.kits import read_check, read_kit
from reefjournal.journal.living import read_plan, read_stock
from reefjournal.journal.pieces import Misread, Piece, without_remark
from reefjournal.journal.readings import ABOVE, SAYS, UNREADABLE, read_tests, value_at
from reefjournal.journal.record import Record, animals_in, may_name, mention, unknown_water
from reefjournal.journal.sightings import read_gear, read_seen
from reefjournal.journal.waters import read_vessel, read_water
from reefjournal.journal.words import Lexicon, fold
from reefjournal.journal.works import read_build, read_discard, read_job, read_measure, read_spent
from reefjournal.problems import Severity

Parser = Callable[[Record], Iterator[AnyEvent]]
# Why words look like a record that went wrong: severity, message, suggestion.
Suspicion = tuple[Severity, str, str]


def _added(record: Record) -> Iterator[AnyEvent]:
    """What "added" in front means: what follows tells whether it is stock, a dose, water or gear."""
    yield from _first_that_reads(record, ("stock", "dose", "water", "gear"), "added ")


def _measured(record: Record) -> Iterator[AnyEvent]:
    """What "measured" in front means: a test or a dimension."""
    yield from _first_that_reads(record, ("test", "measure"), "")


def _first_that_reads(record: Record, names: tuple[str, ...], word: str) -> Iterator[AnyEvent]:
    for name in names:
        lead = "" if name == "dose" else {"water": "topped up "}.get(name, word)
        piece = Piece(lead + record.piece.written, lead + record.piece.plain, record.piece.at - len(lead))
        tried = record._replace(piece=piece, name=name)
        if reads(tried, READERS[name]):
            yield from READERS[name](tried)
            return
    choices = " or ".join(f'"{name}: {word if name != "dose" else ""}..."' for name in names)
    yield record.unread(
        f'"{record.piece.written}" can be none of these.', f"Write {choices}.", record.piece.at, record.piece.plain
    )


READERS: dict[str, Parser] = {
    "vessel": read_vessel, "kit": read_kit, "test": read_tests, "check": read_check, "seen": read_seen,
    "gear": read_gear,
    "dose": read_dose, "water": read_water, "water change": read_water, "fed": read_fed, "stock": read_stock,
    "treat": read_treat, "plan": read_plan, "measure": read_measure, "build": read_build, "spent": read_spent,
    "discard": read_discard, "added": _added, "measured": _measured,
}  # fmt: skip
ALSO = {
    "tested": "test", "reading": "test", "readings": "test", "tests": "test", "saw": "seen", "noticed": "seen",
    "equipment": "gear", "dosed": "dose", "water changes": "water change", "wc": "water change",
    "waterchange": "water change",
    "vessels": "vessel", "kits": "kit", "checks": "check", "doses": "dose", "waters": "water", "feed": "fed",
    "treatment": "treat", "treated": "treat", "plans": "plan", "planned": "plan", "measures": "measure",
    "builds": "build",
    "built": "build", "discarded": "discard", "add": "added",
}  # fmt: skip
WORDS = Lexicon({name: name for name in READERS} | ALSO, shortest_slip=2)
LEAD = re.compile(r"(?P<word>[a-z][a-z_ -]{0,24}?)\s*(?:\((?P<vessel>[^()]*)\)\s*)?:\s*")
BARE = re.compile(r"(?P<word>[a-z]+(?: changes?)?)\b\s*(?P<bracket>\([^()]*\))?[\s;.,=>-]*")
BOX = re.compile(r"\[(?P<mark>[ x])\](?:\s+|$)")
BAD_BOX = re.compile(r"(?:\[\s*\]|\[\s*x\s*\]|\[[^\[\]]{1,2}\]\s|\[\s*[x ]?\s(?=[^\]]*$)|\([ x]\)|[ x]\]|[☐☑✓✔])\s*\S")
SALT = re.compile(r"\b(?:ammonium chloride|ammonium sulph?f?ate|nh4cl|sal ammoniac)\b")
WEIGHED = re.compile(r"\d\s*(?:g|gr|grams?|mg|ml)\b")
CHANGE = re.compile(r"\bwater change\b|\bwc\b|\bchanged \d+\s*(?:l|litres?|%)|\bchanged:")
SIZED = re.compile(r"\d\s*(?:%|l\b|litres?|liters?|gal)")
SHOWN = re.compile(
    r"\b(?:ammonia|nitrite|nh3|nh4|no2)\b,? (?:still |now |again )?(?:shows?|reads?|reading|at|is|was) ~?[\d.]"
)
NOT_YET = re.compile(r"\b(?:will|would|want|wants|need|needs|should|plan|tomorrow|next|to have|going to|must|if)\b")
PRIVATE = re.compile(r"\[\[.*?(?:\]\]|$)")
BRACKETS = re.compile(r"\[\[|\]\]")
BARE_VALUE = re.compile(r"(?P<word>[a-z][a-z0-9+-]{0,14}(?: [a-z]+)?)\s*[:=]?\s*(?=[~<>\d.])")
COUNTED = frozenset(
    {"day", "week", "month", "step", "part", "stage", "number", "no", "no.", "photo", "picture", "page", "chapter"}
)
TIME_LIKE = re.compile(r"(?:at\s+)?(?:\d{1,2}[.:;,h ]?\d{2}|\d{1,2})\s*(?:[ap]\.?m\.?|h|hrs|o'clock|uhr)?[\s,:-]+")
MARKS = re.compile(r"(?:[\s>#*+|_-]|<!--|\d{1,3}[.)]\s)*")
VALUE_WORD = re.compile(
    rf"{UNREADABLE.pattern}|{ABOVE.pattern}|(?<![\d.,-])[~<>]?\d+(?:[.,]\d+)?\s*(?:ppm|mg|dkh|ppt)\b"
)
# Events that name the animals they are about, or say that they may.
NAMING = (Discard, Plan, Stock, Unread)
VALUES = Lexicon(
    dict.fromkeys(("unreadable", "cloudy", "no match", "off the card", "off the chart", "trace", "none", "zero"), "")
)
STRUCTURED = frozenset({*READERS, "open", "done"}) - {"build", "measure", "spent"}


def read_item(record: Record) -> Iterator[AnyEvent]:
    """The events of one item; ``record.piece`` is all of it."""
    piece, remark = without_private(record, record.piece)
    try:
        opened = opening(record._replace(piece=piece, remark=remark))
    except Misread as wrong:
        at = record.piece.at if wrong.at is None else wrong.at
        yield record.unread(wrong.message, wrong.suggestion, at, record.piece.plain)
        return
    if opened is None:
        yield from read_prose(record, suspicion(record, item=True))
    else:
        yield from read_record(*opened)


def without_private(record: Record, piece: Piece) -> tuple[Piece, str]:
    """The piece with its private parts blank, and these as a remark; brackets around the whole item only fall away."""
    if "[[" not in piece.plain:
        return piece, ""
    if piece.plain.count("[[") > piece.plain.count("]]"):
        record.tell(
            "warning", "The private part has no end.", 'Write "]]" behind it.', piece.at + piece.plain.rfind("[[")
        )
    blank = BRACKETS if piece.plain.startswith("[[") else PRIVATE
    written, plain = (blank.sub(lambda match: " " * len(match[0]), text) for text in (piece.written, piece.plain))
    parts = [] if blank is BRACKETS else blank.findall(piece.written)
    return Piece(written, plain, piece.at).cut(0), " ".join(parts)


def opening(record: Record) -> tuple[Record, Parser] | None:
    """The record behind its opening (time, record word, vessel, check box) with what reads it; ``None`` for prose.

    Raises:
        Misread: the opening is a record's, and its time or vessel is not known.
    """
    piece = record.piece
    if box := BOX.match(piece.plain):
        name = "done" if box["mark"] == "x" else "open"
        return record._replace(piece=piece.cut(box.end()), name=name), read_job
    try:
        clock, wrong_time = time_at(piece.plain), None
    except Misread as wrong:
        clock, wrong_time = None, wrong
        piece = piece.cut(len(piece.plain.split(" ", 1)[0]))
    if clock:
        record, piece = record._replace(at=clock[0]), piece.cut(clock[1])
    lead = LEAD.match(piece.plain)
    name = (WORDS.get(lead["word"]) or "") if lead else ""
    if lead is None or not name:
        lead = None
        name, rest = unnamed(record, piece)
        if not name:
            return None
    else:
        rest = piece.cut(lead.end())
    if wrong_time:
        raise wrong_time
    if lead and lead["vessel"] is not None:
        if name in ("vessel", "kit"):
            raise Misread(f"A {name} has no brackets in front of its colon.", "Write all of it behind the colon.")
        vessel = record.standing.water(lead["vessel"])
        if vessel is None:
            raise unknown_water(piece.cut(*lead.span("vessel")), record.standing)
        record = record._replace(vessel=vessel)
    return record._replace(piece=rest, name=name), READERS[name]


def unnamed(record: Record, piece: Piece) -> tuple[str, Piece]:
    """What a piece is without a record word: a test, or "added" and "measured" where what follows tells the rest."""
    if is_test(record, piece):
        return "test", piece
    if match := re.match(r"(added|measured)\s+", piece.plain):
        rest = piece.cut(match.end())
        if reads(record._replace(piece=rest, name=match[1]), READERS[match[1]]):
            return match[1], rest
    return "", piece


def is_test(record: Record, piece: Piece) -> bool:
    """Whether a piece begins with an analyte and a value."""
    found = record.words.analytes.find(piece.plain)
    if found is None:
        return False
    try:
        value_at(piece, SAYS.match(piece.plain, found.end).end())  # type: ignore[union-attr]
    except Misread as wrong:
        return bool(re.match(r"[\s:=]*[~<>]?\d", piece.plain[found.end :])) and bool(wrong.message)
    return True


def read_record(record: Record, read: Parser) -> Iterator[AnyEvent]:
    """The events of a record, its remark set aside, and what its free words mention."""
    piece, remark = without_remark(record.piece)
    remark = " ".join(filter(None, (remark, record.remark)))
    record = record._replace(piece=piece, remark=remark)
    if record.name in STRUCTURED and (wrong := mistaken_date(piece.plain)):
        yield record.unread(
            f'"{wrong[0]}" is no date.', write_date(wrong[0]), piece.at + wrong.start(), piece.plain
        )
        return
    if not piece.plain:
        yield record.unread("This record is empty.", "Write it on one line with its word.", piece.at, record.name)
        return
    events = [*read(record)]
    yield from events
    if record.animals and record.name not in ("open", "done"):
        yield from mention(record, fold(_free_words(record, events)), piece.at)


def _free_words(record: Record, events: Sequence[AnyEvent]) -> str:
    """The words of a record that no grammar looks into, and that may name an animal."""
    remarks = " ".join((record.remark, *(fact.remark for fact in record.facts())))
    if any(isinstance(event, Stock) and event.action == "none" for event in events):
        return remarks
    if any(isinstance(event, NAMING) for event in events):
        return ""
    return remarks if record.name in ("dose", "fed", "treat") else f"{record.piece.written} {remarks}"


def read_prose(record: Record, found: Suspicion | None) -> Iterator[AnyEvent]:
    """Words that are no record: a doubt where they look like one that went wrong, else a mention of animals."""
    if found is None:
        yield from mention(record, record.piece.plain, record.piece.at)
        return
    severity, message, suggestion = found
    record.tell(severity, message, suggestion, record.piece.at)
    first = re.match(r"[a-z]*", record.piece.plain)
    names = may_name(record.piece.plain, record.words, (WORDS.get(first[0]) or "") if first else "")
    yield Unread(**record.common(), text=record.text, why=message, may_name=names)


def suspicion(record: Record, *, item: bool) -> Suspicion | None:
    """Why a piece of prose looks like a record that went wrong: severity, message, suggestion."""
    piece = record.piece
    with contextlib.suppress(Misread):
        if clock := time_at(piece.plain):
            piece = piece.cut(clock[1])
    if BAD_BOX.match(piece.plain):
        return "error", "This looks like a job without a proper check box.", 'Write "- [ ] words" or "- [x] words".'
    if piece.plain[:1] in set("*_`~\"'") and (bare := _unmarked(piece)).plain:
        return _opens(record, bare, "Marks around a record hide it.", "Write it without them.")
    slips = (_slipped_word, _lost_colon, _slipped_analyte, _hidden_opening)
    for look in (*slips, _tells_of_a_dose, _tells_of_a_change, _tells_a_value):
        if found := look(record, piece):
            return found
    return _tells_of_a_test(record, piece) or _bare_value(piece) if item else None


def _unmarked(piece: Piece) -> Piece:
    """The piece with marks of emphasis, code and quotation as spaces at its front."""
    blank = str.maketrans(dict.fromkeys("*_`~\"'", " "))
    return Piece(piece.written.translate(blank), piece.plain.translate(blank), piece.at).cut(0)


def _slipped_word(record: Record, piece: Piece) -> Suspicion | None:
    """A word and a colon, where the word is nearly a record word, or a reading follows."""
    lead = LEAD.match(piece.plain)
    if lead is None:
        return None
    near = WORDS.near(lead["word"] + " ")
    rest = piece.cut(lead.end())
    if near and near[1] == len(lead["word"]):
        name = WORDS.meanings[near[0]]
        sure: Severity = "error" if reads(record._replace(piece=rest, name=name), READERS[name]) else "warning"
        return sure, f'"{lead["word"]}" is no record word.', f'Write "{name}:" if that is meant.'
    if is_test(record, rest):
        return (
            "error",
            f'"{lead["word"]}" is no record word, and a reading follows.',
            f'Write "test ({lead["word"]}): {rest.written}".',
        )
    words = lead["word"].split(" ")
    if (
        any(word in WORDS.meanings for word in (words[0], words[-1]))
        and opening(record.quietly()._replace(piece=piece.cut(lead.start()))) is None
    ):
        name = next(word for word in (words[-1], words[0]) if word in WORDS.meanings)
        if reads(record._replace(piece=rest, name=WORDS.meanings[name]), READERS[WORDS.meanings[name]]):
            return "error", f'"{lead["word"]}" is no record word.', f'Write "{name}: {rest.written}".'
    return None


def _lost_colon(record: Record, piece: Piece) -> Suspicion | None:
    """A record word with no colon behind it, where the rest reads as such a record."""
    bare = BARE.match(piece.plain)
    name = WORDS.get(bare["word"]) if bare else None
    if bare is None or name is None:
        return None
    if bare["bracket"] and ":" in piece.plain[bare.end() : bare.end() + 3]:
        return "error", "The vessel is not written as it should be.", f'Write "{bare["word"]} (vessel): ...".'
    rest = record._replace(piece=piece.cut(bare.end()), name=name)
    if reads(rest, READERS[name]) or (name == "seen" and animals_in(rest.piece.plain, record.words)):
        return (
            "error",
            f'There is no colon behind "{bare["word"]}".',
            f'Write "{bare["word"]}{bare["bracket"] or ""}: {rest.piece.written}".',
        )
    if _speaks_of(name, rest):
        return (
            "error",
            f'There is no colon behind "{bare["word"]}", and not all behind it is understood.',
            f'Write "{bare["word"]}: ..." if it is a record, and begin with another word if it is none.',
        )
    if name in ("added", "measured"):
        return (
            "warning",
            f"What was {name}?",
            "Write stock:, dose:, water:, gear:, test: or measure: in front if it is a record.",
        )
    return None


def _speaks_of(name: str, record: Record) -> bool:
    """Whether what stands behind a bare record word holds a number and something that such records are about."""
    plain = record.piece.plain
    if not re.search(r"\d", plain):
        return False
    if name in ("dose", "stock", "treat"):
        return True  # an amount of what no guard may miss, whatever else in the line is misspelt
    if name not in ("test", "check"):
        return False
    find = record.words.analytes.find
    return any(find(plain, word.start()) for word in re.finditer(r"\b[a-z]", plain))


def reads(record: Record, read: Parser) -> bool:
    """Whether a parser understands all of a record, and finds more in it than free words."""
    piece, remark = without_remark(record.piece)
    quiet = record.quietly()._replace(piece=piece, remark=remark)
    if not piece.plain:
        return False
    try:
        events = [*read(quiet)]
    except Misread:
        return False
    empty = (
        (isinstance(event, Build) and not event.nouns)
        or (isinstance(event, Plan) and event.what == "other")
        or (isinstance(event, VesselDefined) and not (event.size or event.volume))
        for event in events
    )
    return bool(events) and not any(empty)


def _slipped_analyte(record: Record, piece: Piece) -> Suspicion | None:
    """Nearly an analyte, and a value behind it."""
    if not re.match(r"[a-z0-9+-]+(?: [a-z]+)?\s*[:=]?\s*[~<>]?[\d.]*", piece.plain):
        return None
    near = record.words.analytes.near(piece.plain)
    if near is None:
        return None
    rest = piece.cut(near[1])
    try:
        value_at(rest, SAYS.match(rest.plain).end())  # type: ignore[union-attr]
    except Misread:
        return None
    return (
        "error",
        f'"{piece.cut(0, near[1]).written}" is not known.',
        f'Write "{near[0]} {rest.written}" if that is meant.',
    )


def _hidden_opening(record: Record, piece: Piece) -> Suspicion | None:
    """A record behind a time that is none, or behind a date."""
    try:
        day = day_at(piece.plain)
    except Misread as wrong:
        return "error", wrong.message, wrong.suggestion
    match = TIME_LIKE.match(piece.plain)
    rest = piece.cut(match.end() if match else 0)
    written = match[0].strip() if match else ""
    hint = f'Write "{write_time(written)} {rest.written}".'
    if match and day is None and (found := _opens(record, rest, f'"{written}" is no time.', hint)):
        return found
    if day or looks_like_date(piece.plain):
        rest = piece.cut(day.end if day else len(piece.plain.split(" ", 1)[0]))
        hint = f'Open an entry: "## {day.day if day else "2026-03-14"}".'
        return _opens(record, rest, "An item has the day of its entry.", hint)
    return None


def _opens(record: Record, rest: Piece, message: str, suggestion: str) -> Suspicion | None:
    """The suspicion where a rest opens a record, or looks like one that went wrong."""
    inner = record.quietly()._replace(piece=rest)
    try:
        opened = bool(rest.plain) and bool(opening(inner) or suspicion(inner, item=False))
    except Misread:
        opened = True
    return ("error", message, suggestion) if opened else None


def _tells_of_a_test(record: Record, piece: Piece) -> Suspicion | None:
    """An item that begins with an analyte and tells how its test came out."""
    found = record.words.analytes.find(piece.plain) or record.words.analytes.near(piece.plain)
    if found is None:
        return None
    if not VALUE_WORD.search(piece.plain, found[-1], found[-1] + 60) and not VALUES.near(piece.plain, found[-1]):
        return None
    name = piece.plain[: found[-1]]
    return "warning", "This tells of a test and is not read as one.", f'Write it as "{name} 0.5" or "{name} cloudy".'


def _tells_of_a_dose(_: Record, piece: Piece) -> Suspicion | None:
    """Prose that tells of an amount of an ammonia salt: a dose that is not written down may be given twice."""
    if SALT.search(piece.plain) and WEIGHED.search(piece.plain) and not NOT_YET.search(piece.plain):
        return "error", "This tells of a dose and is not read as one.", 'Write "- dose: ammonium chloride 1.9 g".'
    return None


def _tells_a_value(_: Record, piece: Piece) -> Suspicion | None:
    """Prose that tells what ammonia or nitrite reads: good news or bad, it is no evidence until it is a record."""
    if SHOWN.search(piece.plain) and not NOT_YET.search(piece.plain):
        return "warning", "This tells of a reading and is not read as one.", 'Write it as "- ammonia 1", or reword it.'
    return None


def _tells_of_a_change(_: Record, piece: Piece) -> Suspicion | None:
    """Prose that tells of a water change with its size: a fall of ammonia after it proves nothing."""
    if CHANGE.search(piece.plain) and SIZED.search(piece.plain) and not NOT_YET.search(piece.plain):
        return "error", "This tells of a water change and is not read as one.", 'Write "- water: changed 40 L".'
    return None


def _bare_value(piece: Piece) -> Suspicion | None:
    """An item that is no more than an unknown word and a number."""
    match = BARE_VALUE.match(piece.plain)
    if match is None or match["word"] in COUNTED:
        return None
    try:
        if value_at(piece, match.end())[1] < len(piece.plain):
            return None
    except Misread:
        return None
    return (
        "warning",
        f'"{match["word"]}" is not known as something to test.',
        "Write its usual name, or more words if it is none.",
    )


def read_stray(record: Record, why: str) -> Iterator[AnyEvent]:
    """A line where records are not read: a problem if it looks like one, else at most a mention."""
    bare = without_marks(record)
    marks = record.piece.plain[: bare.piece.at - record.piece.at]
    if "#" in marks and looks_like_date(bare.piece.plain):
        hint = 'Write "## 2026-03-14" on a line of its own, at its very start.'
        yield from read_prose(bare, ("error", "A dated heading in here opens no entry.", hint))
    else:
        yield from read_prose(bare, astray(bare, why))


def without_marks(record: Record) -> Record:
    """The record without marks of lists, quotes, headings and comments in front."""
    marks = MARKS.match(record.piece.plain)
    return record._replace(piece=record.piece.cut(marks.end())) if marks and marks.end() else record


def astray(record: Record, why: str) -> Suspicion | None:
    """Why a line where records are not read looks like one."""
    try:
        opened = opening(record)
    except Misread:
        opened = (record, read_job)
    if opened is None or (opened[0].name == "test" and not reads(*opened)):
        return suspicion(record, item=False)
    sure = opened[1] is read_job or reads(*opened)
    says = f"This {'' if sure else 'looks like a record and '}is not read: {why}."
    hint = f'Write it as an item of a dated entry: "- ", then the record{"" if sure else "; or without the colon"}.'
    return "error" if sure else "warning", says, hint


def is_record_like(record: Record) -> bool:
    """Whether a line opens a record or looks like one that went wrong."""
    return astray(without_marks(record), "") is not None
