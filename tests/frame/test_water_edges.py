import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.frame.water_edges import WaterEdges, find_water_edges
from atlas.records import Bank


def across(*xs):
    """A line that meets the track line at each x, and on its way back halfway between them."""
    return [(x, (-1.0) ** turn) for x in xs for turn in (1, 2)]


def find(near=None, far=None, width_m=None, span_m=40.0):
    edges = [(bank, line) for bank, line in ((Bank.NEAR, near), (Bank.FAR, far)) if line]
    return find_water_edges(edges, width_m=width_m, span_m=span_m)


def test_the_widest_reading_between_the_tie_points_counts():
    found = find(
        [(3.0, -5.0), (3.0, 5.0), (1.0, 5.0), (1.0, -5.0)], [(33.0, -5.0), (33.0, 5.0), (38.0, -5.0)]
    )
    assert found == WaterEdges(1.0, 35.5, edges_drawn=True, width_drawn=True)


@pytest.mark.parametrize(
    ("near", "far", "got"),
    [
        (across(-60.0, -1.5), across(36.0), "near track anchor 1.5 m in front of the near water's edge"),
        (across(2.0), across(41.5, 90.0), "far track anchor 1.5 m in front of the far water's edge"),
    ],
)
def test_where_none_lies_between_the_nearest_to_its_own_tie_point_counts(near, far, got):
    (problem,) = find(near, far)
    assert problem.got == got


@given(width=st.floats(1.0, 40.0), shift=st.floats(0.0, 1.0))
def test_setbacks_and_width_make_the_span(width, shift):
    near_x = shift * (40.0 - width)
    for found in (
        find(across(near_x), across(near_x + width)),
        find(across(near_x), width_m=width),
        find(far=across(near_x + width), width_m=width),
    ):
        assert (found.near_x_m, found.far_x_m) == pytest.approx((near_x, near_x + width), abs=1e-9)
        assert 0.0 <= found.near_x_m < found.far_x_m <= 40.0


def test_a_width_alone_lies_in_the_middle():
    assert find(width_m=30.0) == WaterEdges(5.0, 35.0, edges_drawn=False, width_drawn=False)


def test_one_edge_and_a_width_that_reaches_past_the_other_tie_point():
    (problem,) = find(across(15.0), width_m=30.0)
    assert problem.code == "tie_point_not_behind_edge"
    assert problem.got == "far track anchor 5.0 m in front of the far water's edge"
