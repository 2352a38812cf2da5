"""Text widths, measured against the font itself by a general imaging library."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from feasibility.render.plain_lines import visible
from feasibility.render.text_fit import BOLD, ELLIPSIS, fit_name, shorten, text_width, wrap

SCALE = 100
SAMPLES = (
    "Yard outlet: residual-current device",
    "IEC 60898-1 circuit-breaker · characteristic B · 32 A · 6 kA",
    "Übergabestelle südlicher Größenwahn",
    "Υπόστεγο Ωμέγα Ζυγός",
    "Щитовая северная",
    "WMWMWMWMWM@%&",
    "illilliilllilij",
    "0123456789 ✓ ? !",
)


def font(file: str) -> ImageFont.FreeTypeFont:
    try:
        return ImageFont.truetype(file, SCALE)
    except OSError:
        pytest.skip(f"{file} is not installed")


@pytest.mark.parametrize("text", SAMPLES)
@pytest.mark.parametrize(("file", "factor"), [("DejaVuSans.ttf", 1), ("DejaVuSans-Bold.ttf", BOLD)])
def test_no_text_is_wider_than_estimated(text: str, file: str, factor: float) -> None:
    measured = font(file).getlength(text) / SCALE
    estimated = text_width(text, factor)
    assert measured <= estimated
    assert estimated <= 1.6 * measured


@given(st.text(max_size=300), st.floats(5, 60))
def test_shortened_text_fits_and_is_a_beginning(text: str, width: float) -> None:
    shown = shorten(text, width, 1.0)
    assert text_width(shown, 1.0) <= width
    assert shown == visible(text) or visible(text).startswith(shown.removesuffix(ELLIPSIS))


@given(st.text(max_size=300), st.floats(5, 60), st.integers(1, 4))
def test_wrapped_lines_fit_and_lose_nothing_unless_marked(
    text: str, width: float, lines: int
) -> None:
    found = wrap(text, width, 1.0, lines)
    assert len(found) <= lines
    assert all(text_width(one, 1.0) <= width for one in found)
    if not "".join(found).endswith(ELLIPSIS):
        assert "".join("".join(found).split()) == "".join(visible(text).split())


def test_lines_break_at_blanks() -> None:
    assert wrap("protective device of the shed", 11.0, 1.0, 3) == (
        "protective device",
        "of the shed",
    )
    assert wrap("", 14.0, 1.0, 2) == ()


@pytest.mark.parametrize("lines", [1, 2])
def test_a_long_name_keeps_what_tells_it_from_its_neighbours(lines: int) -> None:
    shown = fit_name(f"{'W' * 200}: cable 2", 40.0, 1.0, lines)
    assert len(shown) == lines
    assert shown[-1].endswith("cable 2")
    assert all(text_width(one, 1.0) <= 40.0 for one in shown)


@pytest.mark.parametrize("name", ["cord", "Yard: cable 1", "W" * 200, "a: " + "W" * 300])
def test_a_name_never_takes_more_room_than_it_has(name: str) -> None:
    for lines in (1, 2, 3):
        shown = fit_name(name, 20.0, 1.0, lines)
        assert 1 <= len(shown) <= lines
        assert all(text_width(one, 1.0) <= 20.0 for one in shown)


def test_a_figure_is_not_parted_from_its_unit() -> None:
    width = text_width("for 20\u202f", 2.0)
    assert wrap("for 20\u202fms", width, 2.0, 3) == ("for", "20\u202fms")
    assert wrap("two  words\nand a\ttab", 100, 2.0, 1) == ("two words and a tab",)
