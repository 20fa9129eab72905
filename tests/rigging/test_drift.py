import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.drift import drift_to, flow_coordinates

PLACE = st.tuples(st.floats(-50, 150), st.floats(-100, 300))
SKEW = st.floats(-60, 60)


def test_by_hand():
    """A strainer 60 m down and 10 m beside, 2 m/s: 30 s; a 3-4-5 flow turns 50 m into 30 and 40."""
    found = drift_to([(30.0, 60.0)], [(20.0, 0.0)], skew_deg=0.0, speed_m_s=2.0)
    assert (found.along_m, found.aside_m, found.seconds_s) == pytest.approx((60.0, 10.0, 30.0))
    along, across = flow_coordinates(x_m=50.0, y_m=0.0, skew_deg=np.degrees(np.arctan2(3, 4)))
    assert (float(along), float(across)) == pytest.approx((30.0, 40.0))


@given(
    st.lists(PLACE, min_size=1, max_size=6), st.lists(PLACE, min_size=1, max_size=4), SKEW, st.floats(0.2, 4)
)
def test_nothing_floats_there_sooner(danger, boats, skew, speed):
    """Each boat as a front across the whole river, going down the flow: it meets the danger then."""
    found = drift_to(danger, boats, skew_deg=skew, speed_m_s=speed)
    flow = np.array([np.sin(np.radians(skew)), np.cos(np.radians(skew))])
    ahead = [(np.array(corner) - np.array(boat)) @ flow for corner in danger for boat in boats]
    if max(ahead) < -1e-9:
        assert found is None
    elif max(ahead) > 1e-9:
        front = [
            max(min((np.array(corner) - np.array(boat)) @ flow for corner in danger), 0.0)
            for boat in boats
            if max((np.array(corner) - np.array(boat)) @ flow for corner in danger) >= -1e-12
        ]
        assert found.seconds_s == pytest.approx(min(front) / speed, abs=1e-9)
        assert found.along_m >= 0.0
        assert found.aside_m >= 0.0


@given(st.lists(PLACE, min_size=3, max_size=6), PLACE, SKEW, st.floats(-180, 180), PLACE)
def test_turned_and_moved_the_way_is_the_same(danger, boat, skew, turn, moved):
    """The drift knows only the flow: everything turned with it and moved leaves the way as it was."""
    turned_skew = skew + turn / 4.0
    if abs(turned_skew) > 60.0:
        turned_skew = skew
    angle = np.radians(skew - turned_skew)
    rotation = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])

    def carried(places):
        return np.asarray(places) @ rotation.T + np.asarray(moved)

    one = drift_to(danger, [boat], skew_deg=skew, speed_m_s=1.0)
    other = drift_to(carried(danger), carried([boat]), skew_deg=turned_skew, speed_m_s=1.0)
    if one is not None and other is not None:
        assert other.along_m == pytest.approx(one.along_m, abs=1e-9)
        assert other.aside_m == pytest.approx(one.aside_m, abs=1e-9)


def test_a_danger_abreast_is_there_at_once():
    bridge = [(10.0, -5.0), (12.0, -5.0), (12.0, 5.0), (10.0, 5.0)]
    found = drift_to(bridge, [(20.0, 0.0)], skew_deg=0.0, speed_m_s=1.5)
    assert (found.along_m, found.seconds_s, found.aside_m) == (0.0, 0.0, 8.0)


def test_a_danger_upriver_is_none():
    assert drift_to([(20.0, -30.0)], [(20.0, 0.0)], skew_deg=0.0, speed_m_s=1.5) is None


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (
            lambda: drift_to([(0.0, 1.0)], [(0.0, 0.0)], skew_deg=0.0, speed_m_s=0.0),
            "speed_m_s: outside the range in which the answer was shown; got 0 m/s; allowed 0.05 to 10 m/s",
        ),
        (
            lambda: drift_to([], [(0.0, 0.0)], skew_deg=0.0, speed_m_s=1.0),
            "danger_m: not places; got shape (0,); allowed (n, 2), n at least 1",
        ),
        (
            lambda: drift_to([(np.nan, 1.0)], [(0.0, 0.0)], skew_deg=0.0, speed_m_s=1.0),
            "x_m, y_m: not finite; allowed: any finite place",
        ),
    ],
)
def test_refusals(call, text):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert str(caught.value) == text
