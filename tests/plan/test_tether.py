"""Tethers at the demo's sites: against forces summed here, against brute grids, and by hand."""

from dataclasses import replace
from math import atan2, cos, degrees, hypot, radians, sin, sqrt

import numpy as np
import pytest
import shapely

from atlas.plan import TetherRig
from atlas.plan.places import lonlat_of
from atlas.records import AnchorUse

TETHERS = ("two-line-tether", "four-line-tether")


def rigs(plan):
    return {rig.rig: rig for rig in plan.rigs}


def case_of(rig, name):
    return next(case for case in rig.planning.cases if case.case == name)


def grid(rig, count=60):
    """Places within the work area, its outline among them."""
    area = shapely.union_all([shapely.Polygon(one.parts[0]) for one in rig.work_areas])
    x0, y0, x1, y1 = area.bounds
    places = np.stack(np.meshgrid(np.linspace(x0, x1, count), np.linspace(y0, y1, count)), -1).reshape(-1, 2)
    inside = places[shapely.contains_xy(area, places[:, 0], places[:, 1])]
    outline = [area.exterior.interpolate(share, normalized=True) for share in np.linspace(0, 1, 400)]
    return np.concatenate([inside, [(point.x, point.y) for point in outline]])


def angles_at(rig, places):
    """Angle between the two bow lines in plan [degrees]."""
    run = np.array([station.at for station in rig.stations[:2]]) - places[:, None]
    cosine = (run[:, 0] * run[:, 1]).sum(-1) / (np.hypot(*run[:, 0].T) * np.hypot(*run[:, 1].T))
    return np.degrees(np.arccos(cosine))


def pulls(plan, rig, places, drag_n):
    """Both lines' pulls with the bow at each place: two equations, solved as such; shape (n, 2) [N]."""
    skew = radians(plan.frame.skew_deg)
    stations = np.array([station.at for station in rig.stations[:2]])
    ring_m = rig.planning.rise_m + rig.bow_ring_m
    up = np.array([station.height_m for station in rig.stations[:2]]) - ring_m
    run = stations - places[:, None]
    length = np.sqrt((run**2).sum(-1) + up**2)
    unit = run / length[..., None]
    matrix = np.swapaxes(unit, 1, 2)
    right = -drag_n * np.array([sin(skew), cos(skew)])
    return np.linalg.solve(matrix, np.broadcast_to(right, (len(places), 2))[..., None])[..., 0]


def test_three_rigs_answer_at_every_site(plan):
    assert set(rigs(plan)) == {*TETHERS, "movable-control-point"}
    assert [rig.chosen for rig in plan.rigs] == [True, False, False]
    for name in TETHERS:
        rig = rigs(plan)[name]
        assert isinstance(rig, TetherRig)
        assert [stage.rise_m for stage in rig.stages] == [stage.rise_m for stage in plan.track_line.stages]
        assert {need.item for need in rig.gear} >= {"connector", "friction_device"}
        assert rig.people == {"two-line-tether": 10, "four-line-tether": 14}[name]


def test_the_worst_pull_is_no_less_than_anywhere_in_the_work_area(plan):
    """A brute grid and 400 places of the outline, as far as the angle is kept.

    The worst is among them within a part in two hundred; within a thirtieth where the arc of the angle cuts
    the work area, on which none of them lies.
    """
    rig = rigs(plan)["two-line-tether"]
    case, places = case_of(rig, "boat-swamped"), grid(rig)
    kept = angles_at(rig, places) <= rig.angle_most_deg
    found = pulls(plan, rig, places[kept], case.drag_n)
    assert found.min() > 0.0
    for index, load in enumerate(case.bow):
        assert found[:, index].max() <= load.tension_n * (1 + 1e-6)
        assert found[:, index].max() >= load.tension_n * (0.995 if kept.all() else 0.967)
        there = pulls(plan, rig, np.array([load.at]), case.drag_n)[0, index]
        assert there == pytest.approx(load.tension_n, rel=1e-9)


def test_the_angle_is_no_less_than_anywhere_in_the_work_area(plan):
    rig = rigs(plan)["two-line-tether"]
    angles = angles_at(rig, grid(rig))
    assert angles.max() <= rig.angle_deg + 1e-6
    assert angles.max() >= rig.angle_deg - 0.5


def test_stern_lines_change_lengths_and_people_and_no_force(plan):
    two, four = (rigs(plan)[name] for name in TETHERS)
    assert [line.line for line in two.lines] == ["bow-near", "bow-far", "messenger", "launch"]
    assert [line.line for line in four.lines] == [
        "bow-near", "bow-far", "stern-near", "stern-far", "messenger", "launch",
    ]  # fmt: skip
    for one, other in zip(two.stages, four.stages, strict=True):
        assert [case.tension_n for case in one.cases] == [case.tension_n for case in other.cases]
    lowest = max(
        y * cos(radians(plan.frame.skew_deg)) + x * sin(radians(plan.frame.skew_deg)) for x, y in grid(four)
    )
    for station in four.stations[2:]:
        along = station.at[1] * cos(radians(plan.frame.skew_deg)) + station.at[0] * sin(
            radians(plan.frame.skew_deg)
        )
        assert along > lowest + four.boat_length_m - 1e-9


def test_verdicts_follow_from_forces_angle_and_anchors(plan):
    """Each reason of the planning row is true and none is missing; limits typed from the trade's rules."""
    for name in TETHERS:
        rig = rigs(plan)[name]
        holds = {anchor.tag: anchor for anchor in rig.anchors if anchor.uses == ("bow",)}
        for case in (one for one in rig.planning.cases if one.judged):
            codes = set()
            if rig.angle_deg > 120.0 + 1e-4:
                codes.add("included_angle")
            for load, station, rope in zip(case.bow, rig.stations, rig.ropes, strict=False):
                least_n = min(rope.strength_n * rope.kept, 40e3)
                assert load.factor == pytest.approx(least_n / load.tension_n)
                if load.factor < 7.0:
                    codes.add("factor_line")
                anchor = holds.get(station.tag)
                if anchor is not None and (
                    anchor.rating_n is None or anchor.rating_n < max(4 * load.tension_n, 12e3)
                ):
                    codes.add("anchor_unrated" if anchor.rating_n is None else "anchor_station")
            assert {note.code for note in case.why} == codes
            assert case.inside is not bool(codes)


def test_the_limit_speed_puts_a_line_or_an_anchor_at_its_limit(plan):
    """A pull grows with the square of the speed: from the planning row's pulls, by hand."""
    rig = rigs(plan)["two-line-tether"]
    if rig.limit is None:
        assert not rig.planning.inside or any(
            note.code == "included_angle" for case in rig.planning.cases for note in case.why
        )
        return
    case = case_of(rig, "boat-swamped")
    speeds = []
    for load, station, rope in zip(case.bow, rig.stations, rig.ropes, strict=False):
        most_n = min(rope.strength_n * rope.kept, 40e3) / 7.0
        anchor = next((one for one in rig.anchors if one.tag == station.tag), None)
        if anchor is not None:
            most_n = min(most_n, anchor.rating_n / 4.0)
        speeds.append(rig.planning.design_speed_m_s * sqrt(most_n / load.tension_n))
    assert rig.limit.held_speed_m_s == pytest.approx(min(speeds), rel=1e-9)
    assert rig.limit.surface_speed_m_s <= rig.limit.held_speed_m_s


def test_the_limit_stage_is_where_the_level_table_turns(demo):
    """A row a millimetre under the limit stage is inside plan, one a centimetre over it is not."""
    asked = 0
    for code in ("OT-01", "OT-06", "PC-02", "WEN-02"):
        rig = rigs(demo.plans[code])["two-line-tether"]
        if rig.limit is None or rig.limit.rise_m is None or rig.limit.stage_m is None:
            continue
        for shift_m, inside in ((-0.001, True), (0.01, False)):
            site = demo.sites[code]
            row = replace(site.access, planning_stage_m=rig.limit.stage_m + shift_m, rig="two-line-tether")
            there = demo.quick(replace(site, access=row)).chosen
            assert there.planning.inside is inside, (code, shift_m)
        asked += 1
    assert asked >= 3


def test_stations_to_be_found_are_put_at_the_needed_depth(demo):
    """PC-03 has no ferry anchors: on the flow through the ties, as deep as 120 degrees ask, by hand.

    31 m apart over a level top edge wider than both: the worst is on the axis, 31 / (2 tan 60) above it.
    """
    rig = rigs(demo.plans["PC-03"])["two-line-tether"]
    assert [station.tag for station in rig.stations] == [None, None]
    assert [anchor.tag for anchor in rig.anchors if not anchor.surveyed] == ["NB*", "FB*"]
    assert rig.depths.needed_m == pytest.approx(demo.plans["PC-03"].frame.span_m / (2 * 3**0.5), abs=0.15)
    assert 119.5 < rig.angle_deg < 120.0
    assert rig.depths.near_m == pytest.approx(rig.depths.needed_m + 0.05, abs=1e-6)
    assert rig.planning.inside
    assert rig.work_area_assumed


def test_surveyed_stations_that_are_too_near_are_told_how_much(demo):
    """WEN-02: moved upriver by what it says, its own stations keep the angle."""
    plan = demo.plans["WEN-02"]
    rig = rigs(plan)["two-line-tether"]
    assert rig.depths.move_m > 0.5
    site, skew = demo.sites["WEN-02"], radians(plan.frame.skew_deg)
    shift = np.array([sin(skew), cos(skew)]) * (rig.depths.move_m + 0.05)
    at = {anchor.tag: anchor.at for anchor in plan.frame.anchors}
    anchors = tuple(
        replace(anchor, place=lonlat_of(plan.frame, tuple(np.array(at[anchor.tag]) - shift)))
        if AnchorUse.FERRY in anchor.uses
        else anchor
        for anchor in site.anchors
    )
    moved = demo.quick(replace(site, anchors=anchors))
    there = rigs(moved)["two-line-tether"]
    assert there.angle_deg < 120.0
    assert there.planning.inside


def test_the_bearings_of_a_pull_hold_every_place_of_the_boat(plan):
    """From each bow station, clockwise from the first bearing to the second."""
    rig, frame = rigs(plan)["two-line-tether"], plan.frame
    east, north = (
        np.array([f(radians(frame.x_azimuth_deg)), f(radians(frame.downstream_azimuth_deg))])
        for f in (sin, cos)
    )
    for station in rig.stations[:2]:
        run = grid(rig, 20) - np.array(station.at)
        bearings = np.degrees(np.arctan2(run @ east, run @ north)) % 360.0
        width = (station.pull_to_deg - station.pull_from_deg) % 360.0
        assert width < 180.0
        assert (((bearings - station.pull_from_deg + 1e-6) % 360.0) <= width + 2e-6).all()


def test_an_anchor_s_pull_points_at_the_boat(plan):
    rig = rigs(plan)["two-line-tether"]
    case = case_of(rig, "boat-swamped")
    for load, station, pull in zip(case.bow, rig.stations, case.anchor_pulls, strict=False):
        run = np.array(load.at) - np.array(station.at)
        assert hypot(pull.along_n, pull.downstream_n, pull.up_n) == pytest.approx(load.tension_n)
        assert degrees(atan2(pull.along_n, pull.downstream_n)) == pytest.approx(degrees(atan2(*run)))
