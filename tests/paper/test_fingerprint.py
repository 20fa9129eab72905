from dataclasses import replace

import pytest

from atlas.paper import (
    Box,
    Colour,
    Destination,
    Face,
    Line,
    Link,
    Page,
    Rect,
    Stroke,
    Text,
    TextStyle,
    page_hash,
)

STYLE = TextStyle(face=Face.REGULAR, size_pt=8.5)
TEXT = Text(x_mm=20.0, y_mm=30.0, text="Surveyed 2026-05-09 · Edition 2026", style=STYLE, block="foot")
LINE = Line(x1_mm=1.0, y1_mm=2.0, x2_mm=3.0, y2_mm=4.0, stroke=Stroke(weight_mm=0.35))
RECT = Rect(box=Box(left_mm=5.0, top_mm=6.0, width_mm=7.0, height_mm=8.0), fill=Colour(1.0, 0.5, 0.0))


def page(*items, **changes):
    values = {
        "width_mm": 215.9, "height_mm": 279.4, "items": items, "title": "OT-03", "lang": "en-US",
        "printable": Box(left_mm=17.0, top_mm=6.0, width_mm=192.9, height_mm=267.4),
    }  # fmt: skip
    return Page(**(values | changes))


PLAIN = page_hash(page(TEXT, LINE, RECT), stamps=("Edition 2026",))


def test_a_hash_is_sha256_and_the_same_for_the_same_page():
    assert len(PLAIN) == 64
    assert page_hash(page(TEXT, LINE, RECT), stamps=("Edition 2026",)) == PLAIN


@pytest.mark.parametrize(
    "items",
    [
        (replace(TEXT, text="Surveyed 2026-05-09 · Edition 2031"), LINE, RECT),
        (replace(TEXT, x_mm=20.04), LINE, RECT),
        (replace(TEXT, y_mm=29.96), LINE, RECT),
        (replace(TEXT, block="elsewhere"), LINE, RECT),
        (TEXT, LINE, RECT, Destination(name="site OT-03", x_mm=0.0, y_mm=0.0)),
        (TEXT, LINE, RECT, Link(box=RECT.box, url="geo:30.0,-140.0")),
    ],
    ids=["edition", "x under 0.1 mm", "y under 0.1 mm", "block", "destination", "link"],
)
def test_what_a_reader_does_not_see_leaves_the_hash(items):
    assert page_hash(page(*items), stamps=("Edition 2026", "Edition 2031")) == PLAIN


@pytest.mark.parametrize(
    "items",
    [
        (replace(TEXT, text="Surveyed 2026-05-08 · Edition 2026"), LINE, RECT),
        (replace(TEXT, x_mm=20.2), LINE, RECT),
        (replace(TEXT, angle_deg=90.0), LINE, RECT),
        (replace(TEXT, style=replace(STYLE, size_pt=8.6)), LINE, RECT),
        (replace(TEXT, style=replace(STYLE, face=Face.BOLD)), LINE, RECT),
        (TEXT, replace(LINE, y2_mm=4.2), RECT),
        (TEXT, replace(LINE, stroke=Stroke(weight_mm=0.36)), RECT),
        (TEXT, replace(LINE, stroke=Stroke(weight_mm=0.35, dash_mm=(1.0, 0.5))), RECT),
        (TEXT, LINE, replace(RECT, fill=Colour(1.0, 0.49, 0.0))),
        (TEXT, LINE, replace(RECT, fill=None)),
        (TEXT, RECT, LINE),
        (TEXT, LINE),
    ],
)
def test_what_a_reader_sees_changes_it(items):
    assert page_hash(page(*items), stamps=("Edition 2026",)) != PLAIN


def test_the_paper_counts_and_the_title_does_not():
    assert page_hash(page(TEXT, LINE, RECT, title="new"), stamps=("Edition 2026",)) == PLAIN
    assert page_hash(page(TEXT, LINE, RECT, height_mm=297.0), stamps=("Edition 2026",)) != PLAIN


def test_texts_that_run_into_each_other_are_told_apart():
    first = page(replace(TEXT, text="ab"), replace(TEXT, text="c"))
    second = page(replace(TEXT, text="a"), replace(TEXT, text="bc"))
    assert page_hash(first) != page_hash(second)
