"""What is known of nitrifiers that are brought in, before any test shows them. Plain numbers, no arrays."""

from __future__ import annotations

from reefjournal.nitrification.run import Culture

# Capacities of what is brought in: steps 1 and 2 (mg N/L/d in the vessel's water) and log-sd; our judgement throughout.
SEEDS = {
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
