"""What must hold of a loaded track line whatever the numbers: balance, mirrors, scale, limits, order."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from atlas.rigging import Rope, TrackLine, hang_segment
from atlas.rigging.balance import Batch
from atlas.rigging.settle import Row, settle
from atlas.rigging.trackline import solve_states, unstretched_length_m


def between(low, high):
    return st.floats(low, high)


LINES = st.fixed_dictionaries(
    {
        "span_m": between(10.0, 250.0),
        "slope": between(-0.15, 0.15),
        "weight_n_m": between(0.5, 2.0),
        "stiffness_n": between(15e3, 800e3),
        "pretension_n": between(300.0, 8e3),
        "seating_m": between(0.0, 0.5),
        "share": between(0.02, 0.98),
        "load_n": between(100.0, 15e3),
        "angle": between(-np.pi / 4, np.pi / 2),
    }
)


def arguments(line):
    """Arguments of `solve_states` for one drawn line."""
    span = line["span_m"]
    given_line = {
        "span_m": span,
        "rise_m": line["slope"] * span,
        "weight_n_m": line["weight_n_m"],
        "stiffness_n": line["stiffness_n"],
    }
    length = unstretched_length_m(**given_line, pretension_n=line["pretension_n"])
    return given_line | {
        "unstretched_m": length + line["seating_m"],
        "at_m": line["share"] * span,
        "downstream_n": line["load_n"] * np.cos(line["angle"]),
        "down_n": line["load_n"] * np.sin(line["angle"]),
    }


@given(LINES)
def test_forces_on_the_carriage_cancel(line):
    given_state = arguments(line)
    state = solve_states(**given_state)
    near, far = state.near_pull, state.far_pull
    weight = given_state["weight_n_m"]
    far_length = given_state["unstretched_m"] - state.near_length_m
    # what each part pulls on the carriage with: the horizontal pull is that on the anchor, turned round;
    # upward, the anchor's share less the weight of the part
    near_pull = np.array([-near.along_n, -near.downstream_n, -near.up_n - weight * state.near_length_m])
    far_pull = np.array([-far.along_n, -far.downstream_n, -far.up_n - weight * far_length])
    outside = np.array([state.along_n, given_state["downstream_n"], -given_state["down_n"]])
    scale = max(line["load_n"], float(state.tension_n))
    assert np.linalg.norm(near_pull + far_pull + outside) < 1e-9 * line["load_n"] + 1e-13 * scale
    # no friction: both parts pull with the rope's tension there
    assert np.linalg.norm(near_pull) == pytest.approx(float(state.tension_n), rel=1e-9)
    assert np.linalg.norm(far_pull) == pytest.approx(float(state.tension_n), rel=1e-9)


def followed(pull, length, *, weight, stiffness):
    """Where the rope leads from an anchor, by integrating its differential equation step by step."""
    start = np.array([pull.along_n, pull.downstream_n, pull.up_n], dtype=float)

    def slope(along_rope, _place):
        # the tension of a rope that hangs from its end grows upward: its upward part falls on the way down
        force = start + np.array([0.0, 0.0, weight * along_rope])
        tension = np.linalg.norm(force)
        return force / tension * (1.0 + tension / stiffness)

    return solve_ivp(slope, (0.0, float(length)), np.zeros(3), rtol=1e-11, atol=1e-11).y[:, -1]


@pytest.mark.parametrize("at", [0.8, 11.0, 20.0, 39.0])
@pytest.mark.parametrize("stiffness", [2e4, 1e5, 6e5])
def test_following_the_rope_from_either_anchor_arrives_at_the_carriage(at, stiffness):
    rope = Rope(strength_n=40e3, weight_n_m=1.3, stiffness_n=stiffness)
    track = TrackLine(span_m=40.0, rise_m=2.0, rope=rope, pretension_n=900.0, seating_m=0.15)
    state = track.loaded(at_m=at, downstream_n=1800.0, down_n=400.0)
    place = np.array([at, state.downstream_m, state.height_m])
    near = followed(state.near_pull, state.near_length_m, weight=1.3, stiffness=stiffness)
    np.testing.assert_allclose(near, place, rtol=0, atol=1e-8)
    far = followed(state.far_pull, track.unstretched_m - state.near_length_m, weight=1.3, stiffness=stiffness)
    np.testing.assert_allclose(np.add(far, [40.0, 0.0, 2.0]), place, rtol=0, atol=1e-8)


@given(LINES)
def test_near_and_far_bank_change_places(line):
    seen = arguments(line)
    mirrored = seen | {"rise_m": -seen["rise_m"], "at_m": seen["span_m"] - seen["at_m"]}
    state, mirror = solve_states(**seen), solve_states(**mirrored)
    tension = float(state.tension_n)
    assert float(mirror.tension_n) == pytest.approx(tension, rel=1e-8)
    assert float(mirror.downstream_m) == pytest.approx(float(state.downstream_m), abs=1e-7)
    assert float(mirror.height_m + seen["rise_m"]) == pytest.approx(float(state.height_m), abs=1e-7)
    assert float(mirror.along_n) == pytest.approx(-float(state.along_n), abs=1e-8 * tension)
    assert float(mirror.near_pull.up_n) == pytest.approx(float(state.far_pull.up_n), abs=1e-8 * tension)


@given(LINES)
def test_current_from_the_other_side_turns_the_bow_round(line):
    seen = arguments(line)
    state = solve_states(**seen)
    turned = solve_states(**(seen | {"downstream_n": -seen["downstream_n"]}))
    assert float(turned.downstream_m) == -float(state.downstream_m)
    assert float(turned.tension_n) == float(state.tension_n)
    assert float(turned.along_n) == float(state.along_n)


@given(LINES, between(0.7, 1.4), between(0.7, 1.4))
def test_lengths_and_loads_scale_together(line, longer, heavier):
    """Lengths x a, forces x b, weight a metre x b / a: the same line drawn larger."""
    seen = arguments(line | {"span_m": 15.0 + 160.0 * line["share"], "slope": 0.9 * line["slope"]})
    weight = 0.8 + 0.15 * (seen["weight_n_m"] - 0.5) / 1.5
    stiffness = 25e3 + 0.6 * (seen["stiffness_n"] - 15e3)
    seen |= {
        "weight_n_m": weight * 1.1,
        "stiffness_n": stiffness,
        "unstretched_m": np.hypot(seen["span_m"], seen["rise_m"]) / (1 + 2500.0 / stiffness),
        "downstream_n": 200.0 + 0.6 * abs(seen["downstream_n"]),
        "down_n": 0.6 * seen["down_n"],
    }
    lengths, forces = ("span_m", "rise_m", "unstretched_m", "at_m"), ("stiffness_n", "downstream_n", "down_n")
    heavier_a_metre = min(max(heavier / longer, 0.6), 1.7)
    heavier = heavier_a_metre * longer
    larger = (
        {key: longer * seen[key] for key in lengths}
        | {key: heavier * seen[key] for key in forces}
        | {"weight_n_m": heavier_a_metre * seen["weight_n_m"]}
    )
    state, scaled = solve_states(**seen), solve_states(**larger)
    assert float(scaled.tension_n) == pytest.approx(heavier * float(state.tension_n), rel=1e-8)
    assert float(scaled.height_m) == pytest.approx(longer * float(state.height_m), abs=1e-7)
    assert float(scaled.downstream_m) == pytest.approx(longer * float(state.downstream_m), abs=1e-7)


@given(LINES)
def test_a_level_line_loaded_at_mid_span_needs_no_holding_and_is_two_half_lines(line):
    seen = arguments(line | {"slope": 0.0, "share": 0.5})
    state = solve_states(**seen)
    assert abs(float(state.along_n)) < 1e-8 * float(state.tension_n)
    assert float(state.near_length_m) == pytest.approx(0.5 * float(seen["unstretched_m"]), rel=1e-9)
    # half of the line is a rope between tie point and carriage, found by the solver of single segments
    half = hang_segment(
        run_m=np.hypot(0.5 * seen["span_m"], state.downstream_m),
        rise_m=-state.height_m,
        unstretched_m=0.5 * seen["unstretched_m"],
        weight_n_m=seen["weight_n_m"],
        stiffness_n=seen["stiffness_n"],
    )
    # tension from a length difference: 1e-9 m through EA / 5 m is 1.6e-4 N of at least 100 N
    assert float(half.first_tension_n) == pytest.approx(float(state.tension_n), rel=3e-6)


@settings(max_examples=60)
@given(LINES)
def test_more_load_in_its_direction_is_more_tension(line):
    seen = arguments(line | {"angle": abs(line["angle"])})
    loads = np.geomspace(100.0, 15e3, 25)
    direction = {"downstream_n": np.cos(abs(line["angle"])), "down_n": np.sin(abs(line["angle"]))}
    state = solve_states(**(seen | {key: share * loads for key, share in direction.items()}))
    assert (np.diff(state.tension_n) > 0).all()


@settings(max_examples=60)
@given(LINES)
def test_more_pretension_is_more_tension_and_less_bow(line):
    pretension = np.linspace(300.0, 8e3, 25)
    seen = arguments(line | {"pretension_n": pretension, "angle": abs(line["angle"]) * 0.9})
    state = solve_states(**seen)
    assert (np.diff(state.tension_n) > 0).all()
    assert (np.diff(state.downstream_m) < 0).all()


def weightless(*, span, length, stiffness, at, downstream, down=0.0):
    """The solver inside, past its range: a rope of next to no weight."""
    values = (span, 0.0, length, 1e-9, stiffness, at, downstream, down)
    return settle(Batch(*(np.array([float(value)]) for value in values)))[:, 0]


@pytest.mark.parametrize("stiffness", [20e3, 100e3, 600e3])
@pytest.mark.parametrize("load", [100.0, 3e3, 15e3])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.5])
def test_a_rope_without_weight_is_two_straight_lines(stiffness, load, share):
    """Exact for any bow: c1 + c2 = S (1 + T / EA) and P = T y (1 / c1 + 1 / c2)."""
    span = 50.0
    length = span / (1.0 + 1500.0 / stiffness)
    at = share * span

    def pull_less_load(bow):
        near, far = np.hypot(at, bow), np.hypot(span - at, bow)
        return stiffness * ((near + far) / length - 1.0) * bow * (1.0 / near + 1.0 / far) - load

    bow = brentq(pull_less_load, 0.0, 200.0, xtol=1e-14)
    near, far = np.hypot(at, bow), np.hypot(span - at, bow)
    tension = stiffness * ((near + far) / length - 1.0)
    rows = weightless(span=span, length=length, stiffness=stiffness, at=at, downstream=load)
    assert rows[Row.TENSION] == pytest.approx(tension, rel=1e-8)
    assert rows[Row.BOW] == pytest.approx(bow, rel=1e-8)
    assert rows[Row.ALONG] == pytest.approx(tension * (at / near - (span - at) / far), abs=1e-8 * tension)


@pytest.mark.parametrize(("load", "before"), [(200.0, 4000.0), (400.0, 6000.0), (100.0, 2000.0)])
def test_a_shallow_bow_follows_the_cubic(load, before):
    """T^2 (T - T0) = EA P^2 / 8 at mid-span, the next term being (2 y / S)^2 of it."""
    stiffness, span = 6e5, 40.0
    tension = brentq(lambda t: t * t * (t - before) - stiffness * load**2 / 8.0, before, 10.0 * before)
    slope = load / (2.0 * tension)
    rows = weightless(
        span=span, length=span / (1.0 + before / stiffness), stiffness=stiffness, at=20.0, downstream=load
    )
    # EA over S for EA over S0 is one more share, T0 / EA
    assert rows[Row.TENSION] == pytest.approx(tension, rel=slope**2 + before / stiffness)


def test_a_carriage_pulled_straight_down_stays_in_the_plane_of_the_line():
    rope = Rope(strength_n=40e3, weight_n_m=1.0, stiffness_n=1e5)
    track = TrackLine(span_m=60.0, rise_m=-3.0, rope=rope, pretension_n=1500.0)
    state = track.loaded(at_m=[5.0, 30.0, 55.0], downstream_n=0.0, down_n=900.0)
    np.testing.assert_array_equal(state.downstream_m, 0.0)
    np.testing.assert_array_equal(state.near_pull.downstream_n, 0.0)
