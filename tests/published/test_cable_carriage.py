"""The loaded track line against moorpy, and against the statics every rigger and handbook knows."""

from math import asin, cos, hypot, radians, sin, tan

import numpy as np
import pytest

from atlas.rigging.balance import Batch
from atlas.rigging.settle import Row, settle
from atlas.rigging.trackline import solve_states, unstretched_length_m

POUND_N = 4.4482216152605  # exact; NIST SP 811 (value from memory)
FOOT_M = 0.3048  # exact; NIST SP 811 (value from memory)


@pytest.mark.filterwarnings("ignore")  # moorpy and its plotting parts warn on import
def test_both_sides_of_the_carriage_agree_with_moorpy():
    """Each side as a segment of moorpy between tie point and carriage: one tension, and the load balanced."""
    catenary = pytest.importorskip(
        "moorpy.Catenary", reason="moorpy not installed: the extra test-moorpy brings it"
    ).catenary
    random = np.random.default_rng(6)
    count = 60
    span = random.uniform(10, 250, count)
    line = {
        "span_m": span,
        "rise_m": span * random.uniform(-0.08, 0.08, count),
        "weight_n_m": random.uniform(0.5, 2.0, count),
        "stiffness_n": np.exp(random.uniform(np.log(20e3), np.log(600e3), count)),
    }
    length = unstretched_length_m(**line, pretension_n=random.uniform(300, 8e3, count))
    at = span * random.uniform(0.05, 0.95, count)
    downstream, down = random.uniform(100, 10e3, count), random.uniform(0, 3e3, count)
    state = solve_states(**line, unstretched_m=length, at_m=at, downstream_n=downstream, down_n=down)
    for i in range(count):
        bow, height = state.downstream_m[i], state.height_m[i]
        sides = (
            (at[i], -height, state.near_length_m[i]),
            (span[i] - at[i], line["rise_m"][i] - height, length[i] - state.near_length_m[i]),
        )
        pulls = []
        for across, rise, rope in sides:
            run = hypot(across, bow)
            along_run, up, _, _, _ = catenary(
                run, rise, rope, line["stiffness_n"][i], line["weight_n_m"][i], CB=-1e9, Tol=1e-11
            )
            pulls.append((along_run * across / run, along_run * bow / run, up))
            # 1e-11 m through EA / length, and round-off of the place through the same, are 1e-4 N
            assert hypot(along_run, up) == pytest.approx(state.tension_n[i], rel=1e-6, abs=1e-3)
        scale = state.tension_n[i]
        assert pulls[0][1] + pulls[1][1] == pytest.approx(downstream[i], abs=1e-6 * scale + 1e-3)
        assert pulls[0][2] + pulls[1][2] == pytest.approx(down[i], abs=1e-6 * scale + 1e-3)
        assert pulls[0][0] - pulls[1][0] == pytest.approx(state.along_n[i], abs=1e-6 * scale + 1e-3)


def centre_tension(*, span, sag, load, down=False):
    """Tension of a level line without weight or stretch that bends by `sag` under a load at mid-span.

    From the solver inside, past the range of ropes it is open for. The stretch is taken out beforehand,
    so that the line has the asked length under load.
    """
    stiffness = 1e5 * load
    half = hypot(0.5 * span, sag)
    length = 2 * half / (1 + load * half / (2 * sag) / stiffness)
    values = (span, 0.0, length, 1e-9 * load / span, stiffness, 0.5 * span)
    loads = (0.0, load) if down else (load, 0.0)
    rows = settle(Batch(*(np.array([float(value)]) for value in values + loads)))[:, 0]
    found = -rows[Row.HEIGHT] if down else rows[Row.BOW]
    assert found == pytest.approx(sag, rel=1e-6)
    return float(rows[Row.TENSION])


def test_centre_load_of_a_solved_exercise():
    """Public solved exercise (read): 100 lb in the middle of 30 ft, sag 4 ft: 194.07 lb a side.

    That is 50 lb / sin 14.93 degrees; with the angle not rounded it is 194.05, hence 1e-4.
    """
    tension = centre_tension(span=30 * FOOT_M, sag=4 * FOOT_M, load=100 * POUND_N, down=True)
    assert tension / POUND_N == pytest.approx(194.07, rel=1e-4)


@pytest.mark.parametrize(
    ("sag_share", "times"), [(0.02, 12.510), (0.05, 5.025), (0.10, 2.5495), (0.15, 1.7401)]
)
def test_tension_for_a_sag(sag_share, times):
    """T = W sqrt(L^2 + 4 d^2) / (4 d), textbook statics; figures to the digits printed."""
    tension = centre_tension(span=40.0, sag=sag_share * 40.0, load=1000.0)
    assert tension / 1000.0 == pytest.approx(times, abs=6e-4)


@pytest.mark.parametrize(("degrees", "times"), [(15, 2), (5, 6)])
def test_a_flat_line_multiplies_its_load(degrees, times):
    """OSHA 29 CFR 1926 Subpart M App. C, wording, read second-hand: 15 degrees double, 5 make it six.

    Exactly 1.93 and 5.74; the wording rounds, hence 5 %.
    """
    tension = centre_tension(span=40.0, sag=20.0 * tan(radians(degrees)), load=1000.0)
    assert tension / 1000.0 == pytest.approx(times, rel=0.05)
    assert tension / 1000.0 == pytest.approx(1 / (2 * sin(radians(degrees))), rel=1e-6)


@pytest.mark.parametrize(("degrees", "pounds"), [(30, 52), (60, 58), (90, 71), (120, 100), (150, 193)])
def test_load_on_each_anchor_by_included_angle(degrees, pounds):
    """Rescue handbook table (read) for 100 lb; it prints whole pounds, hence 1 lb."""
    half_angle = radians(degrees) / 2
    tension = centre_tension(span=40.0, sag=20.0 / tan(half_angle), load=100.0)
    assert tension == pytest.approx(pounds, abs=1.0)
    assert tension == pytest.approx(100 / (2 * cos(half_angle)), rel=1e-6)


def test_the_sense_of_size_of_a_drag_on_a_line():
    """What may be set so that a swamped boat brings the line to 5 kN: EA 100 kN, drag alone.

    T^2 (T - T0) = EA P^2 / 8 with P = 1/2 x 1000 x 0.831 m2 x v^2 x 1.25 gives about 4.2 kN at 1.5 m/s
    and 2.65 kN at 2.0 m/s (common practice, no source). The cubic leaves out the rope's weight and the
    bow's second order, and the figures are rounded: 1.5 % of the tension.
    """
    for speed, set_tension in ((1.5, 4.2e3), (2.0, 2.65e3)):
        drag = 0.5 * 1000 * 0.831 * speed**2 * 1.25
        line = {"span_m": 42.0, "rise_m": 0.0, "weight_n_m": 0.75, "stiffness_n": 1e5}
        length = unstretched_length_m(**line, pretension_n=set_tension)
        state = solve_states(**line, unstretched_m=length, at_m=21.0, downstream_n=drag, down_n=0.0)
        assert float(state.tension_n) == pytest.approx(5e3, rel=0.015)
        assert asin(drag / (2 * float(state.tension_n))) < radians(15)
