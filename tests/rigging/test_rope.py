"""A rope's own values: what is refused, and stiffness and its bounds from a maker's elongation."""

import re
from dataclasses import FrozenInstanceError

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging import Rope
from atlas.rigging.rope import (
    stiffness_bounds_from_10pct,
    stiffness_bounds_from_50_150kg,
    stiffness_from_10pct,
    stiffness_from_50_150kg,
)

ROPE = {"strength_n": 40e3, "weight_n_m": 1.02, "stiffness_n": 1e5}
OUT = "outside the range in which the answer was shown"


def test_a_rope_is_frozen_and_equal_to_its_like():
    rope = Rope(**ROPE)
    assert rope == Rope(**ROPE)
    with pytest.raises(FrozenInstanceError):
        rope.strength_n = 1.0


@pytest.mark.parametrize(
    ("changed", "text"),
    [
        ({"strength_n": 0.0}, f"strength_n: {OUT}; got 0 N; allowed 1000 to 200000 N"),
        ({"strength_n": -40e3}, f"strength_n: {OUT}; got -40000 N; allowed 1000 to 200000 N"),
        ({"strength_n": np.nan}, f"strength_n: {OUT}; got nan N; allowed 1000 to 200000 N"),
        ({"weight_n_m": 0.4}, f"weight_n_m: {OUT}; got 0.4 N/m; allowed 0.5 to 2 N/m"),
        ({"stiffness_n": 14e3}, f"stiffness_n: {OUT}; got 14000 N; allowed 15000 to 800000 N"),
        (
            {"stiffness_n": np.array([1e5, np.inf])},
            f"stiffness_n: {OUT}; got inf N; allowed 15000 to 800000 N",
        ),
        ({"stiffness_n": "100 kN"}, "stiffness_n: not a number; got '100 kN'; allowed: numbers"),
    ],
)
def test_what_is_no_rope_is_refused(changed, text):
    with pytest.raises(OutOfRange, match=f"^{re.escape(text)}$"):
        Rope(**(ROPE | changed))


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (
            lambda: stiffness_from_10pct(strength_n=40e3, elongation=4.0),
            "elongation: not a fraction; got 4; allowed over 0 and under 1",
        ),
        (
            lambda: stiffness_from_10pct(strength_n=-1.0, elongation=0.04),
            "strength_n: not positive; got -1 N; allowed over 0 N",
        ),
        (
            lambda: stiffness_from_50_150kg(elongation=0.0),
            "elongation: not a fraction; got 0; allowed over 0 and under 1",
        ),
        (
            lambda: stiffness_from_50_150kg(elongation=float("nan")),
            "elongation: not a fraction; got nan; allowed over 0 and under 1",
        ),
        (
            lambda: stiffness_bounds_from_10pct(stiffness_n=1e5, low_factor=1.1, high_factor=1.33),
            "low_factor, high_factor: do not enclose 1; got 1.1 and 1.33; allowed over 0 to 1, and 1 or more",
        ),
        (
            lambda: stiffness_bounds_from_50_150kg(
                stiffness_n=float("inf"), strength_n=22e3, high_elongation=0.035
            ),
            "stiffness_n: not positive; got inf N; allowed over 0 N",
        ),
    ],
)
def test_elongations_that_cannot_be_are_refused(call, text):
    with pytest.raises(OutOfRange, match=f"^{re.escape(text)}$"):
        call()


def test_bounds_of_a_figure_at_a_tenth_of_strength():
    bounds = stiffness_bounds_from_10pct(stiffness_n=100e3, low_factor=0.75, high_factor=1.33)
    assert (bounds.low_n, bounds.high_n) == (75e3, pytest.approx(133e3))


def test_bounds_of_a_figure_at_50_to_150_kg():
    """22 kN, 3.5 %: 100 kg x g / 0.035 = 28.02 kN, and 2.2 kN / 0.035 = 62.86 kN."""
    stiffness = stiffness_from_50_150kg(elongation=0.035)
    bounds = stiffness_bounds_from_50_150kg(stiffness_n=stiffness, strength_n=22e3, high_elongation=0.035)
    assert bounds.low_n == pytest.approx(28.019e3, abs=1.0)
    assert bounds.high_n == pytest.approx(62.857e3, abs=1.0)


@given(st.floats(5e3, 100e3), st.floats(0.005, 0.2), st.floats(0.01, 0.1))
def test_the_lower_bound_is_never_the_higher(strength, elongation, high_elongation):
    stiffness = stiffness_from_50_150kg(elongation=elongation)
    bounds = stiffness_bounds_from_50_150kg(
        stiffness_n=stiffness, strength_n=strength, high_elongation=high_elongation
    )
    assert bounds.low_n <= stiffness <= bounds.high_n
