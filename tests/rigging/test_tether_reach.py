"""Reachable water: the band of closed forms against a brute grid of forces and angles."""

from math import cos, inf, radians, sin

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from atlas.rigging.ferry import StationPoint
from atlas.rigging.reachable_water import reach_of
from atlas.rigging.tether_geometry import tether_geometry, to_flow, worst_angle
from atlas.rigging.tether_loads import worst_shares
from atlas.rigging.tether_reach import HoldLimits, can_hold, holding_part, tether_water

BOX = shapely.box(-15.0, -25.0, 60.0, 55.0)
STATIONS = {"near": (0.0, -12.0), "far": (40.0, -5.0)}


def geometry(area=BOX, *, near=STATIONS["near"], far=STATIONS["far"], skew_deg=0.0):
    # the areas here reach round the stations: a box with the stations' own ground cut out
    ground = shapely.MultiPoint([near, far]).buffer(1.5)
    return tether_geometry(
        StationPoint(*near, 2.0), StationPoint(*far, 3.2), area.difference(ground), skew_deg=skew_deg
    )


def grid(count=150):
    xs, ys = np.meshgrid(np.linspace(-15.0, 60.0, count), np.linspace(-25.0, 55.0, count))
    return np.stack([xs.ravel(), ys.ravel()], axis=-1)


def forces(places, limits, *, near, far, skew_deg):
    """Brute: tensions over drag, two forces solved at each place, and the angle by its cosine."""
    runs = np.stack([np.subtract(near, places), np.subtract(far, places)], axis=-1)
    flat = np.linalg.norm(runs, axis=1)
    units = runs / flat[:, None, :]
    drag = -np.array([sin(radians(skew_deg)), cos(radians(skew_deg))])
    pulls = np.linalg.solve(units, np.broadcast_to(drag, places.shape)[..., None])[..., 0]
    slant = np.hypot(flat, [limits.near_height_m, limits.far_height_m]) / flat
    angle = np.degrees(np.arccos(np.clip(units[:, :, 0] * units[:, :, 1], -1, 1).sum(axis=1).clip(-1, 1)))
    return pulls * slant, angle


def held_by_force(places, limits, *, near, far, skew_deg):
    """Brute: none of the code's own formulas."""
    tensions, angle = forces(places, limits, near=near, far=far, skew_deg=skew_deg)
    most = [limits.near_share, limits.far_share]
    return (tensions > 0.0).all(axis=1) & (tensions <= most).all(axis=1) & (angle <= limits.angle_most_deg)


def all_limits():
    share = st.one_of(st.just(inf), st.floats(0.3, 3.0))
    return st.builds(
        HoldLimits,
        near_height_m=st.floats(-1, 8),
        far_height_m=st.floats(-1, 8),
        angle_most_deg=st.floats(60, 150),
        near_share=share,
        far_share=share,
    )


@settings(max_examples=25, deadline=None)
@given(all_limits(), st.floats(-30, 30), st.floats(-20, 10))
def test_water_and_mask_against_a_brute_grid(limits, skew_deg, far_y):
    """The mask is the brute one; the drawn water differs from it only close along its outline."""
    near, far = (0.0, -12.0), (40.0, far_y)
    seen = geometry(near=near, far=far, skew_deg=skew_deg)
    places = grid(60) + np.array([0.0037, 0.0019])  # on no line of the drawing
    brute = held_by_force(places, limits, near=near, far=far, skew_deg=skew_deg)
    mask = can_hold(seen, to_flow(places, skew_deg=skew_deg), limits)
    water = tether_water(seen, limits)
    drawn = shapely.contains_xy(water, places[:, 0], places[:, 1])
    counted = shapely.contains_xy(BOX, places[:, 0], places[:, 1])
    assert (mask == brute).all()
    # an eighth of a metre is a column and a half of the drawing
    along_outline = shapely.distance(shapely.boundary(water), shapely.points(places)) < 0.12
    differs = counted & (drawn != brute)
    assert not (differs & ~along_outline).any() or water.is_empty
    if water.is_empty:
        assert brute[counted].mean() < 0.01


@pytest.mark.parametrize("skew_deg", [-25.0, 0.0, 15.0])
@pytest.mark.parametrize("share", [0.7, 1.0, 1.8, inf])
def test_the_share_of_an_area_against_counted_places(share, skew_deg):
    area = shapely.Polygon([(2, -8), (38, -4), (36, 40), (20, 50), (5, 30)])
    limits = HoldLimits(1.7, 2.9, 120.0, near_share=share, far_share=share)
    seen = geometry(area, skew_deg=skew_deg)
    places = grid(500)
    inside = places[shapely.contains_xy(area, places[:, 0], places[:, 1])]
    counted = held_by_force(inside, limits, skew_deg=skew_deg, **STATIONS).mean()
    found = reach_of(area, tether_water(seen, limits)).share
    # 60 000 places: a count is right to a few parts in ten thousand along the outline
    assert found == pytest.approx(counted, abs=2e-3)
    assert 0.0 < found < 1.0


def test_all_of_an_area_that_serves_is_reachable():
    area = shapely.box(10.0, 14.0, 30.0, 30.0)
    seen = geometry(area)
    assert worst_angle(seen).angle_deg < 120.0
    worst = worst_shares(seen, near_height_m=1.7, far_height_m=2.9)
    just = HoldLimits(1.7, 2.9, 120.0, near_share=worst.near * 1.001, far_share=worst.far * 1.001)
    assert reach_of(area, tether_water(seen, just)).share == pytest.approx(1.0, abs=1e-9)
    # and a line that may carry a hair less than the worst loses just that corner
    less = HoldLimits(1.7, 2.9, 120.0, near_share=worst.near * 0.99, far_share=worst.far)
    reach = reach_of(area, tether_water(seen, less))
    assert 0.97 < reach.share < 1.0
    assert not shapely.intersects(reach.ground, shapely.Point(worst.near_place))


def test_a_line_that_may_carry_less_than_its_part_holds_between_two_depths():
    """Own station deep downriver of the other: the tension falls, and rises again toward D b / W."""
    near, far = (0.0, 10.0), (40.0, -30.0)
    seen = geometry(shapely.box(-5.0, -40.0, 45.0, 900.0), near=near, far=far)
    limits = HoldLimits(0.0, 0.0, 150.0, near_share=0.72)
    # on this line of flow the near line's share: least 0.67 some way down, 0.75 at the end
    column = np.stack([np.full(9000, 10.0), np.linspace(10.0, 899.0, 9000)], axis=-1)
    brute = held_by_force(column, limits, near=near, far=far, skew_deg=0.0)
    drawn = shapely.contains_xy(tether_water(seen, limits), column[:, 0], column[:, 1])
    assert brute.any()
    assert not brute[-1]
    assert np.flatnonzero(drawn)[[0, -1]] == pytest.approx(np.flatnonzero(brute)[[0, -1]], abs=20)


@settings(max_examples=30, deadline=None)
@given(all_limits(), st.floats(0.5, 0.95))
def test_more_drag_never_reaches_more(limits, factor):
    assume(np.isfinite(limits.near_share) or np.isfinite(limits.far_share))
    harder = HoldLimits(
        limits.near_height_m,
        limits.far_height_m,
        limits.angle_most_deg,
        limits.near_share * factor,
        limits.far_share * factor,
    )
    seen = geometry()
    plain, less = tether_water(seen, limits), tether_water(seen, harder)
    assert less.difference(plain).area < 1e-3 * plain.area + 1e-6


def test_mirrored_water_is_the_mirror_of_the_water():
    limits = HoldLimits(1.0, 4.0, 110.0, near_share=0.8, far_share=1.1)
    mirrored = HoldLimits(4.0, 1.0, 110.0, near_share=1.1, far_share=0.8)
    water = tether_water(geometry(skew_deg=12.0), limits)
    other = tether_water(
        geometry(shapely.box(-60.0, -25.0, 15.0, 55.0), near=(-40.0, -5.0), far=(0.0, -12.0), skew_deg=-12.0),
        mirrored,
    )
    back = shapely.transform(other, lambda places: places * [-1.0, 1.0])
    assert water.symmetric_difference(back).area < 1e-6 * water.area


def test_a_point_is_reached_or_not():
    limits = HoldLimits(1.7, 2.9, 120.0)
    for place, share in (((20.0, 20.0), 1.0), ((20.0, -6.0), 0.0)):
        point = shapely.Point(place)
        assert reach_of(point, tether_water(geometry(point), limits)).share == share


def test_the_part_that_can_be_held_has_a_greatest_tension():
    """An area that reaches past the stations and over their line keeps what is left of it."""
    limits = HoldLimits(0.0, 0.0, 120.0)
    seen = geometry(shapely.box(-15.0, -25.0, 60.0, 40.0))
    part = holding_part(seen, limits)
    assert worst_angle(part).angle_deg == pytest.approx(120.0, abs=0.05)
    worst = worst_shares(part, near_height_m=0.0, far_height_m=0.0)
    places = grid(400)
    places = places[(places[:, 1] < 40.0) & held_by_force(places, limits, skew_deg=0.0, **STATIONS)]
    brute = forces(places, limits, skew_deg=0.0, **STATIONS)[0].max(axis=0)
    # the worst lies close by the angle's circle, which a grid of 19 cm comes near
    assert (brute <= np.array(worst.both) * (1 + 1e-3)).all()
    assert (brute >= np.array(worst.both) * 0.97).all()


def test_nothing_to_hold_is_none():
    assert holding_part(geometry(shapely.box(10.0, -24.0, 30.0, -16.0)), HoldLimits(0.0, 0.0, 120.0)) is None
