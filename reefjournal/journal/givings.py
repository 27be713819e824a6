"""What is given to the water: substances and cultures, food, and courses of treatment."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Annotated, Any

from reefjournal.believed import Believed
from reefjournal.chemistry.weights import PROTEIN_PER_N
from reefjournal.events import AnyEvent, Dose, Fed, Treat
from reefjournal.journal.amounts import NUMBER, Amount, amount, interval, measure, number
from reefjournal.journal.pieces import Misread, Piece
from reefjournal.journal.readings import BASIS, BASIS_WORDS
from reefjournal.journal.record import Fact, Record, mention
from reefjournal.journal.sightings import offer
from reefjournal.journal.vocabulary import Substance
from reefjournal.quantities import Interval, basis_factor

EVERY_DAY = re.compile(r"\s*(?:every day|each day|a day|per day|daily|/day)(?!\w)")
STOP = re.compile(r"\s*(?:stop(?:ped)?|ended|no more|finished|off)\b")
START = re.compile(r"\s*(?:start(?:ed)?|begin|began|begun|first dose)\b")
STRENGTH = re.compile(rf"\s*(?:at |of )?({NUMBER})\s*%(?:\s*(?:solution|w/v|w/w|strength|by weight))?(?! ?protein)")
PROTEIN = re.compile(rf"\s*(?:with |at )?({NUMBER})\s*%\s*(?:of )?protein")
LEVEL = re.compile(r"\s*(?:up )?(?P<to>to|target|for|aim(?:ing)? (?:at|for))\s+")
LINK = re.compile(r"\s*(?:of|the|in|into|each|at|as|solution|powder|with|liquid|some|a bit of|about)\b(?=\s|$)|\s*[:=]")
NO_FOOD = re.compile(r"(?:none|nothing|not fed|no food|nil|skipped|fasting)\b(?: today)?")
MOST_PROTEIN: Annotated[float, Believed("of the mass", "the most protein that food can hold", "our judgement")] = 0.9
MOST_FOOD: Annotated[float, Believed("g", "more food at once is a slip of the pen", "our judgement")] = 10_000.0
VAGUE = "Drops, caps and scoops have no size: weigh it once, and write grams or ml."


def read_dose(record: Record) -> Iterator[AnyEvent]:
    """What was dosed, one event a substance."""
    yield from record.each(record.groups(lambda fact: substance_in(record, fact.piece) is not None), dose)


def substance_in(record: Record, piece: Piece) -> tuple[Substance, int, int] | None:
    """The substance that a piece names first, at its start or behind an amount; where it begins and ends."""
    start = 0
    for _ in range(6):
        start += len(piece.plain[start:]) - len(piece.plain[start:].lstrip())
        if found := record.words.substances.find(piece.plain, start):
            return found.meaning, start, found.end
        forms = (LINK, EVERY_DAY, STRENGTH)
        if match := next((match for form in forms if (match := form.match(piece.plain, start))), None):
            start = match.end()
        elif found_amount := amount(piece.plain, start):
            start = found_amount.end
        else:
            return None
    return None


def dose(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One substance: amount, strength, level, and whether it is a standing dose."""
    piece = group[0].piece if group else record.piece
    found = substance_in(record, piece)
    if found is None:
        hint = offer(record.words.substances, piece, 'Write a substance and its amount: "ammonium chloride 1.6 g".')
        raise Misread(f'"{piece.written}" names no substance that is known.', hint, piece.at)
    substance, start, end = found
    said: dict[str, Any] = {}
    for words in (piece.cut(0, start), piece.cut(end), *(fact.piece for fact in group[1:])):
        giving_words(record, words, said)
    said |= levels(record, substance, said, piece)
    given = {name: value for name, value in said.items() if name in Dose.model_fields}
    amount_known = nitrogen(substance, said)
    yield Dose(**record.common(group), substance=substance.name, role=substance.role, nitrogen=amount_known, **given)
    if substance.role == "culture":  # live sand brings more than bacteria
        yield from mention(record, piece.plain[start:end], piece.at + start)


def giving_words(record: Record, piece: Piece, said: dict[str, Any]) -> None:
    """Add to ``said`` what words around a substance or a food say of it.

    Raises:
        Misread: some of them say nothing of it, or a second time.
    """
    start, plain = 0, piece.plain
    while plain[start:].strip():
        new, end = giving_word(record, piece, start)
        if twice := next((name for name in new if name in said and name != "mentioned"), None):
            raise Misread(f"This says the {twice.replace('_', ' ')} twice.", "Write two records.", piece.at + start)
        said |= new
        start = end


def giving_word(record: Record, piece: Piece, start: int) -> tuple[dict[str, Any], int]:
    """What the words at ``start`` say of a dose or food, and where they end."""
    plain = piece.plain
    for pattern, name in ((EVERY_DAY, "every_day"), (STOP, "stop"), (START, "start")):
        if match := pattern.match(plain, start):
            return {name: True}, match.end()
    if match := PROTEIN.match(plain, start):
        share = number(match[1]) / 100
        if share > MOST_PROTEIN:
            raise Misread("No food is so much protein.", "Write what the label says: 48 % protein.", piece.at + start)
        return {"protein": share}, match.end()
    if match := STRENGTH.match(plain, start):
        return {"strength": number(match[1]) / 100}, match.end()
    if match := BASIS.match(plain, start):
        return {"basis": BASIS_WORDS.get(match["element"] or match["ion"], (match["ion"] or "").upper())}, match.end()
    level = LEVEL.match(plain, start)
    if found := amount(plain, level.end() if level else start):
        return given_amount(record, piece, start, found, bool(level)), found.end
    if match := LINK.match(plain, start):
        return {}, match.end()
    hint = 'Write an amount (1.6 g, 50 ml), a strength (10 %), a level (to 2 mg/L as N), "every day" or "stop".'
    rest = piece.cut(start)
    raise Misread(f'"{rest.written}" is not understood here.', f'{hint} A remark goes behind " -- ".', rest.at)


def given_amount(record: Record, piece: Piece, start: int, found: Amount, level: bool) -> dict[str, Any]:
    """An amount or level; spoons, drops and caps are told and kept in the words alone."""
    kind = measure(found)
    if kind == "concentration":
        return {"raises_to" if level else "raises_by": interval(found, kind)}
    if kind == "scoop" or not kind:
        if not kind:
            raise Misread(f'"{piece.cut(start).written}" has no unit.', "Write g, ml or mg/L.", piece.at + start)
        record.tell("warning", f'"{piece.cut(start, found.end).written}" says no amount.', VAGUE, piece.at + start)
        return {"amount": None}
    if kind not in ("mass", "volume"):
        raise Misread(f"{found.unit} is no unit of an amount.", "Write g, ml or mg/L.", piece.at + start)
    size = interval(found, kind)
    return {"amount": size.times(1000) if kind == "volume" else size, "unit": "ml" if kind == "volume" else "g"}


def nitrogen(substance: Substance, said: dict[str, Any]) -> Interval | None:
    """Nitrogen in the dose, mg N; ``None`` where amount, substance or a solution's strength is unknown."""
    given, strength = said.get("amount"), said.get("strength")
    if given is None or substance.nitrogen is None or (strength is None and said["unit"] == "ml"):
        return None
    share = substance.nitrogen.times(1.0 if strength is None else strength)
    per_unit = share.over(substance.density) if said["unit"] == "ml" else share
    if "protein" in said:
        per_unit = Interval(0.0, said["protein"] * 1000 / PROTEIN_PER_N)
    return Interval(given.low * per_unit.low, given.high * per_unit.high)


def levels(record: Record, substance: Substance, said: dict[str, Any], piece: Piece) -> dict[str, Any]:
    """A level that was dosed to, or by, as N for a source of ammonia; an unknown basis spans all that it may be."""
    given = {name: said[name] for name in ("raises_to", "raises_by") if name in said}
    if not given:
        return {}
    analyte = "ammonia" if substance.role == "tissue" else substance.role
    kit = record.standing.kit(analyte, record.day)
    basis = said.get("basis") or (kit.basis if kit and "raises_to" in given else "")
    factor = basis_factor(analyte, basis)
    if analyte == "ammonia" and not basis:
        own = substance.nitrogen.low / 1000 if substance.nitrogen else factor.low
        factor = Interval(min(factor.low, own), factor.high)
        record.tell(
            "warning", "Is this level as N, NH3 or NH4? All are reckoned with.", 'Write "to 2 mg/L as N".', piece.at
        )
    return {name: level.over(factor) for name, level in given.items()}


def read_fed(record: Record) -> Iterator[AnyEvent]:
    """What was fed, one event a food."""
    yield from record.each(record.groups(lambda fact: food_in(record, fact.piece) is not None), fed)


def food_in(record: Record, piece: Piece) -> tuple[str, int, int] | None:
    """The food that a piece names first; where it begins and ends."""
    if match := NO_FOOD.match(piece.plain):
        return "none", 0, match.end()
    found = substance_in(record, piece)
    return (found[0].name, *found[1:]) if found and found[0].role in ("food", "tissue") else None


def in_grams(said: dict[str, Any], piece: Piece) -> None:
    """Hold what was said of food against what a keeper can weigh out.

    Raises:
        Misread: it is in another unit than grams, or more than anybody gives.
    """
    hint = 'Write "1.5 g pellets 48 % protein".'
    if said.get("unit") == "ml" or {"raises_by", "raises_to", "strength"} & said.keys():
        raise Misread("Food is written in grams.", hint, piece.at)
    grams: Interval | None = said.get("amount")
    if grams is not None and grams.high > MOST_FOOD:
        raise Misread(f"More than {MOST_FOOD / 1000:g} kg of food at once is a slip of the pen.", hint, piece.at)


def fed(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One food: grams, protein, and whether it is a standing ration."""
    piece = group[0].piece if group else record.piece
    found = food_in(record, piece)
    if found is None and not (STOP.match(piece.plain) or amount(piece.plain)):
        hint = offer(record.words.substances, piece, 'Write an amount and a food: "1.5 g pellets 48 % protein".')
        raise Misread(f'"{piece.written}" names no food that is known.', hint, piece.at)
    food, start, end = found or ("food", 0, 0)
    said: dict[str, Any] = {}
    for words in (piece.cut(0, start), piece.cut(end), *(fact.piece for fact in group[1:])):
        giving_words(record, words, said)
    in_grams(said, piece)
    yield Fed(
        **record.common(group), food=food, grams=Interval.exactly(0.0) if food == "none" else said.get("amount"),
        protein=said.get("protein"), every_day=said.get("every_day", False), stop=said.get("stop", False),
    )  # fmt: skip


def read_treat(record: Record) -> Iterator[AnyEvent]:
    """Courses of treatment."""
    yield from record.each(record.groups(lambda fact: bool(record.words.substances.find(fact.plain))), treat)


def target_level(piece: Piece) -> str:
    """The level that a course aims at, as a number or range and its unit.

    Raises:
        Misread: it is no level.
    """
    level = LEVEL.match(piece.plain)
    found = amount(piece.plain, level.end() if level else 0)
    levels_ = ("concentration", "salinity", "gravity", "temperature")
    if found is None or found.end < len(piece.plain) or found.high is None or measure(found) not in levels_:
        raise Misread(f'"{piece.written}" is not understood here.', "Write start, stop, or target 0.2 mg/L.", piece.at)
    return f"{found.low:g} {found.unit}" if found.low == found.high else f"{found.low:g}-{found.high:g} {found.unit}"


def treat(record: Record, group: Sequence[Fact]) -> Iterator[AnyEvent]:
    """One course: what, whether it starts or stops, and the level it aims at."""
    piece = group[0].piece if group else record.piece
    found = substance_in(record, piece)
    if found is None:
        hint = offer(record.words.substances, piece, 'Write what is given: "copper, start, target 0.2 mg/L".')
        raise Misread(f'"{piece.written}" is not known as a treatment.', hint, piece.at)
    substance, start, end = found
    action: Any = "dose"
    target = ""
    for words in (piece.cut(0, start), piece.cut(end), *(fact.piece for fact in group[1:])):
        if not words.plain:
            continue
        if STOP.fullmatch(words.plain) or START.fullmatch(words.plain):
            action = "stop" if STOP.fullmatch(words.plain) else "start"
        else:
            target = target_level(words)
    yield Treat(**record.common(group), substance=substance.name, action=action, target=target)
