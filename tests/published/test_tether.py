"""A boat on two lines against a rescue table, a textbook's hull in a test channel, and a force table."""

from math import cos, hypot, radians, sin, tan

import numpy as np
import pytest
import shapely

from atlas.rigging.ferry import StationPoint
from atlas.rigging.tether_depth import station_depth
from atlas.rigging.tether_geometry import TetherGeometry, included_angle_deg, tether_geometry, to_flow
from atlas.rigging.tether_loads import on_axis_share, tension_shares, worst_shares
from atlas.settings import load_settings
from atlas.water import drag_n

FT = 0.3048  # exact, NIST SP 811 (value from memory)
LBF = 4.4482216152605
MPH = 0.44704
LEVEL = {"near_height_m": 0.0, "far_height_m": 0.0}


def on_axis(angle_deg, *, half_m=20.0) -> TetherGeometry:
    """A boat midway between level stations that it sees under an angle, at the origin."""
    up = half_m / tan(radians(angle_deg / 2))
    return tether_geometry(
        StationPoint(-half_m, -up, 0.0), StationPoint(half_m, -up, 0.0), shapely.Point(0.0, 0.0), skew_deg=0.0
    )


@pytest.mark.parametrize(("angle_deg", "load_lb"), [(30, 52), (60, 58), (90, 71), (120, 100), (150, 193)])
def test_load_of_each_anchor_by_included_angle(angle_deg, load_lb):
    """Rescue handbook table (read): load on each anchor of 100 lb between them; printed to 1 lb.

    From the equilibrium of the boat, not from the formula of the axis, which is held to the table too.
    """
    boat = on_axis(angle_deg)
    assert float(included_angle_deg(boat, [0.0, 0.0])) == pytest.approx(angle_deg)
    assert 100 * tension_shares(boat, [0.0, 0.0], **LEVEL) == pytest.approx([load_lb, load_lb], abs=1)
    assert 100 * float(on_axis_share(angle_deg)) == pytest.approx(load_lb, abs=1)


def test_a_hull_held_in_a_test_channel():
    """Beer & Johnston, Vector Mechanics: Statics, sample problem 2.6 (figures read in public copies).

    A hull's bow is held by cables AB (7 ft across, 4 ft up), AC (1.5 ft across, 4 ft up) and AE with 60 lb;
    AB carries 40 lb. Printed: drag 19.66 lb, AC 42.9 lb. Drag and AE together are one load, from whose
    direction the flow here is taken to come. AC is printed to a tenth, and the drag from that: a hundredth or
    two of a pound off the exact 19.67, and AB with it.
    """
    drag_lb, ae_lb = 19.66, 60.0
    load_lb = hypot(drag_lb, ae_lb)
    # y along AE; the drag pulls toward C's side. The near station is B, the far one C
    skew_deg = float(np.degrees(np.arctan2(drag_lb, ae_lb)))
    hull = tether_geometry(
        StationPoint(-7 * FT, -4 * FT, 0.0),
        StationPoint(1.5 * FT, -4 * FT, 0.0),
        shapely.Point(0.0, 0.0),
        skew_deg=skew_deg,
    )
    ab_lb, ac_lb = load_lb * tension_shares(hull, to_flow([0.0, 0.0], skew_deg=skew_deg), **LEVEL)
    assert ab_lb == pytest.approx(40.0, abs=0.02)
    assert ac_lb == pytest.approx(42.9, abs=0.05)


@pytest.mark.parametrize(("speed_mph", "force_lb"), [(3, 168), (6, 672), (9, 1512), (12, 2688)])
def test_at_120_degrees_each_line_carries_the_whole_swamped_boat(speed_mph, force_lb):
    """River-rescue textbook table, credited to Ohio DNR, Division of Watercraft (read; credit from memory).

    At 120 degrees each line carries all the drag (the handbook table's 100 lb of 100); the drag area is the
    policy's, which fits the force table within 0.4 %.
    """
    area = load_settings().policy.values.cases["boat-swamped"].area
    drag = float(drag_n(area_cd_m2=area, speed_m_s=speed_mph * MPH, density_kg_m3=1000.0))
    worst = worst_shares(on_axis(120.0), **LEVEL)
    assert [drag * share / LBF for share in worst.both] == pytest.approx([force_lb, force_lb], rel=4e-3)


@pytest.mark.parametrize(("seen_deg", "centre_deg"), [(30, 60), (45, 90), (60, 120), (75, 150)])
def test_an_angle_at_the_bow_is_half_of_that_at_the_centre(seen_deg, centre_deg):
    """Euclid, Elements III.20 (from memory): exact. The depth for an angle puts the bow on that circle.

    A bow midway, as deep as asked for; the circle through both stations and the bow is found by its centre.
    """
    deep = tether_geometry(
        StationPoint(-20.0, -200.0, 0.0),
        StationPoint(20.0, -200.0, 0.0),
        shapely.Point(0.0, 0.0),
        skew_deg=0.0,
    )
    depth = station_depth(deep, angle_most_deg=seen_deg).needed_m
    # equal distances: (depth - c)^2 = 20^2 + c^2, c the centre downriver of the stations
    centre = (depth**2 - 20.0**2) / (2 * depth)
    one = np.array([-20.0, -centre]) / hypot(20.0, centre)
    assert one @ (one * [-1, 1]) == pytest.approx(cos(radians(centre_deg)), abs=1e-9)
    assert hypot(20.0, centre) == pytest.approx(20.0 / sin(radians(seen_deg)))
