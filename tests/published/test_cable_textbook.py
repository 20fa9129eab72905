"""Cables of textbooks, followed load by load with the rope equations, and hung between two points."""

from math import hypot

import numpy as np
import pytest
from scipy.optimize import root

from atlas.rigging import hang_segment
from atlas.rigging.catenary import piece, piece_rise
from atlas.rigging.segment import segment_height_m, unstretched_for_tension_m

NO_WEIGHT = np.array(1e-12)
NO_STRETCH = np.array(0.0)


def followed(horizontal, lift, *, run):
    """Rise of a straight piece without weight over a horizontal run, from where it begins."""
    length = np.array(run * hypot(horizontal, lift) / horizontal)
    ends = piece(
        tension=np.array(hypot(horizontal, lift)),
        lift=np.array(lift),
        length=length,
        weight=NO_WEIGHT,
        compliance=NO_STRETCH,
    )
    assert float(ends.run_a_newton) * horizontal == pytest.approx(run, rel=1e-9)
    return float(piece_rise(ends, lift=np.array(lift), length=length, compliance=NO_STRETCH))


def shape(*, horizontal, reaction, loads, runs):
    """Heights at each load and at the last support, from the first; the cable leaves it downhill."""
    height, lift, heights = 0.0, -reaction, []
    for load, run in zip([*loads, 0.0], runs, strict=True):
        height += followed(horizontal, lift, run=run)
        heights.append(height)
        lift += load
    return heights


def test_two_loads_on_a_level_cable():
    """Beer & Johnston, Vector Mechanics: Statics, 7.115 (read): 600 and 450 lb at 4 and 8 ft of 10 ft.

    With the greatest tension 720 lb the reactions are 450 and 600 lb, T0 398 lb, the first sag 4.52 ft;
    printed to three figures.
    """
    # moments about the first support; the greatest tension is at the support that carries more
    far = (600 * 4 + 450 * 8) / 10
    near = 600 + 450 - far
    horizontal = (720**2 - far**2) ** 0.5
    assert (near, far) == (450, 600)
    assert horizontal == pytest.approx(398, abs=0.5)
    first, _, end = shape(horizontal=horizontal, reaction=near, loads=(600, 450), runs=(4, 4, 2))
    assert -first == pytest.approx(4.52, abs=0.005)
    assert end == pytest.approx(0.0, abs=1e-9)


def test_three_loads_on_a_sloping_cable():
    """Beer & Johnston, 7.116 (read): span 8 ft, far support 2.4 ft lower, 360, 720, 240 lb at 2, 4, 6 ft.

    The middle load hangs 3.6 ft below the first support: T0 850 lb, drops 2.22 and 3.28 ft; printed to
    three figures, and T0 rounded, hence 0.01 ft at the end.
    """
    horizontal = 850.0
    reaction = (3.6 * horizontal + 360 * 2) / 4
    first, middle, third, end = shape(
        horizontal=horizontal, reaction=reaction, loads=(360, 720, 240), runs=(2, 2, 2, 2)
    )
    assert (-first, -middle, -third) == pytest.approx((2.22, 3.6, 3.28), abs=0.006)
    assert -end == pytest.approx(2.4, abs=0.01)


def test_a_load_beside_the_support():
    """Public solved exercise (read): 20 m level, no weight, 50 kN at 5 m, sag 1 m there.

    H 187.5 kN, tension of the long side 187.916 kN, length 20.1323 m, to the digits printed. The two
    sides are hung with that H, nearly without weight or stretch.
    """
    sides = {
        "run_m": np.array([5.0, 15.0]),
        "rise_m": np.array([-1.0, 1.0]),
        "weight_n_m": np.array(1e-6),
        "stiffness_n": np.array(1e14),
    }
    length = unstretched_for_tension_m(**sides, horizontal_n=np.array(187.5e3))
    assert length.sum() == pytest.approx(20.1323, abs=6e-5)
    # the vertical parts follow from the slope; the load is their sum
    lift = 187.5e3 * np.array([1 / 5, 1 / 15])
    assert lift.sum() == pytest.approx(50e3, rel=1e-12)
    rises = [followed(187.5e3, value, run=run) for value, run in zip(lift, (5.0, 15.0), strict=True)]
    assert rises == pytest.approx([1.0, 1.0], rel=1e-9)
    assert hypot(187.5, lift[1] / 1e3) == pytest.approx(187.916, abs=6e-4)


def test_a_hanging_cable_near_its_parabola():
    """Beer & Johnston 7.107 (inputs read, answers from memory): 0.6 kg/m over 60 m level, sag 1.5 m.

    As a parabola T0 1765.8 N, Tmax 1775 N, length 60.1 m. The catenary of that T0 sags 8e-4 more, by
    (w X / (2 H))^2 / 12, hence 1e-3; length is printed to 0.1 m.
    """
    cable = {"run_m": 60.0, "rise_m": 0.0, "weight_n_m": 0.6 * 9.81, "stiffness_n": 1e10}
    length = unstretched_for_tension_m(
        **{key: np.array(value) for key, value in cable.items()}, horizontal_n=np.array(1765.8)
    )
    assert float(length) == pytest.approx(60.1, abs=0.05)
    found = hang_segment(unstretched_m=length, **cable)
    assert float(found.horizontal_n) == pytest.approx(1765.8, rel=1e-6)
    assert float(found.last_tension_n) == pytest.approx(1775, rel=1e-3)
    middle = segment_height_m(
        np.array(30.0),
        found,
        unstretched_m=length,
        weight_n_m=np.array(5.886),
        stiffness_n=np.array(1e10),
    )
    assert -float(middle) == pytest.approx(1.5, rel=1e-3)


@pytest.mark.parametrize(
    ("sag_share", "length_share"), [(0.05, 1.006626), (0.08, 1.016867), (0.10, 1.026055), (0.15, 1.057039)]
)
def test_length_over_span(sag_share, length_share):
    """Wire-rope handbook, cable section (read): length over span of a parabola.

    Compared with the catenary of that sag: 1e-4 as printed, and the catenary's own difference, which
    is of the fourth order in the sag (its series begins 1 + 8/3 d^2 as the parabola's does).
    """
    half = root(
        lambda length: [
            hang_segment(
                run_m=0.5, rise_m=sag_share, unstretched_m=length[0], weight_n_m=1.0, stiffness_n=1e9
            ).first_vertical_n
        ],
        [0.5 * length_share],
        tol=1e-13,
    ).x[0]
    assert 2 * half == pytest.approx(length_share, abs=1e-4 + 2 * sag_share**4)


def test_a_load_fixed_to_an_elastic_cable():
    """Michalos & Birnstiel 1962; O'Brien & Francis 1964; Jayaraman & Knudsen 1981; Thai & Kim 2011 (memory).

    Supports 304.8 m apart, 46.11 N/m, EA 131.0 GPa x 548.4 mm2; 35.586 kN fixed to the point which hangs
    29.276 m below the supports at 121.92 m. It moves -5.626 m down and -0.859 m across, H grows from
    17.79 to 89.44 kN. The references agree with each other to 2 mm.
    """
    lengths = np.array([125.847, 186.855])

    def both(place):
        return hang_segment(
            run_m=np.array([place[0], 304.8 - place[0]]),
            rise_m=np.array([place[1], -place[1]]),
            unstretched_m=lengths,
            weight_n_m=46.11,
            stiffness_n=131.0e9 * 548.4e-6,
        )

    def unbalanced(place, load):
        found = both(place)
        horizontal, first, last = found.horizontal_n, found.first_vertical_n, found.last_vertical_n
        return [(horizontal[1] - horizontal[0]) / 1e4, (first[1] - last[0] - load) / 1e4]

    empty = root(unbalanced, [121.92, -29.276], args=(0.0,), tol=1e-12).x
    assert empty == pytest.approx([121.92, -29.276], abs=0.002)
    assert both(empty).horizontal_n / 1e3 == pytest.approx(17.79, abs=0.005)
    under_load = root(unbalanced, np.add(empty, [-0.5, -4.0]), args=(35.586e3,), tol=1e-12).x
    assert under_load - empty == pytest.approx([-0.859, -5.626], abs=0.002)
    assert both(under_load).horizontal_n / 1e3 == pytest.approx(89.44, abs=0.05)
