"""Simulated cycles whose kinetics are not the model's own: the only truth to score forecasts against.

All numbers are our invention. Growth and seed are spread about the middles of the priors, as published ranges are all
that is known of them. What differs from the model: the law of uptake (Blackman, Teissier or Monod), a lag, detachment
that grows with density, inhibition of both steps, a leaching source that nobody wrote down, Arrhenius temperature
dependence, doses other than written, and kits with faults.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from reefjournal.nitrification.run import Analyte, Dose, Reading, Rotting, Run, WaterChange
from reefjournal.nitrification.seeds import culture

DAYS = 150
STEPS = 50  # a day; explicit steps of half an hour
GAS = 8.314e-3  # kJ/mol/K


@dataclass(frozen=True)
class Bacteria:
    """One step's truth: growth 1/d and half-saturation mg N/L at 25 °C, and everything that slows it."""

    law: str
    growth: float
    half: float
    decay: float
    detachment: float
    lag: float
    activation: float  # kJ/mol
    toxic: float  # NH3 (mg N/L) that halves the rate

    def uptake(self, substrate: float, nh3: float) -> float:
        """Share of the full rate."""
        x = substrate / self.half
        share = {"Monod": x / (1 + x), "Blackman": min(x / 2, 1.0), "Teissier": 1 - 0.5**x}[self.law]
        return share / (1 + nh3 / self.toxic)

    def grown(self, eaten: float, capacity: float, days: float) -> float:
        """Change of capacity: growth on what was eaten, decay, and detachment that grows with density."""
        return self.growth * eaten - (self.decay + self.detachment * capacity) * capacity * days

    def speed(self, day: float, celsius: float) -> float:
        """Factor of temperature and lag."""
        warm = math.exp(self.activation / GAS * (1 / 298.15 - 1 / (273.15 + celsius)))
        return warm * (1 - math.exp(-((day / self.lag) ** 2)))


@dataclass
class Water:
    """The changing truth of a vessel, mg N/L and mg N/L/d."""

    ammonia: float = 0.0
    nitrite: float = 0.0
    nitrate: float = 0.5
    capacity1: float = 0.0
    capacity2: float = 0.0
    tissue: float = 0.0
    leach: float = 0.0


@dataclass(frozen=True)
class TrueKit:
    """A kit's card (mg N/L) and its faults."""

    card: tuple[float, ...]
    gain: float
    offset: float
    noise: float
    stuck: bool
    unreadable: float
    crosstalk: float

    @property
    def edges(self) -> list[float]:
        """Where each colour of the card begins and ends."""
        return [0.0, self.card[1] / 2, *map(math.sqrt, np.multiply(self.card[1:-1], self.card[2:])), math.inf]

    def read(self, truth: float, nitrite: float, rng: np.random.Generator) -> tuple[float, float] | None:
        """The interval that a reader writes down, or None."""
        colour = self.colour(truth, nitrite, rng)
        return None if colour is None else (self.edges[colour], self.edges[colour + 1])

    def colour(self, truth: float, nitrite: float, rng: np.random.Generator) -> int | None:
        """The place on the card that a reader sees, or None."""
        if rng.random() < self.unreadable:
            return None
        shown = 0.0 if self.stuck else self.gain * truth + self.offset + self.crosstalk * nitrite
        shown = max((shown + self.card[1] / 2) * math.exp(self.noise * rng.standard_normal()) - self.card[1] / 2, 0.0)
        colour = int(np.searchsorted(self.edges, shown, side="right")) - 1
        return int(rng.integers(len(self.card))) if rng.random() < 0.05 else colour


@dataclass(frozen=True)
class Tank:
    """A vessel that runs by itself: its bacteria, and what they live in."""

    bacteria: tuple[Bacteria, Bacteria]
    celsius: float
    nh3_share: float
    release: float

    def flow(self, water: Water, day: float, steps: int = STEPS) -> None:
        """Changes the water as ``steps`` of half an hour do, from a time in days on."""
        first, second = self.bacteria
        celsius = self.celsius + 0.7 * math.sin(math.floor(day) / 5)
        middle = day + steps / STEPS / 2
        speed1, speed2 = first.speed(middle, celsius), second.speed(middle, celsius)
        h = 1 / STEPS
        for _ in range(steps):
            nh3 = self.nh3_share * water.ammonia
            uptake1, uptake2 = first.uptake(water.ammonia, nh3), second.uptake(water.nitrite, nh3)
            eaten1 = min(speed1 * water.capacity1 * uptake1 * h, water.ammonia)
            eaten2 = min(speed2 * water.capacity2 * uptake2 * h, water.nitrite + eaten1)
            released = self.release * water.tissue * h + 0.05 * water.leach * h
            water.tissue -= self.release * water.tissue * h
            water.leach -= 0.05 * water.leach * h
            water.ammonia += released - eaten1
            water.nitrite += eaten1 - eaten2
            water.nitrate += eaten2
            water.capacity1 += first.grown(eaten1, water.capacity1, h)
            water.capacity2 += second.grown(eaten2, water.capacity2, h)


@dataclass
class Cycle:
    """One simulated cycle: the run as written, and the truth behind it, day by day."""

    run: Run
    tank: Tank
    true_doses: dict[int, float]
    days: list[Water] = field(default_factory=list)

    def finish(self, on: int, analyte: str, threshold: float, horizon: int = 120) -> float:
        """The day the analyte stays below the threshold, nitrite not before ammonia, if nothing is added after `on`.

        Infinity past the horizon.
        """

        def level(water: Water) -> float:
            return water.ammonia if analyte == "ammonia" else max(water.ammonia, water.nitrite)

        past = [level(water) for water in self.days[: on + 1]]
        water, ahead = replace(self.days[on]), []
        for day in range(on, on + horizon):
            self.tank.flow(water, day)
            ahead.append(level(water))
            if max(water.ammonia, water.nitrite, water.tissue + water.leach) < threshold / 10:
                break
        levels = np.array(past + ahead)
        above = np.flatnonzero(levels > threshold)
        if not len(above):
            return 0.0
        last = int(above[-1])
        if last == len(levels) - 1:
            return math.inf
        return last + (levels[last] - threshold) / (levels[last] - levels[last + 1])

    def first_cleared(self, on: int, level: float, *, fed: bool, horizon: int = 120) -> float:
        """The day from `on` on which 1 mg N/L would first be below the level in 24 h, nitrite too; else infinity.

        Asked every second day. `fed` gives 1.4 mg N/L where ammonia and nitrite are below 0.1, 0.5 where ammonia is.
        """
        water, before = replace(self.days[on]), math.inf
        for day in range(on, on + horizon + 1, 2):
            tried = replace(water, ammonia=water.ammonia + 1)
            self.tank.flow(tried, day)
            excess = max(tried.ammonia, tried.nitrite) / level - 1
            if excess <= 0:
                return day if math.isinf(before) else day - 2 * excess / (excess - before)
            before = excess
            if fed and water.ammonia < 0.1:
                water.ammonia += 1.4 if water.nitrite < 0.1 else 0.5
            self.tank.flow(water, day)
            self.tank.flow(water, day + 1)
        return math.inf

    def simulate(self) -> None:
        """Fills the days; a dose or a change stands at the start of its day."""
        water = self.days[0]
        for day in range(DAYS):
            self._events(water, day)
            self.days[day] = replace(water)
            self.tank.flow(water, day)
            self.days.append(replace(water))

    def _events(self, water: Water, day: int) -> None:
        water.ammonia += self.true_doses.get(day, 0.0)
        for change in self.run.water_changes:
            if change.time == day:
                for name in ("ammonia", "nitrite", "nitrate"):
                    setattr(water, name, getattr(water, name) * (1 - change.fraction))


def draw(seed: int, every: float | None = None) -> Cycle:
    """The cycle of this seed; `every` sets the days between tests of an analyte instead of chance."""
    rng = np.random.default_rng(seed)
    seeded, cultured = rng.random() < 0.2, rng.random() < 0.2
    doses = _doses(rng)
    meat = rng.random() < 0.25
    rotting = (Rotting(0, float(rng.uniform(1, 3)), removed=None),) if meat else ()
    changes = (WaterChange(float(rng.integers(8, 30)), float(rng.uniform(0.1, 0.5))),) if rng.random() < 0.15 else ()
    celsius = float(rng.normal(25, 1.2))
    nh3_share = float(rng.uniform(0.03, 0.08))
    run = Run(
        doses=tuple(Dose(day, amount) for day, amount in doses.items()) if not meat else (),
        rotting=rotting,
        cultures=(culture(0.0, "bottled culture"),) if cultured else (),
        water_changes=changes,
        temperature=((0.0, round(celsius + rng.normal(0, 0.5), 1)),),
        free_ammonia=0.05,
        seeded=seeded,
    )
    strength = math.exp(rng.normal(0, 0.12))
    true_doses = {} if meat else {day: amount * strength for day, amount in doses.items()}
    bacteria = draw_bacteria(rng, 1), draw_bacteria(rng, 2)
    tank = Tank(bacteria, celsius, nh3_share, release=float(rng.uniform(0.08, 0.4)))
    cycle = Cycle(run, tank, true_doses)
    cycle.days.append(draw_water(rng, rotting, seeded=seeded, cultured=cultured))
    cycle.simulate()
    cycle.run = replace(run, readings=_readings(rng, cycle.days, every))
    return cycle


def _doses(rng: np.random.Generator) -> dict[int, float]:
    """A first dose, and in some cycles one or two later ones."""
    doses = {0: float(rng.uniform(1, 4))}
    for _ in range(int(rng.choice([0, 0, 0, 1, 2]))):
        doses[int(rng.integers(10, 45))] = float(rng.uniform(0.5, 2))
    return doses


def draw_bacteria(rng: np.random.Generator, step: int) -> Bacteria:
    """One step's truth, drawn about the middles of the priors."""
    hours = float(np.clip((24 if step == 1 else 34) * math.exp(0.37 * rng.standard_normal()), 11, 80))
    half = math.exp(rng.normal(math.log(0.6 if step == 1 else 0.4), 0.5))
    return Bacteria(
        law=str(rng.choice(["Monod", "Blackman", "Teissier"])),
        growth=24 * math.log(2) / hours,
        half=float(np.clip(half, 0.12, 2.5)),
        decay=math.exp(rng.normal(math.log(0.035), 0.5)),
        detachment=float(rng.uniform(0, 0.05)),
        lag=float(rng.uniform(0.2, 5)),
        activation=68.0 if step == 1 else 44.0,
        toxic=math.exp(rng.normal(math.log(8.0 if step == 1 else 0.6), 0.6)),
    )


def draw_water(rng: np.random.Generator, rotting: tuple[Rotting, ...], *, seeded: bool, cultured: bool) -> Water:
    """The water of the first day, with what nobody wrote down in it."""
    middles, width = ((2e-2, 1.5e-2), 1.3) if seeded else ((4e-4, 3e-4), 1.5)
    seeds = [middle * math.exp(width * rng.standard_normal()) for middle in middles]
    if cultured and rng.random() < 0.7:
        seeds = [value + 4e-3 * math.exp(1.2 * rng.standard_normal()) for value in seeds]
    meat = sum(source.nitrogen for source in rotting) * math.exp(rng.normal(0, 0.4))
    leach = float(rng.choice([0.0, 0.1, 0.4])) + (0.5 if seeded else 0.0)
    return Water(capacity1=seeds[0], capacity2=seeds[1], tissue=meat, leach=leach)


CARDS: dict[Analyte, tuple[tuple[float, ...], ...]] = {
    "ammonia": ((0, 0.25, 0.5, 1, 2, 4, 8), (0, 0.2, 0.4, 0.8, 1.6, 3.2), (0, 0.5, 1, 2, 5)),
    "nitrite": ((0, 0.076, 0.15, 0.3, 0.6, 1.5), (0, 0.25, 0.5, 1, 2, 5), (0, 0.06, 0.15, 0.3, 0.6, 1.2, 2.4)),
    "nitrate": ((0, 1.1, 2.3, 4.5, 9, 18, 36), (0, 0.5, 1.1, 2.3, 5.6, 11, 22)),
}


def draw_kit(rng: np.random.Generator, analyte: Analyte) -> TrueKit:
    card = CARDS[analyte][int(rng.integers(len(CARDS[analyte])))]
    false_zero = rng.random() < {"ammonia": 0.2, "nitrite": 0.04, "nitrate": 0.04}[analyte]
    return TrueKit(
        card=card,
        gain=math.exp(rng.normal(0, 0.15)),
        offset=float(rng.uniform(0.3, 1.3)) * card[1] if false_zero else 0.0,
        noise=float(rng.uniform(0.15, 0.4)),
        stuck=bool(rng.random() < 0.02),
        unreadable=float(rng.choice([0.03, 0.03, 0.03, 0.4])) if analyte == "ammonia" else 0.03,
        crosstalk=float(rng.choice([0.0, 2.0, 15.0])) if analyte == "nitrate" else 0.0,
    )


def _readings(rng: np.random.Generator, days: list[Water], every: float | None) -> tuple[Reading, ...]:
    """Tests just after the events of a day, every one to four days."""
    analytes: tuple[Analyte, ...] = ("ammonia", "nitrite", "nitrate")
    kits = {analyte: draw_kit(rng, analyte) for analyte in analytes}
    readings = []
    for analyte, kit in kits.items():
        gap = every or float(rng.uniform(1, 4)) * (2 if analyte == "nitrate" else 1)
        for day in np.unique(np.arange(rng.uniform(0.5, 2), 120, gap).astype(int)):
            readers = 2 if rng.random() < 0.1 else 1
            looks = tuple(kit.read(getattr(days[day], analyte), days[day].nitrite, rng) for _ in range(readers))
            readings.append(Reading(f"{analyte} {day}", day + 0.01, analyte, "home", looks))
    return tuple(readings)
