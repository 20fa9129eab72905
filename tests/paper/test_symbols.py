from __future__ import annotations

import pytest

from atlas import paper
from atlas.paper import Circle, Line, Polyline, Rect, Symbol


@pytest.mark.parametrize("kind", list(Symbol))
@pytest.mark.parametrize("size_mm", [1.6, 3.0, 8.0])
def test_a_sign_fills_its_square_and_stays_inside(kind, size_mm, fonts):
    items = paper.symbol(kind, x_mm=50, y_mm=30, size_mm=size_mm, block="plan")
    boxes = [paper.bounds(item, fonts) for item in items]
    half_mm = size_mm / 2
    assert min(box.left_mm for box in boxes) >= 50 - half_mm - 1e-9
    assert max(box.right_mm for box in boxes) <= 50 + half_mm + 1e-9
    assert min(box.top_mm for box in boxes) >= 30 - half_mm - 1e-9
    assert max(box.bottom_mm for box in boxes) <= 30 + half_mm + 1e-9
    widest = max(box.right_mm for box in boxes) - min(box.left_mm for box in boxes)
    assert widest > 0.8 * size_mm
    assert {item.block for item in items} == {"plan"}


def test_open_and_filled_signs_differ_in_their_fill_alone():
    for shape in ("circle", "square", "diamond", "triangle"):
        (hollow,) = paper.symbol(Symbol(f"{shape}_open"), x_mm=0, y_mm=0, size_mm=2)
        (filled,) = paper.symbol(Symbol(f"{shape}_filled"), x_mm=0, y_mm=0, size_mm=2)
        assert (hollow.fill, filled.fill) == (paper.WHITE, paper.BLACK)
        assert hollow.stroke == filled.stroke


def test_signs_are_told_apart_without_colour(small_page, fonts):
    """All signs drawn black at 3 mm: no two pictures are alike."""
    pictures = {
        paper.png(paper.draw([small_page(*paper.symbol(kind, x_mm=50, y_mm=30, size_mm=3))], fonts), dpi=150)
        for kind in Symbol
    }
    assert len(pictures) == len(Symbol)


def test_no_sign_asks_a_font():
    drawn = {type(item) for kind in Symbol for item in paper.symbol(kind, x_mm=0, y_mm=0, size_mm=2)}
    assert drawn == {Circle, Line, Polyline, Rect, paper.Area}


@pytest.mark.parametrize(
    ("toward_deg", "behind"), [(0, (50, 34)), (90, (46, 30)), (180, (50, 26)), (270, (54, 30))]
)
def test_an_arrow_head_points_where_it_is_told(toward_deg, behind):
    head = paper.arrow_head(tip=(50, 30), toward_deg=toward_deg, length_mm=4, width_mm=2)
    tip, one, _, other = head.points
    assert tip == (50, 30)
    middle = ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)
    assert middle == pytest.approx(behind)
    assert abs(one[0] - other[0]) + abs(one[1] - other[1]) == pytest.approx(2)


def test_the_north_needle_points_north():
    for north_deg, tip in ((0, (50, 24)), (90, (56, 30)), (-90, (44, 30))):
        halves = paper.north_arrow(x_mm=50, y_mm=30, length_mm=12, north_deg=north_deg)
        assert all(half.points[0] == pytest.approx(tip) for half in halves)
        assert {half.fill for half in halves} == {paper.BLACK, paper.WHITE}


def test_the_scale_bar_is_as_long_as_its_steps(fonts):
    bar = paper.scale_bar(x_mm=20, y_mm=50, step_mm=8, steps=4)
    assert [field.box.left_mm for field in bar] == [20, 28, 36, 44]
    assert [field.fill for field in bar] == [paper.BLACK, paper.WHITE] * 2
    assert paper.bounds(bar[-1], fonts).right_mm == pytest.approx(20 + 32 + 0.09)
