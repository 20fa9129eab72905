import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.decisions import rise_to_stop_m, time_left_s


def test_by_hand():
    """0.6 m to the limit, 0.1 m in a quarter of an hour, 20 minutes to clear: 90 - 20 = 70 minutes."""
    left = time_left_s(room_m=0.6, rise_m_s=0.1 / 900.0, clear_s=1200.0)
    assert float(left) / 60.0 == pytest.approx(70.0)
    # 0.6 m, a look every 15 minutes, 15 to clear: a third of the room
    assert float(rise_to_stop_m(room_m=0.6, between_s=900.0, clear_s=900.0)) == pytest.approx(0.2)


@given(st.floats(0.05, 3), st.floats(60, 3600), st.floats(60, 3600), st.floats(0.05, 3))
def test_water_stepped_from_look_to_look(room, between, clear, share):
    """A crew that stays one look longer is out in time just where its rise was under the limit."""
    most = float(rise_to_stop_m(room_m=room, between_s=between, clear_s=clear))
    rise = share * most
    stage = rise  # found at the look
    stage += rise  # until the next, when it begins to clear
    minutes = clear / between
    stage += rise * minutes
    assert (stage <= room * (1.0 + 1e-9)) == (share <= 1.0 + 1e-9)


@given(st.floats(-1, 3), st.floats(1e-5, 1e-3), st.floats(60, 3600))
def test_left_and_cleared_the_water_is_at_the_limit(room, rise, clear):
    left = float(time_left_s(room_m=room, rise_m_s=rise, clear_s=clear))
    assert (left + clear) * rise == pytest.approx(room, abs=1e-9)


def test_at_the_limit_there_is_no_time_and_no_rise():
    assert float(time_left_s(room_m=0.0, rise_m_s=1e-4, clear_s=600.0)) == -600.0
    assert float(rise_to_stop_m(room_m=0.0, between_s=900.0, clear_s=600.0)) == 0.0


def test_refusals():
    with pytest.raises(OutOfRange) as caught:
        time_left_s(room_m=0.5, rise_m_s=0.0, clear_s=600.0)
    assert str(caught.value) == (
        "rise_m_s: outside the range in which the answer was shown; got 0 m/s; allowed 1e-07 to 1 m/s"
    )
    with pytest.raises(OutOfRange) as caught:
        time_left_s(room_m=np.inf, rise_m_s=1e-4, clear_s=600.0)
    assert str(caught.value) == (
        "room_m: outside the range in which the answer was shown; got inf m; allowed -30 to 30 m"
    )
    with pytest.raises(OutOfRange) as caught:
        rise_to_stop_m(room_m=np.nan, between_s=900.0, clear_s=600.0)
    assert str(caught.value) == (
        "room_m: outside the range in which the answer was shown; got nan m; allowed 0 to 30 m"
    )
