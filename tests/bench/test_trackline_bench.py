"""How fast loaded states are: states a second on one core, and against exact scipy solves in the same run.

Times are the best of several rounds, so that a busy machine does not decide. Asked: half a million
states a second over all of the range (a million is the aim), 2,000 times as fast as exact scipy solves
of the same states, and well under a millisecond for the small calls made inside root finding.
"""

from time import perf_counter

import numpy as np
import pytest
from scipy.optimize import root

from atlas.rigging import Rope, TrackLine
from atlas.rigging.trackline import solve_states, unstretched_length_m

pytest.importorskip("pytest_benchmark", reason="pytest-benchmark not installed: the extra bench brings it")

STATES = 200_000
SCIPY_STATES = 40


@pytest.fixture(scope="module")
def whole_range():
    """States drawn over all of the range the track line is open for."""
    random = np.random.default_rng(1)

    def log_uniform(low, high):
        return np.exp(random.uniform(np.log(low), np.log(high), STATES))

    span = log_uniform(10, 250)
    line = {
        "span_m": span,
        "rise_m": span * random.uniform(-0.08, 0.08, STATES),
        "weight_n_m": random.uniform(0.5, 2.0, STATES),
        "stiffness_n": log_uniform(20e3, 600e3),
    }
    length = unstretched_length_m(**line, pretension_n=log_uniform(300, 8e3))
    load, angle = log_uniform(100, 15e3), random.uniform(0, np.pi / 2, STATES)
    return line | {
        "unstretched_m": length,
        "at_m": span * random.uniform(0.02, 0.98, STATES),
        "downstream_n": load * np.cos(angle),
        "down_n": load * np.sin(angle),
    }


@pytest.fixture(scope="module")
def track():
    rope = Rope(strength_n=40e3, weight_n_m=0.75, stiffness_n=1.0e5)
    return TrackLine(span_m=40.0, rise_m=0.5, rope=rope, pretension_n=2000.0)


def best_s(call, *, rounds):
    times = []
    for _ in range(rounds):
        begin = perf_counter()
        call()
        times.append(perf_counter() - begin)
    return min(times)


def test_states_all_over_the_range(benchmark, whole_range):
    benchmark.pedantic(solve_states, kwargs=whole_range, rounds=3, iterations=1, warmup_rounds=1)
    benchmark.extra_info["states_a_second"] = STATES / best_s(lambda: solve_states(**whole_range), rounds=5)


def test_one_rig_under_many_loads(benchmark, track):
    loads = {
        "at_m": np.linspace(1, 39, 500),
        "downstream_n": np.geomspace(200, 8e3, 400)[:, None],
        "down_n": 200.0,
    }
    benchmark.pedantic(track.loaded, kwargs=loads, rounds=3, iterations=1, warmup_rounds=1)
    benchmark.extra_info["states_a_second"] = STATES / best_s(lambda: track.loaded(**loads), rounds=5)


def test_a_small_call(benchmark, track):
    loads = {"at_m": np.linspace(1, 39, 200), "downstream_n": 2800.0, "down_n": 200.0}
    benchmark.pedantic(track.loaded, kwargs=loads, rounds=50, iterations=1, warmup_rounds=5)


def segment_pull(*, run, rise, length, weight, stiffness, begin):
    """Horizontal tension and lift at the lower end of one exact elastic catenary, by scipy."""

    def gaps(unknown):
        horizontal, lift = np.exp(unknown[0]), unknown[1] * begin
        end = lift + weight * length
        across = horizontal * length / stiffness + horizontal / weight * (
            np.arcsinh(end / horizontal) - np.arcsinh(lift / horizontal)
        )
        up = (
            length / stiffness * (lift + 0.5 * weight * length)
            + (np.hypot(horizontal, end) - np.hypot(horizontal, lift)) / weight
        )
        return [(across - run) / run, (up - rise) / run]

    found = root(gaps, [np.log(begin), 0.0], tol=1e-13)
    return np.exp(found.x[0]), found.x[1] * begin


def nested_scipy(one, close_to):
    """The plain exact way: place and share of the rope outside, a catenary each side inside.

    Begun a per mille beside the answer, which spares it most of the search a real start would cost.
    """
    span, rise, length, at = one["span_m"], one["rise_m"], one["unstretched_m"], one["at_m"]
    rope = {"weight": one["weight_n_m"], "stiffness": one["stiffness_n"], "begin": close_to["tension"]}

    def unbalanced(place):
        bow, height, near = place
        near_run, far_run = np.hypot(at, bow), np.hypot(span - at, bow)
        near_h, near_v = segment_pull(run=near_run, rise=-height, length=near, **rope)
        far_h, far_v = segment_pull(run=far_run, rise=rise - height, length=length - near, **rope)
        return [
            (near_h * bow / near_run + far_h * bow / far_run - one["downstream_n"]) / rope["begin"],
            (near_v + far_v - one["down_n"]) / rope["begin"],
            (np.hypot(near_h, near_v) - np.hypot(far_h, far_v)) / rope["begin"],
        ]

    begin = 1.001 * np.array([close_to["bow"], close_to["height"], close_to["near_length"]])
    bow, height, near = root(unbalanced, begin, tol=1e-12).x
    return np.hypot(*segment_pull(run=np.hypot(at, bow), rise=-height, length=near, **rope))


def test_against_exact_scipy_solves_of_the_same_states(benchmark, whole_range, exact_oracle):
    state = benchmark.pedantic(solve_states, kwargs=whole_range, rounds=1, iterations=1)
    ours_s = best_s(lambda: solve_states(**whole_range), rounds=5) / STATES
    ones = [{key: float(values[i]) for key, values in whole_range.items()} for i in range(SCIPY_STATES)]

    def lean():
        return [
            exact_oracle.loaded(
                exact_oracle.Rig(one["span_m"], one["rise_m"], one["weight_n_m"], one["stiffness_n"]),
                length=one["unstretched_m"],
                at=one["at_m"],
                downstream=one["downstream_n"],
                down=one["down_n"],
            ).tension
            for one in ones
        ]

    def plain():
        answers = (state.tension_n, state.downstream_m, state.height_m, state.near_length_m)
        names = ("tension", "bow", "height", "near_length")
        close = [dict(zip(names, (float(a[i]) for a in answers), strict=True)) for i in range(SCIPY_STATES)]
        return [nested_scipy(one, beside) for one, beside in zip(ones, close, strict=True)]

    np.testing.assert_allclose(lean(), state.tension_n[:SCIPY_STATES], rtol=1e-7)
    np.testing.assert_allclose(plain(), state.tension_n[:SCIPY_STATES], rtol=1e-6)
    plain_times = best_s(plain, rounds=2) / SCIPY_STATES / ours_s
    lean_times = best_s(lean, rounds=3) / SCIPY_STATES / ours_s
    benchmark.extra_info |= {"times_plain_scipy": plain_times, "times_lean_scipy": lean_times}
    assert plain_times > 2000
    # all seven unknowns at once in plain floats, without numpy: the leanest scipy solve we could write
    assert lean_times > 250
