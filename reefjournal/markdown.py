"""Markdown, and the only file that knows markdown_it: blocks with their lines for reading, safe HTML for showing."""

from __future__ import annotations

import gc
import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from html import escape
from typing import Any, Literal, NamedTuple

from markdown_it import MarkdownIt
from markdown_it.token import Token

# A list nests two levels. What is nested deeper is not lost: `_uncovered` finds its lines.
NESTING = 40
ITEM_ENDS = frozenset({"list_item_open", "list_item_close"})
# A heading counts here where it stands inside something else; one at the top is asked about before.
HIDING = frozenset({"blockquote_open", "fence", "code_block", "html_block", "table_open", "heading_open"})
LINK_SCHEMES = frozenset({"http", "https", "mailto"})
BREAK = re.compile(r"\r\n?")
# Rules that cost time on every line, and marks without which they find nothing.
RULE_MARKS = {"table": "|", "fence": "`~", "blockquote": ">", "html_block": "<"}
WORD = re.compile(r"\w")
PRIVATE = re.compile(r"\[\[.*?(?:\]\]|\Z)", re.DOTALL)

Kind = Literal["heading", "item", "paragraph", "table", "hidden"]
Image = Callable[[str], str | None]


class Block(NamedTuple):
    """A piece of Markdown that a reader of records cares about; lines count from 1 and include ``last``.

    ``hidden`` is what Markdown does not show as plain text: code, quotes, raw HTML, text nested too deep.
    ``level`` is a heading's level, or the number of lists around an item. ``text`` is raw, without inline Markdown.
    """

    kind: Kind
    line: int
    last: int
    text: str = ""
    level: int = 0


def unix_lines(text: str) -> str:
    """The text with every line ending as a line feed."""
    return BREAK.sub("\n", text) if "\r" in text else text


def blocks(text: str) -> list[Block]:
    """The blocks of a text whose lines end with line feeds, in the order of their lines."""
    rules = tuple(rule for rule, marks in RULE_MARKS.items() if any(mark in text for mark in marks))
    tokens = _parsed(_reader(rules), text)
    found = [*_leaves(tokens)]
    hidden = [*_uncovered(text.split("\n"), found)]
    return sorted(found + hidden, key=lambda block: block.line) if hidden else found


@cache
def _reader(rules: tuple[str, ...]) -> MarkdownIt:
    """Block structure only. Raw HTML counts as a block, so that what a comment holds is not read as notes."""
    parser = MarkdownIt("zero", {"html": True, "maxNesting": NESTING})
    parser.enable(["heading", "lheading", "list", "code", "hr", *rules])
    return parser.disable(["inline", "text_join"])


def _parsed(parser: MarkdownIt, text: str) -> list[Token]:
    """The tokens; the collector of cycles rests meanwhile, since tokens make none and it would walk them all."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        return parser.parse(text)
    finally:
        if collecting:
            gc.enable()


def _leaves(tokens: Sequence[Token]) -> Iterator[Block]:
    """The blocks that hold text; all that stands inside a hiding block, a table or a nested heading is one block."""
    covered, depth, fresh, heading, end = 0, 0, False, 0, 0
    for token in tokens:
        kind, span = token.type, token.map
        if kind in ITEM_ENDS:
            fresh = kind == "list_item_open"
            depth += token.nesting
        elif span is None or span[0] < covered:
            pass
        elif kind == "inline":
            name: Kind = "heading" if heading else "item" if fresh else "paragraph"
            yield Block(name, span[0] + 1, end if heading else span[1], token.content, heading or depth)
            fresh, heading = False, 0
        elif kind == "heading_open" and not token.level:
            heading, end = int(token.tag[1]), span[1]
        elif kind in HIDING:
            covered, fresh = span[1], False
            yield Block("table" if kind == "table_open" else "hidden", span[0] + 1, span[1])


def _uncovered(lines: Sequence[str], found: Sequence[Block]) -> Iterator[Block]:
    """Lines with words on them that no block holds, each as a hidden block."""
    bare = [WORD.search(line) is not None for line in lines]
    for block in found:
        bare[block.line - 1 : block.last] = [False] * (block.last - block.line + 1)
    yield from (Block("hidden", number, number) for number, alone in enumerate(bare, 1) if alone)


def without_private(text: str) -> str:
    """The text without what stands in double square brackets; brackets left open hide all that follows."""
    return PRIVATE.sub("", text)


def render(text: str, *, image: Image | None = None) -> str:
    """HTML for untrusted Markdown: raw HTML as text, links that are http, https, mailto or relative, local images.

    ``image`` may change where a local image is found, or return ``None``, and then its description stands there.
    """
    return str(_writer().render(text, {"image": image}))


@cache
def _writer() -> MarkdownIt:
    parser = MarkdownIt("commonmark", {"html": False}).enable(["table", "strikethrough"])
    parser.validateLink = _link_allowed  # type: ignore[method-assign]
    parser.add_render_rule("image", _image)
    return parser


def _link_allowed(url: str) -> bool:
    """Whether a link leads to a page, a mail address, or a place relative to this one."""
    scheme, colon, _ = re.split(r"[/?#]", url, maxsplit=1)[0].partition(":")
    return scheme.lower() in LINK_SCHEMES if colon else not url.startswith("//")


def _image(_: Any, tokens: Sequence[Token], index: int, __: Any, env: dict[str, Any]) -> str:
    """An image of the journal's own folder, or its description."""
    token = tokens[index]
    source: str | None = str(token.attrGet("src") or "")
    local = source and not source.startswith(("/", "%5C")) and ":" not in source
    source = (env["image"](source) if env.get("image") else source) if local else None
    alt = escape("".join(child.content for child in token.children or ()))
    return f'<img src="{escape(source)}" alt="{alt}" />' if source else alt
