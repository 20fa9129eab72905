import math

import pytest

from atlas.paper import Box, Line, Text
from atlas.workings.paper.arrow_view import lay_forces
from atlas.workings.paper.forces import Force, forces_of
from atlas.workings.paper.line_view import lay_line_plan

BOX = Box(left_mm=20.0, top_mm=30.0, width_mm=90.0, height_mm=400.0)


def test_the_forces_on_the_carriage_close(derivation):
    for asked in (derivation.tightest, derivation.lowest):
        forces = forces_of(derivation.rigged, asked)
        load = max(force.size_n for force in forces)
        for parts in zip(*((f.along_n, f.downstream_n, f.up_n) for f in forces), strict=True):
            assert abs(sum(parts)) <= 1e-8 * load


def test_both_sides_of_the_line_pull_with_its_tension(derivation):
    sizes = {force.code: force.size_n for force in forces_of(derivation.rigged, derivation.tightest)}
    tension = max(case.tension_n for case in derivation.rigged.judged)
    assert sizes["track_near"] == pytest.approx(tension, rel=1e-8)
    assert sizes["track_far"] == pytest.approx(tension, rel=1e-8)


def arrows(laid):
    return [item for item in laid.items if isinstance(item, Line) and item.clear_of_text]


def test_arrows_are_as_long_as_their_forces_and_point_as_they_do(style):
    forces = (
        Force("track_near", -3000.0, -1000.0, 0.0),
        Force("strands", 0.0, 2000.0, 0.0),
        Force("weight", 0.0, 0.0, -120.0),
    )
    laid = lay_forces(
        style, forces, BOX, title="plan", flat=lambda force: (force.along_n, -force.downstream_n)
    )
    first, second = arrows(laid)
    lengths = [math.hypot(line.x2_mm - line.x1_mm, line.y2_mm - line.y1_mm) for line in (first, second)]
    assert lengths[0] / lengths[1] == pytest.approx(math.hypot(3000.0, 1000.0) / 2000.0)
    assert first.x2_mm < first.x1_mm
    assert first.y2_mm < first.y1_mm  # upriver is up the page
    assert second.x2_mm == pytest.approx(second.x1_mm)
    assert second.y2_mm > second.y1_mm
    told = " ".join(item.text for item in laid.items if isinstance(item, Text))
    assert "Too short to draw: carriage 120 N" in told
    assert "strands 2000 N" in told


def test_the_plan_is_drawn_to_the_scale_it_prints(style, demo):
    derivation = demo.derivation("OT-01")
    asked, plan = derivation.tightest, derivation.rigged.plan
    laid = lay_line_plan(
        style,
        plan,
        asked,
        Box(left_mm=17.0, top_mm=30.0, width_mm=185.0, height_mm=400.0),
        title="plan",
        strand_m=10.0,
    )
    bars = [item for item in laid.items if type(item).__name__ == "Rect"]
    length_mm = sum(bar.box.width_mm for bar in bars)
    (told,) = [
        item.text
        for item in laid.items
        if isinstance(item, Text) and item.text.endswith(" m") and "x" not in item.text
    ]
    chord = next(
        item
        for item in laid.items
        if type(item).__name__ == "Polyline"
        and len(item.points) == 2
        and item.stroke == style.looks.strokes["track_empty"]
    )
    drawn_mm = chord.points[1][0] - chord.points[0][0]
    assert drawn_mm / length_mm == pytest.approx(plan.frame.span_m / float(told.split(" ")[0]))
