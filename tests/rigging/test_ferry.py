import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.rigging.carriage import CarriageSetup
from atlas.rigging.ferry import (
    StationPoint,
    haul_efficiency,
    least_dry_tension_n,
    leverage,
    tended_loads,
    toward,
)
from atlas.rigging.loads import carriage_state

NEAR, FAR, UP_DOWN = StationPoint(0.0, -8.0, 2.5), StationPoint(42.0, -8.0, 2.5), StationPoint(0.0, 8.0, 2.0)


def place(x, y, z):
    return {"x_m": np.array([x]), "y_m": np.array([y]), "z_m": np.array([z])}


def test_the_way_to_a_station():
    # 3 across, 4 up the river, 12 down the bank: 13 away
    station = StationPoint(x_m=3.0, y_m=-4.0, z_m=-12.0)
    x, y, z, distance = (float(value[0]) for value in toward(station, **place(0.0, 0.0, 0.0)))
    assert (x, y, z, distance) == pytest.approx((3 / 13, -4 / 13, -12 / 13, 13.0))
    assert leverage(station, **place(0.0, 0.0, 0.0))[0] == pytest.approx(3 / 13)


def test_leverage_is_lost_near_the_line_s_own_bank():
    places = np.linspace(0.5, 41.5, 83)
    at = {"x_m": places, "y_m": np.full(83, 4.0), "z_m": np.full(83, 2.0)}
    near, far = leverage(NEAR, **at), leverage(FAR, **at)
    assert np.all(np.diff(near) > 0.0)
    assert np.all(np.diff(far) < 0.0)
    np.testing.assert_allclose(near, far[::-1])


def test_dry_by_the_textbook_parabola():
    """Level ends a over the water: w L^2 / 8 a (a cable under its weight as a parabola)."""
    found = least_dry_tension_n(
        weight_n_m=0.8,
        distance_m=np.array([40.0]),
        station_over_water_m=np.array([2.0]),
        carriage_over_water_m=np.array([2.0]),
    )
    assert found[0] == pytest.approx(0.8 * 40.0**2 / (8.0 * 2.0))


@given(a=st.floats(0.2, 6.0), b=st.floats(0.2, 6.0), length=st.floats(5.0, 80.0))
def test_dry_just_touches_the_water(a, b, length):
    """The parabola with that tension through both ends has its lowest point on the water."""
    tension = least_dry_tension_n(
        weight_n_m=0.8,
        distance_m=np.array([length]),
        station_over_water_m=np.array([a]),
        carriage_over_water_m=np.array([b]),
    )[0]
    # z = a + s x + w x^2 / 2 T with z(length) = b; its lowest is a - s^2 T / 2 w
    slope = (b - a) / length - 0.8 * length / (2.0 * tension)
    assert a - slope**2 * tension / (2.0 * 0.8) == pytest.approx(0.0, abs=1e-9 * (a + b + 1.0))


def test_losses_of_the_up_down_line():
    # through the low pulley and the bow pulley of 0.80 each: 0.80 + 0.64 of the pull comes to the boat
    assert haul_efficiency(bow_strands=2, pulley_efficiency=0.80) == pytest.approx(1.44)
    assert haul_efficiency(bow_strands=1, pulley_efficiency=0.80) == pytest.approx(0.80)
    assert haul_efficiency(bow_strands=2, pulley_efficiency=1.0) == 2.0


@pytest.mark.parametrize("skew_deg", [-20.0, 25.0])
def test_the_ferry_lines_give_what_the_track_line_asks_along_itself(skew_deg):
    setup = CarriageSetup(
        span_m=42.0, rise_m=0.5, near_tie_height_m=3.5, reach_m=16.0, weight_n_m=1.02,
        carriage_weight_n=120.0, ring_below_line_m=0.3, bow_ring_m=0.3, strand_least_m=3.0,
    )  # fmt: skip
    at = np.linspace(6.0, 36.0, 13)
    state = carriage_state(
        setup, at_m=at, drag_n=1700.0, water_rise_m=0.6, pretension_n=1500.0, stiffness_n=1e5, seating_m=0.0
    )
    loads = tended_loads(
        setup, state, at_m=at, water_rise_m=np.array(0.6), ferry_near=NEAR, ferry_far=FAR, up_down=UP_DOWN,
        skew_deg=skew_deg, bow_strands=2, pulley_efficiency=0.8, ferry_weight_n_m=0.8,
    )  # fmt: skip
    ring = {"x_m": at, "y_m": state.track.downstream_m, "z_m": 3.2 + state.track.height_m}
    working = state.strand_n / 2.0
    along = state.track.along_n - 1700.0 * np.sin(np.radians(skew_deg)) - working * toward(UP_DOWN, **ring)[0]
    near_gives, far_gives = (
        loads.ferry_near_n * leverage(NEAR, **ring),
        loads.ferry_far_n * leverage(FAR, **ring),
    )
    # where one line works the other is let to its least: what is asked is met, or the line is merely dry
    working_far, working_near = along > 60.0, along < -60.0
    assert (
        working_near if skew_deg > 0.0 else working_far
    ).any()  # a flow toward the far bank asks the near line
    np.testing.assert_allclose(far_gives[working_far], along[working_far], rtol=1e-9)
    np.testing.assert_allclose(near_gives[working_near], -along[working_near], rtol=1e-9)
    np.testing.assert_allclose(loads.up_down_hold_n, working)
    np.testing.assert_allclose(loads.up_down_haul_n, state.strand_n / 1.44)
    assert np.all(loads.ferry_near_n > 0.0)
    assert np.all(loads.ferry_far_n > 0.0)
