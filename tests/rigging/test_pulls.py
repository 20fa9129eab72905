"""Forces on the carriage by hand, their derivatives, and where the ferry lines have leverage."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.rigging.asked import Asked
from atlas.rigging.carriages import carriages_at
from atlas.rigging.ferry import StationPoint, toward
from atlas.rigging.leverage import leverage_range, leverages
from atlas.rigging.pulls import LEAST_MOST_N, Hung, Tended, pull_slopes, pulls_at
from atlas.rigging.setups import haul_efficiency, table_of


def hung(count=1, *, drag=0.0, floor=2.0, x=None, yd=None, **changes):
    """Depths under a tie point; three stations, none of them pulling unless told."""
    one = np.ones(count)
    tended = {
        "share": 0.5 * one,
        "half_weight": 0.4 * one,
        "rub": 0.1 * one,
        "floor": floor * one,
        "x": np.broadcast_to(np.reshape([-20.0, 20.0, -20.0] if x is None else x, (3, -1)), (3, count)),
        "yd": np.broadcast_to(
            np.reshape([[-8.0, -8.0, 8.0], [0.0, 0.0, 0.0]] if yd is None else yd, (2, 3, -1)), (2, 3, count)
        ),
    }
    values = {
        "drag": drag * one, "along": 0.0 * one, "downstream": one, "weight": 120.0 * one,
        "ring_drop": 0.3 * one, "bow_ring": 3.0 * one, "reach": 15.0 * one, "strand_least": 3.0 * one,
    }  # fmt: skip
    return Hung(**(values | changes), tended=Tended(**tended))


def least_tension(length, a, b):
    """Tension of the near ferry line, `length` long, its ends a and b over its floor."""
    at_d = 2.0 - b  # the ring, 2 m over the floor at depth 0
    rise = (2.0 - a) - at_d
    run = np.sqrt(length**2 - rise**2)
    held = hung(x=[-run, 500.0, -500.0], yd=[[0.0, 0.0, 0.0], [2.0 - a, 0.0, 0.0]])
    pulls = pulls_at(held, place=np.array([[0.0], [at_d - 0.3]]), along=np.zeros(1))
    return float(pulls.tended.least[0, 0] / pulls.tended.nearness[0, 0])


def test_dry_by_the_textbook_parabola():
    """Level ends a over the floor: w L^2 / 8 a (a cable under its weight as a parabola)."""
    assert least_tension(40.0, 2.0, 2.0) == pytest.approx(0.8 * 40.0**2 / (8.0 * 2.0))


@given(a=st.floats(0.2, 6.0), b=st.floats(0.2, 6.0), length=st.floats(10.0, 60.0))
def test_the_lowest_point_is_at_the_floor(a, b, length):
    """The parabola with that tension through both ends, by the middle of its chord's run."""
    tension = least_tension(length, a, b)
    if tension >= LEAST_MOST_N:
        return
    # z = a + s x + w x^2 / 2 T with z(length) = b; its lowest is a - s^2 T / 2 w
    slope = (b - a) / length - 0.8 * length / (2.0 * tension)
    assert a - slope**2 * tension / (2.0 * 0.8) == pytest.approx(0.0, abs=1e-9 * (a + b + 1.0))


def test_an_end_under_the_floor_counts_as_a_little_over_it_and_hands_hold_no_more_than_they_can():
    assert least_tension(20.0, 2.0, -0.5) == pytest.approx(least_tension(20.0, 2.0, 0.1))
    assert least_tension(60.0, 0.1, 0.1) == pytest.approx(LEAST_MOST_N)
    assert LEAST_MOST_N < 0.8 * 60.0**2 / (8 * 0.1)


def test_ferry_lines_by_hand():
    """Stations 15 across, 20 up the river, level: 25 m away. 300 N asked toward the far bank.

    The far line gives it with 300 x 25 / 15 = 500 N, which pulls 400 N upriver, over its least; the near
    line has its own least, which the far one answers: both alike 0.8 x 25^2 / (8 x 2) = 31.25 N.
    """
    held = hung(x=[-15.0, 15.0, -500.0], yd=[[-20.0, -20.0, 0.0], [0.0, 0.0, 0.0]])
    pulls = pulls_at(held, place=np.array([[0.0], [-0.3]]), along=np.array([300.0]))
    near, far, working = pulls.tended.density[:, 0] / pulls.tended.nearness[:, 0]
    assert (near, far, working) == pytest.approx((31.25, 531.25, 0.0))
    assert pulls.tended.left[0] == pytest.approx(300.0)
    assert pulls.load[:, 0] == pytest.approx((-(31.25 + 531.25) * 20 / 25, 120.0))


def test_the_working_strand_by_hand():
    """Strands 3 down over 4 out with a drag of 800 N: 1000 N in all, 500 N in one of two, toward a station
    12 downriver and 5 higher than the ring: 13 m away. The ferry lines lead straight away, to no effect.
    """
    held = hung(
        drag=800.0, bow_ring=3.3 * np.ones(1), reach=4.0 * np.ones(1),
        x=[-1e7, 1e7, 0.0], yd=[[0.0, 0.0, 12.0], [0.3, 0.3, -4.7]], floor=-1e12,
    )  # fmt: skip
    pulls = pulls_at(held, place=np.zeros((2, 1)), along=np.zeros(1))
    assert pulls.strand[0] == pytest.approx(1000.0)
    assert pulls.load[:, 0] == pytest.approx((800.0 + 500.0 * 12 / 13, 120.0 + 600.0 - 500.0 * 5 / 13))


def test_derivatives_of_the_load():
    """Against differences over a micrometre and a millinewton, at 3000 places drawn at random."""
    random, count = np.random.default_rng(8), 3000
    side = np.array([[-1.0], [1.0], [-1.0]])
    held = hung(
        count,
        drag=random.choice([0.0, 1.0], count) * random.uniform(50, 5000, count),
        floor=random.uniform(0.9, 2.5, count),
        x=side * random.uniform(5, 40, (3, count)),
        yd=random.uniform(-1, 1, (2, 3, count)) * np.array([9.0, 1.5])[:, None, None],
        reach=random.uniform(4, 20, count),
        along=np.full(count, 0.2),
    )
    place = np.stack([random.uniform(-2, 9, count), random.uniform(0, 3, count)])
    along = random.uniform(-800, 800, count)
    by_place, by_along = pull_slopes(held, pulls_at(held, place=place, along=along), place=place)
    for axis in (0, 1):
        step = np.zeros((2, 1))
        step[axis] = 1e-6
        up, down = (pulls_at(held, place=place + sign * step, along=along).load for sign in (1, -1))
        rate = (up - down) / 2e-6
        off = np.abs(rate - by_place[:, axis]) / (1.0 + np.abs(rate))
        # a fold within the micrometre is met by a few in a thousand
        assert np.quantile(off, 0.995) < 1e-5
    up, down = (pulls_at(held, place=place, along=along + sign * 1e-3).load for sign in (1, -1))
    np.testing.assert_allclose(by_along, (up - down) / 2e-3, atol=1e-6)


def test_the_way_to_a_station():
    # 3 across, 4 up the river, 12 down the bank: 13 away
    station = StationPoint(x_m=3.0, y_m=-4.0, z_m=-12.0)
    here = {name: np.zeros(1) for name in ("x_m", "y_m", "z_m")}
    x, y, z, distance = (float(value[0]) for value in toward(station, **here))
    assert (x, y, z, distance) == pytest.approx((3 / 13, -4 / 13, -12 / 13, 13.0))


def test_losses_of_the_up_down_line():
    # through the low pulley and the bow pulley of 0.80 each: 0.80 + 0.64 of the pull comes to the boat
    assert haul_efficiency(bow_strands=2, pulley_efficiency=0.80) == pytest.approx(1.44)
    assert haul_efficiency(bow_strands=1, pulley_efficiency=0.80) == pytest.approx(0.80)
    assert haul_efficiency(bow_strands=2, pulley_efficiency=1.0) == 2.0


def bowed(site, drag_n=0.0):
    asked = Asked.of(
        site=0, whole=False, drag_n=drag_n, water_rise_m=0.0, clearance_m=0.0, set_n=1500.0, stiffness_n=1e5,
        seating_m=0.0,
    )  # fmt: skip
    return table_of([site]), asked


def test_leverage_is_lost_near_the_line_s_own_bank(maker):
    table, asked = bowed(maker.setup())
    near, far = leverages(carriages_at(table, asked, np.linspace(1.0, 41.0, 81)))
    assert np.all(np.diff(near) > 0.0)
    assert np.all(np.diff(far) < 0.0)
    np.testing.assert_allclose(near, far[:, ::-1], atol=1e-6)


def test_where_both_ferry_lines_keep_half_of_their_pull_by_hand(maker):
    """Stations 1 m behind the ties and 8 m upriver, the carriage empty: 60 degrees at 8 / sqrt 3 across.

    Ring and stations differ by half a metre of height, which takes a centimetre or two.
    """
    table, asked = bowed(maker.setup())
    from_m, to_m = leverage_range(table, asked, least=np.array([0.5]))
    assert from_m[0] == pytest.approx(8.0 / np.sqrt(3.0) - 1.0, abs=0.03)
    assert to_m[0] == pytest.approx(42.0 - from_m[0], abs=1e-3)


def test_a_bowed_line_has_less_leverage_and_a_short_one_none(maker):
    empty, swamped = (
        leverage_range(*bowed(maker.setup(), drag), least=np.array([0.5])) for drag in (0.0, 3000.0)
    )
    assert swamped[0][0] > empty[0][0] + 1.0
    short = maker.setup(
        12.0, ferry_near=StationPoint(0.0, -30.0, 3.5), ferry_far=StationPoint(12.0, -30.0, 3.5)
    )
    from_m, to_m = leverage_range(*bowed(short), least=np.array([0.5]))
    assert from_m[0] > to_m[0]


def test_a_station_on_the_wrong_side_gives_no_leverage(maker):
    site = maker.setup(ferry_near=StationPoint(30.0, -2.0, 3.5))
    table, asked = bowed(site)
    near, _ = leverages(carriages_at(table, asked, [10.0, 38.0]))
    assert near[0, 0] < 0.0 < near[0, 1]
