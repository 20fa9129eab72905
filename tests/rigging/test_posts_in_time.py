import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.posts_in_time import last_catch_m, spotter_distance_m, throw_windows


def test_spotter_by_hand():
    """2.5 m/s, 10 s to see and signal, 50 s to clear: 150 m."""
    assert float(spotter_distance_m(speed_m_s=2.5, see_s=10.0, clear_s=50.0)) == 150.0


@given(st.floats(0.2, 5), st.floats(0, 60), st.floats(0, 300))
def test_what_passes_the_spotter_arrives_after_seeing_and_clearing(speed, see, clear):
    """Stepped second by second, the last one part of one."""
    away = float(spotter_distance_m(speed_m_s=speed, see_s=see, clear_s=clear))
    left = see + clear
    while left > 0.0:
        step = min(left, 1.0)
        away, left = away - speed * step, left - step
    assert away == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0, 500), st.floats(0.2, 5), st.floats(0, 60))
def test_a_catch_begun_there_ends_at_the_danger(danger, speed, catch):
    last = float(last_catch_m(danger_along_m=danger, speed_m_s=speed, catch_s=catch))
    assert last + speed * catch == pytest.approx(danger, abs=1e-9)


@given(
    posts=st.lists(st.tuples(st.floats(-10, 60), st.floats(0, 150)), min_size=1, max_size=5),
    swimmer=st.tuples(st.floats(0, 50), st.floats(0, 60)),
    reach=st.floats(8, 30),
    skew=st.floats(-40, 40),
    speed=st.floats(0.5, 4),
    last=st.one_of(st.none(), st.floats(-20, 150)),
)
@settings(max_examples=40)
def test_a_swimmer_followed_step_by_step(posts, swimmer, reach, skew, speed, last):
    """Every 2 cm of the way looked at: within reach of the thrower, and not past the last place to throw."""
    found = throw_windows(
        posts, swimmer_m=swimmer, reach_m=reach, skew_deg=skew, speed_m_s=speed, last_m=last
    )
    flow = np.array([np.sin(np.radians(skew)), np.cos(np.radians(skew))])
    run = np.arange(0.0, 400.0, 0.02)
    way = np.array(swimmer) + run[:, None] * flow
    along = way @ flow
    for number, post in enumerate(posts):
        near = np.hypot(*(way - np.array(post)).T) <= reach
        if last is not None:
            near &= along <= last
        seconds = np.count_nonzero(near) * 0.02 / speed
        assert found.seconds_s[number] == pytest.approx(seconds, abs=0.05 / speed)
        if seconds > 0.1:
            assert found.from_m[number] == pytest.approx(along[near][0], abs=0.03)
            assert found.to_m[number] == pytest.approx(along[near][-1], abs=0.03)


def test_who_serves():
    """Reach 15 m at 2 m/s: abreast 9 m off 12 s, 15 m off none, 12 m off 9 s; 10 s are asked."""
    found = throw_windows(
        [(9.0, 50.0), (15.0, 50.0), (-12.0, 50.0)],
        swimmer_m=(0.0, 0.0),
        reach_m=15.0,
        skew_deg=0.0,
        speed_m_s=2.0,
        last_m=None,
    )
    assert found.seconds_s == pytest.approx([12.0, 0.0, 9.0])
    assert found.in_time(needed_s=10.0) == 1
    assert found.in_time(needed_s=9.0) == 2
    # one out of reach serves nobody, however little is asked
    assert found.in_time(needed_s=0.0) == 2


def test_a_thrower_below_the_last_place_serves_nobody():
    found = throw_windows(
        [(9.0, 50.0)], swimmer_m=(0.0, 0.0), reach_m=15.0, skew_deg=0.0, speed_m_s=2.0, last_m=30.0
    )
    assert found.seconds_s == pytest.approx([0.0])
    assert found.in_time(needed_s=0.0) == 0


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (
            lambda: spotter_distance_m(speed_m_s=2.0, see_s=-1.0, clear_s=10.0),
            "seconds: outside the range in which the answer was shown; got -1 s; allowed 0 to 3600 s",
        ),
        (
            lambda: last_catch_m(danger_along_m=10.0, speed_m_s=np.inf, catch_s=10.0),
            "speed_m_s: outside the range in which the answer was shown; got inf m/s; allowed 0.05 to 10 m/s",
        ),
        (
            lambda: last_catch_m(danger_along_m=np.nan, speed_m_s=2.0, catch_s=10.0),
            (
                "along the flow: outside the range in which the answer was shown; got nan m; "
                "allowed -100000 to 100000 m"
            ),
        ),
        (
            lambda: throw_windows(
                [(0.0, 0.0)], swimmer_m=(0.0, 0.0), reach_m=0.0, skew_deg=0.0, speed_m_s=1.0, last_m=None
            ),
            "reach_m: outside the range in which the answer was shown; got 0 m; allowed 1 to 100 m",
        ),
    ],
)
def test_refusals(call, text):
    with pytest.raises(OutOfRange) as caught:
        call()
    assert str(caught.value) == text
