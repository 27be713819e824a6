"""What must hold of the advice on any notes whatever, told without the rules: from the notes, the words and the rows.

Every function yields what does not hold, in words; nothing where all is well.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta

from reefjournal import Journal, read_text
from reefjournal import events as ev
from reefjournal.advisor import guard, text
from reefjournal.advisor.advice import Action, Advice, GateRow
from reefjournal.advisor.rules import PRECEDENCE
from reefjournal.evidence import nitrogen
from reefjournal.evidence.scene import Scene
from reefjournal.timeline import Vessel

NITROGEN = 261.87  # mg N in a gram of ammonium chloride: IUPAC weights (2021)
MOST = 4.0  # mg N/L that may be in the water as ammonia
DEATH_DAYS, LEAK_DAYS = 14, 2  # no animal comes so soon after several deaths; so long a leak needs no second word
CLEAR_DAYS, SLOW_DAYS, UNREAD_DAYS, FED_DAYS = 3, 14, 14, 12  # as the gates promise; a challenge takes two days more
ADMITTING = ("clean-up-crew", "first-fish", "next-fish", "quarantine-ready")
"""The gates behind which an animal comes into the water."""
SPOILERS = {
    "clean-up-crew": ("ammonia 2 as N", "nitrite 2 as N", "treat: copper, start", "stok: aded 2 crabs",
                      "seen: rotten smell", "water: drained 290 L", "stock: lost 2 turban snails",
                      "seen: many dead", "seen: spray in the water", "seen: water on the floor", "salinity 29 ppt",
                      "temperature 31 C", "seen: power cut", "plan: copper in the display 2026-03-10"),
    "first-fish": ("ammonia 2 as N", "nitrite 2 as N", "treat: copper, start", "stok: aded 2 crabs",
                   "seen: rotten smell", "salinity 29 ppt", "temperature 31 C", "water: drained 290 L",
                   "stock: lost 2 turban snails", "stock: missing 1 turban snail", "seen: dying snail",
                   "seen: spray in the water", "seen: gasping", "seen: water on the floor", "seen: power cut"),
    "next-fish": ("ammonia 2 as N", "nitrite 2 as N", "treat: copper, start", "stok: aded 2 crabs",
                  "stock: added 1 firefish", "stock: lost 1 goby", "seen: white spots on fish", "seen: gasping",
                  "temperature 17 C", "stock: lost 2 turban snails", "seen: dying snail", "seen: water on the floor",
                  "oxygen 3 mg/L", "gear: return pump off"),
    "quarantine-ready": ("ammonia 2 as N", "nitrite 2 as N", "stock: added 1 firefish", "gear: heater off",
                         "water: drained 55 L", "temperature 31 C", "stok: aded 2 crabs", "stock: lost 1 goby",
                         "seen: spray in the water", "seen: water on the floor", "treat: copper, start"),
    "leave-quarantine": ("ammonia 2 as N", "stock: added 1 firefish", "seen: white spots on fish", "seen: rubbing",
                         "treat: copper, start", "stock: lost 1 goby", "stok: aded 2 crabs"),
    "rest-over": ("stock: added 1 firefish", "seen: white spots on fish", "stok: aded 2 crabs"),
    "fill-with-salt-water": ("build: leak test failed, a drip", "build: no RCD", "build: drain-down test failed",
                             "build: a drip at the left bulkhead", "seen: water on the floor"),
    "start-the-cycle": ("stock: added 2 gobies", "temperature 17 C", "salinity 20 ppt", "stok: aded 2 crabs",
                        "seen: water on the floor"),
}  # fmt: skip
"""One more note of the day, any of which must shut the gate, whatever was written before."""
NO_DOSE_AFTER = ("stock: added 6 turban snails", "stok: aded 2 crabs", "ammonia 4 as N", "dose: ammonium chloride 5 g",
                 "seen: gasping", "treat: copper, start", "water: drained 290 L",
                 "seen: water on the floor")  # fmt: skip
"""One more note of the day, after any of which no ammonia may be advised."""
BRINGING = re.compile(r"(?:^|[.;:]\s+)bring (?:in )?[^.;]*\b(?:crew|fish in|in from quarantine)\b", re.I)
PROMISE = re.compile(r"\bthen (?:bring|add|buy)\b[^.]*\b(?:crew|snails?|grazers?|animals?)\b", re.I)
NO_MORE = re.compile(r"\b(?:add|bring) no (?:more )?animals?\b|\bno replacement\b|\bnothing else come\b", re.I)
MEDICINE = re.compile(
    r"\b(?:copper|praziquantel|formalin|chloroquine|antibiotics?|peroxide|medicines?|medicate|malachite)\b", re.I
)


def broken(journal: Journal, day: date) -> Iterator[str]:
    """What does not hold at the end of a day, in any vessel."""
    for vessel in journal.state(day).names:
        advice = journal.advise(day, vessel, forecast=False, engine="plain")
        for one in (doses, medicines, broken_order, bringing, promising, lists, ajar, ready_in_alarm, printed):
            yield from (f"{vessel}: {what}" for what in one(journal, day, advice))


def role_of(gate: GateRow, journal: Journal) -> str:
    """The role of the vessel that a gate is about, "" for the vessel that was asked about."""
    return journal.rulebook().gates[gate.id].role


def judged_in(gate: GateRow, journal: Journal, day: date, advice: Advice) -> Vessel | None:
    """The vessel that a gate is about."""
    state, role = journal.state(day), role_of(gate, journal)
    asked = state.vessel(advice.vessel)
    if not role or asked.role == role:
        return asked
    return next((one for one in state.vessels.values() if one.role == role), None)


# What is given


def doses(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """Ammonia only where it is known that nothing lives, with a volume and with room; copper by no invertebrate."""
    state = journal.state(day)
    water = state.vessel(advice.vessel)
    grams = [(one, _ammonium_chloride(one)) for one in advice.actions]
    for action, amount in grams:
        gives = guard.given(f"{action.do} {action.why if amount else ''}")
        if amount or "ammonia" in gives:
            if water.life().present != "no":
                yield f"{action.rule} gives ammonia where something may live"
            if _leaks(water, day):
                yield f"{action.rule} gives ammonia while water is on the floor"
            if water.volume is None:
                yield f"{action.rule} gives ammonia without a volume"
            elif amount is not None and not 0 < amount < math.inf:
                yield f"{action.rule} gives {amount} g of ammonium chloride"
        if "copper" in gives and any(water.life(group).present != "no" for group in ("invertebrate", "coral")):
            yield f"{action.rule} gives copper where an invertebrate may live"
        if action.amount is not None and not 0 < action.amount.value < math.inf:
            yield f"{action.rule} asks for {action.amount.value} {action.amount.unit}"
    if sum(amount is not None for _, amount in grams) > 1:
        yield "more than one dose of ammonia is advised on one day"
    total = sum(amount or 0.0 for _, amount in grams) * NITROGEN
    if total and water.volume is not None:
        rise = total / water.volume.low
        if nitrogen.unoxidised(Scene(state, water)) + rise > MOST:
            yield "all doses of the day together are more ammonia than there is room for"
        shown = _newest(water, "ammonia", day)
        if shown is not None and (day - shown[0]).days <= 1 and shown[1] + rise > MOST:
            yield "a dose would lift what a test has just shown above the most that may be"


def _ammonium_chloride(action: Action) -> float | None:
    amount = action.amount
    return amount.value if amount is not None and amount.substance == "ammonium chloride" else None


def medicines(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """A medicine is named only beside the aquatic vet who sets it."""
    del journal, day
    for action in advice.actions:
        words = action.do
        for fact in action.because.facts:  # what the keeper wrote is told back as it was written
            for name in ("text", "words"):
                words = words.replace(str(fact.properties.get(name) or " "), " ")
        if MEDICINE.search(words) and "vet" not in words and not _only_warns(words):
            yield f"{action.rule} names a medicine without an aquatic vet"


def _only_warns(words: str) -> bool:
    """Whether every medicine in a text is tested for, taken out, or spoken against."""
    kept = r"(?:no|not|never|out|without|test|tests|against|free of|of|met sick fish or)\b[^.;]*"
    return MEDICINE.search(re.sub(rf"\b{kept}", "", words, flags=re.IGNORECASE)) is None


def bringing(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """No step brings an animal in while none of the gates for animals is open."""
    del journal, day
    if not any(gate.open for gate in advice.gates if gate.id in ADMITTING):
        yield from (f"{one.rule} brings animals in, and no gate is open" for one in advice.actions
                    if BRINGING.search(one.do))  # fmt: skip


def promising(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """Nor does one say that an animal comes "then", unless what it waits for is all that the gate waits for."""
    del journal, day
    crew = next(gate for gate in advice.gates if gate.id == "clean-up-crew")
    if [one.id for one in crew.checks if one.state != "met"] != ["something-to-eat"]:
        yield from (f"{one.rule} promises a crew, and more is in the way" for one in advice.actions
                    if PROMISE.search(one.do))  # fmt: skip


def lists(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """Nor does anything beside the actions give what must not be given: what is due, gates, findings, doubts."""
    water = journal.state(day).vessel(advice.vessel)
    allowed = {*(one.rule for one in advice.actions if "ammonia" in guard.given(one.do))}
    for row in advice.due:
        gives = guard.given(row.what) | guard.given(row.says)
        of_step = any(row.says == one.do for one in advice.actions if one.rule in allowed)
        if "ammonia" in gives and not of_step and "Hold it" not in row.says and water.life().present != "no":
            yield f"what is due gives ammonia where something may live: {row.what}"
    told = [(f"gate {gate.id}", check.settle) for gate in advice.gates for check in gate.checks]
    told += [(one.rule, one.says) for one in (*advice.findings, *advice.doubts)]
    told += [(one.id, one.says) for one in advice.cautions]
    yield from (f"{name} orders {', '.join(guard.ordered(says))}" for name, says in told if guard.ordered(says))


# What stands first


def broken_order(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """People first, then leaks, emergencies, doubts and what must stop; the rest among itself as it likes."""
    del day
    steps = [journal.rulebook().rules[action.rule].step for action in advice.actions]
    ranks = [min(PRECEDENCE.index(step.precedence), PRECEDENCE.index("cycle")) for step in steps if step]
    if ranks != sorted(ranks):
        yield f"{advice.actions[0].rule} stands above what is more urgent"


# Gates


def ajar(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """Gates that are open on something unknown, on notes of another day, or against what the notes plainly say."""
    days = {(one.source.file, one.source.line): one.day for one in journal.events}
    for gate in advice.gates:
        if gate.open != all(check.state == "met" for check in gate.checks):
            yield f"gate {gate.id} is open on an unknown check"
        for check in gate.checks:
            if check.state != "unknown" and not check.because.facts:
                yield f"gate {gate.id}: {check.id} is {check.state} by nothing"
            shown = (days.get((line.file, line.line)) for line in check.because.events)
            if check.state == "met" and any(one is None or one > day for one in shown):
                yield f"gate {gate.id}: {check.id} is met by a note of no day or of a later one"
        if not gate.open:
            continue
        water = judged_in(gate, journal, day, advice)
        if water is None:
            yield f"gate {gate.id} is open without a vessel"
        else:
            yield from (f"gate {gate.id} is open, and {what}" for what in against(gate.id, journal, day, water))


def ready_in_alarm(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """Gates for animals that are open beside an emergency, a leak, a medicine, or words against more animals."""
    here = [one for one in advice.actions if any(fact.vessel == advice.vessel for fact in one.because.facts)]
    against_it = [one.rule for one in here if _is_alarm(journal, one) or NO_MORE.search(one.do)]
    against_it += [f"treat: {name}" for name in journal.state(day).vessel(advice.vessel).treatments]
    for gate in advice.gates:
        water = judged_in(gate, journal, day, advice)
        ahead = gate.id in ADMITTING and gate.open and not gate.behind
        if ahead and against_it and water is not None and water.name == advice.vessel:
            yield f"gate {gate.id} is open beside {', '.join(against_it)}"


def _is_alarm(journal: Journal, action: Action) -> bool:
    """Whether a step is one of an emergency, or of a leak or power cut that can't wait."""
    step = journal.rulebook().rules[action.rule].step
    return bool(step) and (step.precedence == "emergency" or (step.precedence == "leak" and step.urgency == "now"))


def against(gate: str, journal: Journal, day: date, water: Vessel) -> Iterator[str]:
    """What the notes say against a gate that is open, read from the events alone."""
    if gate in ADMITTING:
        for analyte in ("ammonia", "nitrite"):
            if not _clear(water, analyte, day):
                yield f"no clear test of {analyte} is the newest"
        if not any(one.day and (day - one.day).days <= FED_DAYS for one in _sources(water)) and not water.ration:
            yield "nothing was given to the filter for long"
        lost = [one for one in water.log(ev.Stock) if one.action == "lost" and one.day]
        if sum(one.count or 1 for one in lost if one.day and (day - one.day).days <= DEATH_DAYS) > 1:
            yield "several animals died within two weeks"
    if gate not in ("fill-with-salt-water", "start-the-cycle"):
        recent = (one for one in water.log(ev.Unread) if one.day is None or (day - one.day).days <= UNREAD_DAYS)
        yield from (f"this was not understood: {one.text}" for one in recent)
    if gate in ("first-fish", "next-fish", "start-the-cycle"):
        yield from _out_of_range(water, day)
    if gate in (*ADMITTING, "start-the-cycle") and _leaks(water, day):
        yield "water is on the floor"
    yield from OF_ONE_GATE.get(gate, _nothing)(journal, day, water)


def _nothing(journal: Journal, day: date, water: Vessel) -> Iterator[str]:
    del journal, day, water
    yield from ()


def _next_fish(journal: Journal, day: date, water: Vessel) -> Iterator[str]:
    del journal
    if water.life("fish").present != "yes":
        yield "no fish lives here"
    came = [one.day for one in water.log(ev.Stock) if one.group == "fish" and one.action in ("added", "moved")
            and not water.loses(one)]  # fmt: skip
    if any(one and (day - one).days < 14 for one in came):
        yield "fish came less than two weeks ago"
    lost = [one.day for one in water.log(ev.Stock) if one.action == "lost" and one.group in ("fish", "coral")]
    if any(one and (day - one).days < 30 for one in lost):
        yield "a fish or a coral was lost within a month"


def _quarantine_ready(journal: Journal, day: date, water: Vessel) -> Iterator[str]:
    del journal, day
    if water.life().present != "no":
        yield "something may live in it"
    if water.filled is None:
        yield "it is dry"


def _leave_quarantine(journal: Journal, day: date, water: Vessel) -> Iterator[str]:
    del journal
    came = [one.day for one in water.log(ev.Stock) if one.action in ("added", "moved") and not water.loses(one)]
    if not came or any(one and (day - one).days < 30 for one in came):
        yield "nobody has been in it for thirty days"
    if water.treatments:
        yield "a medicine is in the water"
    if not _clear(water, "ammonia", day):
        yield "no clear test of ammonia is the newest"


def _rest_over(journal: Journal, day: date, water: Vessel) -> Iterator[str]:
    del journal, day
    if water.life("fish").present == "yes":
        yield "fish live in it"
    stock = [one for one in water.log(ev.Stock) if one.day]
    counts = [one.day for one in stock if one.action == "none" and one.animal in ("", "fish") and one.day]
    came = [one.day for one in (*stock, *water.log(ev.Mention)) if one.group in ("fish", "unknown") and one.day
            and (isinstance(one, ev.Mention) or one.action in ("added", "moved", "born"))]  # fmt: skip
    if came and not (counts and counts[-1] >= max(came)):
        yield "a fish was spoken of after the last count of none"


def _fill(journal: Journal, day: date, water: Vessel) -> Iterator[str]:
    del journal, day
    last: dict[str, str] = {}
    for one in water.log(ev.Build):
        last |= dict(one.standing)
    if last.get("leak test") != "passed":
        yield "the last word of the leak test is not that it was passed"
    passed = [one.day for one in water.log(ev.Build) if dict(one.standing).get("leak test") == "passed" and one.day]
    if any(one.day and one.day >= max(passed, default=date.min) for one in _leak(water)):
        yield "water came out of it since the leak test"


def _start(journal: Journal, day: date, water: Vessel) -> Iterator[str]:
    del journal, day
    if water.life().present != "no":
        yield "something may live in it"
    if water.volume is None:
        yield "its volume is not known"


OF_ONE_GATE: dict[str, Callable[[Journal, date, Vessel], Iterator[str]]] = {
    "next-fish": _next_fish, "quarantine-ready": _quarantine_ready, "leave-quarantine": _leave_quarantine,
    "rest-over": _rest_over, "fill-with-salt-water": _fill, "start-the-cycle": _start,
}  # fmt: skip


def _leak(water: Vessel) -> list[ev.Seen]:
    """The last word on a leak that is more than a drip and not written as gone."""
    last = (spell.last for spell in water.signs if spell.sign == "leak" and spell.gone is None)
    return [one for one in last if one.strength != "slight"]


def _leaks(water: Vessel, day: date) -> bool:
    return any(one.day and (day - one.day).days <= LEAK_DAYS for one in _leak(water))


def _sources(water: Vessel) -> tuple[ev.Base, ...]:
    return (*water.log(ev.Dose), *water.log(ev.Fed))


def _newest(water: Vessel, analyte: str, day: date) -> tuple[date, float] | None:
    """The newest day with a readable test of an analyte, and the least of the highest that it showed."""
    readings = [one for one in water.readings_of(analyte) if one.readable and one.day is not None and one.day <= day]
    if not readings:
        return None
    newest = max(one.day for one in readings if one.day)
    return newest, max(one.low for one in readings if one.day == newest)


def _clear(water: Vessel, analyte: str, day: date) -> bool:
    """Whether a test not older than three days read the lowest step of its card, or no more than its blank.

    On a day with several tests one of them is enough: which was the last is for the rules to say.
    """
    readings = [one for one in water.readings_of(analyte) if one.readable and one.day is not None]
    if not readings or not readings[-1].day:
        return False
    newest = readings[-1].day
    lowest = min((one.rank, one.low) for one in readings if one.day == newest)
    return (day - newest).days <= CLEAR_DAYS and (lowest[0] == 0 or lowest[1] < 0.3)


def _out_of_range(water: Vessel, day: date) -> Iterator[str]:
    """What was not measured, or not in range by any test of its newest day: salt is put in between two of them."""
    for analyte, least, most in (("salinity", 32.0, 37.5), ("temperature", 22.5, 28.5)):
        shown = _newest(water, analyte, day)
        if shown is None or (day - shown[0]).days > SLOW_DAYS:
            yield f"{analyte} was not measured in two weeks"
        elif not any(least <= one.low <= most for one in water.readings_of(analyte) if one.day == shown[0]):
            yield f"{analyte} is out of range"


# What can be said at all


def printed(journal: Journal, day: date, advice: Advice) -> Iterator[str]:
    """The advice can be printed and kept, and no placeholder and no number that is none is left in its words."""
    del day
    words = text.render(advice, why=True, book=journal.rulebook())
    Advice.model_validate_json(advice.model_dump_json())
    yield from (f"{found!r} is printed" for found in set(re.findall(r"\{[@\w.]+\}|\bnan\b|\binf\b|\b1e\+?\d+", words)))


# What one more note must change


def one_note_more(notes: str, day: date, vessel: str, note: str) -> Journal:
    """The notes with one more, late on their last day."""
    before = read_text(notes)
    place = "" if vessel == before.default_vessel else f" ({vessel})"  # one that was never defined has no name yet
    return read_text(f"{notes}\n## {day} 23:50{place}\n- {note}\n")


def unspoilt(notes: str, journal: Journal, day: date, choose: Callable[[tuple[str, ...]], str]) -> Iterator[str]:
    """Gates that stay open, and doses that stay advised, after a note that must shut or silence them."""
    for vessel in journal.state(day).names:
        advice = journal.advise(day, vessel, forecast=False, engine="plain")
        for gate in advice.gates:
            water = judged_in(gate, journal, day, advice)
            if gate.open and water is not None and water.name == vessel:
                note = choose(SPOILERS[gate.id])
                later = one_note_more(notes, day, vessel, note).advise(day, vessel, forecast=False, engine="plain")
                if any(one.open for one in later.gates if one.id == gate.id):
                    yield f"{vessel}: gate {gate.id} stays open after: {note}"
        if any(_ammonium_chloride(one) for one in advice.actions):
            note = choose(NO_DOSE_AFTER)
            later = one_note_more(notes, day, vessel, note).advise(day, vessel, forecast=False, engine="plain")
            if any(_ammonium_chloride(one) for one in later.actions):
                yield f"{vessel}: ammonia stays advised after: {note}"


def outlasting(journal: Journal, day: date) -> Iterator[str]:
    """Gates for animals that are open on tests of forty days ago."""
    later = day + timedelta(days=40)
    for vessel in journal.state(later).names:
        advice = journal.advise(later, vessel, forecast=False, engine="plain")
        for gate in advice.gates:
            if gate.open and gate.id in (*ADMITTING, "leave-quarantine", "start-the-cycle"):
                yield f"{vessel}: gate {gate.id} is open forty days after the last note"
        if (
            any(_ammonium_chloride(one) for one in advice.actions)
            and journal.state(day).vessel(vessel).life().present != "no"
        ):
            yield f"{vessel}: ammonia is advised forty days after something may have lived there"


def hindsight(notes: str, more: str, day: date) -> Iterator[str]:
    """Advice on a day that is other where notes of ``more`` days after it were written already."""
    then, now = read_text(notes), read_text(f"{notes}\n{more}")
    # Where a vessel is named later, the lines that name it can be read by then.
    if then.default_vessel == now.default_vessel and set(then.problems) <= set(now.problems):
        for vessel in then.state(day).names:
            said = [one.advise(day, vessel, forecast=False, engine="plain") for one in (then, now)]
            if said[0] != said[1]:
                yield f"{vessel}: the advice of {day} depends on what was written later"


def forgetful(notes: str, journal: Journal, day: date) -> Iterator[str]:
    """Advice that depends on what else was asked before: of other days or other vessels."""
    fresh = read_text(notes)
    moment = datetime.combine(day - timedelta(days=1), time.max)
    for vessel in journal.state(day).names:
        if vessel in journal.state(moment).names:
            journal.advise(day - timedelta(days=1), vessel, forecast=False, engine="plain")
    for vessel in reversed(fresh.state(day).names):
        said = [one.advise(day, vessel, forecast=False, engine="plain") for one in (journal, fresh)]
        if said[0] != said[1]:
            yield f"{vessel}: the advice depends on what was asked before"
