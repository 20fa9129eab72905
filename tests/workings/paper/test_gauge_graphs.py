"""Speed and width against stage: the demo's gauged site."""

import pytest

from atlas.paper import Box, Rect, Text
from atlas.workings.paper.gauge_graphs import gauge_graphs
from atlas.workings.paper.plot import lay_plot

BOX = Box(left_mm=20.0, top_mm=30.0, width_mm=180.0, height_mm=70.0)


@pytest.fixture(scope="module")
def plots(demo):
    return gauge_graphs(demo.plan("OT-05"), demo.settings.words)


def test_a_site_without_gauge_has_none(demo):
    assert gauge_graphs(demo.plan("OT-01"), demo.settings.words) == ()


def test_every_measurement_that_is_fitted_and_every_note_is_a_mark(plots, demo):
    speed = plots[0][0]
    marks = [curve for curve in speed.curves if not curve.joined]
    access = demo.sites["OT-05"].access
    measured = access.gauged.record.measurements
    assert [curve.hollow for curve in marks] == [False, True]
    # one of the demo's 24 contradicts itself and is dropped
    assert len(measured) - len(marks[0].points) == 1
    sound = {one.stage_m: one.mean_speed_m_s / 0.65 for one in measured}
    assert all(y == pytest.approx(sound[x]) for x, y in marks[0].points)
    assert marks[1].points == tuple(
        (pytest.approx(one.stage_m), pytest.approx(one.surface_speed_m_s)) for one in access.flow_notes
    )


def test_fit_interval_limit_and_floods_stand_in_it(plots, demo):
    rig = demo.plan("OT-05").chosen
    speed = plots[0][0]
    places = dict(speed.places)
    assert places["limit stage"] == rig.limit.stage_m
    assert places["planning row"] == rig.planning.stage_m
    assert places["flood: action"] == pytest.approx(8.5 * 0.3048, abs=1e-4)
    # minor, 10 ft, lies beyond everything measured: not on the graph
    assert "flood: minor" not in places
    middle, upper, lower = (curve.points for curve in speed.curves if curve.joined)
    assert all(low[1] < mid[1] < high[1] for low, mid, high in zip(lower, middle, upper, strict=True))
    # where the fit reaches the limit speed is where the graph says it most likely is
    there = next(x for x, y in middle if y >= rig.limit.surface_speed_m_s)
    assert places["limit, most likely"] == pytest.approx(there, abs=(middle[1][0] - middle[0][0]))


def test_with_fewer_names_floods_go_first(plots):
    for several in plots:
        counts = [len(plot.places) for plot in several]
        assert counts == sorted(counts, reverse=True)
        assert "flood: action" in dict(several[0].places)
        assert [name for name, _ in several[-1].places] == ["planning row"]


def test_marks_and_names_are_drawn(plots, style):
    items = lay_plot(style, plots[0][0], BOX)
    assert {"fit", "90 % interval", "limit stage"} <= {item.text for item in items if isinstance(item, Text)}
    squares = [item for item in items if isinstance(item, Rect) and item.box.width_mm == pytest.approx(1.4)]
    assert sum(item.stroke is not None for item in squares) == 3
    assert sum(item.stroke is None for item in squares) == 23
