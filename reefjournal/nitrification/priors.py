"""What is known before the first test: a median and a spread of the logarithm for every unknown, with its source.

All unknowns are lognormal, so that one standard normal number each describes a parameter set.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from reefjournal.nitrification.model import Array, Event, Kinetics, State
from reefjournal.nitrification.run import Run


@dataclass(frozen=True, slots=True)
class Prior:
    """A lognormal unknown: median, standard deviation of its logarithm, and where they come from."""

    name: str
    median: float
    log_sd: float
    source: str


_JUDGEMENT = "our judgement"
_GROWTH = (
    "our judgement from published rates: Helder and de Vries, estuarine nitrite maxima (Ems-Dollard); Thandar et al. "
    "2016, Frontiers in Microbiology 7: 1869; slow Nitrospira weighted as in Kruse et al. 2013 and Hovanec et al. 1998"
)
_HALF = (
    "our judgement from published values: Thandar et al. 2016; Ushiki et al. 2017; Sin and Gernaey 2016 "
    "(Experimental Methods in Wastewater Treatment, IWA Publishing)"
)
_START = "no published value; set so that the prior range of finishing days covers published start-up times"

# At 25 °C in seawater. Rates 1/d, half-saturation and inhibition mg N/L, capacity mg N/L/d.
KINETICS = (
    Prior("growth1", math.log(2), 0.35, _GROWTH),
    Prior("growth2", math.log(2) * 24 / 34, 0.40, _GROWTH),
    Prior("half1", 0.6, 0.6, _HALF),
    Prior("half2", 0.4, 0.7, _HALF),
    Prior("decay1", 0.04, 0.6, _JUDGEMENT + "; published values span a factor of twenty"),
    Prior("decay2", 0.04, 0.6, _JUDGEMENT + "; published values span a factor of twenty"),
)
UNSEEDED = (Prior("start1", 4e-4, 1.6, _START), Prior("start2", 3e-4, 1.6, _START))
SEEDED = (Prior("start1", 2e-2, 1.4, _START), Prior("start2", 1.5e-2, 1.4, _START))
TEMPERATURE = (
    Prior("theta1", 1.08, 0.02 / 1.08, "our judgement; Vannecke and Volcke (activation energies) and handbook values"),
    Prior("theta2", 1.06, 0.02 / 1.06, "our judgement; Vannecke and Volcke (activation energies) and handbook values"),
)
INHIBITION = Prior(
    "inhibition", 0.6, 0.8, "Park and Bae 2009: 46 µM free ammonia halves nitrite oxidation; spread ours"
)
RELEASE = Prior(
    "release", 0.2, 0.6, _JUDGEMENT + "; Hoikkala et al. 2016: more than half of labile matter gone in 7 days"
)
ROTTING = Prior("rotting", 1.0, 0.5, "common practice: nitrogen in meat is known to half its value")
UNWRITTEN = Prior("unwritten", 0.15, 1.0, _JUDGEMENT + ": nitrogen from dust, glue and die-off that nobody wrote down")
NITRATE = (
    Prior("loss", 0.005, 1.0, _JUDGEMENT),
    Prior("background", 0.3, 1.0, _JUDGEMENT + ": nitrate in newly mixed salt water"),
    Prior(
        "crosstalk", 3.0, 1.5, "our judgement around the thirtyfold seen with reducing nitrate kits, common practice"
    ),
)
READING = (
    Prior("noise", 1.0, 0.35, _JUDGEMENT),
    Prior("misread", 0.05, 0.6, _JUDGEMENT),
)
GAIN_LOG_SD = 0.15  # a kit's colours may be as much too strong or too weak throughout (our judgement)

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
        *((Prior(f"culture{step}", 1.0, 1.0, _JUDGEMENT) for step in (1, 2)) if run.cultures else ()),
        *(Prior(f"gain{kit}", 1.0, GAIN_LOG_SD, _JUDGEMENT) for kit in range(kits)),
    )


def _strength(run: Run) -> Prior:
    """One factor for all doses: salt, balance and water volume are the same each time."""
    total = sum(dose.nitrogen for dose in run.doses) or 1.0
    spread = sum(dose.nitrogen * dose.relative_sd for dose in run.doses) / total
    return Prior("strength", 1.0, max(spread, 0.01), "the doses' own uncertainty")
