"""Pieces of an item: where they stand in it, what divides them, and the mistake that points at one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

# A comma between digits is a decimal comma; one inside brackets belongs to them.
DIVIDER = re.compile(r"\([^()]*\)|;|,(?!\d)|(?<!\d),")
# Two hyphens or an em dash between spaces, unless numbers stand on both sides.
REMARK = re.compile(r"(?<!\d)\s+(?:--|—)\s+|\s+(?:--|—)\s+(?![\d.,~<>])|\s+(?:--|—)\s*$")
BRACKET = re.compile(r"\s*\(([^()]*)\)\s*$")


class Piece(NamedTuple):
    """Part of an item: as written, folded (character for character), and its place in the item."""

    written: str
    plain: str
    at: int = 0

    def cut(self, start: int, end: int | None = None) -> Piece:
        """From ``start`` to ``end``, without the space around it."""
        plain = self.plain[start:end]
        left = len(plain) - len(plain.lstrip())
        plain = plain.strip()
        start += left
        return Piece(self.written[start : start + len(plain)], plain, self.at + start)


class Misread(Exception):  # noqa: N818 what happened, in the language of the notes
    """A piece that cannot be what it should be: what is wrong, what to write, and where."""

    def __init__(self, message: str, suggestion: str = "", at: int | None = None) -> None:
        super().__init__(message)
        self.message, self.suggestion, self.at = message, suggestion, at


def without_remark(piece: Piece) -> tuple[Piece, str]:
    """The piece up to its remark, and the remark word for word."""
    written = piece.written
    dash = REMARK.search(written) if "--" in written or "—" in written else None
    return (piece.cut(0, dash.start()), piece.written[dash.end() :].strip()) if dash else (piece, "")


def bracket_at_end(piece: Piece) -> tuple[Piece, Piece | None]:
    """The piece before brackets that end it, and what stands in them."""
    match = BRACKET.search(piece.plain) if piece.plain.endswith(")") else None
    return (piece.cut(0, match.start()), piece.cut(*match.span(1))) if match else (piece, None)


def divided(piece: Piece) -> Iterator[Piece]:
    """The facts of a record, set apart by commas or semicolons; empty ones are left out."""
    if "," not in piece.plain and ";" not in piece.plain:
        if piece.plain:
            yield piece
        return
    start = 0
    for match in DIVIDER.finditer(piece.plain):
        if not match[0].startswith("("):
            if (part := piece.cut(start, match.start())).plain:
                yield part
            start = match.end()
    if (part := piece.cut(start)).plain:
        yield part


def listed(words: list[str]) -> str:
    """Words as "a, b or c"."""
    return " or ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
