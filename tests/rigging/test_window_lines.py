"""Where margins that are straight meet: by hand, exactly; and what no set tension mends."""

import numpy as np
import pytest

from atlas.rigging.window_lines import (
    STEP_M,
    STEP_N,
    bounds,
    first_meeting,
    lines_of,
    none_between,
    with_one,
)

SET_N = np.array([1000.0])
NO_AIM = np.zeros(1)


def straight(*planes, at_m, set_n=1000.0):
    """Margins a + b T + c p of some questions: at (T, p), and at the two steps beside it."""

    def margins(set_n, at_m):
        return np.array([[a + b * set_n + c * at_m for a, b, c in planes]])

    beside = np.stack(
        [margins(set_n, at_m), margins(set_n * (1.0 + STEP_N), at_m), margins(set_n, at_m + STEP_M)]
    )
    return beside[0], beside


def lines(*planes, sign, at_m):
    margin, beside = straight(*planes, at_m=at_m)
    return lines_of(margin, beside, sign=sign, set_n=SET_N, aim=NO_AIM)


def test_two_straight_margins_meet_where_they_do_by_hand():
    """Force 2 - T/1000 - p, clearance T/1000 - 1 - p/2: T = 2000 - 1000 p = 1000 + 500 p at p = 2/3."""
    force = lines((2.0, -1e-3, -1.0), sign=-1.0, at_m=0.1)
    clear = lines((-1.0, 1e-3, -0.5), sign=1.0, at_m=0.1)
    meets = first_meeting(force, clear)
    assert meets.step_m[0] == pytest.approx(2.0 / 3.0 - 0.1)
    assert meets.set_n[0] == pytest.approx(4000.0 / 3.0)
    assert not meets.sheer[0]
    most, least = bounds(force, clear, meets.step_m)
    assert most[0] == pytest.approx(least[0])


def test_of_several_pairs_the_first_counts():
    force = lines((2.0, -1e-3, -1.0), (3.0, -1e-3, -4.0), sign=-1.0, at_m=0.0)
    clear = lines((-1.0, 1e-3, -0.5), sign=1.0, at_m=0.0)
    # the second force: T = 3000 - 4000 p = 1000 + 500 p at p = 4/9
    assert first_meeting(force, clear).step_m[0] == pytest.approx(4.0 / 9.0)


def test_a_force_that_no_set_tension_eases_limits_the_place_alone():
    """0.3 + T/1e6 - p: hardly less with more set; used up at p = 0.3 + 0.001."""
    force = lines((0.3, 1e-6, -1.0), sign=-1.0, at_m=0.0)
    clear = lines((-0.5, 1e-3, -0.1), sign=1.0, at_m=0.0)
    assert np.isnan(force.at[0, 0])
    meets = first_meeting(with_one(force, np.array([5000.0])), clear)
    assert meets.sheer[0]
    assert meets.step_m[0] == pytest.approx(0.301)


def test_a_rule_counts_at_every_place():
    clear = lines((-1.0, 1e-3, -0.5), sign=1.0, at_m=0.0)
    force = with_one(lines((9.0, -1e-3, -0.1), sign=-1.0, at_m=0.0), np.array([1500.0]))
    meets = first_meeting(force, clear)
    assert (meets.step_m[0], meets.set_n[0]) == pytest.approx((1.0, 1500.0))


def test_margins_that_do_not_close_never_meet():
    force = lines((2.0, -1e-3, 0.0), sign=-1.0, at_m=0.0)
    clear = lines((-1.0, 1e-3, 0.0), sign=1.0, at_m=0.0)
    assert np.isinf(first_meeting(force, clear).step_m[0])


@pytest.mark.parametrize(("apart", "none"), [(-0.005, True), (0.005, False), (-0.5, False)])
def test_none_is_left_between_only_where_lines_are_true(apart, none):
    """The forces allow up to T (1 + apart), the clearances ask T; far off it is not told."""
    force = lines((1.0 + apart, -1e-3, -1.0), sign=-1.0, at_m=0.0)
    clear = lines((-1.0, 1e-3, -0.5), sign=1.0, at_m=0.0)
    assert none_between(force, clear, SET_N)[0] == none
