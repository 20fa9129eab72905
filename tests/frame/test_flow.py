import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.frame.flow import edge_axis_deg, fold_axis_deg
from atlas.frame.water_edges import crossings, share_apart


@pytest.mark.parametrize(
    ("angle_deg", "folded_deg"), [(0, 0), (90, 90), (-90, 90), (91, -89), (180, 0), (359, -1), (-45, -45)]
)
def test_fold(angle_deg, folded_deg):
    assert fold_axis_deg(angle_deg) == folded_deg


def line_at(angle_deg, x_0=0.0, length=20.0):
    direction = np.array((np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))))
    return [tuple(np.array((x_0, 0.0)) + along * direction) for along in (-length / 2, length / 2)]


@given(angle_deg=st.floats(-89.0, 89.0))
def test_parallel_edges_give_their_own_axis(angle_deg):
    edges = [line_at(angle_deg, 5.0), line_at(angle_deg, 35.0)]
    assert edge_axis_deg(edges, span_m=40.0) == pytest.approx(angle_deg, abs=1e-9)


@given(angle_deg=st.floats(-80.0, 80.0))
def test_the_way_an_edge_was_drawn_does_not_matter(angle_deg):
    near, far = line_at(angle_deg, 5.0), line_at(angle_deg, 35.0)
    assert edge_axis_deg([near, far[::-1]], span_m=40.0) == pytest.approx(
        edge_axis_deg([near[::-1], far], span_m=40.0), abs=1e-9
    )


def test_converging_banks_give_the_line_between():
    assert edge_axis_deg([line_at(-10.0, 5.0), line_at(20.0, 35.0)], span_m=40.0) == pytest.approx(5.0)


def test_a_long_edge_does_not_outvote_a_short_one():
    edges = [line_at(-10.0, 5.0, length=70.0), line_at(10.0, 35.0, length=7.0)]
    assert edge_axis_deg(edges, span_m=40.0) == pytest.approx(0.0, abs=1e-9)


def test_wiggles_do_not_count():
    wiggle = [(5.0 + 0.5 * (-1) ** count, -10.0 + count) for count in range(21)]
    assert edge_axis_deg([wiggle], span_m=40.0) == pytest.approx(0.0, abs=1e-9)


@given(angle_deg=st.floats(-60.0, 60.0), share=st.floats(0.1, 0.9))
def test_a_point_more_on_a_straight_edge_changes_nothing(angle_deg, share):
    (x_0, y_0), (x_1, y_1) = line_at(angle_deg, 5.0)
    more = [(x_0, y_0), (x_0 + share * (x_1 - x_0), y_0 + share * (y_1 - y_0)), (x_1, y_1)]
    assert edge_axis_deg([more], span_m=40.0) == pytest.approx(angle_deg, abs=1e-9)


@given(bend_deg=st.floats(5.0, 50.0), first=st.floats(5.0, 20.0), second=st.floats(5.0, 20.0))
def test_a_bent_edge_has_the_long_axis_of_its_points(bend_deg, first, second):
    bend = np.radians(bend_deg)
    corner = np.array((5.0, 0.0))
    ends = np.array((5.0, -first)), corner, corner + second * np.array((np.sin(bend), np.cos(bend)))
    # 4000 points spread evenly along it, and the axis of their covariance by another library routine
    along = np.linspace(0.0, first + second, 4000)
    points = np.column_stack(
        [np.interp(along, (0.0, first, first + second), axis) for axis in zip(*ends, strict=True)]
    )
    _, axes = np.linalg.eigh(np.cov(points.T))
    axis_deg = fold_axis_deg(np.degrees(np.arctan2(*axes[:, 1])))
    # 0.01 degree: so many points are not the line itself
    assert edge_axis_deg([ends], span_m=40.0) == pytest.approx(axis_deg, abs=0.01)


@pytest.mark.parametrize("apart_deg", [61.0, 90.0])
def test_banks_too_far_apart_have_no_axis(apart_deg):
    edges = [line_at(-apart_deg / 2.0, 5.0), line_at(apart_deg / 2.0, 35.0)]
    assert edge_axis_deg(edges, span_m=40.0) is None


def test_a_line_without_length_has_no_axis():
    assert edge_axis_deg([[(2.0, 0.0), (2.0, 0.0)]], span_m=40.0) is None


@given(
    x_0=st.floats(-50.0, 50.0),
    slope=st.floats(-3.0, 3.0),
    above=st.floats(0.1, 90.0),
    below=st.floats(0.1, 90.0),
)
def test_a_straight_edge_crosses_where_it_must(x_0, slope, above, below):
    line = [(x_0 - slope * above, -above), (x_0 + slope * below, below)]
    assert crossings(line) == pytest.approx((x_0,), abs=1e-9)


def test_crossings_at_a_vertex_and_along_the_line():
    assert crossings([(1.0, -1.0), (2.0, 0.0), (3.0, 1.0)]) == (2.0,)
    assert crossings([(1.0, -1.0), (2.0, 0.0), (6.0, 0.0), (7.0, 1.0)]) == (2.0, 6.0)
    assert crossings([(1.0, -1.0), (2.0, 1.0), (3.0, -1.0)]) == (1.5, 2.5)
    assert crossings([(1.0, -1.0), (2.0, -3.0)]) == ()


def test_share_apart_is_of_the_greater():
    assert share_apart(9.0, 10.0) == pytest.approx(0.1)
    assert share_apart(10.0, 9.0) == pytest.approx(0.1)
    assert share_apart(7.0, 7.0) == 0.0
