"""What the notes hold for a topic: volume, size, newest readings, measures, each with the line it stands on.

Readings are those that the advisor relies on: corrected by the kit's blank, without the ones that the trust rules
take out, and no older than they may be.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property, partial
from pathlib import Path

import click

from reefjournal import UnknownVesselError
from reefjournal import events as ev
from reefjournal.advisor import chainer, guard
from reefjournal.advisor.amounts import Worked, stated, volume_low
from reefjournal.advisor.conclude import Conclusions, observe
from reefjournal.chemistry.answer import Measured, ends, shown
from reefjournal.chemistry.dosing import DOSE_LIMIT
from reefjournal.cli import options
from reefjournal.cli.work_out.quantity import Refused, Unit
from reefjournal.cli.work_out.result import Noted, printable
from reefjournal.cli.work_out.topic import Values
from reefjournal.cli.work_out.water import OF
from reefjournal.evidence import Witness, balance, lids
from reefjournal.evidence.harm import FRESH_DAYS
from reefjournal.evidence.scene import OPEN, Scene
from reefjournal.facts import Fact
from reefjournal.quantities import Interval


def opened(path: Path, on: date | datetime, vessel: str | None) -> Notes:
    """The notes of one vessel at one moment.

    Raises:
        click.ClickException: there are none by then, or there is no such vessel.
    """
    journal = options.opened(path, on)
    try:
        witness = journal.witness(on, vessel)
    except UnknownVesselError as unknown:
        raise Refused(f"--vessel: {unknown}.") from None
    found = observe(journal.rulebook(), witness, chainer.find, "advice")  # all that is stated, not for stages alone
    return Notes(witness, found)


@dataclass(frozen=True)
class Notes:
    """One vessel's notes by a moment, with what the rules conclude of them."""

    witness: Witness
    found: Conclusions

    @cached_property
    def scene(self) -> Scene:
        """The vessel without the readings that the trust rules take out."""
        doubts = [fact.properties for fact in self.found.facts if fact.kind == "doubt"]
        rejected = frozenset(str(doubt["id"]) for doubt in doubts if doubt["verdict"] == "reject")
        return Scene(self.witness.state, self.witness.state.vessel(self.witness.vessel), rejected)

    def find(self, what: str, unit: Unit, given: Values) -> Noted | str:
        """What the notes hold of ``what``, in ``unit``, or the reason why they hold nothing."""
        finder = FINDERS.get(what)
        return finder(self, unit, given) if finder else reading(what, self, unit, given)

    def refuse_ammonia(self, grams: float, milligrams: float, volume: Measured) -> None:
        """Refuse a dose (mg N) that the notes do not show to be harmless; the smaller volume counts.

        Raises:
            Forbidden: something lives or may live here, the volume is not known, or there may be too much already.
        """
        facts = self.found.stated
        noted = volume_low(facts)
        lift = max(milligrams, 1e-6) / min(ends(volume)[0], noted or ends(volume)[0])
        reason = guard.refusal(("ammonia",), Worked(grams, "g", "ammonium chloride", lift), facts)
        lines = self._told(facts, known=noted is not None)
        newest = self.scene.usable("ammonia")[-1:]
        if not reason and newest and newest[0].high + lift > DOSE_LIMIT + 1e-6:
            reason = f"the newest test allows more, so that with this it could pass {DOSE_LIMIT:g} mg N/L"
            lines = [_place(newest[0].reading)]
        if reason:
            raise Forbidden("\n  ".join([f"no ammonia for {self.witness.vessel}: {reason}.", *lines]))

    def _told(self, facts: Sequence[Fact], *, known: bool) -> list[str]:
        """The note lines that speak against a dose: of what may live here, of the vessel, or of what was given."""
        alive = [fact for fact in facts if fact.kind == "animals" and fact.properties["present"] != "no"]
        telling = [fact for fact in alive if fact.properties["where"] == "here"]
        kinds = ("ledger", "system") if known else ("system",)
        telling = telling or [fact for kind in kinds for fact in facts if fact.kind == kind]
        lines = dict.fromkeys(line for fact in telling for line in fact.events)
        return [printable(f"{line.file}:{line.line} {line.text}") for line in lines]


class Forbidden(click.ClickException):
    """An answer that must not be given, with the note lines that say so."""


def volume(notes: Notes, unit: Unit, _: Values) -> Noted | str:
    """Net volume, as last written."""
    written = [(one, one.volume) for one in notes.scene.vessel.log(ev.VesselDefined) if one.volume is not None]
    return _noted(written[-1][0], unit, written[-1][1]) if written else "the notes give no net volume"


def size(side: int, notes: Notes, unit: Unit, _: Values) -> Noted | str:
    """A side of the vessel, from outside, as last written."""
    written = [(one, one.size[side]) for one in notes.scene.vessel.log(ev.VesselDefined) if one.size is not None]
    if not written:
        return "the notes give no size of the vessel"
    event, cm = written[-1]
    noted = _noted(event, unit, (10 * cm, 10 * cm))
    return noted._replace(cited=f"{noted.cited}, from outside")


def reading(analyte: str, notes: Notes, unit: Unit, _: Values) -> Noted | str:
    """The newest reading that may be relied on, where it is not too old."""
    samples = notes.scene.usable(analyte)
    if not samples:
        return f"the notes hold no {analyte} that may be relied on"
    newest = samples[-1]
    age = notes.scene.age_days(newest.reading)
    if newest.high >= OPEN:
        return f"{newest.written} in {_at(newest.reading)} has no upper end; dilute the sample and test again"
    if age > FRESH_DAYS.get(analyte, age):
        return f"{newest.written} in {_at(newest.reading)} is {age:.0f} days old"
    return _noted(newest.reading, unit, (newest.low, newest.high), age)


def what_comes_down(notes: Notes, _: Unit, given: Values) -> Noted | str:
    """The newest reading of what a water change is for."""
    of = given.get("of") or "nitrate"
    return reading(of, notes, OF[of], given)


def takes(side: str, notes: Notes, _: Unit, given: Values) -> Noted | str:
    """The newest takes of one side of an opening."""
    measures = {one.subject.casefold(): one for one in notes.witness.state.everywhere(ev.Measure)}
    stems = [name.removesuffix(" width") for name in measures if name.endswith(" width")]
    openings = [stem for stem in stems if f"{stem} height" in measures]
    name = (given.get("opening") or (openings[0] if len(openings) == 1 else "")).casefold()
    found = measures.get(f"{name} {side}")
    if found is None:
        there = ", ".join(openings) or "none with a width and a height"
        return f"--opening says which one; the notes measure: {there}"
    return Noted(found.takes, f"{'/'.join(f'{take:g}' for take in found.takes)} mm ({_at(found)})")


def lid(what: str, notes: Notes, unit: Unit, _: Values) -> Noted | str:
    """A measure of the lid that was weighed; without a centre of gravity it is taken as half the depth."""
    found = lids.weighed(notes.scene)
    if len(found) != 1:
        names = ", ".join(one.name for one in found)
        return f"the notes hold several lids: {names}" if found else "the notes hold no lid with its mass and depth"
    measures = found[0].measures
    event, sign = next(((measures[one], way) for one, way in LID[what].items() if one in measures), (None, 1))
    if event is not None:
        value = sign * single(event, unit)
        return Noted(value, f"{value:.4g}{unit.behind} ({_at(event)})")
    if what == "gravity":
        half = lids.HALF * single(measures[lids.DEPTH], unit)
        return Noted(half, f"{half:.4g}{unit.behind}, half the depth, as in a plain sheet")
    return Noted(0.0, "0 taken, since the notes hold none") if what == "under" else LID_WANTS[what]


def single(event: ev.Measure, unit: Unit) -> float:
    """The middle of the takes, in ``unit``."""
    middle = sum(event.takes) / len(event.takes)
    return ends(unit.of_canonical(middle, middle))[0]


def struts(what: str, notes: Notes, _: Unit, __: Values) -> Noted | str:
    """How many struts are on, and the push of each."""
    found = lids.fitted(notes.scene)
    if found is None:
        return Noted(2.0, "2 taken, since the notes hold none") if what == "number" else "the notes hold no struts"
    value = float(found.number) if what == "number" else found.newton
    return Noted(value, f"{value:g} ({_at(found.gear)})")


def challenge(what: str, notes: Notes, _: Unit, __: Values) -> Noted | str:
    """The dose or the hours of the newest challenge that was cleared."""
    cleared = [
        fact for fact in notes.found.stated
        if fact.kind == "challenge" and fact.properties["state"] == "cleared" and fact.properties["where"] == "here"
    ]  # fmt: skip
    if not cleared:
        return "the notes hold no challenge that was cleared"
    best = max(cleared, key=lambda fact: (fact.properties["day"], fact.properties["capacity_low"]))
    span = (float(best.properties[f"{what}_low"]), float(best.properties[f"{what}_high"]))
    unit = "mg N/L" if what == "dose" else "hours"
    lines = ", ".join(f"{line.file}:{line.line}" for line in best.events)
    return Noted(span, f"{shown(span)} {unit} (challenge of {best.properties['day']}, {lines})")


def load(notes: Notes, _: Unit, given: Values) -> Noted | str:
    """The nitrogen of the planned or standing ration."""
    fact = stated(notes.found.stated, "load", known="yes")
    if given.get("food") is not None or fact is None:
        return "--food was written" if fact else "the notes hold no ration in grams"
    span = (float(fact.properties["low"]), float(fact.properties["high"]))
    lines = ", ".join(f"{line.file}:{line.line}" for line in fact.events)
    return Noted(span, f"{shown(span)} mg N a day ({lines})")


def start(notes: Notes, _: Unit, __: Values) -> Noted | str:
    """Nitrogen that was there before the first was given, mg N/L."""
    first = balance.first_given(notes.scene)
    samples = balance.before(notes.scene, first) if first else []
    if not samples:
        return Noted(0.0, "0 mg N/L taken, since nothing was tested before the first nitrogen was given")
    span = (sum(one.low for one in samples), sum(one.high for one in samples))
    lines = ", ".join(f"{one.reading.analyte} {_at(one.reading)}" for one in samples)
    return Noted(span, f"{shown(span)} mg N/L ({lines})")


def steps(notes: Notes, _: Unit, given: Values) -> Noted | str:
    """What was given and changed since then.

    Raises:
        Refused: an amount, or the volume, is not known, so that nothing can be balanced.
    """
    scene = notes.scene
    first = balance.first_given(scene)
    if given.get("given") is not None or first is None:
        return "--given was written" if first else "the notes hold no nitrogen that was given"
    blind = balance.unknown(scene)
    if blind is not None:
        raise Refused(f"nitrogen-balance: how much nitrogen this brought is not known: {_place(blind)}")
    volume = Interval(*ends(given["volume"])) if given.get("volume") is not None else scene.vessel.volume
    if volume is None:
        raise Refused("nitrogen-balance needs --volume in L (the notes give no net volume)")
    changes = balance.changes_since(scene, first)
    lines = ", ".join(dict.fromkeys(_at(one) for one in changes))
    changed = f"new water without nitrogen: {lines}" if changes else "no water was changed"
    all_steps = tuple(balance.steps(scene, first, volume))
    return Noted(all_steps, f"all that was given from {_at(first)} on; {changed}")


def _noted(event: ev.Base, unit: Unit, span: tuple[float, float], age: float = 0.0) -> Noted:
    value = unit.of_canonical(*span)
    old = f", {age:.0f} day{'s' * (age != 1)} old" if age > 0 else ""
    return Noted(value, f"{shown(value, 4)}{unit.behind} ({_at(event)}{old})")


def _at(event: ev.Base) -> str:
    return f"{event.source.file}:{event.source.line}, {event.day}"


def _place(event: ev.Base) -> str:
    return printable(f"{event.source.file}:{event.source.line} {event.source.text}")


LID: Mapping[str, Mapping[str, int]] = {
    "mass": {lids.MASS: 1}, "gravity": {lids.GRAVITY: 1}, "depth": {lids.DEPTH: 1},
    "along": lids.ALONG, "under": lids.UNDER, "across": lids.ACROSS, "up": lids.UP,
}  # fmt: skip
LID_WANTS = {
    "along": 'write "measure: strut lid mount 250 mm"',
    "across": 'write "measure: strut frame mount 80 mm in front of hinge", or behind it',
    "up": 'write "measure: strut frame mount 220 mm below hinge", or above it',
}
FINDERS: Mapping[str, Callable[[Notes, Unit, Values], Noted | str]] = {
    "volume": volume,
    "length": partial(size, 0),
    "width": partial(size, 1),
    "what is to come down": what_comes_down,
    "width of the opening": partial(takes, "width"),
    "height of the opening": partial(takes, "height"),
    **{f"lid: {what}": partial(lid, what) for what in LID},
    "number of struts": partial(struts, "number"),
    "push of the struts": partial(struts, "push"),
    "challenge dose": partial(challenge, "dose"),
    "challenge hours": partial(challenge, "hours"),
    "load": load,
    "nitrogen at the start": start,
    "nitrogen since the start": steps,
}
