"""The colours of the style sheet, held against the contrast that WCAG 2.1 asks for.

Contrast ratio and relative luminance: W3C, Web Content Accessibility Guidelines (WCAG) 2.1, 2018, "Definitions";
success criteria 1.4.3 (text: 4.5 to 1) and 1.4.11 (graphical objects: 3 to 1).
"""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

STYLE = (files("reefjournal.diary") / "templates" / "diary.css").read_text(encoding="utf-8")
BLOCKS = re.findall(r":root \{([^}]*--paper:[^}]*)\}", STYLE)
LIGHT = dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{3,6});", BLOCKS[0]))
THEMES = {name: LIGHT | dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{3,6});", block))
          for name, block in zip(("light", "dark", "print"), BLOCKS, strict=True)}
TINTS = ("dry", "filled", "ammonia-rising", "ammonia-falling", "nitrite-high", "nitrite-falling", "cycle-unproven",
         "cycled", "stocked", "stalled", "ammonia-alarm", "other")
TEXT = [("ink", "paper"), ("ink", "ledger"), ("ink", "sea"), ("soft", "paper"), ("soft", "ledger"), ("soft", "sea"),
        ("link", "paper"), ("link", "ledger"), ("link", "sea"), ("alarm", "paper"), ("alarm", "ledger"),
        ("ammonia", "paper"), ("nitrate", "paper"),
        *((name, tint) for name in ("ink", "ammonia", "nitrite", "nitrate") for tint in TINTS),
        *(("deep-ink", f"depth-{n}") for n in range(1, 6))]
GRAPHIC = [("rule", "paper"), ("focus", "paper"), ("focus", "sea"),
           *((name, tint) for name in ("link", "alarm", "soft", "ammonia", "nitrite", "nitrate") for tint in TINTS)]


def luminance(colour: str) -> float:
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    channels = (int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4))
    red, green, blue = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_21_for_black_on_white_and_1_for_a_colour_on_itself() -> None:
    # WCAG 2.1: contrast ratios range from 1 to 21.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#824506", "#824506") == 1


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("colour", "ground"), TEXT)
def test_text_has_a_contrast_of_at_least_4_5(theme: str, colour: str, ground: str) -> None:
    assert contrast(THEMES[theme][colour], THEMES[theme][ground]) >= 4.5


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("colour", "ground"), GRAPHIC)
def test_marks_and_focus_rings_have_a_contrast_of_at_least_3(theme: str, colour: str, ground: str) -> None:
    assert contrast(THEMES[theme][colour], THEMES[theme][ground]) >= 3


@pytest.mark.parametrize("ground", ["paper", "ledger"])
@pytest.mark.parametrize("colour", ["ink", "soft", "link", "alarm"])
def test_print_is_dark_on_white(colour: str, ground: str) -> None:
    assert contrast(THEMES["print"][colour], THEMES["print"][ground]) >= 4.5


def test_every_colour_that_is_used_is_defined_in_light_and_dark() -> None:
    used = set(re.findall(r"var\(--([a-z0-9-]+)", STYLE)) - {"tint"}
    own_dark = set(re.findall(r"--([a-z0-9-]+): #", BLOCKS[1]))
    assert used <= LIGHT.keys()
    assert set(LIGHT) == own_dark
