"""One rope between two points: what must hold of it, taut or slack, and what it refuses."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from atlas.faults import NoSolution, OutOfRange
from atlas.rigging import hang_segment, segment
from atlas.rigging.segment import segment_height_m, unstretched_for_tension_m

ROPE = {"run_m": 60.0, "rise_m": 4.0, "unstretched_m": 60.3, "weight_n_m": 0.75, "stiffness_n": 2e5}


def shot(found, length, *, weight, stiffness):
    """Where the rope ends, by integrating its differential equation from the first end's force."""

    def slope(along_rope, _place):
        force = np.array([float(found.horizontal_n), float(found.first_vertical_n) + weight * along_rope])
        tension = np.hypot(*force)
        return force / tension * (1.0 + tension / stiffness)

    return solve_ivp(slope, (0.0, length), np.zeros(2), method="DOP853", rtol=1e-12, atol=1e-12).y[:, -1]


@pytest.mark.parametrize("rise", [-30.0, 0.0, 4.0])
@pytest.mark.parametrize("length_share", [0.9, 0.999, 1.0, 1.001, 1.1, 2.0, 10.0])
@pytest.mark.parametrize("stiffness", [1e4, 2e5, 1e9])
def test_the_forces_lead_from_end_to_end(rise, length_share, stiffness):
    length = length_share * float(np.hypot(60.0, rise))
    found = hang_segment(
        run_m=60.0, rise_m=rise, unstretched_m=length, weight_n_m=0.75, stiffness_n=stiffness
    )
    end = shot(found, length, weight=0.75, stiffness=stiffness)
    np.testing.assert_allclose(end, [60.0, rise], rtol=0, atol=1e-8)


@given(
    rise=st.floats(-50.0, 50.0),
    share=st.floats(0.8, 3.0),
    weight=st.floats(0.01, 100.0),
    stiffness=st.floats(1e3, 1e9),
)
def test_turned_round_it_pulls_the_same(rise, share, weight, stiffness):
    rope = {
        "run_m": 60.0,
        "unstretched_m": share * np.hypot(60.0, rise),
        "weight_n_m": weight,
        "stiffness_n": stiffness,
    }
    found, turned = hang_segment(rise_m=rise, **rope), hang_segment(rise_m=-rise, **rope)
    scale = float(found.last_tension_n + found.first_tension_n)
    assert float(turned.horizontal_n) == pytest.approx(float(found.horizontal_n), rel=1e-9)
    assert float(turned.first_vertical_n) == pytest.approx(-float(found.last_vertical_n), abs=1e-9 * scale)


def test_the_ends_carry_the_whole_weight():
    found = hang_segment(**ROPE)
    assert float(found.last_vertical_n - found.first_vertical_n) == pytest.approx(0.75 * 60.3, rel=1e-13)
    assert float(found.last_tension_n - found.first_tension_n) > 0  # the higher end pulls harder


@given(horizontal=st.floats(50.0, 2e4), rise=st.floats(-9.0, 9.0), stiffness=st.floats(2.5e4, 8e5))
def test_length_from_tension_and_tension_from_length_undo_each_other(horizontal, rise, stiffness):
    values = [np.array(value) for value in (60.0, rise, 0.75, stiffness, horizontal)]
    length = unstretched_for_tension_m(**dict(zip(
        ("run_m", "rise_m", "weight_n_m", "stiffness_n", "horizontal_n"), values, strict=True
    )))  # fmt: skip
    back = hang_segment(run_m=60.0, rise_m=rise, unstretched_m=length, weight_n_m=0.75, stiffness_n=stiffness)
    # a stiff rope at little tension: 1e-16 of the length is EA / H = 16,000 times that of the tension
    assert float(back.horizontal_n) == pytest.approx(horizontal, rel=1e-10)


def test_heights_between_the_ends_lie_on_the_rope():
    found = hang_segment(**ROPE)
    lengths = np.linspace(0.0, 60.3, 8)[1:-1]
    for length in lengths:
        run, rise = shot(found, float(length), weight=0.75, stiffness=2e5)
        height = segment_height_m(
            np.array(run),
            found,
            unstretched_m=np.array(60.3),
            weight_n_m=np.array(0.75),
            stiffness_n=np.array(2e5),
        )
        assert float(height) == pytest.approx(rise, abs=1e-9)


def test_arrays_broadcast():
    found = hang_segment(**(ROPE | {"unstretched_m": [[60.0], [60.3]], "rise_m": [0.0, 4.0, -6.0]}))
    assert found.horizontal_n.shape == (2, 3)
    single = hang_segment(**ROPE)
    assert float(found.horizontal_n[1, 1]) == pytest.approx(float(single.horizontal_n), rel=1e-12)


@pytest.mark.parametrize(
    ("changed", "text"),
    [
        ({"run_m": 0.0}, "run_m: not positive; got 0 m; allowed over 0 m"),
        ({"unstretched_m": -1.0}, "unstretched_m: not positive; got -1 m; allowed over 0 m"),
        ({"weight_n_m": np.nan}, "weight_n_m: not positive; got nan N/m; allowed over 0 N/m"),
        ({"stiffness_n": np.inf}, "stiffness_n: not positive; got inf N; allowed over 0 N"),
        ({"rise_m": np.inf}, "rise_m: not finite; got inf m; allowed any finite length"),
        ({"rise_m": "4"}, "rise_m: not a number; got '4'; allowed: numbers"),
    ],
)
def test_what_it_refuses(changed, text):
    with pytest.raises(OutOfRange, match=f"^{re.escape(text)}$"):
        hang_segment(**(ROPE | changed))


def test_a_rope_too_long_for_its_run_is_refused():
    text = "no catenary found for 1 rope(s); the first: run 1e-300 m, rise 0 m, length 60.3 m"
    with pytest.raises(NoSolution, match=f"^{re.escape(text)}$"):
        hang_segment(**(ROPE | {"run_m": 1e-300, "rise_m": 0.0, "stiffness_n": 1e300}))


def test_what_does_not_settle_is_refused(monkeypatch):
    monkeypatch.setattr(segment, "_CLOSED", 0.0)
    monkeypatch.setattr(segment, "_ROUND_OFF", 0.0)
    monkeypatch.setattr(segment, "_STEPS", 1)
    values = [np.array(value) for value in (60.0, 4.0, 0.75, 2e5, 500.0)]
    with pytest.raises(NoSolution, match=r"^unstretched length: does not settle for the given pretension$"):
        unstretched_for_tension_m(**dict(zip(
            ("run_m", "rise_m", "weight_n_m", "stiffness_n", "horizontal_n"), values, strict=True
        )))  # fmt: skip


def test_a_place_that_is_not_found_is_refused(monkeypatch):
    found = hang_segment(**ROPE)
    monkeypatch.setattr(segment, "_STEPS", 1)
    with pytest.raises(NoSolution, match=r"^height of the rope: the place on it is not found$"):
        segment_height_m(
            np.array(30.0),
            found,
            unstretched_m=np.array(60.3),
            weight_n_m=np.array(0.75),
            stiffness_n=np.array(2e5),
        )
