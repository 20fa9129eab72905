"""Tensions of the two bow lines: against forces summed in space, closed forms, limits and a brute grid."""

from math import cos, hypot, inf, radians, sin, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.ferry import StationPoint
from atlas.rigging.tether_geometry import included_angle_deg, tether_geometry, to_flow
from atlas.rigging.tether_loads import (
    bow_lift_share,
    greatest_shares,
    holding_speed_m_s,
    on_axis_share,
    tension_shares,
    worst_shares,
    worst_shares_at,
)

AREA = shapely.Polygon([(12, 10), (30, 8), (33, 25), (20, 31), (10, 22)])
HEIGHTS = {"near_height_m": 1.7, "far_height_m": 2.9}
LEVEL = {"near_height_m": 0.0, "far_height_m": 0.0}


def geometry(area=AREA, *, near=(0.0, -12.0), far=(40.0, -9.0), skew_deg=0.0):
    return tether_geometry(StationPoint(*near, 2.0), StationPoint(*far, 3.2), area, skew_deg=skew_deg)


def solved(place, *, near, far, heights, skew_deg):
    """Tensions and lift per newton of drag from the forces in space, solved as three equations."""
    runs = np.array([[*np.subtract(near, place), heights[0]], [*np.subtract(far, place), heights[1]]])
    directions = runs / np.linalg.norm(runs, axis=1)[:, None]
    drag = [sin(radians(skew_deg)), cos(radians(skew_deg)), 0.0]
    # columns: near line, far line, and the water that carries what is left over upright
    forces = np.column_stack([directions[0], directions[1], [0.0, 0.0, -1.0]])
    return np.linalg.solve(forces, -np.array(drag))


@given(
    st.tuples(st.floats(-20, 60), st.floats(-30, 60)),
    st.tuples(st.floats(-3, 8), st.floats(-3, 8)),
    st.floats(-50, 50),
)
def test_forces_in_space_balance(place, heights, skew_deg):
    near, far = (0.0, -12.0), (40.0, -9.0)
    seen = geometry(skew_deg=skew_deg)
    # off the line through both stations, on which nothing balances
    assume(abs(40.0 * (place[1] + 12.0) - 3.0 * place[0]) / hypot(40.0, 3.0) > 0.1)
    at = to_flow(place, skew_deg=skew_deg)
    over = {"near_height_m": heights[0], "far_height_m": heights[1]}
    *tensions, lift = solved(place, near=near, far=far, heights=heights, skew_deg=skew_deg)
    assert tension_shares(seen, at, **over) == pytest.approx(tensions, rel=1e-8, abs=1e-9)
    assert float(bow_lift_share(seen, at, **over)) == pytest.approx(lift, rel=1e-8, abs=1e-9)


@pytest.mark.parametrize("depth_m", [3.0, 11.5, 20.0, 60.0])
def test_on_the_axis_of_level_stations(depth_m):
    """T = D / (2 cos(a / 2)), a the angle between the lines as measured at the bow."""
    seen = geometry(shapely.Point(20.0, depth_m), near=(0.0, 0.0), far=(40.0, 0.0))
    shares = tension_shares(seen, [20.0, depth_m], **LEVEL)
    angle_deg = included_angle_deg(seen, [20.0, depth_m])
    assert shares == pytest.approx([float(on_axis_share(angle_deg))] * 2)
    assert shares[0] == pytest.approx(hypot(20.0, depth_m) / (2 * depth_m))


def test_stations_high_over_the_ring_pull_more():
    """The horizontal part stays, so a line as steep as 3 in 4 carries 5 / 4 of the level one."""
    seen = geometry(shapely.Point(20.0, 15.0), near=(0.0, 0.0), far=(40.0, 0.0))
    level = tension_shares(seen, [20.0, 15.0], **LEVEL)
    steep = tension_shares(seen, [20.0, 15.0], near_height_m=18.75, far_height_m=18.75)
    assert steep == pytest.approx(1.25 * level)
    assert float(
        bow_lift_share(seen, [20.0, 15.0], near_height_m=18.75, far_height_m=18.75)
    ) == pytest.approx(2 * 0.6 * steep[0])


def test_straight_below_a_station_its_line_carries_all():
    """Limit: the other line goes slack, and a far-off boat is shared as a beam shares its load."""
    seen = geometry(near=(0.0, 0.0), far=(40.0, 0.0))
    assert tension_shares(seen, [0.0, 25.0], **LEVEL) == pytest.approx([1.0, 0.0], abs=1e-12)
    assert tension_shares(seen, [10.0, 1e6], **LEVEL) == pytest.approx([0.75, 0.25], abs=1e-4)


@pytest.mark.parametrize(
    ("place", "signs"),
    [
        ([20.0, 10.0], (1, 1)),
        ([-5.0, 10.0], (1, -1)),
        ([45.0, 10.0], (-1, 1)),
        ([20.0, -30.0], (-1, -1)),
    ],
)
def test_where_a_line_would_have_to_push(place, signs):
    assert tuple(np.sign(tension_shares(geometry(), place, **HEIGHTS))) == signs


def test_on_the_line_of_the_stations_no_tension_holds():
    seen = geometry(near=(0.0, 0.0), far=(40.0, 0.0))
    assert tension_shares(seen, [[20.0, 0.0], [20.0, 5.0]], **LEVEL)[0] == pytest.approx([inf, inf])
    assert float(bow_lift_share(seen, [20.0, 0.0], **HEIGHTS)) == inf


def areas():
    corner = st.tuples(st.floats(3.0, 37.0), st.floats(-4.0, 60.0))
    return st.lists(corner, min_size=1, max_size=7).map(lambda places: shapely.MultiPoint(places).convex_hull)


def places_in(area, *, count=40):
    low_x, low_y, high_x, high_y = area.bounds
    xs, ys = np.meshgrid(np.linspace(low_x, high_x, count), np.linspace(low_y, high_y, count))
    grid = np.stack([xs.ravel(), ys.ravel()], axis=-1)[shapely.intersects_xy(area, xs.ravel(), ys.ravel())]
    ring = shapely.line_interpolate_point(area.boundary, np.linspace(0, 1, 2000), normalized=True)
    return np.concatenate([grid, shapely.get_coordinates(ring)])


@settings(max_examples=60, deadline=None)
@given(areas(), st.floats(-20, 20), st.floats(-20, 5), st.tuples(st.floats(0, 9), st.floats(0, 9)))
def test_the_worst_tension_against_a_brute_grid(area, skew_deg, far_y, heights):
    """No place of a fine grid carries more, solved as forces; the place named does, and lies in the area."""
    near, far = (-25.0, -9.0), (65.0, far_y)
    assume(area.geom_type == "Polygon" and area.area > 5.0)
    seen = geometry(area, near=near, far=far, skew_deg=skew_deg)
    over = {"near_height_m": heights[0], "far_height_m": heights[1]}
    try:
        worst = worst_shares(seen, **over)
    except OutOfRange:
        assume(False)
    places = places_in(area)
    runs = np.stack([np.subtract(near, places), np.subtract(far, places)], axis=-1)
    drag = -np.array([sin(radians(skew_deg)), cos(radians(skew_deg))])
    flat = np.linalg.norm(runs, axis=1)
    horizontal = np.linalg.solve(runs / flat[:, None, :], np.broadcast_to(drag, places.shape)[..., None])[
        ..., 0
    ]
    rises = np.array(heights)
    brute = (horizontal * np.hypot(flat, rises) / flat).max(axis=0)
    lift = (horizontal * rises / flat).sum(axis=1).max()
    for line in (0, 1):
        found, place = worst.both[line], worst.places[line]
        assert brute[line] <= found * (1 + 1e-9)
        # 2000 steps of outline come within a few centimetres of the worst corner
        assert found <= brute[line] * 1.03
        assert shapely.distance(area, shapely.Point(place)) < 1e-9
        again = solved(place, near=near, far=far, heights=heights, skew_deg=skew_deg)
        assert again[line] == pytest.approx(found, rel=1e-7)
    assert lift <= worst.lift * (1 + 1e-9) + 1e-12
    assert worst.lift <= lift * 1.03 + 1e-9


def test_the_worst_place_may_lie_within_an_edge():
    """Straight below its own station a line's share first falls, then rises: the cubic finds the turn.

    Level stations, an edge along y = 5 m: T1 / D = (40 - x) sqrt(x^2 + 25) / 200; its derivative is zero
    where 2 x^2 - 40 x + 25 = 0, and it is greatest at the larger root.
    """
    seen = geometry(shapely.LineString([(1.0, 5.0), (39.0, 5.0)]), near=(0.0, 0.0), far=(40.0, 0.0))
    worst = worst_shares(seen, **LEVEL)
    turn = (40.0 + sqrt(40.0**2 - 8 * 25.0)) / 4
    assert worst.near_place == pytest.approx((turn, 5.0))
    assert worst.near == pytest.approx((40 - turn) * hypot(turn, 5.0) / 200)
    assert worst.far_place == pytest.approx((40.0 - turn, 5.0))


@settings(max_examples=40, deadline=None)
@given(areas(), st.floats(-20, 20), st.floats(0.4, 3.0))
def test_mirror_exchanges_the_lines_and_scale_keeps_them(area, skew_deg, scale):
    near, far = (-25.0, -9.0), (65.0, -14.0)
    seen = geometry(area, near=near, far=far, skew_deg=skew_deg)
    mirrored = geometry(
        shapely.transform(area, lambda places: places * [-1.0, 1.0]),
        near=(-far[0], far[1]),
        far=(-near[0], near[1]),
        skew_deg=-skew_deg,
    )
    scaled = geometry(
        shapely.transform(area, lambda places: places * scale),
        near=tuple(scale * np.array(near)),
        far=tuple(scale * np.array(far)),
        skew_deg=skew_deg,
    )
    try:
        plain = worst_shares(seen, near_height_m=2.0, far_height_m=5.0)
    except OutOfRange:
        assume(False)
    other = worst_shares(mirrored, near_height_m=5.0, far_height_m=2.0)
    larger = worst_shares(scaled, near_height_m=2.0 * scale, far_height_m=5.0 * scale)
    assert (other.far, other.near, other.lift) == pytest.approx((plain.near, plain.far, plain.lift), rel=1e-7)
    assert larger.both == pytest.approx(plain.both, rel=1e-7)


def test_turning_the_whole_site_turns_nothing():
    """The same stations, area and flow, seen in a frame turned by 25 degrees."""
    plain = worst_shares(geometry(), **HEIGHTS)
    c, s = cos(radians(25.0)), sin(radians(25.0))

    def turned(places):
        x, y = np.moveaxis(np.asarray(places, dtype=float), -1, 0)
        return np.stack([x * c + y * s, -x * s + y * c], axis=-1)

    seen = geometry(
        shapely.transform(AREA, turned), near=turned((0.0, -12.0)), far=turned((40.0, -9.0)), skew_deg=25.0
    )
    again = worst_shares(seen, **HEIGHTS)
    assert again.both == pytest.approx(plain.both)
    assert again.near_place == pytest.approx(turned(plain.near_place))


@pytest.mark.parametrize(
    "area", [shapely.box(10, 10, 45, 20), shapely.box(10, -20, 30, 20), shapely.Point(20, -30)]
)
def test_an_area_that_cannot_be_held_has_no_greatest_tension(area):
    with pytest.raises(OutOfRange) as refusal:
        worst_shares(geometry(area), **HEIGHTS)
    assert str(refusal.value) == "work area: reaches where a bow line would have to push; no greatest tension"


@given(st.floats(100, 9000), st.floats(0.3, 4), st.floats(50, 2000))
def test_the_holding_speed_gives_its_tension_back(most_n, share, drag_per_speed2):
    speed = holding_speed_m_s(most_n=most_n, share=share, drag_per_speed2=drag_per_speed2)
    assert share * drag_per_speed2 * speed**2 == pytest.approx(most_n)


def test_without_drag_there_is_no_limit():
    assert holding_speed_m_s(most_n=1.0, share=0.6, drag_per_speed2=0.0) == inf


@pytest.mark.parametrize("angle_deg", [-1.0, 180.0, float("nan")])
def test_lines_that_cannot_share(angle_deg):
    with pytest.raises(OutOfRange) as refusal:
        on_axis_share(angle_deg)
    assert str(refusal.value) == f"angle_deg: got {angle_deg!r}; allowed 0 to under 180 degrees"


def by_every_edge(seen, heights):
    """Greatest shares with every edge looked at by itself: corners, and a scan as fine as it is slow."""
    way = np.linspace(0.0, 1.0, 4001)[:, np.newaxis, np.newaxis]
    start, end = seen.edges[:, 0], seen.edges[:, 1]
    places = (start + way * (end - start)).reshape(-1, 2)
    shares = tension_shares(seen, places, near_height_m=heights[0], far_height_m=heights[1])
    return shares.max(axis=0)


def test_many_waters_at_once_find_what_every_edge_by_itself_has():
    """Random outlines, heights from on the water to ten metres over it, in one call for all heights."""
    random = np.random.default_rng(11)
    heights = np.column_stack([np.linspace(0.0, 10.0, 5), np.linspace(8.0, 1.0, 5)])
    within = 0
    for _ in range(30):
        corners = random.uniform((2.0, -7.0), (38.0, 45.0), size=(random.integers(1, 7), 2))
        seen = geometry(shapely.convex_hull(shapely.multipoints(corners)), far=(40.0, -8.5))
        found = worst_shares_at(seen, heights)
        assert greatest_shares(seen, heights) == pytest.approx(np.array([one.both for one in found]))
        for one, height in zip(found, heights, strict=True):
            scanned = by_every_edge(seen, height)
            # the scan's places lie 1/8000 of an edge off at most, and what is greatest there is flat
            assert one.both == pytest.approx(scanned, rel=1e-6)
            assert one.near >= scanned[0] * (1.0 - 1e-12)
            assert one.far >= scanned[1] * (1.0 - 1e-12)
            for share, place, line in zip(one.both, one.places, (0, 1), strict=True):
                at = to_flow(place, skew_deg=0.0)
                over = {"near_height_m": height[0], "far_height_m": height[1]}
                assert tension_shares(seen, at, **over)[line] == pytest.approx(share)
                within += not np.isclose(seen.corners, at).all(axis=1).any()
    # the case that needs roots occurs
    assert within > 5
