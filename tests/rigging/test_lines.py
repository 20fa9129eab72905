from math import hypot, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.rigging.lines import ferry_line, launch_line, messenger_line, track_line, up_down_line

SPARE = {"spare_fraction": 0.1, "spare_least_m": 3.0}


def track(**changes):
    values = {
        "chord_m": 40.0,
        "wraps": 4.0,
        "far_anchor_diameter_m": 0.5,
        "rope_diameter_m": 0.0125,
        "far_tail_m": 2.0,
        "haul_advantage": 3,
        "throw_m": 3.0,
        "near_tail_m": 3.0,
    }
    return track_line(**(values | changes), **SPARE)


def parts(length):
    return {part.part: part.length_m for part in length.parts}


def test_track_line_by_hand():
    # 40 + 4 pi (0.5 + 0.0125) + 2 + 3 x 3 + 3, and a tenth of that
    planned = 40.0 + 4.0 * pi * 0.5125 + 2.0 + 9.0 + 3.0
    assert track().needed_m == pytest.approx(planned * 1.1)
    assert track().floor_m == 40.0


@given(st.floats(10, 250), st.integers(2, 9))
def test_needed_is_the_sum_of_its_parts(chord_m, advantage):
    length = track(chord_m=chord_m, haul_advantage=advantage)
    assert sum(parts(length).values()) == pytest.approx(length.needed_m, rel=1e-12)
    assert length.needed_m >= chord_m


def test_advantage_multiplies_the_throw():
    assert parts(track(haul_advantage=9))["haul"] == 27.0


def test_spare_is_never_under_its_least():
    short = ferry_line(station_to_carriage_m=8.0, tail_m=6.0, width_m=5.0, **SPARE)
    assert parts(short)["spare"] == 3.0


def test_a_ferry_line_is_at_least_the_width():
    length = ferry_line(station_to_carriage_m=20.0, tail_m=6.0, width_m=60.0, **SPARE)
    assert length.needed_m == 60.0
    assert parts(length)["floor"] == pytest.approx(60.0 - 29.0)


def test_two_strands_at_the_bow_double_the_reach():
    one, two = (
        up_down_line(
            station_to_carriage_m=30.0,
            bow_strands=n,
            reach_m=20.0,
            ring_over_bow_m=2.0,
            tail_m=6.0,
            width_m=1.0,
            **SPARE,
        )
        for n in (1, 2)
    )
    assert parts(two)["strands"] == 2.0 * parts(one)["strands"] == pytest.approx(2.0 * hypot(20.0, 2.0))


def test_messenger_goes_over_and_its_bight_comes_back():
    assert messenger_line(span_m=50.0, tail_m=5.0, **SPARE).needed_m == pytest.approx(110.0 * 1.1)


def test_launch_line_follows_its_arc_and_reaches_across():
    assert launch_line(throw_m=50.0, arc=1.148, span_m=48.0, **SPARE).needed_m == pytest.approx(57.4 * 1.1)
    assert launch_line(throw_m=10.0, arc=1.148, span_m=48.0, **SPARE).needed_m == 48.0
