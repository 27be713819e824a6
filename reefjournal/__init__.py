"""Read a reef keeper's notes and say what phase the tank is in, what comes next, and why."""

__version__ = "0.1.0"
