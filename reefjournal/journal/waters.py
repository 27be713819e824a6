"""Bodies of water: vessels and their size, and water that goes in, out, or from one to another."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from reefjournal.events import AnyEvent, Role, VesselDefined, Water
from reefjournal.journal.amounts import NUMBER, Amount, amount, interval, measure, number, unit_at
from reefjournal.journal.pieces import Misread, Piece
from reefjournal.journal.record import SAME_WATER, SAMPLE_POINTS, Fact, Record, unknown_water
from reefjournal.journal.words import Lexicon, fold, key, one_slip
from reefjournal.quantities import UNITS, Interval

SIZE = re.compile(rf"({NUMBER})\s*(\S*?)\s*[x*]\s*({NUMBER})\s*(\S*?)\s*[x*]\s*({NUMBER})")
FILLER = re.compile(
    r"(?:(?:of|water|with|without|in|all|the|and|a|sump|net|total|volume|system|including|included|incl|altogether|inside|"
    r"outside|measured|counted|rock|sand|displacement|less|minus|running|both)\b[\s.]*)*"
)
USUAL_WATERS = Lexicon({form: forms[0] for forms in SAME_WATER for form in forms})
ROLES: tuple[tuple[Role, re.Pattern[str]], ...] = (
    ("quarantine", re.compile(r"quarantine|\bqt\b|hospital|isolation")),
    ("reservoir", re.compile(r"reservoir|top.?(?:up|off)|\bato\b|store|storage")),
    ("bin", re.compile(r"\bbin\b|tub\b|bucket|barrel|\bvat\b|mixing|curing|drum|container")),
    ("water", re.compile(r"\btap\b|\bro(?:di)?\b|mains")),
)
ACTIONS: dict[str, Any] = {
    "changed": "changed", "change": "changed", "swapped": "changed", "exchanged": "changed", "replaced": "changed",
    "topped up": "topped up", "topped off": "topped up", "top up": "topped up", "top off": "topped up",
    "topped it up": "topped up", "drained": "drained", "drain": "drained", "emptied": "drained", "removed": "drained",
    "took out": "drained", "siphoned": "drained", "siphoned out": "drained", "syphoned out": "drained",
    "filled": "filled", "fill": "filled", "refilled": "filled", "filled up": "filled",
    "mixed": "mixed", "made up": "mixed", "moved": "moved", "transferred": "moved",
}  # fmt: skip
ACTION = re.compile(rf"(?:{'|'.join(sorted(ACTIONS, key=len, reverse=True))})\b".replace(" ", r"\s+"))
SHARE_WORDS = {"half": 50.0, "a half": 50.0, "a third": 100 / 3, "a quarter": 25.0, "all": 100.0, "two thirds": 200 / 3}
SHARE = re.compile(rf"(?:{'|'.join(SHARE_WORDS)})\b(?: of (?:it|the water))?")
WAY = re.compile(r"(?P<from>[^,;>]+?)\s*-*>\s*(?P<to>.+)")
SMALL = re.compile(
    r"(?:of|with|the|water|new|fresh|salt|sea|clean|old|pure|in|and|at|mixed|saltwater|seawater|about|made|temperature|salinity)\b\s*"
)
CHOICES = '"changed", "topped up", "drained", "filled", "mixed" or "moved"'


def read_vessel(record: Record) -> Iterator[AnyEvent]:
    """The vessel of a record."""
    yield from record.each([record.facts()], vessel)


def vessel(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """A vessel from its facts: name first, then size, net volume and role; one that is misread hides no other."""
    name, facts = vessel_name(record, group)
    given: dict[str, Any] = {}
    unread: list[AnyEvent] = []
    for fact in facts:
        try:
            given |= vessel_fact(record, fact)
        except Misread as wrong:
            at = fact.piece.at if wrong.at is None else wrong.at
            unread.append(record.unread(wrong.message, wrong.suggestion, at, fact.plain))
    role = given.pop("role", None) or role_of(fold(name))
    water = record.standing.water(name) or " ".join(name.split())
    names = list(dict.fromkeys(record.standing.waters.values()))
    earlier = names[: names.index(water)] if water in names else []
    if other := next((known for known in earlier if one_slip(known, water)), None):
        record.tell(
            "warning", f'"{water}" and "{other}" are two vessels here.', "Give both the same name if they are one."
        )
    elif (usual := USUAL_WATERS.slip(key(water))) and not USUAL_WATERS.get(water):
        record.tell("warning", f'This makes a vessel "{water}".', f'Write "{usual}" if that is meant.')
    yield VesselDefined(**record.common(group, water), role=role, **given)
    yield from unread


def vessel_name(record: Record, group: Sequence[Fact]) -> tuple[str, list[Fact]]:
    """The name that a vessel record begins with, and its other facts."""
    plain = group[0].plain if group else ""
    size = re.search(rf"\s(?:~|about )?{NUMBER}\s*(?:x|[a-z\"]+)", plain)
    name = (plain[: size.start()] if size else plain).strip(" :")
    written = group[0].piece.written[: len(name)].lower() if group else ""
    if not re.search(r"[^\W\d]", name) or amount(name):
        raise Misread("A vessel needs a name.", 'Write "vessel: display, 120 x 55 x 50 cm, 290 L".', record.piece.at)
    rest = [Fact(group[0].piece.cut(size.start()), group[0].remark)] if size else []
    return written, [*rest, *group[1:]]


def vessel_fact(record: Record, fact: Fact) -> dict[str, Any]:
    """What one fact says of a vessel.

    Raises:
        Misread: it is no size, volume or role.
    """
    plain, at = fact.plain, fact.piece.at
    if match := SIZE.match(plain):
        unit, end = unit_at(plain, match.end())
        if unit not in UNITS or UNITS[unit].measures != "length" or plain[end:].strip():
            raise Misread("A size needs one unit of length at its end.", "Write 120 x 55 x 50 cm.", at)
        size = tuple(UNITS[unit].canonical(number(match[i])) / 10 for i in (1, 3, 5))
        if not all(size):
            raise Misread("No side of a vessel is 0.", "Write 120 x 55 x 50 cm.", at)
        return {"size": size}
    role = role_of(plain.removeprefix("role "))
    if not re.search(r"\d", plain) and (role != "display" or plain.removeprefix("role ") == "display"):
        return {"role": role}
    lead = re.match(r"(?:net |water |volume |holds )*:?\s*", plain)
    found = amount(plain, lead.end() if lead else 0)
    if (
        found
        and measure(found) == "volume"
        and FILLER.fullmatch(plain, found.end + len(plain[found.end :]) - len(plain[found.end :].lstrip()))
    ):
        holds = volume(record, found, at)
        if not holds.low > 0:
            raise Misread("A vessel's volume is above 0 L.", "Write its net volume: 290 L, or a range: 270-290 L.", at)
        return {"volume": holds}
    hint = "A vessel has a size (120 x 55 x 50 cm), a net volume (290 L) and a role (quarantine, bin, reservoir)."
    raise Misread(f'"{fact.piece.written}" is not understood of a vessel.', hint, at)


def volume(record: Record, found: Amount, at: int) -> Interval:
    """A volume in L; a gallon of unknown country is told and spans both."""
    if found.unit == "gal":
        record.tell(
            "warning", "A US gallon is 3.8 L, a UK gallon 4.5 L; both are reckoned with.", "Write US gal or UK gal.", at
        )
    return interval(found, "volume")


def role_of(name: str) -> Role:
    """What a vessel is for, by its name."""
    return next((role for role, words in ROLES if words.search(name)), "display")


def waters_by_name(names: Sequence[str]) -> dict[str, str]:
    """Every form of the vessels' names -> the name as first written; sample points are waters of their own."""
    waters: dict[str, str] = {}
    for forms in SAME_WATER:
        keys = [key(form) for form in forms]
        own = next((name for name in names if key(name) in keys), forms[0] if forms[0] in SAMPLE_POINTS else None)
        if own:
            waters |= dict.fromkeys(keys, own)
    for name in names:
        waters.setdefault(key(name), name)
        waters.setdefault(key(f"{name} tank"), name)
    return waters


def read_water(record: Record) -> Iterator[AnyEvent]:
    """What was done with water, one event an action."""
    starts = record.name == "water change"
    begins = lambda fact: bool(ACTION.match(fact.plain)) or (starts and bool(share_or_volume(fact.piece)))  # noqa: E731
    yield from record.each(record.groups(begins), water)


def share_or_volume(piece: Piece) -> Amount | None:
    """The volume or share that a piece begins with."""
    found = amount(piece.plain)
    return found if found and measure(found) in ("volume", "share") else None


def water(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One action on water and all that is said of it."""
    piece = group[0].piece if group else record.piece
    match = ACTION.match(piece.plain)
    action: Any = ACTIONS[" ".join(match[0].split())] if match else "changed" if record.name == "water change" else ""
    given: dict[str, Any] = {}
    for fact in (Fact(piece.cut(match.end() if match else 0)), *group[1:]):
        given |= water_words(record, fact.piece, given)
    if not action:
        action = "moved" if given.get("origin") else ""
    if not action:
        raise Misread("This does not say what was done with the water.", f"Write {CHOICES} in front.", piece.at)
    if not given:
        raise Misread("This says no volume.", f'Write "water: {action} 40 L".', piece.at)
    yield Water(**record.common(group, given.get("target", "")), action=action, **ends(record, action, given))


def ends(record: Record, action: str, given: dict[str, Any]) -> dict[str, Any]:
    """Where water came from and went to: what was not written is the record's own vessel."""
    if action == "moved":
        given.setdefault("target", record.vessel if given.get("origin") != record.vessel else "")
        given.setdefault("origin", record.vessel if given["target"] != record.vessel else "")
    return given


def water_words(record: Record, piece: Piece, given: dict[str, Any]) -> dict[str, Any]:
    """All that a run of words says of water: volume, share, salt, salinity, temperature, where from and to.

    Raises:
        Misread: some of it is none of these.
    """
    found: dict[str, Any] = {}
    rest = piece
    while rest.plain:
        one, end = water_word(record, rest)
        if twice := next((name for name in one if name in found or name in given), None):
            raise Misread(f"This says the {twice} twice.", "Write two records.", rest.at)
        found |= one
        rest = rest.cut(end)
    return found


def water_word(record: Record, piece: Piece) -> tuple[dict[str, Any], int]:
    """What the first words of a piece say of water, and where they end."""
    plain = piece.plain
    if match := SHARE.match(plain):
        return {"share": Interval.exactly(SHARE_WORDS[re.sub(r" of .*", "", match[0])] / 100)}, match.end()
    found = amount(plain)
    if found:
        return water_amount(record, piece, found), found.end
    if match := re.match(r"(from|out of|to|into|for|in)\s+", plain):
        name, end = water_name(record, piece, match.end())
        return {"origin" if match[1] in ("from", "out of") else "target": name}, end
    if match := re.match(r"(.+?)\s*-*>\s*", plain):
        origin, _ = water_name(record, piece.cut(0, match.end(1)), 0)
        target, end = water_name(record, piece, match.end())
        return {"origin": origin, "target": target}, end
    if match := SMALL.match(plain):
        return {}, match.end()
    if source := record.standing.water(plain.removesuffix(" water").strip()):
        return {"origin": source}, len(plain)
    hint = 'Write a volume, a salinity, a temperature, "from" or "to" a vessel; a remark goes behind " -- ".'
    raise Misread(f'"{piece.written}" is not understood of water.', hint, piece.at)


def water_name(record: Record, piece: Piece, start: int) -> tuple[str, int]:
    """The longest vessel name at ``start`` and where it ends."""
    ends_ = [match.end() for match in re.compile(r"\S+").finditer(piece.plain, start)]
    for end in reversed(ends_[:5]):
        if name := record.standing.water(piece.plain[start:end]):
            return name, end
    raise unknown_water(piece.cut(start), record.standing)


def water_amount(record: Record, piece: Piece, found: Amount) -> dict[str, Any]:
    """What a number with its unit says of water.

    Raises:
        Misread: it has no unit, or one that says nothing of water.
    """
    kind, rest = measure(found), piece.plain[found.end :]
    if kind == "volume":
        return {"volume": volume(record, found, piece.at)}
    if kind in ("salinity", "gravity"):
        return {"salinity": interval(found, kind)}
    if kind == "temperature":
        return {"temperature": interval(found, kind)}
    if kind == "share" and found.high is not None and found.high <= 100:
        return {"share": interval(found, kind).times(0.01)}
    if kind == "mass" and re.match(r"\s*(?:of )?(?:sea |marine )?salt\b", rest):
        return {"salt": interval(found, kind)}
    if not found.unit and 0.99 <= found.low <= 1.06:
        return {"salinity": Interval(found.low, found.high or found.low)}
    hint = "Write 40 L, 10 %, 35 ppt, 25 C or 2.1 kg salt."
    raise Misread(f'"{piece.cut(0, found.end).written}" is not understood of water.', hint, piece.at)
