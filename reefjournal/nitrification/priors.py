"""What is known before the first test: a median and a spread of the logarithm for every unknown, with its source.

All unknowns are lognormal, so that one standard normal number each describes a parameter set.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from reefjournal.nitrification.model import Array, Event, Kinetics, State
from reefjournal.nitrification.run import Run


@dataclass(frozen=True, slots=True)
class Prior:
    """A lognormal unknown: median, standard deviation of its logarithm, unit, meaning and source (see `Believed`)."""

    name: str
    median: float
    log_sd: float
    unit: str
    means: str
    source: str


_JUDGEMENT = "our judgement"
_GROWTH = (
    "our judgement: from published rates, Helder and de Vries, estuarine nitrite maxima (Ems-Dollard); Thandar et al. "
    "2016, Frontiers in Microbiology 7: 1869; slow Nitrospira weighted as in Kruse et al. 2013 and Hovanec et al. 1998"
)
_HALF = (
    "our judgement: from published values, Thandar et al. 2016; Ushiki et al. 2017; Sin and Gernaey 2016 "
    "(Experimental Methods in Wastewater Treatment, IWA Publishing)"
)
_START = "our judgement: no published value; set so that the prior range of finishing days covers published start-ups"
_DECAY = "our judgement: published values span a factor of twenty"
_WARMTH = "our judgement: Vannecke and Volcke (activation energies) and handbook values"
_DAILY, _MG_N, _CAPACITY = "1/day", "mg N/L", "mg N/L/day"

# At 25 °C in seawater.
KINETICS = (
    Prior("growth1", math.log(2), 0.35, _DAILY, "growth of ammonia oxidisers at 25 °C", _GROWTH),
    Prior("growth2", math.log(2) * 24 / 34, 0.40, _DAILY, "growth of nitrite oxidisers at 25 °C", _GROWTH),
    Prior("half1", 0.6, 0.6, _MG_N, "ammonia at which its oxidisers work at half speed", _HALF),
    Prior("half2", 0.4, 0.7, _MG_N, "nitrite at which its oxidisers work at half speed", _HALF),
    Prior("decay1", 0.04, 0.6, _DAILY, "decay of ammonia oxidisers at 25 °C", _DECAY),
    Prior("decay2", 0.04, 0.6, _DAILY, "decay of nitrite oxidisers at 25 °C", _DECAY),
)
UNSEEDED = (
    Prior("start1", 4e-4, 1.6, _CAPACITY, "ammonia oxidised at the start, nothing brought in", _START),
    Prior("start2", 3e-4, 1.6, _CAPACITY, "nitrite oxidised at the start, nothing brought in", _START),
)
SEEDED = (
    Prior("start1", 2e-2, 1.4, _CAPACITY, "ammonia oxidised at the start, seeded", _START),
    Prior("start2", 1.5e-2, 1.4, _CAPACITY, "nitrite oxidised at the start, seeded", _START),
)
TEMPERATURE = (
    Prior("theta1", 1.08, 0.02 / 1.08, "times per °C", "growth of ammonia oxidisers with warmth", _WARMTH),
    Prior("theta2", 1.06, 0.02 / 1.06, "times per °C", "growth of nitrite oxidisers with warmth", _WARMTH),
)
INHIBITION = Prior(
    "inhibition", 0.6, 0.8, "mg NH3-N/L", "free ammonia that halves nitrite oxidation",
    "published: Park and Bae 2009, 46 µM; the spread is ours",
)  # fmt: skip
RELEASE = Prior(
    "release", 0.2, 0.6, _DAILY, "share of rotting tissue that gives off its nitrogen",
    "our judgement: Hoikkala et al. 2016 found more than half of labile matter gone in 7 days",
)  # fmt: skip
ROTTING = Prior("rotting", 1.0, 0.5, "times", "nitrogen in meat over what is reckoned", "common practice")
UNWRITTEN = Prior(
    "unwritten", 0.15, 1.0, _MG_N, "nitrogen from dust, glue and die-off that nobody wrote down", _JUDGEMENT
)
NITRATE = (
    Prior("loss", 0.005, 1.0, _DAILY, "share of nitrate that is lost", _JUDGEMENT),
    Prior("background", 0.3, 1.0, _MG_N, "nitrate in newly mixed salt water", _JUDGEMENT),
    Prior(
        "crosstalk", 3.0, 1.5, "times", "nitrate that a nitrate kit shows for nitrite",
        "our judgement: around the thirtyfold seen with reducing kits, common practice",
    ),
)  # fmt: skip
READING = (
    Prior("noise", 1.0, 0.35, "times", "noise of a reader over the usual", _JUDGEMENT),
    Prior("misread", 0.05, 0.6, "chance", "that a sample is misread and says nothing", _JUDGEMENT),
)
CULTURES = tuple(
    Prior(f"culture{step}", 1.0, 1.0, "times", "capacity brought in over what is reckoned", _JUDGEMENT)
    for step in (1, 2)
)
GAIN = Prior("gain", 1.0, 0.15, "times", "colours of a kit over the true ones, throughout", _JUDGEMENT)


class Unknowns:
    """The unknowns of one run. A class because which ones there are depends on what happened in it."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.kits = tuple(sorted({(r.analyte, r.kit) for r in run.readings if r.counts}))
        self.priors = _priors(run, len(self.kits))
        self._columns = {prior.name: column for column, prior in enumerate(self.priors)}

    def __len__(self) -> int:
        return len(self.priors)

    def value(self, z: Array, name: str) -> Array:
        """The unknown for every row of standard normal numbers z (n, len(self)); its median where it plays no part."""
        if name in self._columns:
            column = self._columns[name]
            return np.asarray(self.priors[column].median * np.exp(self.priors[column].log_sd * z[:, column]))
        return np.full(len(z), _FIXED[name])

    def kinetics(self, z: Array) -> Kinetics:
        """The rates; growth is held to 2 per day (published in seawater: 1.7), since long steps need a limit."""
        rates = {name: self.value(z, name) for name in Kinetics.__dataclass_fields__}
        for name in ("growth1", "growth2"):
            rates[name] = np.minimum(rates[name], 2.0)
        return Kinetics(**rates)

    def start(self, z: Array) -> State:
        """The vessel before anything is dosed."""
        zero = np.zeros(len(z))
        start1, start2, background = (self.value(z, name) for name in ("start1", "start2", "background"))
        return State(zero, zero, background, start1, start2, tissue=self.value(z, "unwritten"))

    def events(self, z: Array) -> list[Event]:
        """Everything that happened or is planned, with the amounts of every parameter set."""
        strength = self.value(z, "strength")
        run = self.run
        return [
            *(Event(d.time, **{d.substance: strength * d.nitrogen}) for d in run.doses),  # type: ignore[arg-type]
            *self._rotting(z),
            *self._cultures(z),
            *(
                Event(w.time, 1 - w.fraction, 1.0, *(w.fraction * x for x in (w.ammonia, w.nitrite, w.nitrate)))
                for w in run.water_changes
            ),
            *(Event(loss.time, filter_kept=loss.kept) for loss in run.filter_losses),
        ]

    def _rotting(self, z: Array) -> list[Event]:
        amount, release = self.value(z, "rotting"), self.value(z, "release")
        events = []
        for source in self.run.rotting:
            events.append(Event(source.time, tissue=amount * source.nitrogen))
            if source.removed is not None:
                left = np.exp(-release * (source.removed - source.time))
                events.append(Event(source.removed, tissue=-amount * source.nitrogen * left))
        return events

    def _cultures(self, z: Array) -> list[Event]:
        spread = (np.log(self.value(z, "culture1")), np.log(self.value(z, "culture2")))
        return [
            Event(c.time, capacity1=c.capacity1 * np.exp(c.log_sd * spread[0]),
                  capacity2=c.capacity2 * np.exp(c.log_sd * spread[1]))
            for c in self.run.cultures
        ]  # fmt: skip

    def gain(self, z: Array, kit: int) -> Array:
        """How much too strong the colours of this kit are throughout."""
        return self.value(z, f"gain{kit}")


_FIXED = {prior.name: prior.median for prior in (*TEMPERATURE, INHIBITION, RELEASE, ROTTING)}
_FIXED |= {"strength": 1.0, "culture1": 1.0, "culture2": 1.0}


def _priors(run: Run, kits: int) -> tuple[Prior, ...]:
    always = (*KINETICS, *(SEEDED if run.seeded else UNSEEDED), RELEASE, UNWRITTEN, *NITRATE, *READING)
    return (
        *always,
        *(TEMPERATURE if any(celsius != 25 for _, celsius in run.temperature) else ()),
        *((INHIBITION,) if run.free_ammonia else ()),
        *((ROTTING,) if run.rotting else ()),
        *((_strength(run),) if run.doses else ()),
        *(CULTURES if run.cultures else ()),
        *(replace(GAIN, name=f"gain{kit}") for kit in range(kits)),
    )


def _strength(run: Run) -> Prior:
    """One factor for all doses: salt, balance and water volume are the same each time."""
    total = sum(dose.nitrogen for dose in run.doses) or 1.0
    spread = sum(dose.nitrogen * dose.relative_sd for dose in run.doses) / total
    return Prior("strength", 1.0, max(spread, 0.01), "times", "doses over what is written", _JUDGEMENT)
