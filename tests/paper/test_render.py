from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image, ImageChops

from atlas import paper
from atlas.paper import Face, FoundText, Text, TextStyle


def test_a_picture_has_the_papers_size_at_its_resolution(trial_pdf):
    picture = Image.open(BytesIO(paper.png(trial_pdf, dpi=100)))
    assert picture.size == (850, 1100)  # 8.5 x 11 inches
    assert picture.info["dpi"][0] == 100 or abs(picture.info["dpi"][0] - 100) < 0.1  # kept per metre


def test_a_palette_makes_the_picture_smaller_and_keeps_every_ink(trial_pdf):
    whole, small = paper.png(trial_pdf, dpi=100), paper.png(trial_pdf, dpi=100, colours=256)
    assert len(small) < len(whole) / 2
    assert small == paper.png(trial_pdf, dpi=100, colours=256)
    one, other = (Image.open(BytesIO(data)).convert("RGB") for data in (whole, small))
    assert one.size == other.size
    inks = [colour for count, colour in one.getcolors(one.width * one.height) if count > 300]
    assert len(inks) > 5
    assert {colour for _, colour in other.getcolors(256)} >= set(inks)
    apart = max(high for _, high in ImageChops.difference(one, other).getextrema())
    assert apart < 96  # of 255 shades, at the soft edges: far from turning ink into paper


def test_a_picture_shows_what_was_drawn(small_page, fonts):
    block = paper.Rect(box=paper.Box(left_mm=20, top_mm=10, width_mm=30, height_mm=20), fill=paper.BLACK)
    picture = Image.open(BytesIO(paper.png(paper.draw([small_page(block)], fonts), dpi=254))).convert("L")
    ink = picture.point(lambda level: 255 * (level < 128)).getbbox()
    assert ink == pytest.approx((200, 100, 500, 300), abs=1)  # ten dots a millimetre; edges fall between dots


def test_a_page_is_chosen_by_its_number(small_page, fonts):
    style = TextStyle(face=Face.REGULAR, size_pt=9)
    pages = [small_page(Text(x_mm=10, y_mm=20, text=name, style=style)) for name in ("one", "two")]
    pdf = paper.draw(pages, fonts)
    assert paper.png(pdf, dpi=50, page=0) == paper.png(paper.draw(pages[:1], fonts), dpi=50)
    assert paper.png(pdf, dpi=50, page=1) == paper.png(paper.draw(pages[1:], fonts), dpi=50)


def test_strings_come_back_with_page_place_and_size(small_page, fonts):
    style = TextStyle(face=Face.BOLD, size_pt=11)
    pages = [small_page(Text(x_mm=12, y_mm=34, text=name, style=style)) for name in ("138 ft", "≤ 7.15 ft")]
    found = paper.text_with_positions(paper.draw(pages, fonts))
    rounded = [
        FoundText(
            page=item.page,
            text=item.text,
            x_mm=round(item.x_mm, 2),
            y_mm=round(item.y_mm, 2),
            size_pt=item.size_pt,
        )
        for item in found
    ]
    assert rounded == [
        FoundText(page=0, text="138 ft", x_mm=12, y_mm=34, size_pt=11),
        FoundText(page=1, text="≤ 7.15 ft", x_mm=12, y_mm=34, size_pt=11),
    ]
