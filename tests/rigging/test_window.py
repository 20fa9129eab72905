from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from atlas.rigging.carriage import CarriageSetup
from atlas.rigging.closest_boat import closest_boat_m
from atlas.rigging.envelope import Conditions, clearance, tension, worst
from atlas.rigging.limit_speed import limit_speed
from atlas.rigging.limits import ForceLimit, clearance_needed_m
from atlas.rigging.loads import carriage_state
from atlas.rigging.window import PlanningWater, RopeBounds, pretension_window, tie_rise_that_opens

BOUNDS = RopeBounds(stiffness_n=100e3, low_n=75e3, high_n=133e3, seating_m=0.15)
LIMITS = (ForceLimit("factor", "rope", 34e3, 5.0), ForceLimit("capture", "device", 11e3, 1.0))
RULES = (("pretension_rule", 3996.0), ("pretension_strength", 4000.0))
PER_SPEED2 = np.array([0.0, 0.5 * 1000.0 * 0.30 * 1.5, 0.5 * 1000.0 * 0.831 * 1.25])


def site(span_m=42.0, height_m=3.5, **changes):
    values = {
        "span_m": span_m,
        "rise_m": 0.0,
        "near_tie_height_m": height_m,
        "reach_m": 15.0,
        "weight_n_m": 1.02,
        "carriage_weight_n": 120.0,
        "ring_below_line_m": 0.3,
        "bow_ring_m": 0.3,
        "strand_least_m": 3.0,
    }
    return CarriageSetup(**(values | changes))


def water(setup, speed, rise=0.0):
    return PlanningWater(
        drag_n=PER_SPEED2 * speed**2,
        water_rise_m=rise,
        clearance_needed_m=float(clearance_needed_m(base_m=0.9, speed_m_s=speed)),
        places_m=np.linspace(0.1, 0.9, 17) * setup.span_m,
    )


def dense(setup, quantity, at, **held):
    """Greatest of `quantity` on a grid of 801 places: the envelope's own grid has 17."""
    places = np.linspace(at.places_m[0], at.places_m[-1], 801)
    state = carriage_state(
        setup, at_m=places[None, :], drag_n=at.drag_n[:, None], water_rise_m=at.water_rise_m, **held
    )
    return float(quantity(state).max())


@settings(max_examples=25, deadline=None)
@given(span=st.floats(20, 90), height=st.floats(2.5, 7), speed=st.floats(0.8, 2.4))
def test_put_back_the_window_meets_its_limits(span, height, speed):
    setup = site(span, height)
    at = water(setup, speed)
    ends = pretension_window(setup, LIMITS, at, BOUNDS, rules=RULES)
    assume(ends.is_open)
    pulled = dense(setup, tension, at, pretension_n=ends.high_n, stiffness_n=BOUNDS.high_n, seating_m=0.0)
    assert pulled <= 34e3 / 5.0 * 1.001
    if ends.governed_by == "factor":
        assert pulled == pytest.approx(34e3 / 5.0, rel=1e-3)
    else:
        assert ends.high_n == 3996.0
    for stiffness in (BOUNDS.low_n, BOUNDS.high_n):
        hangs = -dense(setup, clearance, at, pretension_n=ends.low_n, stiffness_n=stiffness, seating_m=0.15)
        assert hangs >= at.clearance_needed_m - 1e-3


@settings(max_examples=20, deadline=None)
@given(span=st.floats(20, 70), height=st.floats(2.5, 6), speed=st.floats(0.8, 2.0))
def test_lower_ties_never_widen_the_window(span, height, speed):
    high, low = (
        pretension_window(s, LIMITS, water(s, speed), BOUNDS, rules=RULES)
        for s in (site(span, height), site(span, height - 0.5))
    )
    if low.is_open:
        assert high.is_open
        assert high.low_n <= low.low_n + 0.2


def test_the_capture_governs_where_it_is_weak():
    setup = site()
    weak = (LIMITS[0], ForceLimit("capture", "device", 5e3, 1.0))
    ends = pretension_window(setup, weak, water(setup, 2.0), BOUNDS, rules=RULES)
    assert ends.governed_by == "capture"


def test_upper_end_by_hand_where_drag_alone_counts():
    """Rope without weight pulled by P at mid-span: sin a = P / 2T, and its stretch closes the triangle:
    T0 = EA ((1 + T / EA) cos a - 1) (statics). The carriage's 120 N and the rope's own weight are left
    out of it: together under 1 % here.
    """
    setup = site(height_m=1.0, bow_ring_m=2.0)  # ring below the bow: no pull-down
    soft = RopeBounds(stiffness_n=100e3, low_n=100e3, high_n=100e3, seating_m=0.0)
    limits = (ForceLimit("capture", "device", 5e3, 1.0),)
    at = replace(water(setup, 2.0), clearance_needed_m=-50.0)
    ends = pretension_window(setup, limits, at, soft, rules=RULES)
    sine = float(at.drag_n[2]) / (2.0 * 5000.0)
    by_hand = 100e3 * ((1.0 + 0.05) * np.sqrt(1.0 - sine**2) - 1.0)
    assert ends.high_n == pytest.approx(by_hand, rel=0.01)


def test_too_fast_for_any_set_tension():
    setup = site()
    limits = (ForceLimit("capture", "device", 5e3, 1.0),)
    ends = pretension_window(setup, limits, water(setup, 3.5), BOUNDS, rules=RULES)
    assert (ends.low_n, ends.high_n, ends.governed_by) == (None, None, "capture")


def test_raised_ties_open_an_empty_window():
    setup = site(60.0, 1.5)
    at = water(setup, 1.8)
    ends = pretension_window(setup, LIMITS, at, BOUNDS, rules=RULES)
    assert not ends.is_open
    rise = tie_rise_that_opens(setup, at, BOUNDS, pretension_n=ends.high_n, rise_most_m=6.0)
    raised = replace(setup, near_tie_height_m=setup.near_tie_height_m + rise)
    assert pretension_window(raised, LIMITS, at, BOUNDS, rules=RULES).is_open
    lower = replace(setup, near_tie_height_m=setup.near_tie_height_m + rise - 0.01)
    assert not pretension_window(lower, LIMITS, at, BOUNDS, rules=RULES).is_open


def test_no_tie_height_opens_what_force_has_closed():
    setup = site(60.0, 1.5)
    assert tie_rise_that_opens(setup, water(setup, 1.8), BOUNDS, pretension_n=400.0, rise_most_m=0.2) is None


@settings(max_examples=20, deadline=None)
@given(span=st.floats(20, 80), height=st.floats(3, 7), set_n=st.floats(600, 2500))
def test_the_limit_speed_put_back_is_at_the_limit(span, height, set_n):
    setup = site(span, height)
    places = np.linspace(0.1, 0.9, 17) * span
    found = limit_speed(
        setup,
        LIMITS,
        BOUNDS,
        set_n=(set_n, 1.2 * set_n),
        drag_per_speed2=PER_SPEED2,
        water_rise_m=0.0,
        clearance_base_m=0.9,
        places_m=places,
        speed_most_m_s=4.5,
    )
    assume(found is not None)
    at = water(setup, found.speed_m_s)
    pulled = dense(setup, tension, at, pretension_n=1.2 * set_n, stiffness_n=BOUNDS.high_n, seating_m=0.0)
    hangs = min(
        -dense(setup, clearance, at, pretension_n=t, stiffness_n=k, seating_m=0.15)
        for t in (set_n, 1.2 * set_n)
        for k in (BOUNDS.low_n, BOUNDS.high_n)
    )
    assert pulled <= 6.8e3 * 1.001
    assert hangs >= at.clearance_needed_m * 0.999 - 1e-3
    if found.governed_by == "factor":
        assert pulled == pytest.approx(6.8e3, rel=1e-3)
    elif found.governed_by == "clearance":
        assert hangs == pytest.approx(at.clearance_needed_m, rel=1e-3, abs=1e-3)
    else:
        assert (found.governed_by, found.speed_m_s) == ("search_end", 4.5)


def test_outside_plan_in_still_water_has_no_limit_speed():
    setup = site(60.0, 1.0)
    found = limit_speed(
        setup,
        LIMITS,
        BOUNDS,
        set_n=(600.0, 700.0),
        drag_per_speed2=PER_SPEED2,
        water_rise_m=0.0,
        clearance_base_m=0.9,
        places_m=np.linspace(6, 54, 17),
        speed_most_m_s=4.5,
    )
    assert found is None


@pytest.mark.parametrize(
    ("span", "height", "speed"),
    [(40.0, 2.2, 1.8), (55.0, 2.6, 2.0), (70.0, 3.2, 1.6), (80.0, 3.6, 2.2), (62.0, 2.9, 2.4)],
)
def test_the_closest_boat_keeps_its_clearance_and_no_nearer_one_does(span, height, speed):
    setup = site(span, height)
    at = water(setup, speed)
    drag = float(at.drag_n[1])
    held = {"drag_n": drag, "water_rise_m": 0.0, "pretension_n": 1500.0, "clearance_least_m": 0.6}
    nearest = closest_boat_m(setup, BOUNDS, places_m=at.places_m, **held)
    assert nearest > 0.6

    def hangs(strand):
        conditions = Conditions(drag, 0.0, 1500.0, np.array([75e3, 133e3]), 0.15)
        return -worst(setup, clearance, conditions, places_m=at.places_m, strand_m=strand).value.max()

    assert hangs(nearest) >= 0.6
    assert hangs(nearest - 0.01) < 0.6


def test_the_envelope_finds_what_a_dense_grid_finds():
    setup = site(rise_m=2.0)
    at = water(setup, 1.9)
    conditions = Conditions(at.drag_n, 0.0, 1500.0, 133e3, 0.0)
    found = worst(setup, tension, conditions, places_m=at.places_m).value.max()
    fine = dense(setup, tension, at, pretension_n=1500.0, stiffness_n=133e3, seating_m=0.0)
    assert found == pytest.approx(fine, rel=1e-6)
