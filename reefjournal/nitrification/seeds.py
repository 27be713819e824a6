"""What is known of nitrifiers that are brought in, before any test shows them. Plain numbers, no arrays."""

from __future__ import annotations

from typing import Annotated

from reefjournal.believed import Believed
from reefjournal.nitrification.run import Culture

SEEDS: Annotated[
    dict[str, tuple[float, float, float]],
    Believed(
        "mg N/L/day, mg N/L/day, log",
        "capacity of each step that is brought in with it, and the standard deviation of its logarithm",
        "our judgement",
    ),
] = {
    "live rock or sand": (2e-2, 1.5e-2, 1.4),
    # Manthe and Malone 1987 found no effect of an additive; an extension service calls cultures essential in seawater.
    "bottled culture": (4e-3, 3e-3, 2.0),
    # Kinyage et al.: freshwater media moved abruptly into seawater stopped working.
    "freshwater media": (4e-5, 3e-5, 1.6),
}


def culture(time: float, kind: str) -> Culture:
    """A culture of a kind named in `SEEDS`, brought in at `time` days."""
    if kind not in SEEDS:
        raise ValueError(f"unknown kind of culture: {kind}; known are {', '.join(SEEDS)}")
    return Culture(time, *SEEDS[kind])
