"""How far upriver the stations must stand: in closed form, by bisection over a grid, and by its inverse."""

from math import degrees, hypot, radians, sin, tan

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.ferry import StationPoint
from atlas.rigging.tether_depth import angle_circle, level_depth_m, station_depth
from atlas.rigging.tether_geometry import included_angle_deg, tether_geometry, to_flow, worst_angle

AREA = shapely.Polygon([(12, 10), (30, 8), (33, 25), (20, 31), (10, 22)])


def geometry(area=AREA, *, near=(0.0, -12.0), far=(40.0, -9.0), skew_deg=0.0):
    return tether_geometry(StationPoint(*near, 2.0), StationPoint(*far, 3.0), area, skew_deg=skew_deg)


def upriver(place, move_m, *, skew_deg):
    return (place[0] - move_m * sin(radians(skew_deg)), place[1] - move_m * np.cos(radians(skew_deg)))


@pytest.mark.parametrize("angle_deg", [60.0, 90.0, 120.0, 150.0])
def test_a_point_on_the_axis(angle_deg):
    """Level stations 40 m apart, a point midway: the depth is 20 / tan(a / 2)."""
    seen = geometry(shapely.Point(20.0, 7.0), near=(0.0, -50.0), far=(40.0, -50.0))
    depth = station_depth(seen, angle_most_deg=angle_deg)
    assert depth.needed_m == pytest.approx(20.0 / tan(radians(angle_deg / 2)))
    assert (depth.near_m, depth.far_m, depth.outside_m) == pytest.approx((57.0, 57.0, 0.0))


def test_a_long_level_edge_needs_the_axis_depth():
    """The worst place of a wide area is midway, no corner: 120 degrees, 40 m, 20 / tan 60."""
    area = shapely.box(4.0, 10.0, 38.0, 12.0)
    depth = station_depth(geometry(area, near=(0.0, -30.0), far=(40.0, -30.0)), angle_most_deg=120.0)
    assert depth.needed_m == pytest.approx(20.0 / tan(radians(60.0)))
    assert depth.move_m == 0.0
    assert depth.serves


def test_stations_that_lack_depth_lack_just_the_rest():
    area = shapely.box(4.0, 10.0, 38.0, 12.0)
    depth = station_depth(geometry(area, near=(0.0, 6.0), far=(40.0, 6.0)), angle_most_deg=120.0)
    assert depth.move_m == pytest.approx(20.0 / tan(radians(60.0)) - 4.0)
    assert not depth.serves


def test_the_circle_by_hand():
    """Inscribed angle of 120 degrees on 40 m of chord: radius 40 / (2 sin 120), centre half of it upriver."""
    circle = angle_circle(near=np.array([0.0, 5.0]), far=np.array([40.0, 5.0]), angle_deg=120.0)
    radius = 40.0 / (2 * sin(radians(120.0)))
    assert (circle.across_m, circle.along_m, circle.radius_m) == pytest.approx(
        (20.0, 5.0 - radius / 2, radius)
    )
    assert circle.exit_m([0.0, 40.0]) == pytest.approx([5.0, 5.0])


@given(st.floats(-15, 15), st.floats(15, 160), st.floats(0.03, 0.97))
def test_the_circle_is_left_where_the_angle_is_kept(tilt_m, angle_deg, share):
    seen = geometry(near=(0.0, -12.0), far=(40.0, -12.0 + tilt_m))
    across = 40.0 * share
    along = float(angle_circle(near=seen.near, far=seen.far, angle_deg=angle_deg).exit_m(across))
    assert float(included_angle_deg(seen, [across, along])) == pytest.approx(angle_deg, abs=1e-5)
    assert float(included_angle_deg(seen, [across, along + 0.1])) < angle_deg
    assert along > -12.0 + share * tilt_m  # downriver of the line from station to station


def areas():
    corner = st.tuples(st.floats(3.0, 37.0), st.floats(-8.0, 40.0))
    return st.lists(corner, min_size=1, max_size=7).map(lambda places: shapely.MultiPoint(places).convex_hull)


@settings(max_examples=60, deadline=None)
@given(areas(), st.floats(-25, 25), st.floats(70, 150), st.floats(-8, 3))
def test_moved_by_what_is_lacking_the_worst_angle_is_the_limit(area, skew_deg, angle_deg, far_y):
    """Stations moved upriver by `move_m` have the limit angle exactly; a centimetre less is over."""
    near, far = (-25.0, -9.0), (65.0, far_y)
    seen = geometry(area, near=near, far=far, skew_deg=skew_deg)
    depth = station_depth(seen, angle_most_deg=angle_deg)
    if depth.outside_m > 0.0:
        assert depth.move_m is None
        return
    assert (depth.move_m == 0.0) == (worst_angle(seen).angle_deg <= angle_deg + 1e-6)
    assume(depth.move_m > 0.01)
    angles = [
        worst_angle(
            geometry(
                area,
                near=upriver(near, depth.move_m - short_m, skew_deg=skew_deg),
                far=upriver(far, depth.move_m - short_m, skew_deg=skew_deg),
                skew_deg=skew_deg,
            )
        ).angle_deg
        for short_m in (0.0, 0.01)
    ]
    assert angles[0] == pytest.approx(angle_deg, abs=1e-5)
    assert angles[1] > angle_deg


@settings(max_examples=60, deadline=None)
@given(areas(), st.floats(-25, 25))
def test_level_stations_at_the_needed_depth_just_serve(area, skew_deg):
    """As a plan places stations that were not surveyed: on their lines of flow, side by side."""
    near, far = (-25.0, -9.0), (65.0, -9.0)
    seen = geometry(area, near=near, far=far, skew_deg=skew_deg)
    needed_m = level_depth_m(seen, angle_most_deg=120.0)
    assume(needed_m is not None)
    top_m = to_flow(shapely.get_coordinates(area), skew_deg=skew_deg)[:, 1].min()
    placed = [
        upriver(place, to_flow(place, skew_deg=skew_deg)[1] - (top_m - needed_m), skew_deg=skew_deg)
        for place in (near, far)
    ]
    moved = geometry(area, near=placed[0], far=placed[1], skew_deg=skew_deg)
    assert station_depth(moved, angle_most_deg=120.0).serves
    assert worst_angle(moved).angle_deg == pytest.approx(120.0, abs=1e-4)


def test_the_needed_depth_against_a_brute_grid():
    """Stepped upriver by centimetres, with the angle of every place of a grid by the law of cosines."""
    low_x, low_y, high_x, high_y = AREA.bounds
    xs, ys = (
        axis.ravel() for axis in np.meshgrid(np.linspace(low_x, high_x, 60), np.linspace(low_y, high_y, 60))
    )
    inside = shapely.intersects_xy(AREA, xs, ys)
    ring = shapely.get_coordinates(
        shapely.line_interpolate_point(AREA.exterior, np.linspace(0, AREA.exterior.length, 3000))
    )
    xs, ys = np.concatenate([xs[inside], ring[:, 0]]), np.concatenate([ys[inside], ring[:, 1]])

    def worst_deg(depth_m):
        one, two = np.hypot(xs, ys - low_y + depth_m), np.hypot(40.0 - xs, ys - low_y + depth_m)
        return degrees(np.arccos((one**2 + two**2 - 40.0**2) / (2 * one * two)).max())

    brute_m = next(step / 100 for step in range(1, 5000) if worst_deg(step / 100) <= 120.0)
    needed_m = level_depth_m(geometry(), angle_most_deg=120.0)
    assert brute_m - 0.011 <= needed_m <= brute_m + 1e-3


def test_past_a_station_no_depth_serves():
    depth = station_depth(geometry(shapely.box(10.0, 10.0, 43.0, 20.0)), angle_most_deg=120.0)
    assert (depth.needed_m, depth.move_m) == (None, None)
    assert depth.outside_m == pytest.approx(3.0)
    assert not depth.serves


def test_straight_below_a_station_one_line_is_slack():
    depth = station_depth(geometry(shapely.Point(40.0, 20.0)), angle_most_deg=120.0)
    assert (depth.needed_m, depth.move_m, depth.outside_m) == (None, None, 0.0)


@settings(max_examples=40, deadline=None)
@given(areas(), st.floats(-20, 20), st.floats(0.5, 3.0))
def test_mirror_and_scale(area, skew_deg, scale):
    near, far = (-25.0, -9.0), (65.0, -5.0)
    plain = station_depth(geometry(area, near=near, far=far, skew_deg=skew_deg), angle_most_deg=120.0)
    mirrored = station_depth(
        geometry(
            shapely.transform(area, lambda places: places * [-1.0, 1.0]),
            near=(-far[0], far[1]),
            far=(-near[0], near[1]),
            skew_deg=-skew_deg,
        ),
        angle_most_deg=120.0,
    )
    scaled = station_depth(
        geometry(
            shapely.transform(area, lambda places: places * scale),
            near=tuple(scale * np.array(near)),
            far=tuple(scale * np.array(far)),
            skew_deg=skew_deg,
        ),
        angle_most_deg=120.0,
    )
    assume(plain.move_m is not None and plain.needed_m is not None)
    assert mirrored.needed_m == pytest.approx(plain.needed_m, abs=1e-8)
    assert mirrored.move_m == pytest.approx(plain.move_m, abs=1e-8)
    assert (mirrored.near_m, mirrored.far_m) == pytest.approx((plain.far_m, plain.near_m), abs=1e-8)
    assert scaled.needed_m == pytest.approx(scale * plain.needed_m, abs=1e-8)


@pytest.mark.parametrize("angle_deg", [0.0, 9.0, 175.0, float("nan")])
def test_an_angle_that_is_no_limit(angle_deg):
    with pytest.raises(OutOfRange) as refusal:
        station_depth(geometry(), angle_most_deg=angle_deg)
    assert str(refusal.value) == (
        "angle_most_deg: outside the range in which the answer was shown; "
        f"got {angle_deg:.6g} degrees; allowed 10 to 170 degrees"
    )


def test_distances_to_the_circle_are_its_radius():
    seen = geometry(near=(0.0, -12.0), far=(40.0, -2.0))
    circle = angle_circle(near=seen.near, far=seen.far, angle_deg=100.0)
    for station in (seen.near, seen.far):
        assert hypot(station[0] - circle.across_m, station[1] - circle.along_m) == pytest.approx(
            circle.radius_m
        )
