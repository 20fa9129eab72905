"""What crews ask on the bank of a tether, at the demo's sites."""

from math import cos, hypot, radians, sin

import pytest
import shapely

TETHERS = ("two-line-tether", "four-line-tether")


def whole(ground):
    return shapely.union_all([shapely.Polygon(shell, holes) for shell, *holes in ground])


@pytest.fixture
def tethers(plan):
    return plan, [rig for rig in plan.rigs if rig.rig in TETHERS and rig.answers is not None]


def test_reached_water_and_posts_are_those_of_the_rig(tethers):
    plan, rigs = tethers
    for rig in rigs:
        assert (rig.answers.reached is None) is rig.work_area_assumed
        if rig.answers.reached is not None:
            assert rig.answers.reached.share == rig.reachable_share
        track = plan.track_line.answers.posts
        posts = rig.answers.posts
        assert posts.spotter_needed_m == track.spotter_needed_m  # the same water
        assert len(posts.throwers) == len(track.throwers)
        seconds = [danger.seconds_s for danger in rig.answers.dangers]
        assert seconds == sorted(seconds)


def test_no_go_ground_lies_between_the_lines_and_behind_the_stations(tethers):
    _, rigs = tethers
    for rig in rigs:
        ground = whole(rig.answers.no_go.loaded)
        near, far = rig.stations[:2]
        bow = shapely.MultiPoint([point for ring in rig.reachable for point in ring]).centroid
        between = ((near.at[0] + far.at[0] + bow.x) / 3.0, (near.at[1] + far.at[1] + bow.y) / 3.0)
        assert ground.contains(shapely.Point(between))
        for station in (near, far):
            way = (station.at[0] - bow.x, station.at[1] - bow.y)
            long = hypot(*way)
            behind = (station.at[0] + 5.0 * way[0] / long, station.at[1] + 5.0 * way[1] / long)
            assert ground.contains(shapely.Point(behind))


def test_a_boat_on_one_line_swings_to_below_its_station(tethers):
    """Without the far bow line the boat comes to lie straight down the flow of the near station."""
    plan, rigs = tethers
    skew = radians(plan.frame.skew_deg)
    for rig in rigs:
        grounds = dict(rig.answers.no_go.parts)
        for station, lost in zip(rig.stations[:2], ("bow-far_lost", "bow-near_lost"), strict=True):
            swept = whole(grounds[lost]).buffer(1e-6)
            places = [point for ring in rig.reachable for point in ring]
            reach_m = max(hypot(x - station.at[0], y - station.at[1]) for x, y in places)
            end = (station.at[0] + reach_m * sin(skew), station.at[1] + reach_m * cos(skew))
            assert swept.contains(shapely.Point(end))
            assert whole(rig.answers.no_go.whole).buffer(1e-3).contains(swept.buffer(-1e-3))


def test_each_tether_has_its_own_order_and_limits(demo):
    for name, release in (
        ("two-line-tether", ("bow-far", "bow-near")),
        ("four-line-tether", ("stern-far", "stern-near", "bow-far", "bow-near")),
    ):
        (rig,) = [rig for rig in demo.plans["OT-01"].rigs if rig.rig == name]
        assert rig.answers.release_order == release
        assert rig.answers.knives == ("near_bow", "far_bank")
        numbers = {one.name: one.value for one in rig.answers.decisions[0].numbers}
        assert numbers["float_seconds_s"] == rig.limit.float_seconds
        assert [one.line for one in rig.answers.hand_overs] == ["messenger", "bow-far"]
        (danger,) = rig.answers.dangers
        (on_track,) = demo.plans["OT-01"].track_line.answers.dangers
        # the tether's boat works to the foot of the work area, that below the carriage as far and no farther
        assert danger.seconds_s == pytest.approx(on_track.seconds_s, abs=1.0)


def test_where_no_water_can_be_held_it_is_said(demo):
    rigs = [rig for rig in demo.plans["WEN-05"].rigs if rig.rig in TETHERS]
    assert {rig.untold for rig in rigs} == {
        "tether: the boat can be held nowhere in the work area at the planning stage"
    }
