"""Parts that others stand on: questions solved together, shores, rising water, outlines of work areas."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from atlas.rigging.asked import Asked, together
from atlas.rigging.carriages import carriages_at, carriages_of
from atlas.rigging.ferry import StationPoint
from atlas.rigging.rising import RisingWater, way_of
from atlas.rigging.setups import Of, table_of
from atlas.rigging.shores import Shores
from atlas.rigging.tether_depth import across_margin_m
from atlas.rigging.tether_geometry import tether_geometry, with_shape

TIMES = st.floats(0.4, 2.5)


def test_questions_solved_together_are_answered_as_alone(maker):
    """Two sets with places of their own, and both after each other."""
    sites = maker.drawn(91, 6)
    table = table_of(sites)
    given_asked = {
        "water_rise_m": 0.2, "clearance_m": 1.0, "set_n": 1500.0, "stiffness_n": 9e4, "seating_m": 0.1,
    }  # fmt: skip
    sets = [
        Asked.of(site=np.arange(6), whole=True, drag_n=1200.0, **given_asked),
        Asked.of(site=np.arange(3)[:, np.newaxis], whole=[True, False], drag_n=800.0, **given_asked),
    ]
    span = [table[Of.SPAN, asked.site][:, np.newaxis] for asked in sets]
    places = [span[0] * np.array([0.3, 0.5, 0.7]), span[1] * np.array([0.4, 0.6])]
    found = carriages_of(table, list(zip(sets, places, strict=True)))
    for state, asked, at in zip(found, sets, places, strict=True):
        alone = carriages_at(table, asked, at)
        np.testing.assert_allclose(state.rows, alone.rows, rtol=1e-8, atol=1e-6)
        np.testing.assert_array_equal(state.unstretched_m, alone.unstretched_m)
    assert together(sets).count == sum(asked.count for asked in sets)


def shores(k=1.0):
    return Shores(
        near_edge_m=k * np.array([3.0]),
        far_edge_m=k * np.array([39.0]),
        width_m=k * np.array([36.0]),
        span_m=k * np.array([42.0]),
        levered_from_m=k * np.array([5.0]),
        levered_to_m=k * np.array([36.5]),
    )


SITE = np.array([0])


@given(TIMES, st.floats(20.0, 41.0))
def test_shores_scale_and_give_each_bank_half(times, width):
    here, there = shores(), shores(times)
    for one, other in zip(
        (*here.setbacks(SITE, np.array([width])), *here.edges(SITE, np.array([width]))),
        (*there.setbacks(SITE, np.array([times * width])), *there.edges(SITE, np.array([times * width]))),
        strict=True,
    ):
        np.testing.assert_allclose(other, times * one, rtol=1e-9, atol=1e-12)
    near, far = here.setbacks(SITE, np.array([width]))
    # tie point to tie point, whatever the width
    assert float(near[0] + width + far[0]) == pytest.approx(42.0)
    assert float(near[0] - far[0]) == pytest.approx(0.0)


def test_the_carriage_s_travel_grows_with_the_water_up_to_its_leverage():
    widths = np.linspace(10.0, 41.0, 60)
    from_m, to_m = shores().travel(np.zeros(60, dtype=int), widths)
    assert np.all(np.diff(from_m) <= 0.0)
    assert np.all(np.diff(to_m) >= 0.0)
    assert (from_m[-1], to_m[-1]) == (5.0, 36.5)
    assert float(to_m[0] - from_m[0]) == pytest.approx(10.0)


@given(
    st.lists(st.floats(0.0, 3.0), min_size=2, max_size=6),
    st.lists(st.floats(0.5, 4.0), min_size=6, max_size=6),
)
def test_a_way_never_goes_back_and_water_along_it_is_its_nodes(rises, speeds):
    rise, speed = np.sort(np.array(rises)), np.array(speeds[: len(rises)])
    way = way_of(rise, speed)
    assert way[0] == 0.0
    assert np.all(np.diff(way) >= 0.0)
    # water that stands still with its speed is no way at all; a lift of the gauge's zero changes nothing
    np.testing.assert_array_equal(way_of(np.full(3, 1.0), np.full(3, 2.0)), 0.0)
    np.testing.assert_allclose(way_of(rise + 7.0, speed), way, rtol=0, atol=1e-12)
    width = 30.0 + 4.0 * rise
    water = RisingWater(way[np.newaxis], rise[np.newaxis], speed[np.newaxis], width[np.newaxis])
    beyond = np.concatenate([way, [way[-1] + 5.0]])
    found = water.at(np.zeros(beyond.size, dtype=int), beyond)
    alone = np.concatenate([np.diff(way) > 1e-9, [True]]) & np.concatenate([[True], np.diff(way) > 1e-9])
    for told, nodes in zip(found, (rise, speed, width), strict=True):
        np.testing.assert_allclose(told[:-1][alone], nodes[alone], rtol=0, atol=1e-6)
        assert float(told[-1]) == pytest.approx(float(nodes[-1]))


AREA = shapely.Polygon([(12.0, 8.0), (30.0, 10.0), (26.0, 24.0), (14.0, 20.0)])
NEAR, FAR = StationPoint(0.0, -10.0, 3.0), StationPoint(42.0, -8.0, 3.5)


def test_room_beside_the_stations_scales_and_mirrors():
    def margin(area, near, far, k=1.0):
        points = [StationPoint(k * one.x_m, k * one.y_m, one.z_m) for one in (near, far)]
        shape = shapely.transform(area, lambda xy: k * xy)
        return across_margin_m(tether_geometry(*points, shape, skew_deg=0.0))

    # 12 m from the near station's line of flow, 12 m from the far one's
    assert margin(AREA, NEAR, FAR) == pytest.approx(12.0)
    assert margin(AREA, NEAR, FAR, 2.5) == pytest.approx(30.0)
    flipped = shapely.transform(AREA, lambda xy: np.column_stack([42.0 - xy[:, 0], xy[:, 1]]))
    turned = [StationPoint(42.0 - one.x_m, one.y_m, one.z_m) for one in (FAR, NEAR)]
    assert margin(flipped, *turned) == pytest.approx(12.0)
    assert margin(shapely.box(-3.0, 5.0, 10.0, 9.0), NEAR, FAR) == pytest.approx(-3.0)


def test_another_work_area_for_the_same_stations_is_that_of_a_new_site():
    there = shapely.box(10.0, 5.0, 20.0, 15.0)
    one = with_shape(tether_geometry(NEAR, FAR, AREA, skew_deg=0.0), there)
    other = tether_geometry(NEAR, FAR, there, skew_deg=0.0)
    np.testing.assert_allclose(one.near, other.near)
    assert one.shape.equals(other.shape)
    assert {tuple(corner) for corner in one.corners} == {tuple(corner) for corner in other.corners}
    assert across_margin_m(one) == across_margin_m(other)


def test_raised_stations_leave_the_plan_as_it_is():
    one, other = (
        tether_geometry(replace(NEAR, z_m=height), FAR, AREA, skew_deg=12.0) for height in (2.0, 9.0)
    )
    np.testing.assert_array_equal(one.near, other.near)
    np.testing.assert_array_equal(one.edges, other.edges)
