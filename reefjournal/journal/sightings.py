"""What can be seen without a test, and what was done with equipment."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from reefjournal.events import AnyEvent, Gear, Seen
from reefjournal.journal.dates import day_at, relative
from reefjournal.journal.pieces import Misread, Piece
from reefjournal.journal.record import Fact, Record, animals_in
from reefjournal.journal.words import Lexicon, key

STRENGTHS = {
    "slight": "slight slightly light lightly faint thin little some mild weak a-bit-of a-little traces-of less thinner",
    "moderate": "moderate moderately medium middling",
    "heavy": "heavy heavily strong thick dense bad lots-of a-lot-of much severe more thicker",
}  # fmt: skip
STRENGTH = {word.replace("-", " "): name for name, words in STRENGTHS.items() for word in words.split()}
STRONG = "|".join(sorted(STRENGTH, key=len, reverse=True))
BEFORE = re.compile(
    rf"(?:(?P<strength>{STRONG})|(?P<still>still)|(?P<gone>no more|no longer|no)|the|a|an|first|new|again)\b\s*"
)
AFTER = re.compile(
    rf"\s*(?:(?P<still>still(?: there)?|same|no change|as before|continues|stays)"
    rf"|(?P<strength>{STRONG})|(?:has |have |is |are )*"
    r"(?P<gone>(?:all )?(?:gone|cleared(?: up)?|disappeared)|away|(?<=is )over|(?<=are )over)|"
    r"(?:is |are )?(?:again|back(?=\s*(?:,|$))|there|now|begins?|starts?|started|began))\b(?![-'])"
)
SUBJECT = re.compile(
    r"\s*(?:(?:the|a|an|our|one|both|all|two|three|\d+|male|female|small|smaller|big|bigger|first|second|other)\s+)*"
)
VERB = re.compile(r"\s*(?:(?:is|are|was|were|has|have)\b)?\s*")
VERB_AT_END = re.compile(r"\s+(?:is|are|was|were|has|have)\s*$", re.IGNORECASE)
ON_GLASS = re.compile(r"\b(?:pane|glass|rock|wall|sand|pump|weir|pipe|heater)s?\b")
GONE_AT_END = re.compile(r"\s+(?:(?:is|are|has|have|all|now) )*(?:gone|cleared(?: up)?|disappeared)\s*$")
POWER_BACK = re.compile(r"(?:the )?(?:power|mains|electricity)\b.*\b(?:back|on|restored|again|returned)\b")
# Words by which something is well or over, and what makes the contrary of them.
WELL = r"\b(?:normal(?:ly)?|fine|better|ok|okay|well|gone|stopped|ended|recovered|healthy|calm|cleared|disappeared)\b"
OVER = re.compile(rf"(?<!\bas ){WELL}|\b(?:no longer|no more|not any ?more)\b|(?<!all )\bover$")
NOT_OVER = re.compile(rf"(?:\b(?:not|no longer|never|hardly|barely|than|less)|n't)\s+(?:\w+\s+)?{WELL}")
ENDED = re.compile(r"(?:not|no longer|stopped)\s+")
# Signs that all is as it should be: words of health behind them end nothing.
HEALTHY = frozenset({"eating", "open polyps", "coralline", "pods", "clear water", "all well"})
SINCE = re.compile(r"\s*since (?:about |around )?(.+)$")
MANNER = Lexicon(dict.fromkeys((*STRENGTH, "gone", "still", "since"), ""))
ACTIONS: dict[str, Any] = {
    "on": "on", "off": "off", "switched on": "on", "switched off": "off", "turned on": "on", "turned off": "off",
    "back on": "on", "unplugged": "off", "plugged in": "on", "started": "on", "stopped": "off", "running": "on",
    "runs": "on", "failed": "off", "tripped": "off", "added": "added", "installed": "added", "fitted": "added",
    "put in": "added", "new": "added", "removed": "removed", "taken out": "removed", "took out": "removed",
    "set": "set", "set to": "set", "raised to": "set", "lowered to": "set", "turned up": "set", "turned down": "set",
    "turned up to": "set", "turned down to": "set", "adjusted": "set", "reduced to": "set",
    "cleaned": "cleaned", "rinsed": "cleaned", "wiped": "cleaned", "emptied": "cleaned", "descaled": "cleaned",
    "replaced": "replaced", "changed": "replaced", "renewed": "replaced", "swapped": "replaced",
    "moved": "moved", "calibrated": "calibrated", "recalibrated": "calibrated", "filled": "filled",
    "refilled": "filled",
}  # fmt: skip
ACTION = re.compile(
    rf"\s*(?:(?:was|is|now|has been|again)\s+)?(?P<action>{'|'.join(sorted(ACTIONS, key=len, reverse=True))})\b"
)
DESCRIBING = re.compile(r"(?!\d|(?:in|into|on|at|to|from|of|by|for|with|near|behind|under|over)\b)[^\s,]+\s+")
DONE = Lexicon(dict.fromkeys(ACTIONS, ""))
CHOICES = "on, off, added, removed, set, cleaned, replaced, moved, calibrated or filled"


def read_seen(record: Record) -> Iterator[AnyEvent]:
    """What was seen, one event a sign."""
    yield from record.each(record.groups(lambda fact: sign_at(record, fact.piece) is not None), seen)


def sign_at(record: Record, piece: Piece) -> tuple[str, int, dict[str, Any]] | None:
    """The sign that a piece begins with, where it ends, and what the words before it say, an animal among them."""
    end = subject_end(record, piece)
    return sign_from(record, piece, 0) or (sign_from(record, piece, end) if end else None)


def subject_end(record: Record, piece: Piece) -> int:
    """Where the words end that name the animal which shows a sign; 0 where a piece begins with none."""
    begin = SUBJECT.match(piece.plain)
    found = record.words.animals.find(piece.plain, begin.end()) if begin else None
    verb = VERB.match(piece.plain, found.end) if found and found.meaning.group != "none" else None
    return verb.end() if verb else 0


def sign_from(record: Record, piece: Piece, start: int) -> tuple[str, int, dict[str, Any]] | None:
    """The same from some place of the piece on; what stands before it says who shows the sign."""
    said: dict[str, Any] = {"who": VERB_AT_END.sub("", piece.cut(0, start).written)} if start else {}
    while True:
        if found := record.words.signs.find(piece.plain, start):
            return found.meaning, found.end, said
        match = BEFORE.match(piece.plain, start)
        if match is None:
            return None
        said |= manner(match)
        start = match.end()


def manner(match: re.Match[str]) -> dict[str, Any]:
    """State and strength that a word tells."""
    groups = match.groupdict()
    state = "gone" if groups["gone"] else "still" if groups["still"] else ""
    strength = STRENGTH.get(groups["strength"] or "", "")
    return ({"state": state} if state else {}) | ({"strength": strength} if strength else {})


def seen(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One sign: its state, strength, place and beginning."""
    piece = group[0].piece if group else record.piece
    found = sign_at(record, piece)
    if found is None:
        raise unknown_sign(record, piece)
    sign, end, given = found
    who = given.pop("who", "")
    for part in (fact.piece for fact in group[1:]):
        # Behind a comma "left pane gone" and "spots gone" look alike: one is a place, the other a sign of its own.
        if GONE_AT_END.search(part.plain) and not AFTER.fullmatch(part.plain):
            raise Misread(
                f'"{part.written}" does not say which sign is gone.',
                'Name the sign, and write it in a line of its own: "seen: white spots gone".', part.at,
            )  # fmt: skip
    for rest in (piece.cut(end), *(fact.piece for fact in group[1:])):
        given |= seen_words(record, rest, given)
    where = ", ".join(filter(None, (who, given.pop("where", ""))))
    yield Seen(**record.common(group), sign=of_place(record, sign, where), where=where, **given)


def of_place(record: Record, sign: str, where: str) -> str:
    """The same words mean another thing on an animal than on a pane: dust, and white spots."""
    if sign == "brown dusting" and any(animal.group == "fish" for animal in animals_in(where.casefold(), record.words)):
        return "dust on fish"
    return "white specks" if sign == "white spots on fish" and ON_GLASS.search(where.casefold()) else sign


def unknown_sign(record: Record, piece: Piece) -> Misread:
    """The mistake of a sign that the vocabulary does not know."""
    if animals_in(piece.plain, record.words):
        hint = 'Living things are written as "stock: added 1 snail", or as plain text without "seen:".'
    elif POWER_BACK.match(piece.plain):
        hint = 'Write "power cut gone".'
    elif ended := sign_ended(record.words.signs, piece):
        hint = f'Write "{ended} gone" if that is meant.'
    elif OVER.search(piece.plain) and not NOT_OVER.search(piece.plain):
        hint = offer_gone(record.words.signs, piece)
    else:
        hint = offer(record.words.signs, piece, 'Write what can be seen, such as "surface film, slight, weir corner".')
    return Misread(f'"{piece.written}" is not known as something to see.', hint, piece.at)


def sign_ended(signs: Lexicon[str], piece: Piece) -> str:
    """The sign in front of which words say that it is not there."""
    ended = ENDED.match(piece.plain)
    found = signs.find(piece.plain, ended.end()) if ended else None
    return found.phrase if found and found.meaning not in HEALTHY else ""


def offer_gone(signs: Lexicon[str], piece: Piece) -> str:
    """What to write where unknown words say that something is well or over: the sign itself would be the contrary."""
    offers = nearest(signs, piece)
    meant = {signs.meanings[phrase] for phrase in offers}
    if len(meant) == 1:
        return f'Write "{offers[0]}{"" if meant <= HEALTHY else " gone"}" if that is meant.'
    return 'Write what is gone, such as "haze gone".'


def offer(words: Lexicon[Any], piece: Piece, otherwise: str) -> str:
    """The nearest known words as a suggestion."""
    offers = nearest(words, piece)
    return (
        f'Write "{offers[0]}" if that is meant.'
        if len(offers) == 1
        else f"Known: {', '.join(offers)}."
        if offers
        else otherwise
    )


def nearest(words: Lexicon[Any], piece: Piece) -> list[str]:
    """The known words that are nearest to a piece: one that some of its words are a slip of, or up to three."""
    starts = [0, *(match.start() for match in re.finditer(r"(?<=\s)(?!(?:has|was|is)\b)\S", piece.plain[:60]))]
    near = next((slip[0] for start in starts if (slip := words.near(piece.plain, start))), None)
    return [near] if near else words.nearest(" ".join(piece.plain.split()[:3]))


def seen_words(record: Record, piece: Piece, given: dict[str, Any]) -> dict[str, Any]:
    """What words behind a sign say of it.

    Raises:
        Misread: they may be another sign with a slip in it, or a day that is none.
    """
    said: dict[str, Any] = {}
    plain = piece.plain
    if since := SINCE.search(plain):
        said["since"] = began(record, since[1], piece.at + since.start())
        plain = plain[: since.start()]
    start = 0
    while match := AFTER.match(plain, start):
        said |= manner(match)
        start = match.end()
    if gone := GONE_AT_END.search(plain, start):
        said["state"], plain = "gone", plain[: gone.start()]
    rest = piece.cut(start, len(plain))
    if rest.plain:
        if given.get("where") or (start == 0 and piece.at > record.piece.at and record.words.signs.near(rest.plain)):
            raise unknown_sign(record, rest)
        said["where"] = place(rest)
    return said


def place(rest: Piece) -> str:
    """The words that say where.

    Raises:
        Misread: they may be a slip of another word, or begin with a date.
    """
    words = key(rest.plain).split(" ")
    if day_at(rest.plain) or any(MANNER.near(word) for word in words[:2]):
        raise Misread(
            f'"{rest.written}" is not understood here.', "Write slight, moderate, heavy, gone, still or since.", rest.at
        )
    return rest.written


def began(record: Record, words: str, at: int) -> Any:
    """The first and last day on which something may have begun."""
    span = relative(words.strip(), record.day) if record.day else None
    if span is None and record.day:
        raise Misread(
            f'"since {words}" names no day.', 'Write "since yesterday", "since Sunday" or "since 2026-03-10".', at
        )
    return span


def read_gear(record: Record) -> Iterator[AnyEvent]:
    """What was done with equipment, one event a device."""
    yield from record.each(record.groups(lambda fact: device_at(record, fact.piece) is not None), gear)


class Device(NamedTuple):
    """A device in a piece: its name, where that ends, the action in front of it, and the words between."""

    name: str
    end: int
    done: str
    words: str


def device_at(record: Record, piece: Piece) -> Device | None:
    """The device that a piece begins with, after at most an action and two words."""
    action = ACTION.match(piece.plain)
    begin = start = action.end() if action else 0
    for _ in range(3):
        start += len(piece.plain[start:]) - len(piece.plain[start:].lstrip())
        if found := record.words.devices.find(piece.plain, start):
            return Device(found.meaning, found.end, action["action"] if action else "", piece.cut(begin, start).written)
        word = DESCRIBING.match(piece.plain, start)
        if word is None or record.words.devices.near(piece.plain, start):
            return None
        start = word.end()
    return None


def gear(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One device and what was done with it; words that are no action are its setting."""
    piece = group[0].piece if group else record.piece
    found = device_at(record, piece)
    if found is None:
        hint = offer(record.words.devices, piece, 'Write a device and what was done: "carbon reactor off".')
        raise Misread(f'"{piece.written}" names no device that is known.', hint, piece.at)
    device, end, done, words = found
    rest = piece.cut(end)
    match = ACTION.match(rest.plain)
    if match and not done:
        done, rest = match["action"], rest.cut(match.end())
    setting = ", ".join(filter(None, (words, rest.written, *(fact.piece.written for fact in group[1:]))))
    action: Any = ACTIONS[done] if done else "set" if re.search(r"\d", setting) else ""
    if not action:
        raise Misread(f"This does not say what was done with the {device}.", f"Write {CHOICES}.", piece.at + end)
    if not done and DONE.near(rest.plain):
        raise Misread(f'"{rest.written}" is not understood here.', f"Write {CHOICES}.", rest.at)
    yield Gear(**record.common(group), device=device, action=action, setting=setting)
