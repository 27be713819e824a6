"""What lets one formula serve a plain number and a numpy array, and the guard that holds it to its range.

To the type checker an array is ``Any``; the modules of formulas switch off its complaint that they return one.
"""

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
    values: Any = value
    inside = (low <= values) & (values <= high)
    if inside is True or (inside is not False and inside.all()):
        return value
    outside = values if inside is False else values[~inside].flat[0]
    raise ValueError(f"{name} is {outside:g}, outside {low:g} to {high:g} {unit}".rstrip())
