"""The track line against the independent exact solver, over all of the range shown and at its corners."""

import numpy as np
import pytest

from atlas.rigging.trackline import solve_states, unstretched_length_m

# Both solvers close the geometry to 1e-11 of the span; through EA / span at the stiffest, shortest rope
# that is some 1e-6 N, so 1e-7 of the tension and 1e-7 m leave room and are 10,000 times finer than asked.
CLOSE = 1e-7
POSITION_M = 1e-7


def log_uniform(random, low, high, count):
    return np.exp(random.uniform(np.log(low), np.log(high), count))


def with_lengths(sample, pretension, seating):
    length = unstretched_length_m(
        **{key: sample[key] for key in ("span_m", "rise_m", "weight_n_m", "stiffness_n")},
        pretension_n=pretension,
    )
    return sample | {"unstretched_m": length + seating}


def spread(seed, count):
    """States all over the range shown; one direction in three pulls up."""
    random = np.random.default_rng(seed)
    span = log_uniform(random, 10, 250, count)
    load = log_uniform(random, 1, 25e3, count)
    angle = random.uniform(-0.5, 1.0, count) * np.pi / 2
    side = random.choice([-1.0, 1.0], count)
    sample = {
        "span_m": span,
        "rise_m": span * random.uniform(-0.15, 0.15, count),
        "weight_n_m": random.uniform(0.5, 2.0, count),
        "stiffness_n": log_uniform(random, 15e3, 800e3, count),
        "at_m": span * random.uniform(0.02, 0.98, count),
        "downstream_n": side * load * np.cos(angle),
        "down_n": load * np.sin(angle),
    }
    pretension = log_uniform(random, 300, 8e3, count)
    return with_lengths(sample, pretension, random.choice([0.0, 0.15, 0.5], count))


def corners(seed, count):
    """States whose every value is, three times in five, an end of its range."""
    random = np.random.default_rng(seed)

    def value(low, high):
        inside = log_uniform(random, low, high, count)
        pick = random.random(count)
        return np.where(pick < 0.3, low, np.where(pick < 0.6, high, inside))

    span = value(10, 250)
    share = value(0.02, 0.5)
    load = np.where(random.random(count) < 0.2, 0.0, value(1, 25e3))
    angle = random.choice([-1, -0.999, -0.7, -0.3, 0, 0.001, 0.3, 0.6, 0.999, 1], count) * np.pi / 2
    sample = {
        "span_m": span,
        "rise_m": span * random.choice([-0.15, -0.08, 0.0, 0.01, 0.08, 0.15], count),
        "weight_n_m": value(0.5, 2.0),
        "stiffness_n": value(15e3, 800e3),
        "at_m": span * np.where(random.random(count) < 0.5, share, 1 - share),
        "downstream_n": load * np.cos(angle),
        "down_n": load * np.sin(angle),
    }
    return with_lengths(sample, value(300, 8e3), random.choice([0.0, 0.15, 0.5], count))


def answers(oracle, sample):
    """The oracle's answer to each state, as arrays."""
    found = []
    for index in range(sample["span_m"].size):
        one = {key: float(values[index]) for key, values in sample.items()}
        rig = oracle.Rig(one["span_m"], one["rise_m"], one["weight_n_m"], one["stiffness_n"])
        found.append(
            oracle.loaded(
                rig,
                length=one["unstretched_m"],
                at=one["at_m"],
                downstream=one["downstream_n"],
                down=one["down_n"],
            )
        )
    return {
        name: np.array([getattr(answer, name) for answer in found])
        for name in ("tension", "bow", "height", "along", "near_length")
    }


@pytest.mark.parametrize(("draw", "seed", "count"), [(spread, 11, 600), (corners, 12, 400)])
def test_agrees_with_the_exact_oracle(exact_oracle, draw, seed, count):
    sample = draw(seed, count)
    state = solve_states(**sample)
    exact = answers(exact_oracle, sample)
    np.testing.assert_allclose(state.tension_n, exact["tension"], rtol=CLOSE)
    np.testing.assert_allclose(state.downstream_m, exact["bow"], rtol=0, atol=POSITION_M)
    np.testing.assert_allclose(state.height_m, exact["height"], rtol=0, atol=POSITION_M)
    np.testing.assert_allclose(state.near_length_m, exact["near_length"], rtol=0, atol=POSITION_M)
    assert np.max(np.abs(state.along_n - exact["along"]) / exact["tension"]) < CLOSE


def test_unstretched_length_agrees_with_the_oracle(exact_oracle):
    sample = spread(13, 200)
    random = np.random.default_rng(14)
    pretension = log_uniform(random, 300, 8e3, 200)
    keys = ("span_m", "rise_m", "weight_n_m", "stiffness_n")
    ours = unstretched_length_m(**{key: sample[key] for key in keys}, pretension_n=pretension)
    theirs = [
        exact_oracle.empty_length(
            exact_oracle.Rig(*(float(sample[key][i]) for key in keys)), float(pretension[i])
        )
        for i in range(200)
    ]
    # the oracle takes differences of numbers of the size of H / w: 1e4 m x 1e-16, amplified to 1e-11 m
    np.testing.assert_allclose(ours, theirs, rtol=1e-11)


def test_every_state_of_a_large_draw_is_answered():
    for draw in (spread, corners):
        state = solve_states(**draw(15, 60_000))
        for values in (state.tension_n, state.downstream_m, state.height_m, state.along_n):
            assert np.isfinite(values).all()
        assert (state.tension_n > 0).all()
