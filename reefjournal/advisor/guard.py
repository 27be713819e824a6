"""The last line of safety, in code, whatever a rule file says.

No step gives an ammonia source unless it is written that nothing lives in the water, the water and its volume are
known, and what was given before leaves room under 4 mg N/L. No step gives copper where an invertebrate may live. No
gate stands open on an ammonia test from before a source was given.
What a text asks for is judged by its words, so that another name for the same thing does not slip through.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Sequence

from reefjournal.advisor.amounts import Worked, number, stated, volume_low
from reefjournal.advisor.rules import Check, Pattern
from reefjournal.chemistry.dosing import DOSE_LIMIT
from reefjournal.facts import Fact

GIVES = ("ammonia", "copper")
GROUPS = ("any", "fish", "invertebrate", "coral")
LEVELS = ("low", "high", "value", "rank", "written")
UPPER = ("<", "<=", "=")

# "NH4" alone is how a kit counts, so a formula is a source only as a salt or as the dissolved base.
SALT = (
    r"n\W*h\W*4\W*(?:c\W*l|o\W*h|2|h|n\W*o)\w*|am+oni(?:um|ac)\w*|sal am+oniac|hartshorn|urea|carbamide"
    r"|(?:household|clear|aqueous|liquid|bottled) am+onia"
)
LOOSE = r"am+onia(?!\W+(?:test|kit|reading|card|reagent|alarm|standard|blank|number|value|result|level|stage|curve))"
ROTTING = r"(?:raw|dead|rotting|rotten) (?:\w+ )?(?:prawn|shrimp|shellfish|fish|mussel|clam|meat|squid)s?"
COPPER = r"(?:copper|cupr\w+|cu\W*so4|cu\W*cl2?)\b(?!.free)"
GIVING = (
    r"(?:dos(?:e|es|ing)|add(?:s|ing)?|giv(?:e|es|ing)|put(?:s|ting)?|pour\w*|drip\w*|tip|stir|dissolv\w*|feed(?:ing)?|"
    r"spik\w*|inject\w*|rais(?:e|es|ing)|drop|hang|leave|use|apply|treat|mix|top up)"
)
QUANTITY = r"\d\s*(?:g|mg|kg|ml|l|grams?|litres?|drops?|caps?|spoons?|teaspoons?|scoops?|oz)\b(?!\s*(?:n\s*)?/)"
REFUSED = (
    r"(?:do not|don't|never|no|stop|without) "
    r"(?:(?:add|give|dose|put|use|adding|giving|dosing|any|more|further) )*"
)

SALTS = re.compile(rf"\b(?:{SALT})\b")
SOURCES = re.compile(rf"\b(?:{LOOSE}|{ROTTING})\b")
COPPERS = re.compile(rf"\b{COPPER}")
GIVINGS = re.compile(rf"\b{GIVING}\b|{QUANTITY}")
QUANTITIES = re.compile(QUANTITY)
ORDERS = re.compile(rf"\W*{GIVING}\b")
REFUSALS = re.compile(rf"\b{REFUSED}(?=(?:{SALT}|{LOOSE}|{ROTTING}|{COPPER}))")
CLAUSES = re.compile(r"[.;:!?\n]|,(?!\d)|\b(?:and|but|then|until|unless|when|while|after|before|if|because|once|so)\b")
SENTENCES = re.compile(r"(?<=[.;:!?\n])\s+")
BLANKS = re.compile(r"[ \t_*`]+")
INVISIBLE = re.compile("[\u00ad\u200b-\u200f\u2060\ufeff]")


def given(text: str) -> frozenset[str]:
    """What a text tells the keeper to put into the water, of ``ammonia`` and ``copper``."""
    found: set[str] = set()
    for clause in CLAUSES.split(folded(text)):
        if REFUSALS.search(clause) and not re.search(r"\d", clause):
            continue
        giving = GIVINGS.search(clause)
        if SALTS.search(clause) or (giving and SOURCES.search(clause)):
            found.add("ammonia")
        if giving and COPPERS.search(clause):
            found.add("copper")
    return frozenset(found)


def ordered(text: str) -> frozenset[str]:
    """The same for a text that tells a story: only the sentences that begin like an order count."""
    if not GIVINGS.search(folded(text)):
        return frozenset()
    orders = [sentence for sentence in SENTENCES.split(text) if ORDERS.match(folded(sentence))]
    return frozenset[str]().union(*map(given, orders))


def quantity(text: str) -> str:
    """The first quantity of a substance that a text holds itself, "" where there is none."""
    found = QUANTITIES.search(folded(text))
    return found[0] if found else ""


def folded(text: str) -> str:
    """One spelling of the same words: small letters, plain digits, single spaces, nothing invisible."""
    plain = text if text.isascii() else INVISIBLE.sub("", unicodedata.normalize("NFKC", text)).replace("’", "'")
    return BLANKS.sub(" ", plain.casefold())


def refusal(gives: Collection[str], amount: Worked | str | None, facts: Sequence[Fact]) -> str:
    """Why a step that gives these must not be taken on the facts of the day; "" where it may."""
    if "ammonia" in gives and (reason := no_ammonia(amount, facts)):
        return reason
    if "copper" in gives and any(may_live(facts, group) for group in ("invertebrate", "coral")):
        return "an invertebrate may live here, and copper kills it"
    return ""


def no_ammonia(amount: Worked | str | None, facts: Sequence[Fact]) -> str:
    """Why no ammonia may be given; "" where it may."""
    if not stated(facts, "animals", group="any") or any(may_live(facts, group) for group in GROUPS):
        return "an animal may be present, and ammonia harms it"
    if not stated(facts, "system", water="filled") and not stated(facts, "system", water="fresh"):
        return "the notes do not show that the vessel is filled"
    if volume_low(facts) is None:
        return "the water volume is not known"
    if not isinstance(amount, Worked) or not amount.nitrogen > 0:
        return "its amount cannot be worked out"
    return no_room(amount.nitrogen, facts)


def no_room(nitrogen: float, facts: Sequence[Fact]) -> str:
    """Why so much nitrogen, mg N/L, does not fit under the limit; "" where it surely does."""
    ledger = stated(facts, "ledger")
    fits = number(ledger, "unoxidised_high") + nitrogen <= DOSE_LIMIT and nitrogen <= number(ledger, "room")
    return "" if fits else f"with what may be there already it could pass {DOSE_LIMIT:g} mg/L of ammonia nitrogen"


def overtaken(check: Check, facts: Sequence[Fact]) -> bool:
    """Whether what a test showed holds no more: ammonia that was given since is in the water, however clear it was."""
    tested = check.test == "ammonia" or any(low_ammonia(pattern) for road in check.met for pattern in road)
    return tested and stated(facts, "ledger", given_since="yes") is not None


def low_ammonia(pattern: Pattern) -> bool:
    """Whether a pattern asks for little ammonia in the water, in a keeper's own gate as well."""
    if pattern.kind == "process":
        return any(one.name == "name" and one.right == "both-clear" for one in pattern.conditions)
    asked = dict(pattern.query.parameters) if pattern.query else {}
    told = [asked.get("analyte"), *(one.right for one in pattern.conditions if one.name == "analyte")]
    if pattern.kind != "free-ammonia" and "ammonia" not in told:
        return False
    return "below" in asked or any(one.name in LEVELS and one.op in UPPER for one in pattern.conditions)


def may_live(facts: Sequence[Fact], group: str) -> bool:
    """Whether an animal of a group may be in the vessel: anything but a stated no, of the group or else of any."""
    said = [fact.properties for fact in facts if fact.kind == "animals" and fact.properties.get("where") == "here"]
    of_group = [one for one in said if one.get("group") == group] or [one for one in said if one.get("group") == "any"]
    return not of_group or any(one.get("present") != "no" for one in of_group)
