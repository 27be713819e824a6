"""The two-step nitrification model, its fit to readings, and what follows from it: when, how sure, and what to doubt.

`run` and `results` are plain data; the modules that compute need numpy and are imported by whoever needs them.
"""
