from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.units.rounding import GUARD, Toward, round_toward, step_for_digits

STEPS = [0.01, 0.05, 0.1, 0.5, 1.0, 10.0]


@pytest.mark.parametrize(
    ("value", "step", "up", "down", "nearest"),
    [
        (31.1, 0.1, 31.1, 31.1, 31.1),
        (31.1 + 1e-6, 0.1, 31.2, 31.1, 31.1),
        (31.1 - 1e-6, 0.1, 31.1, 31.0, 31.1),
        (0.1 + 0.2, 0.1, 0.3, 0.3, 0.3),
        (2.675, 0.01, 2.68, 2.67, 2.68),
        (2650.0 / 1000.0, 0.1, 2.7, 2.6, 2.7),
        (1001.0, 10.0, 1010.0, 1000.0, 1000.0),
        (-1.26, 0.5, -1.0, -1.5, -1.5),
        (-0.04, 0.1, 0.0, -0.1, 0.0),
        (1e-12, 0.1, 0.0, 0.0, 0.0),
        (0.0, 0.1, 0.0, 0.0, 0.0),
        (3.0000001, 1.0, 4.0, 3.0, 3.0),
    ],
)
def test_each_direction(value, step, up, down, nearest):
    assert round_toward(value, step=step, toward=Toward.UP) == up
    assert round_toward(value, step=step, toward=Toward.DOWN) == down
    assert round_toward(value, step=step, toward=Toward.NEAREST) == nearest


@given(value=st.floats(min_value=-1e9, max_value=1e9), step=st.sampled_from(STEPS))
def test_never_on_the_wrong_side(value, step):
    slack = GUARD * max(step, abs(value)) * 1.01
    up = round_toward(value, step=step, toward=Toward.UP)
    down = round_toward(value, step=step, toward=Toward.DOWN)
    nearest = round_toward(value, step=step, toward=Toward.NEAREST)
    assert value - slack <= up <= value + step + slack
    assert value - step - slack <= down <= value + slack
    assert abs(nearest - value) <= step / 2 + slack


@given(value=st.integers(min_value=-(10**7), max_value=10**7), step=st.sampled_from(STEPS))
def test_a_printed_figure_stays_itself(value, step):
    figure = round(value * step, 2)
    for toward in Toward:
        assert round_toward(figure, step=step, toward=toward) == figure


@given(value=st.floats(min_value=-10, max_value=10), step=st.sampled_from(STEPS))
def test_no_minus_zero(value, step):
    for toward in Toward:
        assert repr(round_toward(value, step=step, toward=toward)) != "-0.0"


@pytest.mark.parametrize(
    ("value", "step", "text"),
    [
        (math.nan, 0.1, "cannot round nan to steps of 0.1"),
        (math.inf, 0.1, "cannot round inf to steps of 0.1"),
        (1.0, 0.0, "cannot round 1.0 to steps of 0.0"),
        (1.0, -1.0, "cannot round 1.0 to steps of -1.0"),
        (1.0, math.nan, "cannot round 1.0 to steps of nan"),
        (1e308, 0.01, "cannot round 1e+308 to steps of 0.01"),
    ],
)
def test_says_what_cannot_be_rounded(value, step, text):
    with pytest.raises(OutOfRange) as caught:
        round_toward(value, step=step, toward=Toward.UP)
    assert str(caught.value) == text


@pytest.mark.parametrize(
    ("value", "step"), [(0.0, 1.0), (1850.4, 10.0), (52.4, 0.1), (-1.234, 0.01), (1e-9, 0.001), (999.9, 1.0)]
)
def test_step_for_three_digits(value, step):
    assert step_for_digits(value, 3) == step
