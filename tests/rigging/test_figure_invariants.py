"""Figures that crews use, each by a limit and by what must not change: scaled, turned, mirrored."""

from dataclasses import replace
from math import pi

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from atlas.rigging.anchors import assumed_hold_n, hold_needed_n
from atlas.rigging.decisions import rise_to_stop_m, time_left_s
from atlas.rigging.drift import drift_to, flow_coordinates
from atlas.rigging.hand_over import hand_over_bow_m, hand_over_pull_n
from atlas.rigging.haul import choose_haul, ideal_advantage, real_advantage
from atlas.rigging.limits import (
    clearance_needed_m,
    kept_strength,
    least_rule,
    set_tension_rules,
    velocity_head_m,
)
from atlas.rigging.lines import ferry_line, launch_line, messenger_line, track_line, up_down_line, with_spare
from atlas.rigging.no_go_ground import behind_anchor, bight_ground, no_go_ground, swept_by_line
from atlas.rigging.posts_in_time import last_catch_m, spotter_distance_m, throw_windows
from atlas.rigging.pulse import pulse_s, pulse_window
from atlas.rigging.reachable_water import boat_places_m, mesh_ground, reach_of
from atlas.rigging.rope import (
    stiffness_bounds_from_10pct,
    stiffness_bounds_from_50_150kg,
    stiffness_from_10pct,
    stiffness_from_50_150kg,
)
from atlas.rigging.rope_net import Net, elongations, settle_net
from atlas.rigging.segment import hang_segment, segment_height_m, unstretched_for_tension_m
from atlas.rigging.slack_budget import Catch, slack_budget_m
from atlas.rigging.states import unloaded_height_m, unstretched_length_m

TIMES = st.floats(0.3, 4.0)
SYSTEMS = ["2:1", "3:1", "4:1", "6:1", "9:1"]

# ---- lengths of lines


def lines_of(k, **none):
    """Every line with all lengths k times as long; `none` sets parts to nothing."""
    spare = {"spare_fraction": none.get("spare_fraction", 0.1), "spare_least_m": none.get("spare", 3.0) * k}
    tail = none.get("tail", 1.0) * k
    return (
        track_line(
            chord_m=40.0 * k, wraps=4.0, far_anchor_diameter_m=none.get("wrap", 0.5) * k,
            rope_diameter_m=none.get("wrap", 0.5) * 0.025 * k, far_tail_m=2.0 * tail, haul_advantage=3,
            throw_m=3.0 * tail, near_tail_m=3.0 * tail, **spare,
        ),
        ferry_line(station_to_carriage_m=45.0 * k, tail_m=6.0 * tail, width_m=36.0 * k, **spare),
        up_down_line(
            station_to_carriage_m=38.0 * k, bow_strands=2, reach_m=15.0 * k, ring_over_bow_m=2.0 * k,
            tail_m=6.0 * tail, width_m=36.0 * k, **spare,
        ),
        messenger_line(span_m=40.0 * k, tail_m=5.0 * tail, **spare),
        launch_line(throw_m=44.0 * k, arc=1.148, span_m=40.0 * k, **spare),
    )  # fmt: skip


@given(TIMES)
def test_lines_scale_with_the_river(times):
    for one, other in zip(lines_of(1.0), lines_of(times), strict=True):
        assert other.needed_m == pytest.approx(times * one.needed_m)
        assert other.floor_m == pytest.approx(times * one.floor_m)
        for part, larger in zip(one.parts, other.parts, strict=True):
            assert (larger.part, larger.length_m) == (part.part, pytest.approx(times * part.length_m))


def test_without_tails_wraps_and_spare_a_line_is_its_way():
    track, ferry, up_down, messenger, launch = lines_of(
        1.0, tail=0.0, wrap=0.0, spare=0.0, spare_fraction=0.0
    )
    assert track.needed_m == track.floor_m == 40.0
    assert ferry.needed_m == 45.0
    assert 38.0 + 2.0 * np.hypot(15.0, 2.0) < up_down.needed_m == up_down.floor_m == 72.0
    assert messenger.needed_m == messenger.floor_m == 80.0
    assert launch.needed_m == pytest.approx(44.0 * 1.148)


@given(st.lists(st.floats(0.0, 50.0), min_size=1, max_size=5), st.floats(0.0, 0.5), st.floats(0.0, 10.0))
def test_spare_does_not_ask_for_the_order_of_the_parts(lengths, fraction, least):
    part = type(lines_of(1.0)[0].parts[0])
    parts = [part(str(number), length) for number, length in enumerate(lengths)]
    both = [
        with_spare(list(some), floor_m=60.0, spare_fraction=fraction, spare_least_m=least)
        for some in (parts, parts[::-1])
    ]
    assert both[0].needed_m == pytest.approx(both[1].needed_m)
    assert both[0].needed_m == pytest.approx(max(60.0, sum(lengths) + max(fraction * sum(lengths), least)))


def test_wraps_are_so_many_turns():
    """A turn is the way of the rope's own middle: pi (anchor + rope)."""
    none, one = (
        track_line(
            chord_m=40.0, wraps=wraps, far_anchor_diameter_m=0.5, rope_diameter_m=0.0125, far_tail_m=0.0,
            haul_advantage=3, throw_m=0.0, near_tail_m=0.0, spare_fraction=0.0, spare_least_m=0.0,
        ).needed_m
        for wraps in (0.0, 1.0)
    )  # fmt: skip
    assert one - none == pytest.approx(2.0 * pi * (0.25 + 0.00625))


# ---- hauls, rules, strengths


@given(TIMES, st.floats(300.0, 3000.0), st.floats(1.0, 4.0))
def test_stronger_people_and_a_stronger_window_choose_the_same_haul(times, low, ratio):
    def chosen(k):
        return choose_haul(
            SYSTEMS, window_n=(k * low, k * low * ratio), rule_most_n=4000.0 * k, people_most=3,
            pull_per_person_n=222.0 * k, pulley_efficiency=0.8,
        )  # fmt: skip

    one, other = chosen(1.0), chosen(times)
    assert (other.system, other.people, other.fits) == (one.system, one.people, one.fits)
    assert other.most_n == pytest.approx(times * one.most_n)


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_haul_whose_pulleys_pass_on_nothing_is_one_pull(system):
    assert real_advantage(system, pulley_efficiency=1e-12) == pytest.approx(1.0)
    assert ideal_advantage(system) == int(system.partition(":")[0])


@given(TIMES, st.floats(0.009, 0.014))
def test_rules_on_set_tension_scale_with_people_and_rope(times, diameter):
    def rules(k):
        return set_tension_rules(
            diameter_m=diameter, strength_n=40e3 * k, rule_of_12=12.0, rule_of_18=18.0,
            rule_of_18_from_m=0.0125, pull_per_person_n=222.0 * k, fraction_of_strength=0.10,
        )  # fmt: skip

    one, other = rules(1.0), rules(times)
    assert dict(other) == pytest.approx({code: times * most for code, most in one})
    assert least_rule(one[::-1]) == least_rule(one)


def test_strength_kept_needs_no_order_and_loses_nothing_of_nothing():
    assert kept_strength(wet=0.85, end=0.8) == kept_strength(wet=0.8, end=0.85)
    assert kept_strength(wet=1.0, end=1.0) == 1.0


@given(st.floats(0.0, 6.0), TIMES)
def test_waves_scale_as_froude_has_them(speed, times):
    """Speeds by the root of the lengths: the river drawn larger."""
    head = velocity_head_m(speed)
    assert velocity_head_m(np.sqrt(times) * speed) == pytest.approx(times * head, abs=1e-12)
    one = clearance_needed_m(base_m=0.9, speed_m_s=speed)
    assert clearance_needed_m(base_m=0.9 * times, speed_m_s=np.sqrt(times) * speed) == pytest.approx(
        times * one
    )


@given(TIMES, st.floats(0.0, 20e3))
def test_what_is_asked_of_an_anchor_scales_with_load_and_least(times, load):
    one = hold_needed_n(load_n=load, ratio=4.0, least_n=20e3)
    assert hold_needed_n(load_n=times * load, ratio=4.0, least_n=times * 20e3) == pytest.approx(times * one)
    held = assumed_hold_n(size_m=0.3, of_size_squared_n_m2=450e3, most_n=90e3, size_least_m=0.25)
    larger = assumed_hold_n(
        size_m=0.3 * times, of_size_squared_n_m2=450e3, most_n=90e3 * times**2, size_least_m=0.25 * times
    )
    assert larger == pytest.approx(times**2 * held)


@given(TIMES, st.floats(0.005, 0.1))
def test_stiffness_scales_with_strength_and_against_stretch(times, elongation):
    one = stiffness_from_10pct(strength_n=40e3, elongation=elongation)
    assert stiffness_from_10pct(strength_n=40e3 * times, elongation=elongation) == pytest.approx(times * one)
    assert stiffness_from_10pct(strength_n=40e3, elongation=2.0 * elongation) == pytest.approx(0.5 * one)
    # stretched by a tenth of its strength it is as much longer as was told
    assert 0.10 * 40e3 / one == pytest.approx(elongation)
    # the two bases are one where a tenth of the strength is 100 kg's weight
    assert stiffness_from_50_150kg(elongation=elongation) == pytest.approx(
        stiffness_from_10pct(strength_n=1000.0 * 9.80665, elongation=elongation)
    )
    bounds = stiffness_bounds_from_10pct(stiffness_n=one, low_factor=1.0, high_factor=1.0)
    assert (bounds.low_n, bounds.high_n) == (one, one)
    soft = stiffness_from_50_150kg(elongation=0.035)
    here, there = (
        stiffness_bounds_from_50_150kg(stiffness_n=soft * k, strength_n=22e3 * k, high_elongation=0.035)
        for k in (1.0, times)
    )
    assert (there.low_n, there.high_n) == pytest.approx((times * here.low_n, times * here.high_n))


# ---- one rope between two points


@pytest.mark.parametrize("times", [0.4, 2.5])
def test_a_hanging_rope_scales(times):
    """Lengths and forces; a metre of it weighs what it did."""
    random = np.random.default_rng(81)
    run, rise = random.uniform(10.0, 60.0, 300), random.uniform(-6.0, 6.0, 300)
    rope = {
        "run_m": run,
        "rise_m": rise,
        "unstretched_m": np.hypot(run, rise) * random.uniform(0.98, 1.2, 300),
    }
    other = {name: times * value for name, value in rope.items()}
    one = hang_segment(**rope, weight_n_m=1.0, stiffness_n=8e4)
    scaled = hang_segment(**other, weight_n_m=1.0, stiffness_n=8e4 * times)
    np.testing.assert_allclose(scaled.horizontal_n, times * one.horizontal_n, rtol=1e-8)
    np.testing.assert_allclose(scaled.last_vertical_n, times * one.last_vertical_n, rtol=1e-7, atol=1e-6)
    heights = [
        segment_height_m(
            k * 0.3 * run, found, unstretched_m=given_rope["unstretched_m"], weight_n_m=np.array(1.0),
            stiffness_n=np.array(8e4 * k),
        )
        for k, given_rope, found in ((1.0, rope, one), (times, other, scaled))
    ]  # fmt: skip
    np.testing.assert_allclose(heights[1], times * heights[0], rtol=0, atol=1e-7)


def test_a_taut_light_rope_is_as_long_as_its_chord_less_its_stretch():
    """w = 0.5 N/m at 8 kN over 10 m: the sag takes 2e-8 of the length."""
    line = {"span_m": 10.0, "rise_m": 1.0, "weight_n_m": 0.5, "stiffness_n": 1e5}
    chord = np.hypot(10.0, 1.0)
    expected = chord / (1.0 + 8e3 * chord / 10.0 / 1e5)
    assert float(unstretched_length_m(**line, pretension_n=8e3)) == pytest.approx(expected, rel=1e-6)
    by_segment = unstretched_for_tension_m(
        run_m=np.array(10.0), rise_m=np.array(1.0), weight_n_m=np.array(1e-9), stiffness_n=np.array(1e5),
        horizontal_n=np.array(8e3),
    )  # fmt: skip
    assert float(by_segment) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("times", [0.5, 2.0])
def test_a_set_line_scales_and_mirrors(times):
    random = np.random.default_rng(82)
    span = random.uniform(22.0, 120.0, 300)
    line = {
        "span_m": span, "rise_m": span * random.uniform(-0.1, 0.1, 300), "weight_n_m": 1.0,
        "stiffness_n": random.uniform(40e3, 300e3, 300),
    }  # fmt: skip
    set_n, at = random.uniform(700.0, 3500.0, 300), random.uniform(0.0, 1.0, 300) * span
    length = unstretched_length_m(**line, pretension_n=set_n)
    height = unloaded_height_m(**line, unstretched_m=length, at_m=at)
    other = {
        "span_m": times * span, "rise_m": times * line["rise_m"], "weight_n_m": 1.0,
        "stiffness_n": times * line["stiffness_n"],
    }  # fmt: skip
    larger = unstretched_length_m(**other, pretension_n=times * set_n)
    np.testing.assert_allclose(larger, times * length, rtol=1e-11)
    high = unloaded_height_m(**other, unstretched_m=larger, at_m=times * at)
    np.testing.assert_allclose(high, times * height, rtol=0, atol=1e-8)
    turned = line | {"rise_m": -line["rise_m"]}
    np.testing.assert_allclose(unstretched_length_m(**turned, pretension_n=set_n), length, rtol=1e-12)
    there = unloaded_height_m(**turned, unstretched_m=length, at_m=span - at)
    np.testing.assert_allclose(there + line["rise_m"], height, rtol=0, atol=1e-8)


# ---- pulse, hand-over, slack


@given(TIMES, st.floats(0.5, 2.0))
def test_a_pulse_on_a_longer_or_a_tighter_string(times, harder):
    string = {"length_m": 42.0, "mass_kg_m": 0.1, "tension_n": 2000.0}
    one = float(pulse_s(**string, returns=5))
    assert float(pulse_s(**(string | {"length_m": 42.0 * times}), returns=5)) == pytest.approx(times * one)
    tighter = string | {"tension_n": 2000.0 * harder**2}
    assert float(pulse_s(**tighter, returns=5)) == pytest.approx(one / harder)
    assert float(pulse_s(**string, returns=10)) == pytest.approx(2.0 * one)


def test_a_pulse_window_of_twice_the_returns_is_twice_as_long():
    line = {"span_m": 42.0, "rise_m": 0.5, "weight_n_m": 1.02, "stiffness_n": np.array([75e3, 133e3])}
    ends = {"wet_factor": 1.1, "from_n": 1200.0, "to_n": 2600.0}
    one, two = (pulse_window(**line, **ends, returns=returns) for returns in (5, 10))
    assert (two.from_s, two.to_s) == pytest.approx((2.0 * one.from_s, 2.0 * one.to_s))
    turned = pulse_window(**(line | {"rise_m": -0.5}), **ends, returns=5)
    assert (turned.from_s, turned.to_s) == pytest.approx((one.from_s, one.to_s))


@given(TIMES, st.floats(0.5, 50.0))
def test_a_line_in_the_water_scales_and_kept_tight_pulls_as_a_flat_one(times, drag):
    line = {"width_m": 36.0, "sag_share": 0.05}
    one = float(hand_over_pull_n(drag_n_m=drag, **line))
    assert float(hand_over_pull_n(drag_n_m=times * drag, **line)) == pytest.approx(times * one)
    longer = line | {"width_m": 36.0 * times}
    assert float(hand_over_pull_n(drag_n_m=drag, **longer)) == pytest.approx(times * one)
    assert float(hand_over_bow_m(**longer)) == pytest.approx(times * float(hand_over_bow_m(**line)))
    flat = float(hand_over_pull_n(drag_n_m=drag, width_m=36.0, sag_share=0.01))
    assert flat == pytest.approx(drag * 36.0 / 0.08, rel=1e-3)


def stretched(most_n, *, give=1.0):
    """What a straight spring would catch: as much give as pull."""
    pull = np.linspace(0.0, most_n, 129)[:, np.newaxis]
    return Catch(pull, give * pull / 1000.0)


@pytest.mark.parametrize("times", [0.4, 2.5])
def test_slack_scales_with_the_river_drawn_larger(times):
    """Mass, drag and pull times k: the same way. Lengths times k, and speeds by its root: the way times k."""
    boat = {"boat_mass_kg": 2000.0, "drag_n": 600.0, "speed_m_s": 2.5}
    catch = stretched(1500.0)
    way = slack_budget_m(catch, **boat)
    heavier = boat | {"boat_mass_kg": 2000.0 * times, "drag_n": 600.0 * times}
    assert slack_budget_m(Catch(times * catch.pull_n, catch.give_m), **heavier) == pytest.approx(
        way, rel=1e-9
    )
    faster = boat | {"speed_m_s": 2.5 * np.sqrt(times)}
    assert slack_budget_m(stretched(1500.0, give=times), **faster) == pytest.approx(times * way, rel=1e-9)


def test_a_slow_boat_is_caught_by_its_energy():
    """Next to no current behind it: m u^2 / 2 and D over the give are the spring's work, 125 J.

    The way is then (125 J - D 0.5 m) / D and by 4/3 u / v more: u is 0.25 of 9.9 m/s.
    """
    found = slack_budget_m(stretched(500.0), boat_mass_kg=4000.0, drag_n=10.0, speed_m_s=9.9)
    assert found == pytest.approx(12.0 * (1.0 + 4.0 / 3.0 * 0.25 / 9.9), rel=0.01)


# ---- time and places


@given(TIMES, st.floats(0.05, 5.0), st.floats(1e-5, 1e-3))
def test_a_stage_read_in_other_units_leaves_the_same_minutes(times, room, rise):
    one = float(time_left_s(room_m=room, rise_m_s=rise, clear_s=600.0))
    other = float(time_left_s(room_m=times * room, rise_m_s=times * rise, clear_s=600.0))
    assert other == pytest.approx(one, rel=1e-9)
    stop = float(rise_to_stop_m(room_m=room, between_s=900.0, clear_s=600.0))
    assert float(rise_to_stop_m(room_m=times * room, between_s=900.0, clear_s=600.0)) == pytest.approx(
        times * stop
    )
    # one clock for all: as many times as slow between looks and to clear is the same rise
    assert float(rise_to_stop_m(room_m=room, between_s=1800.0, clear_s=1200.0)) == pytest.approx(stop)
    # looked at without end in between, half of the room is what the next look may find
    assert float(rise_to_stop_m(room_m=room, between_s=86400.0, clear_s=1.0)) == pytest.approx(
        0.5 * room, rel=1e-4
    )


@given(TIMES, st.floats(0.2, 2.0))
def test_posts_move_with_the_speed(times, speed):
    if not 0.05 <= times * speed <= 10.0:
        return
    one = float(spotter_distance_m(speed_m_s=speed, see_s=5.0, clear_s=40.0))
    assert float(spotter_distance_m(speed_m_s=times * speed, see_s=5.0, clear_s=40.0)) == pytest.approx(
        times * one
    )
    assert float(spotter_distance_m(speed_m_s=speed, see_s=0.0, clear_s=0.0)) == 0.0
    way = 100.0 - float(last_catch_m(danger_along_m=100.0, speed_m_s=speed, catch_s=20.0))
    faster = 100.0 - float(last_catch_m(danger_along_m=100.0, speed_m_s=times * speed, catch_s=20.0))
    assert faster == pytest.approx(times * way)
    assert float(last_catch_m(danger_along_m=100.0, speed_m_s=speed, catch_s=0.0)) == 100.0


def turn(places, skew_deg):
    """Places of a site whose flow runs straight, laid out for one whose flow is askew."""
    angle = np.radians(skew_deg)
    x, y = np.asarray(places, dtype=float).T
    return np.column_stack([x * np.cos(angle) + y * np.sin(angle), y * np.cos(angle) - x * np.sin(angle)])


@given(st.floats(-50.0, 50.0))
def test_turned_with_the_flow_throwers_and_dangers_are_where_they_were(skew):
    throwers, swimmer = [(8.0, 20.0), (-6.0, 35.0), (3.0, 60.0)], [(2.0, 5.0)]
    straight = throw_windows(
        throwers, swimmer_m=swimmer[0], reach_m=15.0, skew_deg=0.0, speed_m_s=1.5, last_m=55.0
    )
    askew = throw_windows(
        turn(throwers, skew), swimmer_m=tuple(turn(swimmer, skew)[0]), reach_m=15.0, skew_deg=skew,
        speed_m_s=1.5, last_m=55.0,
    )  # fmt: skip
    for name in ("from_m", "to_m", "seconds_s"):
        np.testing.assert_allclose(getattr(askew, name), getattr(straight, name), rtol=0, atol=1e-9)
    along, across = flow_coordinates(
        x_m=turn(throwers, skew)[:, 0], y_m=turn(throwers, skew)[:, 1], skew_deg=skew
    )
    np.testing.assert_allclose(np.column_stack([across, along]), throwers, rtol=0, atol=1e-9)
    danger, boats = [(10.0, 80.0), (16.0, 90.0)], [(4.0, 10.0), (12.0, 15.0)]
    here = drift_to(danger, boats, skew_deg=0.0, speed_m_s=2.0)
    there = drift_to(turn(danger, skew), turn(boats, skew), skew_deg=skew, speed_m_s=2.0)
    for name in ("along_m", "aside_m", "seconds_s"):
        if hasattr(here, name):
            assert getattr(there, name) == pytest.approx(getattr(here, name), abs=1e-9)


def test_twice_as_fast_a_river_halves_every_window():
    given_posts = {"throwers_m": [(8.0, 20.0)], "swimmer_m": (2.0, 5.0), "reach_m": 15.0, "skew_deg": 0.0}
    slow, fast = (throw_windows(**given_posts, speed_m_s=speed, last_m=None) for speed in (1.0, 2.0))
    np.testing.assert_allclose(fast.seconds_s, 0.5 * slow.seconds_s)
    # the whole chord of the circle of reach, 6 m beside the way
    np.testing.assert_allclose(slow.seconds_s, 2.0 * np.sqrt(15.0**2 - 6.0**2))


# ---- ground


def placed(geometry, *, turn_deg=0.0, flip=False):
    """A geometry turned about the origin, or mirrored across the track line's middle (x to -x)."""
    angle = np.radians(turn_deg)
    sign = -1.0 if flip else 1.0

    def moved(places):
        x, y = places.T
        return np.column_stack(
            [sign * (x * np.cos(angle) - y * np.sin(angle)), x * np.sin(angle) + y * np.cos(angle)]
        )

    return shapely.transform(geometry, moved)


def same_ground(one, other, *, close=1e-6):
    return shapely.symmetric_difference(one, other).area <= close * max(one.area, 1e-9)


LINES_M = np.array(
    [[(0.0, 0.0), (x, 5.0 * 4.0 * x * (40.0 - x) / 1600.0), (40.0, 0.0)] for x in np.linspace(6.0, 34.0, 9)]
)
PULLS = np.array([(1.0, 0.1), (1.0, 0.4), (0.9, 0.3)])


@pytest.mark.parametrize("how", [{"turn_deg": 37.0}, {"flip": True}])
def test_ground_turns_and_mirrors_with_its_site(how):
    def moved(places):
        flat = np.asarray(places, dtype=float).reshape(-1, 2)
        return shapely.get_coordinates(placed(shapely.multipoints(flat), **how)).reshape(np.shape(places))

    bight = bight_ground(LINES_M)
    assert same_ground(bight_ground(moved(LINES_M)), placed(bight, **how))
    behind = behind_anchor((3.0, 1.0), PULLS, half_angle_deg=20.0, length_m=12.0)
    there = behind_anchor(tuple(moved([(3.0, 1.0)])[0]), moved(PULLS), half_angle_deg=20.0, length_m=12.0)
    assert same_ground(there, placed(behind, **how), close=1e-4)
    swept = swept_by_line((-1.0, -8.0), LINES_M[:, 1])
    assert same_ground(
        swept_by_line(tuple(moved([(-1.0, -8.0)])[0]), moved(LINES_M[:, 1])), placed(swept, **how)
    )
    places = boat_places_m(
        at_m=np.linspace(5.0, 35.0, 9), bow_m=2.0, strand_m=np.array([[4.0], [20.0]]), skew_deg=10.0
    )
    water = mesh_ground(places)
    assert same_ground(mesh_ground(moved(places)), placed(water, **how))


def test_ground_grows_as_the_square_and_with_no_room_is_itself():
    bight = bight_ground(LINES_M)
    assert bight_ground(2.0 * LINES_M).area == pytest.approx(4.0 * bight.area)
    one, other = (
        behind_anchor((0.0, 0.0), PULLS, half_angle_deg=20.0, length_m=length) for length in (10.0, 20.0)
    )
    assert other.area == pytest.approx(4.0 * one.area)
    swept = swept_by_line((-1.0, -8.0), LINES_M[:, 1])
    assert swept_by_line((-2.0, -16.0), 2.0 * LINES_M[:, 1]).area == pytest.approx(4.0 * swept.area)
    assert same_ground(no_go_ground([bight, one], margin_m=0.0), shapely.union(bight, one), close=1e-9)
    # a point with room about it is at least its circle, and little more
    room = no_go_ground([shapely.Point(3.0, 4.0)], margin_m=2.0).area
    assert pi * 4.0 <= room <= 1.02 * pi * 4.0


def test_the_share_of_a_work_area_is_the_same_in_feet():
    area = shapely.box(10.0, 8.0, 30.0, 24.0)
    places = boat_places_m(
        at_m=np.linspace(8.0, 26.0, 9), bow_m=3.0, strand_m=np.array([[4.0], [15.0]]), skew_deg=0.0
    )
    here = reach_of(area, mesh_ground(places))
    there = reach_of(shapely.transform(area, lambda xy: xy / 0.3048), mesh_ground(places / 0.3048))
    assert 0.1 < here.share < 0.9
    assert there.share == pytest.approx(here.share, rel=1e-6)
    assert there.ground.area == pytest.approx(here.ground.area / 0.3048**2, rel=1e-6)


# ---- ring and boat on lost lines

NET = Net(
    stations=np.array([(-1.0, -8.0, 2.5), (43.0, -8.0, 2.5), (-1.0, 8.0, 2.0)]),
    strands=np.array([0.0, 0.0, 2.0]),
    lengths_m=np.array([[24.0, 23.0, 40.0]]),
    stiffness_n_m=np.array([[2000.0, 2100.0, 1200.0]]),
    weight_n=120.0,
    drag_n=np.array([300.0, 1900.0]),
    bow_ring_m=0.3,
)
START = np.array([[21.0, 4.0, 1.2, 22.0, 16.0]])


def test_a_net_at_rest_moves_and_turns_with_its_site():
    rest = settle_net(NET, START)
    shift = np.array([5.0, -3.0, 0.0])
    moved = settle_net(
        replace(NET, stations=NET.stations + shift), START + np.array([5.0, -3.0, 0.0, 5.0, -3.0])
    )
    np.testing.assert_allclose(moved - rest, [[5.0, -3.0, 0.0, 5.0, -3.0]], rtol=0, atol=1e-5)
    flip = np.array([-1.0, 1.0, 1.0])
    other = settle_net(
        replace(NET, stations=NET.stations * flip, drag_n=NET.drag_n * flip[:2]),
        START * [-1.0, 1.0, 1.0, -1.0, 1.0],
    )
    np.testing.assert_allclose(other, rest * [-1.0, 1.0, 1.0, -1.0, 1.0], rtol=0, atol=1e-5)


def test_a_net_of_twice_the_forces_rests_where_it_did():
    rest = settle_net(NET, START)
    doubled = replace(
        NET, stiffness_n_m=2.0 * NET.stiffness_n_m, weight_n=2.0 * NET.weight_n, drag_n=2.0 * NET.drag_n
    )
    np.testing.assert_allclose(settle_net(doubled, START), rest, rtol=0, atol=1e-6)
    # stiff without end, no line is longer than its rope
    stiff = replace(NET, stiffness_n_m=1e9 * np.ones((1, 3)))
    assert elongations(stiff, settle_net(stiff, rest)).max() < 1e-4
