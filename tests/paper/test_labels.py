from __future__ import annotations

from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas import paper
from atlas.faults import BlockOverrun
from atlas.paper import Box, Face, LabelWish, Line, Text, TextStyle

FRAME = Box(left_mm=17, top_mm=40, width_mm=110, height_mm=84)
GAP_MM = 0.5


def wish(key: str, *points: tuple[float, float], width_mm: float = 6, mark_mm: float = 1.0) -> LabelWish:
    return LabelWish(key=key, points=points, width_mm=width_mm, height_mm=2.8, mark_mm=mark_mm)


def rectangle(box: Box, grown_mm: float = 0.0) -> shapely.Polygon:
    wide = box.inset(-grown_mm)
    return shapely.box(wide.left_mm, wide.top_mm, wide.right_mm, wide.bottom_mm)


def place(wishes, obstacles=(), frame=FRAME):
    return paper.place_labels(wishes, obstacles=obstacles, frame=frame, block="plan", gap_mm=GAP_MM)


def assert_clear(wishes, placed, obstacles, frame=FRAME):
    """Everything a placed set promises, with shapely and apart from the placing's own tests."""
    almost = GAP_MM - 1e-6
    marks = [(w.key, shapely.Point(point).buffer(w.mark_mm)) for w in wishes for point in w.points]
    leaders = [(label.key, shapely.LineString(label.leader)) for label in placed if label.leader]
    for wanted, label in zip(wishes, placed, strict=True):
        assert label.key == wanted.key
        assert (label.box.width_mm, label.box.height_mm) == pytest.approx((wanted.width_mm, wanted.height_mm))
        assert rectangle(frame, 1e-9).contains(rectangle(label.box))
        for obstacle in obstacles:
            assert rectangle(label.box).distance(obstacle) > almost * 0.99
        for _, mark in marks:
            assert not rectangle(label.box).intersects(mark)
        for owner, leader in leaders:
            assert owner == label.key or not rectangle(label.box).intersects(leader)
    for first, second in combinations(placed, 2):
        assert not rectangle(first.box, almost / 2).intersects(rectangle(second.box, almost / 2))
    for (_, first), (_, second) in combinations(leaders, 2):
        assert not first.crosses(second)


def test_a_label_alone_stands_beside_its_mark_without_leader():
    (label,) = place([wish("A1", (60, 80))])
    assert label.leader is None
    assert label.box.left_mm == pytest.approx(60 + 1.0 + GAP_MM)
    assert label.box.centre[1] == pytest.approx(80)


def test_a_label_moves_to_the_other_side_of_a_line():
    line = shapely.LineString([(62, 40), (62, 124)]).buffer(0.3)
    wishes = [wish("A1", (60, 80))]
    (label,) = place(wishes, [line])
    assert label.box.right_mm == pytest.approx(60 - 1.0 - GAP_MM)
    assert_clear(wishes, [label], [line])


def test_a_label_in_a_corner_stays_in_the_frame():
    for corner in ((17.5, 40.5), (126.5, 40.5), (17.5, 123.5), (126.5, 123.5)):
        wishes = [wish("long name", corner, width_mm=25)]
        assert_clear(wishes, place(wishes), [])


def test_a_label_that_must_move_away_gets_a_leader_from_its_mark():
    thicket = shapely.Point(60, 80).buffer(8)
    wishes = [wish("A1", (60, 80))]
    (label,) = place(wishes, [thicket])
    start, end = label.leader
    assert shapely.Point(start).distance(shapely.Point(60, 80)) == pytest.approx(1.0)
    assert 0 < rectangle(label.box).distance(shapely.Point(end)) <= GAP_MM + 1e-9
    assert_clear(wishes, [label], [thicket])


def test_a_label_along_a_line_takes_the_point_that_has_room():
    crowded = shapely.Point(40, 80).buffer(12)
    (label,) = place([wish("138 ft", (40, 80), (80, 80), mark_mm=0.3)], [crowded])
    assert label.leader is None
    assert rectangle(label.box).distance(shapely.Point(80, 80)) < 1.0


def test_two_marks_close_together_both_get_labels():
    wishes = [wish("A1", (60, 80)), wish("A2", (61.5, 80.5)), wish("A3", (60.5, 81.5))]
    assert_clear(wishes, place(wishes), [])


def test_no_room_names_block_and_label():
    wall = rectangle(FRAME)
    with pytest.raises(BlockOverrun) as caught:
        place([wish("A1", (60, 80)), wish("A2", (70, 80))], [wall])
    assert str(caught.value) == "block 'plan' is 2.8 mm too large for its box (no room for the label 'A1')"


def test_no_labels_need_no_room():
    assert place([]) == ()


coordinates = st.tuples(st.floats(19, 125), st.floats(42, 122))


@settings(max_examples=60, deadline=None)
@given(
    points=st.lists(coordinates, min_size=1, max_size=20),
    lines=st.lists(st.tuples(coordinates, coordinates), max_size=12),
    width_mm=st.sampled_from([3.0, 6.0, 14.0]),
)
def test_labels_are_clear_of_everything_or_there_is_an_error(points, lines, width_mm):
    wishes = [wish(str(number), point, width_mm=width_mm) for number, point in enumerate(points)]
    obstacles = [shapely.LineString(line).buffer(0.3, quad_segs=2) for line in lines]
    try:
        placed = place(wishes, obstacles)
    except BlockOverrun:
        return
    assert_clear(wishes, placed, obstacles)
    assert place(wishes, obstacles) == placed


def test_a_crowded_plan_finds_room_for_all():
    """25 labels among 60 pieces of line, on a grid that leaves room: none may be given up."""
    wishes = [wish(f"P{n}", (26 + 22 * (n % 5), 48 + 17 * (n // 5)), width_mm=6) for n in range(25)]
    lines = [shapely.LineString([(17 + 11 * n, 41), (20 + 10 * n, 123)]).buffer(0.2) for n in range(10)] + [
        shapely.LineString([(18, 45 + 8 * n), (126, 41 + 9 * n)]).buffer(0.2) for n in range(9)
    ]
    assert_clear(wishes, place(wishes, lines), lines)


def test_the_text_of_a_label_fills_its_box(fonts):
    style = TextStyle(face=Face.SEMIBOLD, size_pt=8.5)
    for text in ("A1", "gypsum pg", "Å 12"):
        wanted = paper.text_wish("k", text, style, fonts, points=((60, 80),))
        (label,) = place([wanted], [shapely.Point(60, 80).buffer(6)])
        leader, words = paper.label_items(label, text, style, fonts, block="plan")
        assert isinstance(leader, Line)
        assert isinstance(words, Text)
        taken = paper.bounds(words, fonts)
        for edge in ("left_mm", "top_mm", "right_mm", "bottom_mm"):
            assert getattr(taken, edge) == pytest.approx(getattr(label.box, edge))
