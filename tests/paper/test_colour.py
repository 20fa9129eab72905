from __future__ import annotations

import math

import pytest

from atlas.paper import BLACK, WHITE, Colour, grey, to_grey


@pytest.mark.parametrize(
    ("colour", "lightness"),
    [(Colour(1, 0, 0), 53.24), (Colour(0, 1, 0), 87.73), (Colour(0, 0, 1), 32.30), (Colour(1, 1, 0), 97.14)],
)
def test_grey_keeps_the_lightness_of_a_colour(colour, lightness):
    """CIE L* of the sRGB primaries and yellow, as tabled for D65 (values from memory)."""
    level = to_grey(colour).red
    luminance = ((level + 0.055) / 1.055) ** 2.4
    assert 116 * luminance ** (1 / 3) - 16 == pytest.approx(
        lightness, abs=0.06
    )  # half of the level's last decimal


def test_greys_stay_as_they_are():
    for colour in (BLACK, WHITE, grey(0.123456)):
        assert to_grey(colour) is colour


def test_a_hex_code_is_read():
    assert Colour.from_hex("#ff8000") == Colour(1.0, 128 / 255, 0.0)


@pytest.mark.parametrize("code", ["ff8000", "#ff80", "#ff80zz", "#ff8000\n", ""])
def test_other_spellings_are_refused(code):
    with pytest.raises(ValueError, match=r"^a colour is written #rrggbb, got "):
        Colour.from_hex(code)


@pytest.mark.parametrize("part", [-0.01, 1.01, math.nan, math.inf])
def test_parts_that_no_printer_has_are_refused(part):
    with pytest.raises(ValueError, match=r"^a colour's parts lie from 0 to 1, got "):
        Colour(0, part, 0)
