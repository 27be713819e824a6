"""How each thing of a `build` note stands: passed, failed, begun, skipped, lacking or done, by the words beside it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple, cast

from reefjournal.events import Standing
from reefjournal.journal.pieces import Piece, divided
from reefjournal.journal.record import PUNCTUATION, Record

TURNED: dict[Standing, Standing] = {"passed": "failed", "failed": "passed", "begun": "lacking", "done": "lacking"}
NOT = re.compile(r"\b(?:not|never|no longer|cannot|\w+ t)\s+(?:\w+ly\s+|been\s+|quite\s+|yet\s+)*$")
NONE = re.compile(
    r"\b(?:no|not|nothing|without|never|zero|nor)\s+"
    r"(?:(?:a|an|any|the|one|single|more|further|longer|visible|sign of)\s+)*$"
)
NEAR = 60
"""So far back a word of denial is looked for."""
JOINED = re.compile(r"\s*(?:and|&|plus)\s*(?:the\s+)?$")
# What may stand between a thing and "passed": anything else leaves open what was passed.
FILLERS = "the has have was is are been all now again finally h hour hours day days and both"
PLAIN = re.compile(rf"[\s\d.:/]*(?:(?:{FILLERS.replace(' ', '|')})\b[\s\d.:/]*)*$")

# Who looked at it: such words say no more than "passed" does, and nothing without a result.
CHECKED = re.compile(
    r"\b(?:checked|inspected|surveyed|examined|(?:engineer|surveyor|electrician|plumber) +(?:says|said))\b"
    r"(?: +by(?: +(?!and\b)\w+){1,4})?"
)
# What "ok" leaves open: a test that is ok may still go on, a trouble that is so may be there yet.
TESTS = ("leak test", "drain-down test", "RCD test")
TROUBLES = ("leak", "condensation", "damp", "swelling", "snag")
# What leaves "passed" open.
OPEN = re.compile(
    r"\b(?:whether|(?:not|make) sure|unsure|ask\w*|wait\w*|hop(?:e|es|ed|ing)|pending|thinks?|looks?|seems?"
    r"|so far|for now)\b"
)

# What makes a fact a hope, a plan or a part of one.
HEDGED = re.compile(
    r"\?|\b(?:if|unless|until|maybe|perhaps|nearly|almost|hopefully|should|would|will|must|might|may|to be|only"
    r"|tomorrow|next week|planned|plan to|needs?|soon|later)\b"
)
GOOD = ("passed", "done")


class Mark(NamedTuple):
    """A thing or a verdict in a text: what it is, where it stands, and whether it is a verdict."""

    says: str
    start: int
    end: int
    verdict: bool


def standings(record: Record) -> tuple[tuple[str, Standing], ...]:
    """How the things of a record stand, each once: unsure where it is said in two ways, not clearly, or as intended."""
    found: dict[str, Standing] = {}
    things: list[Mark] = []
    checked = False
    for part in divided(record.piece):
        marks = list(marks_in(record, part))
        checked = checked or any(not denied(NOT, part.plain, one.start()) for one in CHECKED.finditer(part.plain))
        for thing, verdict, at in judged(part, marks, things, checked=checked):
            if not verdict or not agree(found.setdefault(thing, verdict), verdict):
                named = f'"{thing}" stands' if thing else "it stands"
                hint = f'Write a note of its own, such as "build: {thing or "leak test"} passed".'
                record.tell("warning", f"It is not clear how {named}.", hint, at)
                found[thing] = "unsure"
        things = [mark for mark in marks if not mark.verdict] or things
        if HEDGED.search(part.plain):
            for mark in (mark for mark in marks if not mark.verdict):
                found.setdefault(mark.says, "unsure")
    return tuple((thing, verdict) for thing, verdict in found.items() if thing)


def agree(one: Standing, other: Standing) -> bool:
    """Whether two verdicts on one thing go together: what is mended and not there any more does."""
    return one == other or {one, other} == {"done", "lacking"}


def marks_in(record: Record, part: Piece) -> Iterator[Mark]:
    """The things and verdicts of a part in order, the longest at each place."""
    text, end = part.plain.translate(PUNCTUATION), 0
    for match in re.finditer(r"\S+", text):
        start = match.start()
        if start < end:
            continue
        noun, verdict = record.words.nouns.find(text, start), record.words.verdicts.find(text, start)
        if hit := max(filter(None, (noun, verdict)), key=lambda one: one.end, default=None):
            end = hit.end
            yield Mark(hit.meaning, start, end, hit is verdict and hit is not noun)


def judged(
    part: Piece, marks: list[Mark], before: list[Mark], *, checked: bool
) -> Iterator[tuple[str, Standing | None, int]]:
    """Each thing with its verdict, ``None`` where that is not clear, and the place of the words that say so."""
    text = part.plain.translate(PUNCTUATION)
    for place, mark in enumerate(marks):
        at = part.at + mark.start
        if not mark.verdict:
            if denied(NONE, text, mark.start):
                yield mark.says, "lacking", at
        elif mark.says != "other":
            ok = mark.says == "ok"
            said: Standing = "passed" if ok else cast(Standing, mark.says)
            says = TURNED.get(said, said) if denied(NOT, text, mark.start) else said
            things, between = about(text, marks, place)
            things, plain = (things, PLAIN.match(CHECKED.sub(" ", between))) if things else (before, True)
            doubtful = (says == "passed" and (not plain or OPEN.search(part.plain))) or (
                says in GOOD and HEDGED.search(part.plain)
            )
            if ok and says == "passed":
                doubtful = doubtful or not checked or denied(NONE, text, mark.start)
                asked = ("floor", *TESTS)
                things = [one for one in things if one.says in asked or (checked and one.says not in TROUBLES)]
            for thing in things:
                unclear = doubtful or (ok and says == "passed" and thing.says in TESTS)
                yield thing.says, None if unclear else says, at
            if not things and not ok and says in ("passed", "failed"):
                yield "", None, at


def denied(denial: re.Pattern[str], text: str, at: int) -> bool:
    """Whether words of denial lead up to a place."""
    return denial.search(text, max(0, at - NEAR), at) is not None


def about(text: str, marks: list[Mark], place: int) -> tuple[list[Mark], str]:
    """The things that a verdict is about, the ones just before it or else just after, and the words between."""
    mark = marks[place]
    earlier = [one for one in marks[:place] if not one.verdict]
    if earlier:
        things = [earlier.pop()]
        while earlier and JOINED.fullmatch(text[earlier[-1].end : things[0].start]):
            things.insert(0, earlier.pop())
        return things, text[things[-1].end : mark.start]
    later = [one for one in marks[place + 1 :] if not one.verdict][:1]
    return later, text[mark.end : later[0].start] if later else ""
