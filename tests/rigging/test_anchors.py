import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.rigging.anchors import assumed_hold_n, hold_needed_n

loads = st.floats(0.0, 50e3)


@pytest.mark.parametrize(
    ("load_n", "needed_n"),
    [(0.0, 20e3), (4999.0, 20e3), (5000.0, 20e3), (5001.0, 20004.0), (7000.0, 28e3)],
)
def test_four_times_the_load_and_never_under_the_least(load_n, needed_n):
    assert hold_needed_n(load_n=load_n, ratio=4.0, least_n=20e3) == needed_n


@given(load=loads, more=st.floats(0.0, 10e3), ratio=st.floats(1.0, 10.0), least=loads)
def test_more_load_is_never_asked_less(load, more, ratio, least):
    asked = hold_needed_n(load_n=load, ratio=ratio, least_n=least)
    assert asked <= hold_needed_n(load_n=load + more, ratio=ratio, least_n=least)
    assert asked >= max(load, least)


TREE = {"of_size_squared_n_m2": 450e3, "most_n": 90e3, "size_least_m": 0.25}


@pytest.mark.parametrize(
    ("size_m", "hold_n"),
    [
        (0.2499, None),  # a sapling holds nothing that is counted on
        (0.25, 28125.0),  # 450 x 0.0625
        (0.40, 72e3),
        (0.4472, 450e3 * 0.4472**2),
        (0.45, 90e3),  # 91.1 kN, at most 90
        (2.0, 90e3),
    ],
)
def test_a_trunk_by_its_thickness(size_m, hold_n):
    found = assumed_hold_n(size_m=size_m, **TREE)
    assert found == (None if hold_n is None else pytest.approx(hold_n))


def test_twice_as_thick_holds_four_times():
    law = {"of_size_squared_n_m2": 10e3, "most_n": 1e9, "size_least_m": 0.1}
    assert assumed_hold_n(size_m=2.0, **law) == pytest.approx(4.0 * assumed_hold_n(size_m=1.0, **law))
