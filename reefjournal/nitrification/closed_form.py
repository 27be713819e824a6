"""The one case of the model that has an exact answer: a single dose, one step, no decay."""

from __future__ import annotations

import math


def days_until(remaining: float, *, dosed: float, growth: float, half: float, capacity: float) -> float:
    """Days until a single dose has fallen to `remaining` (both mg N/L), without decay and without further doses.

    growth 1/d, half-saturation mg N/L, starting capacity mg N/L/d. Separation of variables of
    dS/dt = -v S/(K+S) with v = v0 + growth (S0 - S).
    """
    if not 0 < remaining <= dosed:
        raise ValueError(f"remaining must lie between 0 and the dose of {dosed:g} mg N/L, not {remaining:g}")
    total = dosed + capacity / growth
    capacity_then = capacity + growth * (dosed - remaining)
    grown = (1 + half / total) * math.log(capacity_then / capacity)
    return (grown + half / total * math.log(dosed / remaining)) / growth
