"""What must hold of every plan, whatever the site: lines, window, figures put back, nothing endless."""

from collections import Counter
from dataclasses import replace
from math import cos, hypot, isfinite, radians

import numpy as np
import pytest

from atlas.rigging import Rope, TrackLine

# ---- lines


def test_a_needed_length_is_its_parts_and_never_under_its_floor(plan):
    assert [line.line for line in plan.track_line.lines] == [
        "track",
        "ferry-near",
        "ferry-far",
        "up-down",
        "messenger",
        "launch",
    ]
    for line in plan.track_line.lines:
        assert line.needed_m == pytest.approx(sum(part.length_m for part in line.parts), rel=1e-12)
        assert line.needed_m >= line.floor_m
        assert all(part.length_m >= 0.0 for part in line.parts)
        # 10 % spare, at least 3 m, over everything but what the floor adds (trade rules)
        own = {part.part: part.length_m for part in line.parts}
        spare, raised = own.pop("spare"), own.pop("floor", 0.0)
        assert spare == pytest.approx(max(0.1 * sum(own.values()), 3.0))
        assert raised == 0.0 or line.needed_m == pytest.approx(line.floor_m)


def test_a_line_is_covered_or_short(plan):
    for line in plan.track_line.lines:
        if line.line == "launch":  # the launcher's own
            assert (line.take, line.short_m) == ((), 0.0)
        elif line.take:
            assert line.short_m == 0.0
            assert sum(take.length_m for take in line.take) >= line.needed_m
        else:
            assert 0.0 < line.short_m <= line.needed_m


def test_no_piece_of_rope_is_taken_twice(demo, plan):
    taken = Counter(take for line in plan.track_line.lines for take in line.take)
    held = {take: demo.stock(take) for take in taken}
    assert all(count <= held[take].count and not held[take].retired for take, count in taken.items())
    assert {take.agency for take in taken} <= {one.agency for one in plan.cover.called}


def test_the_rope_computed_with_is_the_rope_taken(demo, plan):
    rope, (track,) = plan.track_line.rope, [line for line in plan.track_line.lines if line.line == "track"]
    if not track.take:
        assert (rope.agency, rope.strength_n, rope.weight_n_m, rope.stiffness_n) == (None, 40e3, 1.02, 100e3)
        return
    stock = demo.stock(track.take[0])
    assert (rope.agency, rope.strength_n) == (track.take[0].agency, stock.strength_n)
    assert stock.elongation_basis == "10pct"
    assert rope.stiffness_n == pytest.approx(0.10 * stock.strength_n / stock.elongation)
    assert (rope.stiffness_low_n, rope.stiffness_high_n) == pytest.approx(
        (0.75 * rope.stiffness_n, 1.33 * rope.stiffness_n)
    )
    assert rope.kept == {"nylon": 0.85, "polyester": 0.98}[stock.fibre]
    # the haul is built in the line: advantage x 3 m of throw
    parts = {part.part: part.length_m for part in track.parts}
    assert parts["haul"] >= 3.0 * int(plan.track_line.haul.system.partition(":")[0])


def test_lines_reach_what_they_are_measured_to(plan):
    """At least from station to carriage at the far end of its travel, and the strands to the work."""
    parts = {line.line: {part.part: part.length_m for part in line.parts} for line in plan.track_line.lines}
    frame, rig = plan.frame, plan.track_line
    stations = {(*anchor.uses, anchor.bank): anchor for anchor in rig.anchors if anchor.load_n is not None}
    for name, key in (
        ("ferry-near", ("ferry", "near")),
        ("ferry-far", ("ferry", "far")),
        ("up-down", ("up_down", "near")),
    ):
        at = stations[key].at
        nearer = max(abs(rig.travel_to_m - at[0]), abs(rig.travel_from_m - at[0]))
        assert parts[name]["station_to_carriage"] >= nearer
    assert parts["up-down"]["strands"] >= 2.0 * frame.reach_down_m
    assert parts["messenger"]["over_and_back"] == pytest.approx(2.0 * frame.span_m)
    assert parts["track"]["chord"] == pytest.approx(hypot(frame.span_m, frame.rise_m))
    assert parts["launch"]["arc"] >= 1.148 * (frame.span_m - 8.0)  # no launch post stands 8 m in the river


# ---- window and haul


def test_a_haul_that_fits_lies_inside_its_window(plan):
    rig = plan.track_line
    people = int(rig.haul.people)
    advantage = int(rig.haul.system.partition(":")[0])
    # the most: no loss at all, 222 N a person; the least: pulleys of 0.80
    assert rig.haul.most_n == pytest.approx(people * advantage * 222.0)
    assert 0.0 < rig.haul.least_n < rig.haul.most_n
    assert rig.pretension_n == rig.haul.least_n
    assert 1 <= people <= 3
    if rig.window is None:
        assert not rig.haul.fits
        assert rig.window_opens is not None
        return
    assert rig.window_opens is None
    assert 0.0 < rig.window.low_n <= rig.window.high_n
    inside = rig.window.low_n <= rig.haul.least_n and rig.haul.most_n <= rig.window.high_n
    assert rig.haul.fits == inside
    # the rules on set tension: rule of 12 or 18, a tenth of the nominal strength
    rule = 18 if rig.rope.diameter_m >= 0.0125 - 1e-9 else 12
    assert rig.window.high_n <= min(rule * 222.0, 0.10 * rig.rope.strength_n) + 1e-9


SET_BY_TENSION = {"factor", "capture", "clearance", "anchor_track", "pretension_rule", "pretension_strength"}


def test_a_haul_inside_the_window_meets_what_the_window_is_made_of(plan):
    rig = plan.track_line
    amiss = {note.code for case in rig.planning.cases if case.judged for note in case.why}
    assert rig.haul.fits == (not amiss & SET_BY_TENSION)


# ---- figures put back


def line_of(plan, place):
    rope = plan.track_line.rope
    return TrackLine(
        span_m=plan.frame.span_m,
        rise_m=plan.frame.rise_m,
        rope=Rope(strength_n=rope.strength_n, weight_n_m=rope.weight_n_m, stiffness_n=place.stiffness_n),
        pretension_n=place.pretension_n,
        seating_m=place.seating_m,
    )


def test_tension_and_clearance_come_back_from_their_places(plan):
    haul, rig = plan.track_line.haul, plan.track_line
    for stage in rig.stages:
        for case in stage.cases:
            at = case.tension_at
            assert (at.stiffness_n, at.seating_m, at.pretension_n) == (
                rig.rope.stiffness_high_n,
                0.0,
                haul.most_n,
            )
            state = line_of(plan, at).loaded(at_m=at.at_m, downstream_n=at.downstream_n, down_n=-at.up_n)
            assert float(state.tension_n) == pytest.approx(case.tension_n, rel=1e-6)
            assert float(state.along_n) == pytest.approx(at.along_n, abs=1e-6 * case.tension_n)
            at = case.clearance_at
            assert at.seating_m == rig.seating_m == 0.15
            assert at.pretension_n in {haul.least_n, haul.most_n}
            assert at.stiffness_n in {rig.rope.stiffness_low_n, rig.rope.stiffness_high_n}
            state = line_of(plan, at).loaded(at_m=at.at_m, downstream_n=at.downstream_n, down_n=-at.up_n)
            over = plan.frame.near_tie_height_m + float(state.height_m) - 0.30 - stage.rise_m
            line = case.lowest_line
            if line is None:
                assert over == pytest.approx(case.clearance_m, abs=1e-6)
            elif case.clearance_part == "track-line":
                assert case.clearance_m < over == pytest.approx(line.carriage_end_m - 0.30, abs=1e-6)
            else:
                assert case.clearance_m < over == pytest.approx(line.carriage_end_m, abs=1e-6)


def test_places_of_the_worst_lie_in_the_travel_over_the_water(plan):
    rig, frame = plan.track_line, plan.frame
    assert 0.0 < rig.travel_from_m < rig.travel_to_m < frame.span_m
    planning = rig.planning
    grown = max(planning.width_m - frame.width_m, 0.0) / 2.0
    assert rig.travel_from_m >= frame.near_edge_x_m - grown - 1e-9
    assert rig.travel_to_m <= frame.far_edge_x_m + grown + 1e-9
    for case in planning.cases:
        for at in (case.tension_at, case.clearance_at):
            assert rig.travel_from_m - 1e-9 <= at.at_m <= rig.travel_to_m + 1e-9


def test_drag_alone_is_nowhere_worse_than_what_is_printed(plan):
    """The load of drag alone settled by plain repetition at places of the travel, from the trade's figures.

    Weight 120 N; strands h over r, ring and hardware 0.30 m under the line, bow ring 0.30 m over the water,
    r the reach along the flow less the bow, at least 3 m.
    """
    reach_m = plan.frame.reach_down_m / cos(radians(plan.frame.skew_deg))
    for case in plan.track_line.planning.cases:
        places = np.linspace(plan.track_line.travel_from_m, plan.track_line.travel_to_m, 41)
        drag, down = min(case.drag_n, 9e3), 120.0
        for _ in range(60):
            state = line_of(plan, case.tension_at).loaded(at_m=places, downstream_n=drag, down_n=down)
            ring = plan.frame.near_tie_height_m + state.height_m - 0.30 - plan.track_line.planning.rise_m
            slope = np.maximum(ring - 0.30, 0.0) / np.maximum(reach_m - state.downstream_m, 3.0)
            down = 0.5 * (down + 120.0 + drag * slope)
        assert float(state.tension_n.max()) <= case.tension_n * (1.0 + 1e-4)


def test_worse_water_is_never_told_as_better(plan):
    """Up the table: as long as neither stage is cut at the range shown, tension rises with the speed."""
    for lower, upper in zip(plan.track_line.stages, plan.track_line.stages[1:], strict=False):
        for below, above in zip(lower.cases, upper.cases, strict=True):
            if above.case == "empty":
                assert above.clearance_m < below.clearance_m
            elif below.drag_n < above.drag_n <= 8e3 and upper.rise_m - lower.rise_m < 0.7:
                # a metre of water flattens the strands and takes less off than the speed puts on
                assert above.tension_n > 0.97 * below.tension_n


# ---- whole plans


def test_no_number_is_endless_or_missing(plan, leaves):
    numbers = [value for value in leaves(plan).values() if isinstance(value, float)]
    assert len(numbers) > 500
    assert all(isfinite(number) for number in numbers)


def test_the_same_input_gives_the_same_plan(demo):
    for code in ("OT-06", "WEN-05"):
        again = demo.plan(code)
        assert again == demo.plans[code]
        assert repr(again) == repr(demo.plans[code])


def test_the_order_of_the_agencies_is_nothing_to_a_site(demo):
    turned = tuple(reversed(demo.agencies))
    assert demo.plan("WEN-06", agencies=turned) == demo.plans["WEN-06"]


def test_a_retired_rope_is_not_taken(demo):
    agencies = tuple(
        replace(one, ropes=tuple(replace(rope, retired=True) for rope in one.ropes)) for one in demo.agencies
    )
    plan = demo.plan("WEN-06", agencies=agencies)
    lines = [line for line in plan.track_line.lines if line.line != "launch"]
    assert all(line.take == () and line.short_m == line.needed_m for line in lines)
    assert [note.code for note in plan.warnings].count("rope_none") == 5
