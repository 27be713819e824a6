"""The guard that holds a formula to its range, and numbers in words."""


def within(name: str, value: float, low: float, high: float, unit: str) -> float:
    """``value`` as it came, if it lies from ``low`` to ``high``; else ValueError with the range and the unit."""
    if not low <= value <= high:
        raise ValueError(f"{name} is {value:g}, outside {low:g} to {high:g} {unit}".rstrip())
    return value
