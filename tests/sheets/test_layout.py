from dataclasses import replace

import pytest

from atlas.faults import BlockOverrun, MissingGlyphs, PageCheckFailed
from atlas.paper import PrintRules, QrCode, Rect, Text, bounds, check_boxes, grey_page, shipped_fonts
from atlas.paper.looks import looks_of
from atlas.settings.page import FIGURE_STYLES, Blocks
from atlas.sheets import layout, page_pdf, sheet_pdf

PRIME, EN_DASH = "\u2032", "\N{EN DASH}"
NAMES = ["plain", "outside", "crowded", "near bank left", "si", "creek", "river"]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("paper", ["letter", "a4", "punched right"])
def test_page_keeps_the_rules_of_print(plans, templates, punched_right, words, name, paper):
    template = punched_right if paper == "punched right" else templates[paper]
    page = layout(plans[name], template, words)
    assert check_boxes(page, shipped_fonts(), PrintRules(least_size_pt=7.5)) == ()


@pytest.mark.parametrize("name", NAMES)
def test_every_block_has_text_in_its_own_box(pages, letter, name):
    fonts = shipped_fonts()
    for block in Blocks.model_fields:
        rule = getattr(letter.block, block)
        left_mm, top_mm = letter.content_left_mm + rule.left_mm, letter.page.edge_mm + rule.top_mm
        texts = [item for item in pages[name].items if isinstance(item, Text) and item.block == block]
        assert texts or block == "rigs", block  # these places have one rig alone
        for text in texts:
            box = bounds(text, fonts)
            # a letter's own ink may stand a hair beside its origin
            assert box.left_mm > left_mm - 0.5, text.text
            assert box.right_mm < left_mm + rule.width_mm + 0.1, text.text
            assert box.top_mm > top_mm - 0.1, text.text
            assert box.bottom_mm < top_mm + rule.height_mm + 0.1, text.text


def test_texts_come_in_the_order_they_are_needed(pages):
    seen = dict.fromkeys(item.block for item in pages["plain"].items if isinstance(item, Text))
    order = [block for block in seen if block in Blocks.model_fields]
    assert order == [block for block in Blocks.model_fields if block != "rigs"]


def test_figures_a_crew_acts_on_are_large(pages, letter):
    sizes = {getattr(letter.style, name).size_pt for name in FIGURE_STYLES}
    wanted = [
        "OT-03",
        "4.4",
        "202 ft",
        "200 ft",
        "11T LF 39608 26284",
        f"40° 52.316{PRIME} N",
        f"250{EN_DASH}560 lbf",
        "11 ft to 117 ft",
        f"10 returns in 6.1{EN_DASH}8.1 s",
        "4 to 10 people",
    ]
    for text in wanted:
        found = [item for item in pages["plain"].items if isinstance(item, Text) and item.text == text]
        assert any(item.style.size_pt in sizes and item.style.size_pt >= 11 for item in found), text


def test_biggest_is_the_code_then_the_stop_figures(pages):
    texts = [item for item in pages["plain"].items if isinstance(item, Text)]
    by_size = sorted(texts, key=lambda text: -text.style.size_pt)
    assert by_size[0].text == "OT-03"
    assert {text.block for text in by_size[1:5]} == {"stop"}


def test_same_plan_same_bytes(plans, letter, words):
    first, again = (sheet_pdf(plans["plain"], letter, words) for _ in range(2))
    assert first == again


def test_grey_sheet_holds_the_same_texts_and_no_colour(plans, letter, words):
    page = grey_page(layout(plans["plain"], letter, words))
    colours = [item.style.colour for item in page.items if isinstance(item, Text)]
    colours += [item.fill for item in page.items if isinstance(item, Rect) and item.fill]
    assert all(colour.is_grey for colour in colours)
    assert sheet_pdf(plans["plain"], letter, words, in_grey=True) == page_pdf(page, letter)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        (
            "גשר",
            (
                "block 'head': 'ג' (U+05D2), 'ש' (U+05E9), 'ר' (U+05E8) must be joined, stacked"
                " or read from right to left, which is not done with any font, nor with one from"
                " fonts.fallback in the page template; give the text in letters that stand side by side from"
                " left to right"
            ),
        ),
        (
            "渡口 Landing",
            (
                "block 'head': the font has no glyph for '渡' (U+6E21), '口' (U+53E3); add a TrueType file"
                " that has them to fonts.fallback in the page template"
            ),
        ),
    ],
)
def test_name_the_font_cannot_set_is_told(hand_made, letter, words, name, text):
    plan = hand_made.make_plan(words, access=hand_made.make_access(name=name))
    with pytest.raises(MissingGlyphs) as caught:
        layout(plan, letter, words)
    assert str(caught.value) == text


def test_name_longer_than_its_block_is_an_overrun(hand_made, letter, words):
    plan = hand_made.make_plan(words, access=hand_made.make_access(name="Upper Foundry Landing " * 8))
    with pytest.raises(
        BlockOverrun, match=r"^block 'head' is \d+\.\d mm too large for its box \(name and river: "
    ):
        layout(plan, letter, words)


@pytest.mark.parametrize("road", ["past the mill and on " * 20, "past" * 100])
def test_road_longer_than_its_block_is_cut_and_says_where_the_rest_is(
    hand_made, letter, words, texts_of, road
):
    plan = hand_made.make_plan(words, access=hand_made.make_access(road=road))
    (cut,) = [text for text in texts_of(layout(plan, letter, words), "access") if text.startswith("past")]
    start, mark, rest = cut.partition(" … ")
    assert road.startswith(start)
    assert (mark, rest) == (" … ", "(briefing)")


def test_text_upon_text_is_never_handed_on(plans, letter, words):
    page = layout(plans["plain"], letter, words)
    text = next(item for item in page.items if isinstance(item, Text) and item.text == "OT-03")
    spoilt = replace(page, items=(*page.items, replace(text, y_mm=text.y_mm + 2)))
    with pytest.raises(PageCheckFailed, match="'OT-03' stands upon block 'head': text 'OT-03'"):
        page_pdf(spoilt, letter)


def test_invented_county_is_said_on_the_sheet_and_a_real_one_is_not(plans, letter, words, texts_of):
    plan = plans["plain"]
    real = replace(plan, county=replace(plan.county, invented=False))
    mark = words("sheet.head.invented")
    assert mark in texts_of(layout(plan, letter, words), "head")
    assert mark not in texts_of(layout(real, letter, words), "head")


def test_code_leads_telephones_to_the_access(pages, plans):
    code = next(item for item in pages["plain"].items if isinstance(item, QrCode))
    longitude, latitude = plans["plain"].access_place
    assert code.payload == f"geo:{latitude:.6f},{longitude:.6f}"
    assert [link.url for link in pages["plain"].links] == [code.payload]


def test_each_reach_has_its_place_for_the_tab(plans, letter, words, texts_of):
    tops = []
    for reach in plans["plain"].county.reaches:
        page = layout(replace(plans["plain"], reach=reach), letter, words)
        assert texts_of(page, "tab") == [reach.code]
        tops += [item.box.top_mm for item in page.items if isinstance(item, Rect) and item.block == "tab"]
    assert tops == pytest.approx([7.0, 31.0, 55.0])


def test_edition_is_a_block_of_its_own(pages, texts_of):
    assert "".join(texts_of(pages["plain"], "edition")) == "Edition 2026"
    others = [item for item in pages["plain"].items if isinstance(item, Text) and item.block != "edition"]
    assert not any("Edition" in item.text for item in others)


def test_title_and_language_are_in_the_page(pages):
    page = pages["plain"]
    assert (page.title, page.lang) == ("OT-03 Foundry Bend, site sheet, edition 2026", "en-US")


def test_template_without_fonts_of_its_own_prints_in_the_shipped_typeface(letter):
    assert looks_of(letter).fonts is shipped_fonts()


@pytest.mark.parametrize("edge", ["left", "right"])
def test_nothing_is_printed_on_the_punch_margin(plans, letter, punched_right, words, edge):
    template = letter if edge == "left" else punched_right
    page = layout(plans["crowded"], template, words)
    boxes = [bounds(item, shipped_fonts()) for item in page.items]
    left_mm = min(box.left_mm for box in boxes)
    right_mm = page.width_mm - max(box.right_mm for box in boxes)
    punch_mm, outer_mm = (left_mm, right_mm) if edge == "left" else (right_mm, left_mm)
    assert punch_mm > 16
    assert outer_mm >= 6 - 1e-6
