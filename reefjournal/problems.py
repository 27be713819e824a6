"""What is wrong in something a person wrote, where it stands, and what to write instead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning"]


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake. Line and column count from 1; line 0 means the file as a whole."""

    file: str
    line: int
    column: int
    severity: Severity
    message: str
    suggestion: str = ""

    def __str__(self) -> str:
        hint = f" {self.suggestion}" if self.suggestion else ""
        return f"{self.file}:{self.line}:{self.column}: {self.severity}: {self.message}{hint}"
