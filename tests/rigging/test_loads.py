import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.rigging import Rope, TrackLine
from atlas.rigging.carriage import CarriageSetup, strand_pull
from atlas.rigging.loads import carriage_state


def setup(**changes):
    values = {
        "span_m": 42.0,
        "rise_m": 0.0,
        "near_tie_height_m": 3.0,
        "reach_m": 15.0,
        "weight_n_m": 1.02,
        "carriage_weight_n": 120.0,
        "ring_below_line_m": 0.3,
        "bow_ring_m": 0.3,
        "strand_least_m": 3.0,
    }
    return CarriageSetup(**(values | changes))


def state(site, **changes):
    values = {
        "at_m": np.linspace(4.0, 38.0, 9),
        "drag_n": 2000.0,
        "water_rise_m": 0.0,
        "pretension_n": 1500.0,
        "stiffness_n": 1.0e5,
        "seating_m": 0.0,
    }
    return carriage_state(site, **(values | changes))


def test_strands_are_the_drag_when_the_ring_is_at_the_bow():
    pull, down = strand_pull(
        drag_n=np.array([500.0]), ring_over_bow_m=np.array([0.0]), strand_m=np.array([10.0])
    )
    assert (pull[0], down[0]) == (500.0, 0.0)


def test_strands_by_hand():
    # 3 up, 4 out: the strands pull 5/4 of the drag, 3/4 of it down
    pull, down = strand_pull(
        drag_n=np.array([800.0]), ring_over_bow_m=np.array([3.0]), strand_m=np.array([4.0])
    )
    assert (pull[0], down[0]) == pytest.approx((1000.0, 600.0))


@settings(max_examples=40, deadline=None)
@given(
    span=st.floats(15, 120),
    drag=st.floats(0, 4000),
    set_n=st.floats(400, 3000),
    height=st.floats(1.5, 6),
    reach=st.floats(3, 40),
)
def test_the_boat_is_in_equilibrium_where_the_carriage_hangs(span, drag, set_n, height, reach):
    """The load on the line is the weight and the pull-down of the strands from that very height."""
    site = setup(span_m=span, near_tie_height_m=height, reach_m=reach)
    at = state(site, at_m=np.linspace(0.1, 0.9, 7) * span, drag_n=drag, pretension_n=set_n)
    ring = height + at.track.height_m - 0.3
    strand = np.maximum(reach - at.track.downstream_m, 3.0)
    down = 120.0 + drag * np.maximum(ring - 0.3, 0.0) / strand
    np.testing.assert_allclose(at.down_n, down, rtol=0, atol=1e-9 * (120.0 + drag))
    np.testing.assert_allclose(at.clearance_m, ring, atol=1e-12)


def test_track_line_gives_the_state_back():
    site = setup(rise_m=1.0)
    at = state(site, seating_m=0.15)
    line = TrackLine(
        span_m=42.0,
        rise_m=1.0,
        rope=Rope(strength_n=40e3, weight_n_m=1.02, stiffness_n=1.0e5),
        pretension_n=1500.0,
        seating_m=0.15,
    )
    again = line.loaded(at_m=np.linspace(4.0, 38.0, 9), downstream_n=at.downstream_n, down_n=at.down_n)
    np.testing.assert_allclose(again.tension_n, at.track.tension_n, rtol=1e-9)


def test_rising_water_flattens_the_strands():
    low, high = (state(setup(), water_rise_m=rise) for rise in (0.0, 1.0))
    assert np.all(high.down_n < low.down_n)
    assert np.all(high.clearance_m < low.clearance_m)


def test_a_nearer_boat_pulls_deeper():
    near, far = (state(setup(), strand_m=length) for length in (4.0, 20.0))
    assert np.all(near.clearance_m < far.clearance_m)


def test_mirrored_site_mirrors_the_state():
    here = state(setup(rise_m=1.0, near_tie_height_m=3.0))
    there = state(setup(rise_m=-1.0, near_tie_height_m=4.0))
    np.testing.assert_allclose(here.track.tension_n, there.track.tension_n[::-1], rtol=1e-7)
    np.testing.assert_allclose(here.track.along_n, -there.track.along_n[::-1], atol=1e-4)
    np.testing.assert_allclose(here.clearance_m, there.clearance_m[::-1], atol=1e-7)
