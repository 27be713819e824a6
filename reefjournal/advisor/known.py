"""What rules may name: everything that was read before them, and the ids of all rules."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from reefjournal.advisor.rules import Caution, Source, Stage, Threshold


@dataclass(frozen=True)
class Known:
    """The ids that exist, with what they stand for."""

    sources: Mapping[str, Source]
    thresholds: Mapping[str, Threshold]
    cautions: Mapping[str, Caution]
    stages: Mapping[str, Stage]
    rules: Collection[str] = ()
