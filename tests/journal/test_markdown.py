"""Block structure as CommonMark 0.31.2 has it (the section is named at each test), and HTML that is safe to show."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reefjournal.journal import read_text
from reefjournal.markdown import Block, blocks, render, without_private


def kinds(text: str) -> list[tuple[str, int, int]]:
    return [(block.kind, block.line, block.last) for block in blocks(text)]


def test_fenced_code_hides_its_lines() -> None:
    """Section 4.5, fenced code blocks: three backticks or tildes, closed by at least as many."""
    assert kinds("```\n- a\n```\n- b\n") == [("hidden", 1, 3), ("item", 4, 4)]


def test_an_unclosed_fence_runs_to_the_end() -> None:
    """Section 4.5: a fence that is not closed is closed by the end of the document."""
    assert kinds("~~~\n- a\n\n## 2026-03-14\n") == [("hidden", 1, 4)]


def test_four_spaces_hide_a_line() -> None:
    """Section 4.4, indented code blocks."""
    assert kinds("text\n\n    - a\n") == [("paragraph", 1, 1), ("hidden", 3, 3)]


def test_a_block_quote_takes_the_lazy_line_below() -> None:
    """Section 5.1, block quotes: laziness."""
    assert kinds("> a\nb\n\n- c\n") == [("hidden", 1, 2), ("item", 4, 4)]


def test_a_lazy_line_belongs_to_its_item() -> None:
    """Section 5.2, list items: laziness."""
    assert blocks("- a\nb\n")[0] == Block("item", 1, 2, "a\nb", 1)


def test_nested_items_are_items() -> None:
    """Section 5.2: a sublist is indented to the text of the item above."""
    assert [(block.kind, block.text, block.level) for block in blocks("- a\n  - b\n    1. c\n")] == [
        ("item", "a", 1), ("item", "b", 2), ("item", "c", 3)
    ]  # fmt: skip


def test_a_second_paragraph_of_an_item_is_no_item() -> None:
    """Section 5.2: a paragraph indented to the item's text belongs to it."""
    assert kinds("- a\n\n  b\n") == [("item", 1, 1), ("paragraph", 3, 3)]


@pytest.mark.parametrize(("text", "level"), [("a\n===", 1), ("a\n---", 2), ("## a", 2), ("###### a ##", 6)])
def test_headings_of_both_sorts(text: str, level: int) -> None:
    """Section 4.2, ATX headings, and 4.3, setext headings."""
    assert blocks(text) == [Block("heading", 1, 1 + text.count("\n"), "a", level)]


def test_marks_without_a_space_are_no_heading() -> None:
    """Section 4.2: the marks are followed by a space."""
    assert kinds("##a") == [("paragraph", 1, 1)]


def test_a_comment_hides_its_lines() -> None:
    """Section 4.6, HTML blocks, condition 2: a comment runs to its end, over blank lines."""
    assert kinds("<!--\n- a\n\n- b\n-->\n") == [("hidden", 1, 5)]


def test_a_thematic_break_between_items_ends_the_list() -> None:
    """Section 4.1, thematic breaks."""
    assert kinds("- a\n***\n- b\n") == [("item", 1, 1), ("item", 3, 3)]


def test_different_marks_make_different_lists_of_items() -> None:
    """Section 5.3, lists: a change of the mark begins a new list."""
    assert kinds("- a\n+ b\n1) c\n") == [("item", 1, 1), ("item", 2, 2), ("item", 3, 3)]


def test_a_number_other_than_one_does_not_end_a_paragraph() -> None:
    """Section 5.3: only a list that begins with 1 can interrupt a paragraph."""
    assert kinds("text\n14. a\n") == [("paragraph", 1, 2)]


def test_what_is_nested_too_deep_is_found_all_the_same() -> None:
    """Text below the deepest list that is followed is a hidden block, not lost."""
    text = "".join(f"{'  ' * depth}- w{depth}\n" for depth in range(60))
    assert [block.line for block in blocks(text)] == [*range(1, 61)]


@given(
    st.lists(
        st.sampled_from(
            ["- a", "  - b", "> c", "```", "d", "", "## e", "    f", "<!--", "-->", "| g | h |", "|---|---|", "---"]
        )
    )
)
def test_no_line_with_words_is_lost(lines: list[str]) -> None:
    """Whatever the blocks are, every line with letters on it lies in one of them."""
    found = {line for block in blocks("\n".join(lines)) for line in range(block.line, block.last + 1)}
    assert {number for number, line in enumerate(lines, 1) if any(map(str.isalnum, line))} <= found


@pytest.mark.parametrize(
    "text",
    ["<script>x</script>", "a <b onclick=x>c</b>", "<!-- x -->", "[a](javascript:x)", "[a](JavaScript&colon;x)",
     "[a](data:text/html,x)", "[a](vbscript:x)", "<javascript:x>", "![a](javascript:x)", "[a]: javascript:x\n\n[a]",
     "[a](//example.org)", "[a](java\tscript:x)"],
)  # fmt: skip
def test_untrusted_notes_make_no_live_html(text: str) -> None:
    """Raw HTML is text, and links lead to pages, mail or places beside the diary only."""
    html = render(text)
    assert "<script" not in html
    assert "<b " not in html
    assert "href" not in html
    assert "src" not in html.replace("javascript", "")


@given(st.text(alphabet="<>&\"'()[]!:/abjsx \n"))
def test_html_never_holds_a_tag_of_the_notes(text: str) -> None:
    """Only the tags of CommonMark's own blocks and spans are written."""
    import re

    own = {
        "p",
        "a",
        "img",
        "ul",
        "ol",
        "li",
        "em",
        "strong",
        "code",
        "pre",
        "blockquote",
        "br",
        "hr",
        "s",
        "table",
        "tr",
        "th",
        "td",
    }
    own |= {"thead", "tbody", *(f"h{level}" for level in range(1, 7))}
    assert set(re.findall(r"</?([a-z0-9]+)", render(text))) <= own


@pytest.mark.parametrize(
    "link", ["http://a.example/x", "https://a.example", "mailto:a@b.example", "photos/a.jpg", "#top"]
)
def test_plain_links_live(link: str) -> None:
    """http, https, mailto and relative links are links."""
    assert f'href="{link}"' in render(f"[a]({link})")


@pytest.mark.parametrize(
    ("source", "shown"),
    [("photos/a.jpg", True), ("http://a.example/a.jpg", False), ("/etc/a.jpg", False), ("//a.example/a.jpg", False)],
)
def test_images_are_local_ones(source: str, shown: bool) -> None:
    """An image from elsewhere shows its description instead."""
    html = render(f"![a tank]({source})")
    assert ("<img" in html) is shown
    assert "a tank" in html


def test_an_image_can_be_found_elsewhere_or_left_out() -> None:
    """Who renders may say where a local image lies now."""
    assert 'src="img/1.jpg"' in render("![a](a.jpg)", image=lambda _: "img/1.jpg")
    assert render("![a](a.jpg)", image=lambda _: None) == "<p>a</p>\n"


def test_private_parts_are_taken_out() -> None:
    """Double square brackets hide what they hold, and all that follows where they are not closed."""
    assert without_private("a [[b]] c [[d\ne") == "a  c "


def test_reading_follows_the_blocks() -> None:
    """A record in a nested list counts, one in a quote is told."""
    notes = read_text("## 2026-03-14\n- first things\n  - pH 8.1\n\n> - pH 8.2\n")
    assert [event.kind for event in notes.events] == ["reading", "unread"]
