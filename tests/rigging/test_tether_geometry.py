"""Included angle over a work area: against angles of points, a brute grid, and circles drawn by hand."""

from math import atan, degrees, hypot, pi, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.ferry import StationPoint
from atlas.rigging.tether_geometry import (
    farthest_m,
    from_flow,
    included_angle_deg,
    pull_sector_deg,
    tether_geometry,
    to_flow,
    worst_angle,
)

AREA = shapely.Polygon([(12, 10), (30, 8), (33, 25), (20, 31), (10, 22)])


def stations(near=(0.0, -12.0), far=(40.0, -9.0), heights=(2.0, 3.0)):
    return StationPoint(*near, heights[0]), StationPoint(*far, heights[1])


def geometry(area=AREA, *, skew_deg=0.0, **places):
    return tether_geometry(*stations(**places), area, skew_deg=skew_deg)


def between_deg(station, other, place):
    """Angle by the dot product, another way than the code's."""
    one, two = np.subtract(station, place), np.subtract(other, place)
    return degrees(np.arccos(np.clip(one @ two / hypot(*one) / hypot(*two), -1.0, 1.0)))


def grid_in(area, *, count):
    """Places of a fine grid inside an area, and close along its outline."""
    low_x, low_y, high_x, high_y = area.bounds
    xs, ys = np.meshgrid(np.linspace(low_x, high_x, count), np.linspace(low_y, high_y, count))
    inside = shapely.contains_xy(area, xs.ravel(), ys.ravel())
    ring = shapely.line_interpolate_point(area.exterior, np.linspace(0, area.exterior.length, 40 * count))
    return np.concatenate(
        [np.stack([xs.ravel(), ys.ravel()], axis=-1)[inside], shapely.get_coordinates(ring)]
    )


def areas():
    """Convex areas somewhere downriver of the stations, a few of them upriver of one."""
    corner = st.tuples(st.floats(3.0, 37.0), st.floats(-8.0, 60.0))
    return st.lists(corner, min_size=3, max_size=7).map(lambda places: shapely.MultiPoint(places).convex_hull)


def test_flow_coordinates_by_hand():
    # flow 30 degrees toward the far bank: one metre straight downstream is cos 30 along, -sin 30 across
    assert to_flow([0.0, 1.0], skew_deg=30.0) == pytest.approx([-0.5, sqrt(3) / 2])
    assert to_flow([1.0, 0.0], skew_deg=30.0) == pytest.approx([sqrt(3) / 2, 0.5])


@given(st.floats(-500, 500), st.floats(-500, 500), st.floats(-60, 60))
def test_flow_coordinates_turn_back(x, y, skew_deg):
    there = to_flow([x, y], skew_deg=skew_deg)
    assert from_flow(there, skew_deg=skew_deg) == pytest.approx([x, y], abs=1e-9)
    assert hypot(*there) == pytest.approx(hypot(x, y), abs=1e-9)


@pytest.mark.parametrize("angle_deg", [20.0, 60.0, 90.0, 120.0, 150.0])
def test_an_angle_drawn_by_hand(angle_deg):
    """On the axis of level stations 40 m apart the angle is 2 atan(20 / depth)."""
    depth = 20.0 / np.tan(np.radians(angle_deg / 2))
    seen = geometry(shapely.Point(20.0, depth), near=(0.0, 0.0), far=(40.0, 0.0))
    assert float(included_angle_deg(seen, [20.0, depth])) == pytest.approx(angle_deg, abs=1e-9)
    assert worst_angle(seen).angle_deg == pytest.approx(angle_deg, abs=1e-9)


@given(st.floats(15, 165), st.floats(0.05, 0.95))
def test_one_angle_all_along_a_circle(angle_deg, share):
    """Euclid, Elements III.21: angles in the same segment are equal. The circle is drawn by its centre."""
    radius = 20.0 / np.sin(np.radians(angle_deg))
    centre = 20.0 / np.tan(np.radians(angle_deg))
    # downriver arc from station to station, by its own angle at the centre
    half = pi - np.radians(angle_deg)
    turn = half * (2 * share - 1)
    place = [20.0 + radius * np.sin(turn), centre + radius * np.cos(turn)]
    seen = geometry(near=(0.0, 0.0), far=(40.0, 0.0))
    assert float(included_angle_deg(seen, place)) == pytest.approx(angle_deg, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(areas(), st.floats(-40, 40))
def test_the_worst_angle_against_a_brute_grid(area, skew_deg):
    """No place of a fine grid is worse, and the place named has the angle named and lies in the area."""
    assume(area.geom_type == "Polygon" and area.area > 5.0)
    near, far = stations(near=(-6.0, -14.0), far=(46.0, -10.0))
    assume(
        to_flow([far.x_m, far.y_m], skew_deg=skew_deg)[0] - to_flow([-6.0, -14.0], skew_deg=skew_deg)[0] > 5
    )
    worst = worst_angle(tether_geometry(near, far, area, skew_deg=skew_deg))
    ends = (near.x_m, near.y_m), (far.x_m, far.y_m)
    brute = max(between_deg(*ends, place) for place in grid_in(area, count=25))
    assert brute <= worst.angle_deg + 1e-9
    # the grid's outline is 1000 steps: it misses the worst place by less than a tenth of a degree
    assert worst.angle_deg - brute < 0.1
    assert between_deg(*ends, worst.place) == pytest.approx(worst.angle_deg, abs=1e-6)
    assert shapely.distance(area, shapely.Point(worst.place)) < 1e-9


def test_the_worst_place_may_lie_in_the_middle_of_an_edge():
    """Level stations, the upper edge of the area level too and longer on one side: worst on the axis."""
    area = shapely.box(15.0, 12.0, 35.0, 30.0)
    worst = worst_angle(geometry(area, near=(0.0, 0.0), far=(40.0, 0.0)))
    assert worst.place == pytest.approx((20.0, 12.0))
    assert worst.angle_deg == pytest.approx(degrees(2 * atan(20.0 / 12.0)))


@pytest.mark.parametrize(
    "area",
    [
        shapely.box(10.0, -5.0, 30.0, 20.0),
        shapely.box(10.0, 0.0, 30.0, 20.0),
        shapely.Point(20.0, 0.0),
        # the whole line from station to station lies inside
        shapely.box(-10.0, -10.0, 50.0, 10.0).difference(shapely.MultiPoint([(0, 0), (40, 0)]).buffer(2.0)),
    ],
)
def test_an_area_across_the_line_of_the_stations_is_at_180_degrees(area):
    worst = worst_angle(geometry(area, near=(0.0, 0.0), far=(40.0, 0.0)))
    assert worst.angle_deg == 180.0
    assert worst.place[1] == pytest.approx(0.0, abs=1e-9)
    assert 0.0 <= worst.place[0] <= 40.0


def test_an_area_beside_the_stations_sees_them_in_one_direction():
    """Past the far station, on the line of both: the angle falls to nothing and is no 180."""
    worst = worst_angle(geometry(shapely.Point(60.0, 0.0), near=(0.0, 0.0), far=(40.0, 0.0)))
    assert worst.angle_deg == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(areas(), st.floats(-30, 30), st.floats(0.3, 4.0))
def test_mirror_and_scale_change_no_angle(area, skew_deg, scale):
    assume(area.geom_type == "Polygon" and area.area > 5.0)
    near, far = (-6.0, -14.0), (46.0, -10.0)
    plain = worst_angle(geometry(area, skew_deg=skew_deg, near=near, far=far)).angle_deg
    mirrored = worst_angle(
        geometry(
            shapely.transform(area, lambda places: places * [-1.0, 1.0]),
            skew_deg=-skew_deg,
            near=(-far[0], far[1]),
            far=(-near[0], near[1]),
        )
    ).angle_deg
    scaled = worst_angle(
        geometry(
            shapely.transform(area, lambda places: places * scale),
            skew_deg=skew_deg,
            near=tuple(scale * np.array(near)),
            far=tuple(scale * np.array(far)),
        )
    ).angle_deg
    assert mirrored == pytest.approx(plain, abs=1e-7)
    assert scaled == pytest.approx(plain, abs=1e-7)


def test_a_hole_changes_nothing():
    holed = AREA.difference(shapely.Point(20.0, 20.0).buffer(3.0))
    with_hole, without = worst_angle(geometry(holed)), worst_angle(geometry(AREA))
    assert with_hole.angle_deg == pytest.approx(without.angle_deg, abs=1e-9)
    assert with_hole.place == pytest.approx(without.place, abs=1e-9)


def test_several_parts_count_together():
    parts = shapely.MultiPolygon([shapely.box(10, 20, 14, 24), shapely.box(20, 6, 24, 10)])
    nearest = worst_angle(geometry(shapely.box(20, 6, 24, 10)))
    assert worst_angle(geometry(parts)) == nearest
    mixed = shapely.GeometryCollection([parts, shapely.Point(22.0, 2.0)])
    assert worst_angle(geometry(mixed)).place == pytest.approx((22.0, 2.0))


def test_the_angle_in_space_is_smaller():
    """From 90 degrees up, seen from the bow ring to stations higher than it: so the plan angle decides."""
    random = np.random.default_rng(11)
    for _ in range(200):
        place = np.array([random.uniform(2, 38), random.uniform(-5, 20), 0.0])
        ends = np.array([[0.0, -12.0, random.uniform(0, 6)], [40.0, -9.0, random.uniform(0, 6)]])
        plan = between_deg(ends[0, :2], ends[1, :2], place[:2])
        runs = ends - place
        lengths = np.linalg.norm(runs, axis=1)
        space = degrees(np.arccos(runs[0] @ runs[1] / lengths.prod()))
        if plan >= 90.0:
            assert space <= plan + 1e-9


def test_the_greatest_distance_is_to_a_corner():
    near, _ = stations()
    seen = geometry()
    # farthest corner (33, 25): 33 across, 37 along, ring 1.5 m under the station
    assert farthest_m(near, seen, ring_z_m=0.5, astern_m=0.0) == pytest.approx(sqrt(33**2 + 37**2 + 1.5**2))
    # the stern ring 4 m farther down
    assert farthest_m(near, seen, ring_z_m=0.5, astern_m=4.0) == pytest.approx(sqrt(33**2 + 41**2 + 1.5**2))


@pytest.mark.parametrize("skew_deg", [-35.0, 0.0, 20.0])
def test_the_greatest_distance_against_a_brute_grid(skew_deg):
    near, far = stations()
    seen = geometry(skew_deg=skew_deg)
    downriver = np.array([np.sin(np.radians(skew_deg)), np.cos(np.radians(skew_deg))])
    for station in (near, far):
        rings = grid_in(AREA, count=40) + 3.0 * downriver
        brute = np.sqrt(
            ((rings - [station.x_m, station.y_m]) ** 2).sum(axis=1) + (station.z_m - 0.3) ** 2
        ).max()
        exact = farthest_m(station, seen, ring_z_m=0.3, astern_m=3.0)
        # steps of 5 cm along the outline go round a corner
        assert brute <= exact <= brute + 0.05


@pytest.mark.parametrize("skew_deg", [-35.0, 0.0, 20.0])
def test_the_sector_of_pulls_holds_every_direction_and_no_more(skew_deg):
    for station in stations():
        low, high = pull_sector_deg(station, geometry(skew_deg=skew_deg))
        run = grid_in(AREA, count=40) - [station.x_m, station.y_m]
        seen = np.degrees(np.arctan2(run[:, 0], run[:, 1]))
        # steps of 5 cm along the outline, seen from 25 m and more
        assert seen.min() - 0.1 < low <= seen.min()
        assert seen.max() <= high < seen.max() + 0.1


def test_a_sector_across_the_turn_of_the_compass():
    """Straight upstream is 180 and -180 at once: the sector stays small."""
    above = StationPoint(20.0, 60.0, 1.0)
    low, high = pull_sector_deg(above, geometry())
    assert high - low < 45.0
    assert low < 180.0 < high or low < -180.0 < high


@pytest.mark.parametrize(
    ("area", "places", "text"),
    [
        (shapely.Polygon(), {}, "work area: empty, or crosses itself; allowed: a valid geometry"),
        (
            shapely.Polygon([(10, 10), (20, 20), (20, 10), (10, 20)]),
            {},
            "work area: empty, or crosses itself; allowed: a valid geometry",
        ),
        (
            shapely.Point(0.0, -11.4),
            {},
            "work area: at the near station; got 0.6 m from it; allowed 1 m or more",
        ),
        (
            shapely.Point(40.0, -9.0),
            {},
            "work area: at the far station; got 0 m from it; allowed 1 m or more",
        ),
        (
            AREA,
            {"near": (40.0, -9.0), "far": (0.0, -12.0)},
            (
                "stations: the far one does not lie across the flow from the near one; got -40 m; "
                "allowed over 1 m"
            ),
        ),
        (
            AREA,
            {"near": (float("nan"), 0.0)},
            "x_m, y_m: outside the range in which the answer was shown; got nan m; allowed -1000 to 1000 m",
        ),
        (
            shapely.Point(20.0, 2000.0),
            {},
            "x_m, y_m: outside the range in which the answer was shown; got 2000 m; allowed -1000 to 1000 m",
        ),
        (
            AREA,
            {"heights": (2.0, float("inf"))},
            "z_m: outside the range in which the answer was shown; got inf m; allowed -100 to 100 m",
        ),
        (
            AREA,
            {"skew_deg": 75.0},
            (
                "skew_deg: outside the range in which the answer was shown; got 75 degrees; "
                "allowed -60 to 60 degrees"
            ),
        ),
    ],
)
def test_what_is_refused(area, places, text):
    with pytest.raises(OutOfRange) as refusal:
        geometry(area, **places)
    assert str(refusal.value) == text
