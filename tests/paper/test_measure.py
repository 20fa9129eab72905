from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas import paper
from atlas.faults import BlockOverrun, MissingGlyphs
from atlas.paper import Align, Box, Face, Span, TextStyle

BODY = TextStyle(face=Face.REGULAR, size_pt=8.5)
BOLD = TextStyle(face=Face.BOLD, size_pt=12)
FONTS = paper.shipped_fonts()

texts = st.text(alphabet="ab cdé,.-Wi 0123456789\n\N{NO-BREAK SPACE}", max_size=120)
widths = st.floats(min_value=3, max_value=80)


@given(text=texts, width_mm=widths)
def test_wrapping_loses_no_character_and_keeps_the_width(text, width_mm):
    lines = paper.wrap(text, BODY, width_mm, FONTS)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "").replace("\n", "")
    assert all(FONTS.width_mm(line, BODY) <= width_mm + 0.01 for line in lines)
    assert len(lines) >= text.count("\n") + 1


@given(
    words=st.lists(st.text(alphabet="abcW1.", min_size=1, max_size=6), min_size=1, max_size=30),
    width_mm=widths,
)
def test_wrapping_fills_each_line_before_the_next(words, width_mm):
    widest_mm = max(FONTS.width_mm(word, BODY) for word in words)
    lines = paper.wrap(" ".join(words), BODY, max(width_mm, widest_mm), FONTS)
    for line, following in pairwise(lines):
        longer = f"{line} {following.split(' ')[0]}"
        assert FONTS.width_mm(longer, BODY) > max(width_mm, widest_mm)


def test_words_stay_whole_where_they_fit():
    width_mm = FONTS.width_mm("to the gravel", BODY) + 0.001
    lines = paper.wrap("Carry to the gravel lot", BODY, width_mm, FONTS)
    assert lines == ("Carry to the", "gravel lot")


def test_a_word_wider_than_the_line_is_broken_and_whole():
    lines = paper.wrap("at Llanfairpwllgwyngyll now", BODY, 12, FONTS)
    assert lines[0] == "at"
    assert "".join(lines[1:]) == "Llanfairpwllgwyngyll now"
    assert len(lines) > 3


def test_a_line_feed_begins_a_line_and_an_empty_one_stays():
    assert paper.wrap("one\n\ntwo", BODY, 50, FONTS) == ("one", "", "two")
    assert paper.wrap("", BODY, 50, FONTS) == ("",)


def test_a_no_break_space_holds_figure_and_unit_together():
    narrow_mm = FONTS.width_mm("rope 138", BODY) + 0.5
    assert paper.wrap("rope 138\N{NO-BREAK SPACE}ft", BODY, narrow_mm, FONTS)[1] == "138\N{NO-BREAK SPACE}ft"


def test_accents_apart_measure_like_accents_composed():
    assert FONTS.width_mm("Élise", BODY) == FONTS.width_mm("E\N{COMBINING ACUTE ACCENT}lise", BODY)
    assert paper.wrap("E\N{COMBINING ACUTE ACCENT}lise", BODY, 50, FONTS) == ("Élise",)


def test_height_of_lines_is_one_box_and_the_steps_between():
    one, three = (paper.wrap_spans((Span(text, BODY),), 99, FONTS) for text in ("a", "a\nb\nc"))
    em_mm = 8.5 * 25.4 / 72
    assert paper.lines_height_mm(one, FONTS) == pytest.approx(1.0 * em_mm)  # typo ascent 0.780, descent 0.220
    assert paper.lines_height_mm(three, FONTS) == pytest.approx((1.0 + 2 * 1.2) * em_mm)


def test_fit_one_line_gives_the_text_back_or_says_how_much_too_wide():
    needed_mm = FONTS.width_mm("Château Élise ford", BODY)
    assert paper.fit_one_line("Château Élise ford", BODY, needed_mm, FONTS, "head") == "Château Élise ford"
    with pytest.raises(BlockOverrun) as caught:
        paper.fit_one_line("Château Élise ford", BODY, needed_mm - 2.5, FONTS, "head")
    width_mm = needed_mm - 2.5
    assert str(caught.value) == (
        f"block 'head' is 2.5 mm too large for its box (one line of {width_mm:.1f} mm: 'Château Élise ford')"
    )
    assert (caught.value.block, caught.value.overrun_mm) == ("head", pytest.approx(2.5))


def test_a_paragraph_too_high_says_by_how_much():
    lines = paper.wrap("one two three four", BODY, 10, FONTS)
    high_mm = (1.0 + 1.2 * (len(lines) - 1)) * 8.5 * 25.4 / 72
    box = Box(left_mm=0, top_mm=0, width_mm=10, height_mm=high_mm - 1.25)
    with pytest.raises(BlockOverrun) as caught:
        paper.lay_text("one two three four", BODY, box, FONTS, block="access")
    assert caught.value.overrun_mm == pytest.approx(1.25)
    assert str(caught.value) == (
        f"block 'access' is {1.25:.1f} mm too large for its box ({len(lines)} lines: 'one two three four')"
    )


def test_a_paragraph_with_unknown_characters_is_refused_before_it_is_laid():
    box = Box(left_mm=0, top_mm=0, width_mm=50, height_mm=50)
    with pytest.raises(MissingGlyphs, match=r"^block 'access': the font has no glyph for '漢' \(U\+6F22\);"):
        paper.lay_text("ford\n漢", BODY, box, FONTS, block="access")


def test_a_paragraph_stands_in_its_box():
    box = Box(left_mm=20, top_mm=30, width_mm=25, height_mm=40)
    text = "Carry three hundred feet along the fence to the bank."
    for align, x_mm in ((Align.LEFT, 20), (Align.CENTRE, 32.5), (Align.RIGHT, 45)):
        laid = paper.lay_text(text, BODY, box, FONTS, block="access", align=align)
        assert " ".join(item.text for item in laid) == text
        assert {item.x_mm for item in laid} == {x_mm}
        for item in laid:
            place = paper.bounds(item, FONTS)
            assert place.left_mm >= 20 - 1e-6
            assert place.right_mm <= 45 + 0.01
            assert place.top_mm >= 30
        steps = {round(low.y_mm - high.y_mm, 6) for high, low in pairwise(laid)}
        assert steps == {round(1.2 * 8.5 * 25.4 / 72, 6)}


def test_spans_of_different_styles_share_a_baseline_and_touch():
    spans = (Span("4.9", BOLD), Span(" mph", BODY))
    for align, left_mm in ((Align.LEFT, 50.0), (Align.RIGHT, 50.0 - paper.spans_width_mm(spans, FONTS))):
        figure, unit = paper.place_line(spans, x_mm=50, y_mm=9, fonts=FONTS, block="stop", align=align)
        assert (figure.text, unit.text, figure.y_mm, unit.y_mm) == ("4.9", " mph", 9, 9)
        assert figure.x_mm == pytest.approx(left_mm)
        assert unit.x_mm == pytest.approx(left_mm + FONTS.width_mm("4.9", BOLD))


@given(
    parts=st.lists(
        st.tuples(st.text(alphabet="ab c1\n", max_size=20), st.sampled_from([BODY, BOLD])),
        min_size=1,
        max_size=6,
    ),
    width_mm=widths,
)
def test_wrapping_several_styles_keeps_every_character_in_its_style(parts, width_mm):
    lines = paper.wrap_spans([Span(*part) for part in parts], width_mm, FONTS)
    for wanted in (BODY, BOLD):
        printed = "".join(span.text for line in lines for span in line if span.style == wanted)
        given_text = "".join(text for text, style in parts if style == wanted)
        assert printed.replace(" ", "") == given_text.replace(" ", "").replace("\n", "")
    assert all(paper.spans_width_mm(line, FONTS) <= width_mm + 0.01 for line in lines)


def test_a_word_in_two_styles_is_not_parted():
    width_mm = FONTS.width_mm("take ", BODY) + FONTS.width_mm("138", BOLD)  # the unit does not fit any more
    lines = paper.wrap_spans((Span("take ", BODY), Span("138", BOLD), Span("ft", BODY)), width_mm, FONTS)
    assert [[span.text for span in line] for line in lines] == [["take"], ["138", "ft"]]
