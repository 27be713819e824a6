"""Living things: what came, moved, was lost or born, and what is planned."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from reefjournal.events import AnyEvent, Group, Plan, Stock
from reefjournal.journal.amounts import amount, measure
from reefjournal.journal.dates import day_at
from reefjournal.journal.givings import food_in, giving_words, in_grams
from reefjournal.journal.pieces import Misread, Piece
from reefjournal.journal.record import Fact, Record, animal_slip, animals_in
from reefjournal.journal.sightings import offer
from reefjournal.journal.waters import water_name
from reefjournal.journal.words import Lexicon, fold, key

ACTIONS: dict[str, Any] = {
    "added": "added", "add": "added", "arrived": "added", "introduced": "added", "new": "added", "bought": "added",
    "released": "added", "moved": "moved", "transferred": "moved", "lost": "lost", "died": "lost", "dead": "lost",
    "found dead": "lost", "missing": "lost", "born": "born", "hatched": "born", "removed": "removed", "sold": "removed",
    "gave away": "removed", "given away": "removed", "returned": "removed", "rehomed": "removed", "caught": "removed",
}  # fmt: skip
ACTION = re.compile(rf"\s*(?P<action>{'|'.join(sorted(ACTIONS, key=len, reverse=True))})\b\s*:?\s*")
NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
COUNTS = {word: number for number, word in enumerate(NUMBERS, 1)}
COUNTS |= {
    "a": 1,
    "an": 1,
    "the first": 1,
    "a pair of": 2,
    "pair of": 2,
    "a pair": 2,
    "a trio of": 3,
    "a dozen": 12,
    "dozen": 12,
}
COUNT = re.compile(
    r"(?:first\s+)?(?:x?(?P<digits>\d{1,5})(?:\s*x)?|(?P<word>"
    rf"{'|'.join(sorted(COUNTS, key=len, reverse=True))}))(?=\s|$)\s*"
)
NONE = re.compile(
    r"(?:none|no|nothing|zero|0)\b\s*(?P<what>.*?)\s*(?:left|any ?more|alive|in (?:it|here|there)|lives here|yet)*$"
)
VAGUE = re.compile(r"(?:some|a few|several|many|more|another|the|first|last|all|both|other)\s+(?:the\s+)?")
WAY = re.compile(r"\s*(?:(?P<from>from|out of)|(?P<to>to|into|in)|(?P<arrow>-*>))\s+")
AWAY = re.compile(r"(?:away|absent|absence|holiday|vacation|travelling|traveling|gone)\b\s*")
AWAYS = Lexicon(dict.fromkeys(("away", "absent", "absence", "holiday", "vacation", "travelling"), ""))
BEFORE_DAY = re.compile(r"(?:\b(?:on|by|from|for|about|around)\s+)?(?=\d{4}-|\d{1,2}\.?\s+[a-z]{3}|[a-z]{3,9}\.? \d)")
BETWEEN = re.compile(r"\s*(?:to|until|till|-+|and)\s*")
EXCEPTION = re.compile(r"\b(?:except|excepting|but|apart|aside|other than|save|besides|only|just|bar|beyond)\b")
CHOICES = '"added", "moved", "lost", "born", "removed" or "none"'


class Living(NamedTuple):
    """A number, a name and a group as written, and where the name ends; a mass where no number was counted."""

    number: int | None
    name: str
    group: Group
    end: int
    mass: str = ""


def read_stock(record: Record) -> Iterator[AnyEvent]:
    """What happened to living things, one event a kind."""
    yield from record.each(_carried(record), stock)


def _carried(record: Record) -> Iterator[list[Fact]]:
    """Facts of a stock record, each with the one before it: its action may hold on, and "none left" is of its kind."""
    before: Fact | None = None
    for fact in record.facts():
        yield [fact, before] if before else [fact]
        if before is None or ACTION.match(fact.plain):
            before = fact


def stock(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One kind of living thing."""
    piece, before = group[0].piece, group[1].piece if len(group) > 1 else None
    own = ACTION.match(piece.plain)
    if own is None and (none := NONE.match(piece.plain)):
        _refuse_exceptions(record, piece)
        yield none_left(record, group[:1], none, before)
        return
    action = own or (ACTION.match(before.plain) if before else None)
    rest = piece.cut(own.end() if own else 0)
    living = living_at(record, rest)
    tail = rest.cut(living.end)
    if action is None and (behind := ACTION.fullmatch(tail.plain)):
        action, tail = behind, tail.cut(behind.end())
    if action is None:
        hint = f'Write {CHOICES} in front; for animals already there write: stock: added {piece.written}'
        raise Misread("This does not say what happened to them.", hint, piece.at)
    done = ACTIONS[action["action"]]
    way = way_of(record, tail, done)
    common = record.common(group[:1], way.get("target", "") if done == "moved" else "")
    common["remark"] = "; ".join(filter(None, (living.mass, common["remark"])))
    yield Stock(**common, action=done, animal=living.name, group=living.group, count=living.number, **way)


def _refuse_exceptions(record: Record, piece: Piece) -> None:
    """Nothing is none where the same line names what is left.

    Raises:
        Misread: the line makes an exception.
    """
    if EXCEPTION.search(fold(record.text)):
        hint = 'Write what lives there, for example "stock: added 2 snails", and "stock: none" only where nothing does.'
        raise Misread("This says none and makes an exception.", hint, piece.at)


def none_left(record: Record, group: Sequence[Fact], match: re.Match[str], before: Piece | None) -> Stock:
    """A written count of none: of the kind named or just spoken of, else of all.

    Raises:
        Misread: the words behind it are no animal.
    """
    piece = group[0].piece
    named_piece = piece.cut(match.start("what"), match.end("what"))
    if key(named_piece.plain) in ("", "animal", "animals", "livestock", "living things"):
        if before is None:
            return Stock(**record.common(group), action="none", animal="", group="unknown", count=0)
        action = ACTION.match(before.plain)
        named_piece = before.cut(action.end() if action else 0)
    living = living_at(record, named_piece)
    if living.end < len(named_piece.plain) and named_piece.at >= piece.at:
        raise Misread(f'"{piece.written}" is not understood.', 'Write "stock: none", or "stock: no snails".', piece.at)
    return Stock(**record.common(group), action="none", animal=living.name, group=living.group, count=0)


def living_at(record: Record, piece: Piece) -> Living:
    """The living thing that a piece begins with: a count or mass, words that describe it, and a known name at the end.

    Raises:
        Misread: no known animal stands there.
    """
    plain = piece.plain
    start, mass, count = 0, "", None
    found = amount(plain) if re.match(r"\s*[\d.,~]", plain) else None
    if found and measure(found) == "mass":
        start, mass = found.end, piece.written[: found.end]
        start += len(re.match(r"\s*(?:of )?\s*", plain[start:])[0])  # type: ignore[index]
    elif match := COUNT.match(plain):
        start = match.end()
        count = int(match["digits"]) if match["digits"] else COUNTS[match["word"]]
    elif match := VAGUE.match(plain):
        start = match.end()
    name = named(record, piece, start)
    if name is None:
        rest = piece.cut(start)
        hint = offer(record.words.animals, rest, 'Write a name such as "turban snails", or add it to words.toml.')
        raise Misread(f'"{rest.written or piece.written}" names no living thing that is known.', hint, rest.at)
    (animal, group), end = name
    tail = re.compile(r"\s+x(\d{1,4})(?=\s|$)").match(plain, end)
    return Living(int(tail[1]) if tail else count, animal, group, tail.end() if tail else end, mass)


def named(record: Record, piece: Piece, start: int) -> tuple[tuple[str, Group], int] | None:
    """A known name, or up to three words that describe one before it."""
    words = record.words.animals
    begin = start
    for _ in range(4):
        found = words.find(piece.plain, begin)
        if found and found.meaning.group != "none":
            before = key(piece.plain[start:begin])
            full = f"{before} {found.meaning.name}".strip()
            slip = words.near(piece.plain, start) if before else None
            if slip and slip[1] >= found.end:
                return None
            return (full, found.meaning.group), found.end
        word = re.compile(r"[^\s,;()\d>]+\s+").match(piece.plain, begin)
        if word is None or found or WAY.match(f" {word[0]}"):
            return None
        begin = word.end()
    return None


def way_of(record: Record, piece: Piece, done: str) -> dict[str, Any]:
    """Where animals came from and went to.

    Raises:
        Misread: the words are no way, or a move has no other end.
    """
    way: dict[str, Any] = {}
    rest = piece
    while rest.plain:
        match = WAY.match(f" {rest.plain}")
        if match is None and ("origin" in way or done != "moved"):
            raise Misread(f'"{rest.written}" is not understood here.', 'A remark goes behind " -- ".', rest.at)
        start = match.end() - 1 if match else 0
        name, end = water_name(record, rest, start)
        way["origin" if match is None or match["from"] else "target"] = name
        rest = rest.cut(end)
    if done == "moved":
        way.setdefault("target", record.vessel if way.get("origin") != record.vessel else "")
        way.setdefault("origin", record.vessel if way["target"] != record.vessel else "")
        if not (way["origin"] and way["target"]):
            raise Misread(
                "A move goes from one vessel to another.", 'Write "moved 2 gobies quarantine -> display".', piece.at
            )
    elif way:
        other = way.get("target") or way.get("origin")
        if way.get("target") and way["target"] != record.vessel:
            raise Misread(
                f'This is written for {record.vessel}, and says "{other}".',
                f"Write stock ({other}): in front.",
                piece.at,
            )
    return way


def read_plan(record: Record) -> Iterator[AnyEvent]:
    """What is intended."""
    yield from record.each([record.facts()], plan)


def plan(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One plan: animals, food, an absence or other words, with its days."""
    if not group:
        raise Misread("This plans nothing.", 'Write "plan: 2 gobies 2026-05-20".', record.piece.at)
    said: dict[str, Any] = {"what": "other"}
    for fact in group:
        plan_words(record, fact.piece, said)
    if said["what"] == "other" and (slip := near_animal(record, group)):
        raise Misread("This may name an animal.", f'Write "{slip}" if that is meant.', group[0].piece.at)
    if said["what"] == "other" and (away := AWAYS.near(group[0].plain)):
        raise Misread(f'"{group[0].piece.written}" is not understood.', f'Write "{away[0]}" if that is meant.')
    said.pop("every_day", None)
    yield Plan(**record.common(group), text=record.piece.written, **said)


def near_animal(record: Record, group: Sequence[Fact]) -> str:
    """An animal's name that words of a plan are a slip of."""
    starts = [(fact, match.start()) for fact in group for match in re.finditer(r"(?<![^\s])[a-z]", fact.plain[:200])]
    return next((slip for fact, at in starts if (slip := animal_slip(record.words, fact.plain, at))), "")


def plan_words(record: Record, piece: Piece, said: dict[str, Any]) -> None:
    """Add to ``said`` what the words of one fact plan."""
    piece = without_days(piece, said)
    if not piece.plain:
        return
    if AWAY.match(piece.plain):
        said["what"] = "away"
        return
    if food_word := re.match(r"(?:food|feeding|ration)\b[\s:]*(?=[\d.,~])", piece.plain):
        piece = piece.cut(food_word.end())
    food = None if counted(record, piece) else food_in(record, piece)
    if food and food[0] != "none":
        _, start, end = food
        ration: dict[str, Any] = {}
        giving_words(record, piece.cut(0, start), ration)
        giving_words(record, piece.cut(end), ration)
        in_grams(ration, piece)
        said |= {"grams": ration.get("amount"), "protein": ration.get("protein")}
        said["what"] = "animals" if said["what"] == "animals" else "food"
    elif animals_in(piece.plain, record.words):
        living = living_at(record, piece)
        if said["what"] == "animals" or living.end < len(piece.plain):
            raise Misread(
                "This plans more than one kind.", 'Write a plan for each: "plan: 2 gobies 2026-05-20".', piece.at
            )
        said |= {"what": "animals", "animal": living.name, "group": living.group, "count": living.number}


def counted(record: Record, piece: Piece) -> bool:
    """Whether a piece is a number of animals and nothing else, such as "3 fish", though fish are a food too."""
    count = COUNT.match(piece.plain)
    found = record.words.animals.find(piece.plain, count.end()) if count else None
    return found is not None and found.meaning.group != "none" and not piece.plain[found.end :].strip()


def without_days(piece: Piece, said: dict[str, Any]) -> Piece:
    """The piece without the day or days that end it; they are added to ``said``."""
    for match in BEFORE_DAY.finditer(piece.plain):
        first = day_at(piece.plain, match.end())
        if first is None:
            continue
        said["first"] = said["last"] = first.day
        link = BETWEEN.match(piece.plain, first.end)
        last = day_at(piece.plain, link.end()) if link else None
        if last:
            if last.day < first.day:
                raise Misread("This ends before it begins.", f"Write {last.day} to {first.day}.", piece.at)
            said["last"] = last.day
        end = last.end if last else first.end
        if (rest := piece.cut(end)).plain:
            raise Misread(f'"{rest.written}" is not understood here.', "Put a comma in front.", rest.at)
        return piece.cut(0, match.start())
    return piece
