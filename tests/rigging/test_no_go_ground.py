from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.no_go_ground import behind_anchor, bight_ground, no_go_ground, swept_by_line


def bent(at, depth, span=40.0):
    return [(0.0, 0.0), (at, depth), (span, 0.0)]


def test_bight_of_one_line_is_its_triangle():
    ground = bight_ground([bent(10.0, 4.0)])
    assert ground.area == pytest.approx(40.0 * 4.0 / 2.0)
    assert ground.covers(shapely.Point(10.0, 3.9))
    assert not ground.covers(shapely.Point(10.0, 4.1))
    assert not ground.covers(shapely.Point(10.0, -0.1))


def test_bight_covers_the_line_on_its_way_back_from_every_place():
    """Let go between any two places, at parts of its bow: in the ground but for centimetres."""
    places = np.arange(4.0, 37.0, 2.0)

    def depth(at):
        return 5.0 * 4.0 * at * (40.0 - at) / 1600.0

    ground = bight_ground([bent(at, depth(at)) for at in places])
    # bend of the bow 8 x 5 / 40^2, places 2 m apart: b'' d^2 / 8
    stands_out = 8.0 * 5.0 / 1600.0 * 2.0**2 / 8.0
    for at in np.arange(4.0, 36.0, 0.7):
        for part in (0.0, 0.4, 1.0):
            line = shapely.LineString(bent(at, part * depth(at)))
            assert ground.buffer(stands_out + 1e-9).covers(line)
    assert not ground.covers(shapely.Point(20.0, 5.2))


@given(
    pull=st.floats(0, 360),
    spread=st.floats(0, 40),
    half=st.floats(2, 40),
    length=st.floats(1, 30),
    beyond=st.floats(-180, 180),
    away=st.floats(0.01, 2),
)
@settings(max_examples=150)
def test_behind_an_anchor_by_angle_and_distance(pull, spread, half, length, beyond, away):
    """A point by its own angle from the line of the pulls: inside the sector, or clearly out."""
    pulls = np.radians([pull - spread / 2.0, pull + spread / 2.0])
    ground = behind_anchor(
        (3.0, -2.0),
        np.column_stack([np.cos(pulls), np.sin(pulls)]) * 900.0,
        half_angle_deg=half,
        length_m=length,
    )
    angle = np.radians(pull + 180.0 + beyond)
    there = shapely.Point(3.0 + away * length * np.cos(angle), -2.0 + away * length * np.sin(angle))
    widest = half + spread / 2.0
    if abs(beyond) <= widest - 1e-6 and away <= 1.0:
        assert ground.covers(there) or ground.distance(there) < 1e-9
    # chords are at most 5 degrees: the corners stand out by 1 / cos(2.5 degrees)
    elif abs(beyond) > widest + 1e-6 or away > 1.0 / np.cos(np.radians(2.5)) + 1e-9:
        assert not ground.contains(there)


def test_swept_by_hand():
    """From (0, 0), the end along (10, 0), (10, 10): half of a square; on to (0, 10): the whole of it."""
    assert swept_by_line((0.0, 0.0), [(10.0, 0.0), (10.0, 10.0)]).area == pytest.approx(50.0)
    assert swept_by_line((0.0, 0.0), [(10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]).area == pytest.approx(100.0)
    # there and back is swept once
    back = swept_by_line((0.0, 0.0), [(10.0, 0.0), (10.0, 10.0), (10.0, 0.0)])
    assert back.area == pytest.approx(50.0)


def test_room_about_everything():
    """All that lies within the margin of a part is inside; what lies 2 % of it farther is not."""
    parts = [bight_ground([bent(10.0, 4.0)]), shapely.Point(60.0, 0.0).buffer(1.0)]
    ground = no_go_ground(parts, margin_m=3.0)
    rng = np.random.default_rng(8)
    points = shapely.points(rng.uniform((-10, -10), (75, 15), size=(4000, 2)))
    away = np.min([shapely.distance(part, points) for part in parts], axis=0)
    inside = shapely.covers(ground, points)
    assert inside[away <= 3.0].all()
    assert not inside[away > 3.0 * 1.02].any()
    assert ground.geom_type == "MultiPolygon"
    assert shapely.equals(no_go_ground(parts, margin_m=0.0), shapely.union_all(parts))


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (
            lambda: bight_ground([[(0.0, 0.0), (40.0, 0.0)]]),
            "lines_m: too few points; got 2; allowed 3 or more",
        ),
        (
            lambda: bight_ground([(0.0, 0.0), (40.0, 0.0)]),
            "lines_m: not places; got shape (2, 2); allowed 3 axes, x and y last",
        ),
        (
            lambda: behind_anchor((0.0, 0.0), [(0.0, 0.0)], half_angle_deg=15.0, length_m=5.0),
            "pulls: no direction; got 0, 0; allowed: any pull",
        ),
        (
            lambda: behind_anchor((0.0, 0.0), [(1.0, 0.0), (-1.0, 0.2)], half_angle_deg=15.0, length_m=5.0),
            "pulls: on all sides; got 199 degrees; allowed under 180 degrees",
        ),
        (lambda: swept_by_line((0.0, 0.0), [(1.0, 0.0)]), "ends_m: one place; allowed 2 or more"),
        (
            lambda: no_go_ground([], margin_m=np.inf),
            "margin_m: outside the range in which the answer was shown; got inf m; allowed 0 to 50 m",
        ),
    ],
)
def test_refusals(call, text):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert str(caught.value) == text


def test_a_fan_that_does_not_fold_is_its_outline_and_one_that_folds_covers_all():
    turning = [(10.0, 0.0), (9.0, 4.0), (6.0, 8.0)]
    back = [*turning, (12.0, 3.0)]
    for ends in (turning, back):
        swept = swept_by_line((0.0, 0.0), ends)
        assert swept.is_valid
        for one, other in pairwise(ends):
            assert swept.buffer(1e-9).contains(shapely.Polygon([(0.0, 0.0), one, other]))
    shoelace = 0.5 * sum(one[0] * other[1] - one[1] * other[0] for one, other in pairwise(turning))
    assert swept_by_line((0.0, 0.0), turning).area == pytest.approx(shoelace)
