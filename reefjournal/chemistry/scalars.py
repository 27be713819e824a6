"""What lets one formula serve a plain number and a numpy array, and the guard that holds it to its range.

The type checker sees plain numbers only; a power of them is ``Any`` to it, so the modules of formulas switch off its
complaint about returning one.
"""

import math
from typing import Any, TypeAlias

Number: TypeAlias = float  # or a numpy array, which goes through every formula alike


def functions_for(*values: object) -> Any:
    """The module with ``exp``, ``log``, ``log10`` and ``sqrt``: math, or numpy as soon as one value is an array."""
    if any(hasattr(value, "__array__") for value in values):
        import numpy as np

        return np
    return math


def within(name: str, value: Number, low: float, high: float, unit: str) -> Number:
    """``value`` as it came, if all of it lies from ``low`` to ``high``.

    Raises:
        ValueError: the first number outside (or not a number), with the range and the unit.
    """
    values: Any = value
    inside = (low <= values) & (values <= high)
    if inside is True or (inside is not False and inside.all()):
        return value
    outside = values if inside is False else values[~inside].flat[0]
    raise ValueError(f"{name} is {outside:g}, outside {low:g} to {high:g} {unit}".rstrip())
