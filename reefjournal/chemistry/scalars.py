"""What lets one formula serve a plain number and a numpy array, and the guard that holds it to its range."""

import math
from typing import Any, TypeVar

Number = TypeVar("Number", float, Any)  # a plain number, or what counts like one: a numpy array


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
    inside: Any = (low <= value) & (value <= high)
    if isinstance(inside, bool):
        outside = [] if inside else [value]
    else:
        outside = value[~inside].ravel()
    if len(outside):
        raise ValueError(f"{name} is {outside[0]:g}, outside {low:g} to {high:g} {unit}".rstrip())
    return value
