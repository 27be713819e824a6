"""From facts to advice: a rulebook in TOML, two engines that agree, and the layers between them.

The advisor sees facts only. It knows nothing of notes, events or the timeline.
"""
