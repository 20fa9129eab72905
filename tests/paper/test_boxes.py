from __future__ import annotations

import unicodedata

import pytest

from atlas import paper
from atlas.paper import Box, Face, Link, Text, TextStyle


def test_box_edges_and_derived_boxes():
    box = Box(left_mm=10, top_mm=20, width_mm=30, height_mm=40)
    assert (box.right_mm, box.bottom_mm, box.centre) == (40, 60, (25, 40))
    assert box.inset(2) == Box(left_mm=12, top_mm=22, width_mm=26, height_mm=36)
    assert box.below(15) == Box(left_mm=10, top_mm=35, width_mm=30, height_mm=25)


def test_paper_sizes_are_those_of_the_standards():
    # ISO 216: A4 is 210 x 297 mm. ANSI/ASME Y14.1: size A is 8.5 x 11 inches.
    assert paper.PAPER_SIZES_MM["a4"] == (210, 297)
    assert paper.PAPER_SIZES_MM["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))


@pytest.mark.parametrize(("punch_right", "left_mm"), [(False, 17), (True, 6)])
def test_the_punch_margin_lies_on_the_asked_edge(punch_right, left_mm):
    box = paper.printable_box(width_mm=200, height_mm=300, edge_mm=6, punch_mm=17, punch_right=punch_right)
    assert box == Box(left_mm=left_mm, top_mm=6, width_mm=177, height_mm=288)


def test_a_text_has_one_spelling():
    style = TextStyle(face=Face.REGULAR, size_pt=8)
    apart = unicodedata.normalize("NFD", "Élise")
    assert len(apart) == 6
    assert Text(x_mm=0, y_mm=0, text=apart, style=style).text == "Élise"


@pytest.mark.parametrize("url", ["javascript:alert(1)", "file:///etc/hosts", "data:text/html,x", "ford"])
def test_a_link_to_anything_that_runs_is_refused(url):
    with pytest.raises(
        ValueError, match=r"^a link's url begins with https://, http://, geo:, tel:, mailto:; got"
    ):
        Link(box=Box(left_mm=0, top_mm=0, width_mm=1, height_mm=1), url=url)


@pytest.mark.parametrize("targets", [{}, {"url": "geo:1,2", "destination": "cover"}])
def test_a_link_has_exactly_one_target(targets):
    with pytest.raises(
        ValueError, match=r"^a link leads to a url or to a destination, to exactly one of them$"
    ):
        Link(box=Box(left_mm=0, top_mm=0, width_mm=1, height_mm=1), **targets)


def colours(page):
    for item in page.items:
        if isinstance(item, Text):
            yield item.style.colour
        yield from (part.colour for part in [getattr(item, "stroke", None)] if part)
        yield from (part for part in [getattr(item, "fill", None)] if part)


def test_the_grey_page_has_no_hue_and_changes_nothing_else(trial):
    grey = paper.grey_page(trial)
    assert not all(colour.is_grey for colour in colours(trial))
    assert all(colour.is_grey for colour in colours(grey))
    assert paper.grey_page(grey) == grey
    places = [paper.bounds(item, paper.shipped_fonts()) for item in trial.items]
    assert [paper.bounds(item, paper.shipped_fonts()) for item in grey.items] == places


def test_links_and_destinations_are_found_among_the_items(trial):
    assert [link.url or link.destination for link in trial.links] == [
        "geo:36.123456,-119.654321",
        "site OT-03",
    ]
    assert [place.name for place in trial.destinations] == ["site OT-03"]
