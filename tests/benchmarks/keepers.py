"""Simulated keepers: what they test, write and do, some as they are told and some as they please.

A keeper knows of the tank only what the kits show, and of the program only the words of its first step. All numbers
are our invention.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

import numpy as np
from cycles import STEPS, Analyte, Tank, TrueKit, Water, draw_bacteria, draw_kit, draw_water

from reefjournal.advisor.advice import Action, Advice

START = date(2026, 3, 1)
DAYS = 90
NITROGEN = 261.87  # mg N in a gram of ammonium chloride: IUPAC weights (2021)
FOOD_NITROGEN = 72.0  # mg N in a gram of food of 45 % protein, of which 16 % is nitrogen
BASES = {"ammonia": ("NH4", 1.2878), "nitrite": ("NO2", 3.2845), "nitrate": ("NO3", 4.4266)}
ANALYTES: tuple[Analyte, ...] = ("ammonia", "nitrite", "nitrate")


@dataclass
class World:
    """The tank as it is: its water, true litres, and the time in steps of half an hour since the first midnight."""

    tank: Tank
    water: Water
    litres: float
    now: int = 0
    noons: list[Water] = field(default_factory=list)

    def pass_to(self, then: int) -> None:
        """Lets time pass, and keeps the water of every noon."""
        while self.now < then:
            noon = len(self.noons) * STEPS + STEPS // 2
            end = min(then, noon, (self.now // STEPS + 1) * STEPS) if noon > self.now else min(then, self.now + 1)
            self.tank.flow(self.water, self.now / STEPS, end - self.now)
            self.now = end
            if self.now == noon:
                self.noons.append(replace(self.water))

    def change(self, share: float) -> None:
        """New water for a share of the old."""
        for name in ("ammonia", "nitrite", "nitrate"):
            setattr(self.water, name, getattr(self.water, name) * (1 - share))


@dataclass
class Note:
    """An entry as typed, and what was meant where a slip made it something else."""

    heading: str
    records: list[str]
    meant: Note | None = None

    @property
    def text(self) -> str:
        """The entry as Markdown."""
        return "\n".join([f"## {self.heading}", *(f"- {record}" for record in self.records)])


@dataclass(frozen=True)
class Habits:
    """How a keeper is: does as told, tests every so many days, notes the hour, slips in so many of a hundred notes."""

    follows: bool
    every: int
    hours: bool
    slips: float
    ration: float  # g of food a day that is planned


@dataclass
class Keeper:
    """Someone with a tank, kits and a notebook."""

    world: World
    habits: Habits
    kits: dict[Analyte, TrueKit]
    litres: float  # as the keeper believes
    rng: np.random.Generator
    notes: list[Note] = field(default_factory=list)
    tested: dict[str, int] = field(default_factory=dict)  # when last read, by analyte
    done: dict[str, int] = field(default_factory=dict)  # when a deed was last done, by its name
    due: list[int] = field(default_factory=list)  # looks that were promised
    baffled: list[str] = field(default_factory=list)  # steps whose words say nothing to do

    # -- the notebook

    @property
    def journal(self) -> str:
        """Everything that was written; what has the same heading goes into one entry, in the order it was written."""
        entries: list[Note] = []
        for note in self.notes:
            last = entries[-1].heading if entries else ""
            if last == note.heading[:10]:  # a day without an hour takes the hours of its items
                hour = note.heading[11:]
                entries[-1].records += [f"{hour} {record}".lstrip() for record in note.records]
            elif last == note.heading:
                entries[-1].records += note.records
            else:
                entries.append(Note(note.heading, [*note.records]))
        return "\n".join(entry.text for entry in entries)

    @property
    def today(self) -> date:
        """The day it is."""
        return START + timedelta(days=self.world.now // STEPS)

    def write(self, *records: str, hour: bool = False) -> None:
        """An entry, with a slip in it now and then."""
        clock = datetime.min + timedelta(days=self.world.now % STEPS / STEPS)
        heading = f"{self.today} {clock:%H:%M}" if hour or self.habits.hours else f"{self.today}"
        note = Note(heading, list(records))
        self.notes.append(self.slip(note) if self.rng.random() < self.habits.slips else note)

    def slip(self, note: Note) -> Note:
        """The entry with a wrong date, a wrong vessel, a misspelt word, or a reading of another vessel in it."""
        place = int(self.rng.integers(len(note.records)))
        others, record = note.records[:place], note.records[place]
        day, hour = note.heading[:10], note.heading[10:]
        wrong = {
            "month": (f"{date.fromisoformat(day) - timedelta(days=31)}{hour}", note.records),
            "days": (f"{date.fromisoformat(day) + timedelta(days=int(self.rng.integers(-9, 10)))}{hour}", note.records),
            "no day": (f"{day[:8]}41{hour}", note.records),
            "spelling": (note.heading, [*others, misspelt(record), *note.records[place + 1 :]]),
            "vessel": (note.heading, [*others, with_vessel(record, "quarantine"), *note.records[place + 1 :]]),
            "no vessel": (note.heading, [*others, with_vessel(record, "quarantin"), *note.records[place + 1 :]]),
            "another's": (note.heading, [*note.records, "ammonia 0, nitrite 0"]),
        }
        heading, records = wrong[str(self.rng.choice(list(wrong)))]
        return Note(heading, records, meant=note)

    def begin(self) -> None:
        """The first entry."""
        kits = [kit_line(analyte, kit) for analyte, kit in self.kits.items()]
        salinity = ["salinity 35 ppt, temperature 25.2 C"] if self.rng.random() < 0.5 else []
        others = ["vessel: quarantine, 55 L water"] if self.rng.random() < 0.3 else []
        head = [f"vessel: display, {self.litres:.0f} L water with sump", *others, *kits]
        self.notes.append(Note(str(self.today), [*head, f"water: filled {self.litres:.0f} L at 35 ppt", *salinity]))
        if self.rng.random() < 0.3:
            self.write("stock: none")

    # -- deeds

    def test(self, *analytes: str) -> None:
        """Reads kits and writes down what they show."""
        water = self.world.water
        seen = []
        for analyte in analytes:
            kit = self.kits[analyte]  # type: ignore[index]
            colour = seen_on(kit, getattr(water, analyte), water.nitrite, self.rng)
            seen.append(f"{analyte} {'cloudy' if colour is None else shown(analyte, kit, colour)}")
            if colour is not None:
                self.tested[analyte] = self.world.now
        word = "test: " if self.rng.random() < 0.5 else ""
        self.write(word + ", ".join(seen), hour=bool(self.open_challenge))

    @property
    def open_challenge(self) -> bool:
        """Whether a dose was given of which the hours count."""
        return self.world.now - self.done.get("challenge", -1000) <= 2 * STEPS + 4

    def dose(self, grams: float, *, hour: bool = True) -> None:
        """Ammonium chloride, weighed as well as a kitchen allows."""
        self.world.water.ammonia += grams * NITROGEN / self.world.litres * math.exp(self.rng.normal(0, 0.03))
        self.write(f"dose: ammonium chloride {grams:.3g} g", hour=hour)
        self.done["dose"] = self.world.now

    def change(self, litres: float) -> None:
        """Changes water and writes it down, by the litre or as a share."""
        self.world.change(litres / self.world.litres)
        share = f"{100 * litres / self.litres:.0f} %"
        self.write(f"water: changed {litres:.0f} L at 35 ppt" if self.rng.random() < 0.7 else f"water: changed {share}")

    def ask_shop(self) -> None:
        """Has the water tested by a shop: near the truth, in its own words. Not twice in four days."""
        if self.recently("shop", 4):
            return
        says = []
        for analyte in ("ammonia", "nitrite"):
            truth = getattr(self.world.water, analyte) * math.exp(self.rng.normal(0, 0.08))
            says.append(f"{analyte} {truth:.2g} as N by shop" if truth > 0.05 else f"{analyte} <0.05 as N by shop")
        self.write(*says)
        self.done["shop"] = self.world.now

    def check(self, analyte: Analyte, method: str, truth: float, words: str) -> Iterator[str]:
        """What a kit shows of a known water."""
        kit = self.kits[analyte]
        colour = seen_on(kit, truth, 0.0, self.rng)
        if colour is not None:
            yield f"check: {analyte} {method} {words}{shown(analyte, kit, colour)}"

    def mend(self) -> None:
        """Puts right what the program could not read."""
        self.notes = [note.meant or note for note in self.notes]

    def recently(self, deed: str, days: int) -> bool:
        """Whether something was done in the last days."""
        return self.world.now - self.done.get(deed, -(10**6)) < days * STEPS

    def come_back(self, steps: int) -> None:
        """Promises a look, not quite to the minute."""
        self.due.append(self.world.now + steps + int(self.rng.choice([-1, 0, 0, 0, 0, 1])))

    # -- looking at the tank

    def look(self, advise: Callable[[], Advice]) -> None:
        """A visit: test, ask, act, and ask again as long as that brought something new to write."""
        self.test("ammonia", "nitrite", *(["nitrate"] if not self.recently_tested("nitrate", 6) else []))
        for _ in range(8):
            step = advise().actions
            if not step or not self.obey(step[0]):
                return

    def recently_tested(self, analyte: str, days: int) -> bool:
        """Whether an analyte was read in the last days."""
        return self.world.now - self.tested.get(analyte, -(10**6)) < days * STEPS

    def obey(self, step: Action) -> bool:
        """Does what a step says; true where that was written down at once and the next step may be asked for."""
        if step.amount is not None and step.amount.substance == "ammonium chloride":
            return self.obey_dose(step)
        if step.amount is not None and step.amount.unit == "L":
            return self.obey_change(step)
        before, promised = len(self.notes), len(self.due)
        meant = [deed for words, deed in DEEDS if re.search(words, step.do)]
        for deed in meant:
            deed(self)
        self.plan_next(step.do)
        if not meant and promised == len(self.due):
            self.baffled.append(step.rule)
        return len(self.notes) > before or MENDS.search(step.do) is not None

    def obey_dose(self, step: Action) -> bool:
        """A dose, and what the step wants tested about it; true where a test told something new."""
        assert step.amount is not None
        if "12, 24 and 48 hours" in step.do:
            self.done["challenge"] = self.world.now
            for steps in (STEPS // 2, STEPS, 2 * STEPS):
                self.come_back(steps)
        if "test nitrate" in step.do and not self.recently_tested("nitrate", 1):
            self.test("nitrate")
        self.dose(step.amount.value)
        awaited = re.search(r"after (one|an) hour", step.do) is not None
        if awaited:
            self.world.pass_to(self.world.now + int(self.rng.integers(2, 5)))
            self.test("ammonia")
        self.plan_next(step.do)
        return awaited

    def obey_change(self, step: Action) -> bool:
        """A change of water; where the step says to wait for two days first, it is done when asked for again."""
        assert step.amount is not None
        self.come_back(2 * STEPS if "two days" in step.do else STEPS)
        if "two days" in step.do and not self.recently("asked to change", 4):
            self.done["asked to change"] = self.world.now
            return False
        if self.recently("change", 2):
            return False
        self.change(step.amount.value)
        self.done["change"] = self.world.now
        return True

    def plan_next(self, words: str) -> None:
        """Comes back when the step says so."""
        for phrase, days in WHEN:
            if re.search(phrase, words, re.IGNORECASE):
                self.come_back(days * STEPS)
                return

    def test_again(self) -> None:
        """What was to be tested and could not be read, or was left out today, once more."""
        missing = [a for a in ("ammonia", "nitrite") if not self.recently_tested(a, 1)]
        if missing and not self.recently("again", 1):
            self.done["again"] = self.world.now
            self.test(*missing)

    def test_once_more(self) -> None:
        """Both once more, where two notes of a day contradict each other."""
        self.done["once more"] = self.world.now
        self.test("ammonia", "nitrite")

    def test_soon_again(self) -> None:
        """Both once more with clean vials, which takes half an hour."""
        self.world.pass_to(self.world.now + 1)
        self.test("ammonia", "nitrite")

    def write_once(self, name: str, days: int, *records: str) -> None:
        """Writes something that need not be written again for some days."""
        if not self.recently(name, days):
            self.done[name] = self.world.now
            self.write(*records)

    def plan_food(self) -> None:
        """Writes the ration that is planned, less each time it is asked for again."""
        times = sum(name.startswith("plan") for name in self.done)
        self.done[f"plan {times}"] = self.world.now
        grams = self.habits.ration * 0.6**times
        self.write(f"plan: food {grams:.2g} g pellets 45 % protein every day")

    # -- doing as one pleases

    def please(self, advise: Callable[[], Advice]) -> None:
        """A visit of someone who tests when in the mood, doses late or too much, and changes water for no reason."""
        mood = self.rng.random(6)
        tested = [a for a, one in zip(("ammonia", "nitrite"), mood, strict=False) if one < 0.8]
        if tested:
            self.test(*tested)
        if mood[2] < 0.06:
            self.change(float(self.rng.uniform(0.1, 0.5)) * self.litres)
        if mood[3] < 0.2:
            self.write("test: salinity 35 ppt, temperature 25.1 C")
        if mood[4] < 0.5 and not self.recently("plan 0", DAYS):
            self.plan_food()
        step = next(iter(advise().actions), None)
        told = step.amount.value if step and step.amount and step.amount.substance == "ammonium chloride" else 0.0
        if told and mood[5] < 0.6:
            self.dose(told * float(self.rng.choice([0.5, 1, 1, 1.5, 3])), hour=bool(self.rng.random() < 0.5))
            self.come_back(int(self.rng.integers(STEPS // 3, 2 * STEPS)))
        elif mood[5] < 0.05:
            self.dose(float(self.rng.uniform(0.3, 3)) * self.litres / NITROGEN, hour=bool(self.rng.random() < 0.5))
        elif step and mood[5] > 0.6:
            self.obey(step)


def shop(keeper: Keeper) -> None:
    """Where a second method is asked for."""
    keeper.ask_shop()


def blank(keeper: Keeper) -> None:
    """Where a blank is asked for."""
    keeper.write_once("blank", 1, *(list(keeper.check("ammonia", "blank", 0.0, "")) or ["ammonia cloudy"]))


def standard(keeper: Keeper) -> None:
    """Where a kit is to be held against a standard: both are, since one bottle of it serves both."""
    both = [keeper.check(analyte, "standard", 1.0, "1.0 as N read ") for analyte in ANALYTES[:2]]
    keeper.write_once("standard", 10, *([line for one in both for line in one] or ["ammonia cloudy"]))


def finer_kit(keeper: Keeper) -> None:
    """Where the card is too coarse, another kit is bought."""
    kit = keeper.kits["ammonia"] = replace(keeper.kits["ammonia"], card=(0, 0.2, 0.4, 0.8, 1.6, 3.2))
    keeper.write_once("finer kit", 90, kit_line("ammonia", kit))


def slow_tests(keeper: Keeper) -> None:
    """Where the causes of a stall are asked for."""
    keeper.write_once("slow", 3, "alkalinity 8.2 dKH, pH 8.1, temperature 25 C, phosphate 0.05")


def diluted(keeper: Keeper) -> None:
    """Where nitrite off the card is to be read again."""
    kit = keeper.kits["nitrite"]
    colour = seen_on(kit, keeper.world.water.nitrite / 4, 0.0, keeper.rng)
    if colour is not None:
        keeper.write_once("diluted", 3, f"check: nitrite 1:4 diluted read {shown('nitrite', kit, colour)}")


DEEDS: tuple[tuple[str, Callable[[Keeper], None]], ...] = (
    (r"[Mm]end th(is|ese|e) lines?", Keeper.mend),
    (r"[Mm]end that record|[Mm]end the day", Keeper.mend),
    (r"date to|Give the note", Keeper.mend),
    (r"stock: none", lambda keeper: keeper.write_once("none", 1, "stock: none")),
    (r"plan: food", Keeper.plan_food),
    (r"[Tt]est[^.]*salinity", lambda keeper: keeper.write_once("salinity", 1, "test: salinity 35 ppt")),
    (r"[Tt]est[^.]*temperature", lambda keeper: keeper.write_once("temperature", 1, "test: temperature 25.1 C")),
    (r"alkalinity, (and )?pH", slow_tests),
    (r"1:4", diluted),
    (r"blank", blank),
    (r"total chlorine", lambda keeper: keeper.write_once("chlorine", 10, "test: total chlorine 0 mg/L")),
    (r"which of the two was wrong", Keeper.mend),
    (r"once more, (a quarter|before)", Keeper.test_soon_again),
    (r"test it once more", lambda keeper: None if keeper.recently("once more", 1) else keeper.test_once_more()),
    (r"[Tt]est (ammonia|nitrite|the ammonia|again)|[Rr]epeat the ammonia test", Keeper.test_again),
    (r"second (method|kit)|a shop", shop),
    (r"finer ammonia test", finer_kit),
    (r"leaflet of the phosphate", lambda keeper: keeper.write_once("leaflet", 30, "kit: phosphate, as PO4")),
    (r"known standard", standard),
    (r"[Tt]est nitrate", lambda keeper: None if keeper.recently_tested("nitrate", 2) else keeper.test("nitrate")),
    (r"[Gg]ive no(thing)? more|[Ww]ait|[Bb]ring|[Ff]eed", lambda _: None),
)
MENDS = re.compile(r"[Mm]end th|Give the note")
WHEN = (
    (r"12, 24 and 48|48 hours after the dose", 1),
    (r"tomorrow|a day later|a day after the last time|every day once it falls|every day", 1),
    (r"two days|second day|other day|second or third day", 2),
    (r"three days|four days", 3),
)


def seen_on(kit: TrueKit, truth: float, nitrite: float, rng: np.random.Generator) -> int | None:
    """The colour that a reader sees; a dead reagent never shows another than the lowest, however it is misread."""
    colour = kit.colour(truth, nitrite, rng)
    return colour if colour is None or not kit.stuck else 0


def shown(analyte: str, kit: TrueKit, colour: int) -> str:
    """A colour as it is printed on the card, in the unit that the kit counts in."""
    return f"{kit.card[colour] * factor(analyte, kit):.3g}"


def factor(analyte: str, kit: TrueKit) -> float:
    """Half of the kits count nitrogen, the others the ion."""
    return BASES[analyte][1] if int(kit.noise * 1000) % 2 else 1.0


def kit_line(analyte: Analyte, kit: TrueKit) -> str:
    """The record that defines a kit."""
    basis = BASES[analyte][0] if factor(analyte, kit) > 1 else "N"
    return f"kit: {analyte}, as {basis}, card {' '.join(shown(analyte, kit, n) for n in range(len(kit.card)))}"


def misspelt(record: str) -> str:
    """Two letters changed places."""
    at = max(1, min(len(record) - 2, 3))
    return record[:at] + record[at + 1] + record[at] + record[at + 2 :]


def with_vessel(record: str, vessel: str) -> str:
    """The record with a vessel in brackets."""
    word, _, rest = record.rpartition(": ") if re.match(r"[a-z]+: ", record) else ("test", "", record)
    return f"{word or 'test'} ({vessel}): {rest}"


def draw_keeper(seed: int) -> Keeper:
    """The keeper and the tank of this seed."""
    rng = np.random.default_rng(seed)
    tank = Tank(
        (draw_bacteria(rng, 1), draw_bacteria(rng, 2)), celsius=float(rng.normal(25, 1.2)),
        nh3_share=float(rng.uniform(0.03, 0.08)), release=float(rng.uniform(0.08, 0.4)),
    )  # fmt: skip
    water = draw_water(rng, (), seeded=bool(rng.random() < 0.1), cultured=bool(rng.random() < 0.3))
    litres = float(rng.integers(120, 450))
    habits = Habits(
        follows=seed % 3 > 0,
        every=int(rng.integers(1, 4)),
        hours=bool(rng.random() < 0.7),
        slips=float(rng.choice([0.0, 0.02, 0.05])),
        ration=float(rng.uniform(0.1, 0.9)) * litres / 3 / FOOD_NITROGEN,
    )
    world = World(tank, water, litres * math.exp(rng.normal(0, 0.04)))
    return Keeper(world, habits, {a: draw_fault(rng, draw_kit(rng, a), a) for a in ANALYTES}, litres, rng)


def draw_fault(rng: np.random.Generator, kit: TrueKit, analyte: Analyte) -> TrueKit:
    """Faults enough to matter: one kit in fourteen stuck at zero, one ammonia kit in seven a whole step high."""
    if rng.random() < 0.07:
        return replace(kit, stuck=True)
    return replace(kit, offset=kit.card[1]) if rng.random() < (0.14 if analyte == "ammonia" else 0.04) else kit
