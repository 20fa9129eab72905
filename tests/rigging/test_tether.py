"""Two-line and four-line tether whole: lengths, verdicts, limit speed, stations, reachable water."""

from dataclasses import replace
from math import atan2, degrees, hypot, inf, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.rigging.ferry import StationPoint
from atlas.rigging.limits import ForceLimit
from atlas.rigging.tether import four_line_tether, two_line_tether
from atlas.rigging.tether_lengths import tether_lines
from atlas.rigging.tether_records import LineStrength, TetherCase, TetherRules, TetherSite, TetherStage

RULES = TetherRules(
    angle_most_deg=120.0,
    bow_ring_m=0.3,
    boat_length_m=4.5,
    anchor_ratio=4.0,
    anchor_least_n=12e3,
    tail_m=6.0,
    messenger_tail_m=5.0,
    spare_fraction=0.1,
    spare_least_m=3.0,
    speed_most_m_s=6.0,
)
SITE = TetherSite(
    near=StationPoint(-2.0, -15.0, 1.8),
    far=StationPoint(42.0, -12.0, 2.6),
    work_area=shapely.Polygon([(10, 8), (30, 6), (32, 22), (12, 25)]),
    skew_deg=8.0,
    width_m=38.0,
    stern=(StationPoint(6.0, 45.0, 1.0), StationPoint(50.0, 44.0, 1.5)),
)
ROPE = ForceLimit("factor_line", "rope", 13600.0, 7.0)
STRENGTHS = (
    LineStrength((ROPE, ForceLimit("factor_line", "carabiner", 27e3, 7.0)), "T1", 40e3),
    LineStrength((ROPE, ForceLimit("factor_line", "carabiner", 27e3, 7.0)), "T2", 40e3),
)
CASES = (
    TetherCase("boat-held", 225.0, judged=True),
    TetherCase("boat-swamped", 519.375, judged=True),
    TetherCase("broached", 1500.0, judged=False),
)
STAGES = (
    TetherStage("low", 0.0, 1.0),
    TetherStage("planning", 0.4, 1.5, planning=True),
    TetherStage("high", 1.0, 2.4),
)


def two(site=SITE, *, rules=RULES, strengths=STRENGTHS, cases=CASES, stages=STAGES):
    return two_line_tether(site, rules, strengths=strengths, cases=cases, stages=stages)


def four(site=SITE, *, rules=RULES):
    return four_line_tether(site, rules, strengths=STRENGTHS, cases=CASES, stages=STAGES)


def at_speed(speed_m_s, **changes):
    return two(stages=(TetherStage("planning", 0.4, speed_m_s, planning=True),), **changes)


def lengths(result):
    return {line.line: line.length for line in result.lines}


def test_lengths_by_hand():
    """Station to the farthest corner at the lowest water, whose ring is lowest: straight, tail, a tenth."""
    near, far = SITE.near, SITE.far
    found = lengths(four())
    assert list(found) == ["bow-near", "bow-far", "stern-near", "stern-far", "messenger"]
    reached = hypot(32 - near.x_m, 22 - near.y_m, near.z_m - 0.3)
    parts = {part.part: part.length_m for part in found["bow-near"].parts}
    assert parts == pytest.approx({"station_to_boat": reached, "tail": 6.0, "spare": 0.1 * (reached + 6.0)})
    over = hypot(far.x_m - near.x_m, far.y_m - near.y_m)
    assert found["messenger"].needed_m == pytest.approx(1.1 * (2 * over + 10.0))
    assert (found["bow-near"].floor_m, found["stern-near"].floor_m) == (38.0, None)


def test_a_bow_line_is_at_least_the_width():
    assert lengths(two(replace(SITE, width_m=90.0)))["bow-far"].needed_m == 90.0


def test_stern_lines_reach_the_stern():
    """One boat's length down the flow from the farthest corner, seen from the far stern station."""
    flow = np.array([np.sin(np.radians(8.0)), np.cos(np.radians(8.0))])
    corners = shapely.get_coordinates(SITE.work_area) + 4.5 * flow
    station = SITE.stern[1]
    reached = max(hypot(x - station.x_m, y - station.y_m, station.z_m - 0.3) for x, y in corners)
    assert lengths(four())["stern-far"].parts[0].length_m == pytest.approx(reached)


def test_the_whole_range_of_stages_is_measured():
    """High stations: lowest water is longest; a station near the water: highest water may be."""
    lowest, highest = (tether_lines(SITE, RULES, rises_m=[rise])[0].length.needed_m for rise in (0.0, 1.0))
    assert tether_lines(SITE, RULES, rises_m=[0.0, 0.5, 1.0])[0].length.needed_m == max(lowest, highest)
    assert lowest > highest


def test_two_lines_have_no_stern_lines_whatever_was_surveyed():
    assert list(lengths(two())) == ["bow-near", "bow-far", "messenger"]


def test_stern_lines_are_slack_for_load():
    two_lines, four_lines = two(), four()
    assert (two_lines.rig, four_lines.rig) == ("two-line-tether", "four-line-tether")
    assert four_lines.stages == two_lines.stages
    assert four_lines.limit == two_lines.limit
    assert four_lines.stations == two_lines.stations
    assert four_lines.reachable == two_lines.reachable


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({}, "factor_line"),
        ({"hold_n": 7000.0}, "anchor_station"),
    ],
)
def test_the_limit_speed_is_where_the_verdict_turns(changes, code):
    rules = replace(RULES, anchor_least_n=0.0)
    strengths = tuple(replace(strength, **changes) for strength in STRENGTHS)
    limit = two(rules=rules, strengths=strengths).limit
    assert limit.governed_by == code
    below, above = (
        at_speed(limit.speed_m_s * factor, rules=rules, strengths=strengths).planning
        for factor in (1 - 1e-9, 1 + 1e-9)
    )
    assert below.inside
    assert not above.inside
    assert [case.why for case in above.cases if case.judged] == [(), (code,)]


def test_the_limit_speed_does_not_depend_on_the_speed_planned_for():
    assert at_speed(0.7).limit == at_speed(3.0).limit


@given(st.floats(0.2, 5.0))
@settings(max_examples=25, deadline=None)
def test_tensions_grow_with_the_square_of_the_speed(speed_m_s):
    slow, fast = (at_speed(speed).planning.cases[1] for speed in (0.5, speed_m_s))
    for one, other in zip(slow.lines, fast.lines, strict=True):
        assert other.tension_n == pytest.approx(one.tension_n * (speed_m_s / 0.5) ** 2)
    assert fast.lift_n == pytest.approx(slow.lift_n * (speed_m_s / 0.5) ** 2)


def test_twice_the_strength_is_root_two_of_the_speed():
    strong = tuple(
        replace(strength, limits=(replace(ROPE, strength_n=2 * ROPE.strength_n),)) for strength in STRENGTHS
    )
    plain = tuple(replace(strength, limits=(ROPE,)) for strength in STRENGTHS)
    rules = replace(RULES, anchor_ratio=1.0)
    limits = [two(rules=rules, strengths=strengths).limit.speed_m_s for strengths in (plain, strong)]
    assert limits[1] == pytest.approx(sqrt(2.0) * limits[0])


def test_factor_is_strength_over_tension_of_the_weakest_part():
    load = two().planning.cases[1].lines[0]
    assert load.factor == pytest.approx(13600.0 / load.tension_n)
    assert load.part == "rope"
    weak = (
        replace(STRENGTHS[0], limits=(ROPE, ForceLimit("factor_line", "carabiner", 9e3, 7.0))),
        STRENGTHS[1],
    )
    load = two(strengths=weak).planning.cases[1].lines[0]
    assert (load.part, load.factor) == ("carabiner", pytest.approx(9e3 / load.tension_n))
    assert two().least_factor == min(line.factor for line in two().planning.cases[1].lines)


def test_the_limit_is_cut_where_the_search_ends():
    strong = tuple(
        replace(strength, limits=(replace(ROPE, strength_n=1e6),), hold_n=1e6) for strength in STRENGTHS
    )
    limit = two(strengths=strong).limit
    assert (limit.speed_m_s, limit.governed_by) == (6.0, "search_end")


def test_without_current_nothing_pulls():
    still = at_speed(0.0)
    assert [load.tension_n for case in still.planning.cases for load in case.lines] == [0.0] * 6
    assert still.planning.cases[0].lines[0].factor == inf
    assert still.planning.inside
    assert still.reachable.share == pytest.approx(1.0)


def test_printed_cases_are_not_judged():
    planning = at_speed(two().limit.speed_m_s * 0.999).planning
    assert [case.inside for case in planning.cases] == [True, True, False]
    assert planning.inside


def test_the_pull_on_a_station_points_at_the_boat_and_is_its_tension():
    result = two()
    swamped = result.planning.cases[1]
    for pull, load, station in zip(result.stations, swamped.lines, (SITE.near, SITE.far), strict=True):
        assert pull.load_n == load.tension_n == pytest.approx(hypot(*pull.pull_n))
        run = np.array([load.place[0] - station.x_m, load.place[1] - station.y_m, 0.7 - station.z_m])
        assert np.array(pull.pull_n) / pull.load_n == pytest.approx(run / np.linalg.norm(run))
        assert pull.from_deg <= degrees(atan2(run[0], run[1])) <= pull.to_deg
        assert pull.needed_n == max(4.0 * pull.load_n, 12e3)
    assert [pull.anchor for pull in result.stations] == ["T1", "T2"]


def test_both_stations_and_the_water_hold_the_boat():
    """A work area of one point: what the stations take is the drag, and the lift is what buoyancy loses."""
    result = two(replace(SITE, work_area=shapely.Point(21.0, 12.0)))
    case = result.planning.cases[1]
    taken = np.sum([pull.pull_n for pull in result.stations], axis=0)
    flow = np.array([np.sin(np.radians(8.0)), np.cos(np.radians(8.0))])
    assert taken[:2] == pytest.approx(case.drag_n * flow)
    assert -taken[2] == pytest.approx(case.lift_n)


@pytest.mark.parametrize(
    ("site", "why"),
    [
        (
            replace(SITE, near=StationPoint(-2.0, 2.0, 1.8), far=StationPoint(42.0, 3.0, 2.6)),
            "included_angle",
        ),
        (replace(SITE, work_area=shapely.box(30.0, 8.0, 50.0, 20.0)), "outside_stations"),
    ],
)
def test_stations_that_do_not_serve_are_outside_plan_at_every_speed(site, why):
    result = two(site)
    assert result.why == (why,)
    assert result.limit is None
    assert all(case.why[0] == why for stage in result.stages for case in stage.cases)
    assert 0.0 < result.reachable.share < 1.0
    # the part that can be held still has its tensions
    assert all(load.tension_n > 0.0 for load in result.planning.cases[0].lines)


def test_an_area_upriver_of_the_stations_cannot_be_held_at_all():
    result = two(replace(SITE, work_area=shapely.box(10.0, -40.0, 30.0, -30.0)))
    assert result.why == ("included_angle",)
    assert result.reachable.share == 0.0
    assert result.reachable.ground.is_empty
    assert result.stations == ()
    assert [case.lines for case in result.planning.cases] == [(), (), ()]
    assert result.least_factor == 0.0
    assert result.limit is None


@pytest.mark.parametrize(("hold_n", "code"), [(None, "anchor_unrated"), (11e3, "anchor_station")])
def test_a_station_that_holds_too_little_or_nothing_known(hold_n, code):
    result = two(strengths=(replace(STRENGTHS[0], hold_n=hold_n), STRENGTHS[1]))
    assert result.why == (code,)
    assert result.limit is None
    assert not result.planning.inside


def test_a_drowned_station_is_out_at_that_stage_and_above():
    result = two(replace(SITE, near=replace(SITE.near, z_m=0.9)))
    codes = ["anchor_drowned" in stage.cases[0].why for stage in result.stages]
    assert codes == [False, False, True]
    assert result.limit is not None
    drowned = two(replace(SITE, near=replace(SITE.near, z_m=0.4)))
    assert drowned.limit is None


def test_a_stern_station_must_lie_downriver():
    result = four(replace(SITE, stern=(SITE.stern[0], StationPoint(50.0, 20.0, 1.0))))
    assert result.why == ("stern_upriver",)
    assert result.limit is None


def test_reachable_water_shrinks_past_the_limit_speed():
    limit = two().limit.speed_m_s
    shares = [at_speed(limit * factor).reachable.share for factor in (0.99, 1.02, 1.2, 2.0)]
    assert shares[0] == pytest.approx(1.0)
    assert shares[0] > shares[1] > shares[2] > shares[3] == 0.0


def test_mirrored_the_lines_change_sides():
    plain = two()
    mirrored = two(
        replace(
            SITE,
            near=StationPoint(-SITE.far.x_m, SITE.far.y_m, SITE.far.z_m),
            far=StationPoint(-SITE.near.x_m, SITE.near.y_m, SITE.near.z_m),
            work_area=shapely.transform(SITE.work_area, lambda places: places * [-1.0, 1.0]),
            skew_deg=-8.0,
        )
    )
    for stage, other in zip(plain.stages, mirrored.stages, strict=True):
        for case, turned in zip(stage.cases, other.cases, strict=True):
            tensions = [load.tension_n for load in turned.lines]
            assert tensions[::-1] == pytest.approx([load.tension_n for load in case.lines])
    assert mirrored.limit.speed_m_s == pytest.approx(plain.limit.speed_m_s)
    assert mirrored.angle.angle_deg == pytest.approx(plain.angle.angle_deg)
    assert lengths(mirrored)["bow-far"].needed_m == pytest.approx(lengths(plain)["bow-near"].needed_m)


def test_four_lines_need_stern_stations():
    with pytest.raises(OutOfRange) as refusal:
        four(replace(SITE, stern=None))
    assert str(refusal.value) == "four-line tether: no stations for the stern lines"


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"stages": STAGES[:1]}, "stages: 0 planned for; allowed: exactly one"),
        ({"stages": (STAGES[1], STAGES[1])}, "stages: 2 planned for; allowed: exactly one"),
        ({"cases": CASES[2:]}, "cases: none judged; allowed: at least one"),
    ],
)
def test_what_is_asked_for_wrongly(changes, text):
    with pytest.raises(OutOfRange) as refusal:
        two(**changes)
    assert str(refusal.value) == text


NAN = float("nan")


@pytest.mark.parametrize(
    ("made", "text"),
    [
        (
            lambda: TetherStage("planning", 0.0, NAN),
            (
                "speed_m_s, speed_most_m_s: outside the range in which the answer was shown; got nan m/s; "
                "allowed 0 to 15 m/s"
            ),
        ),
        (
            lambda: TetherStage("planning", inf, 1.0),
            "rise_m: outside the range in which the answer was shown; got inf m; allowed -50 to 50 m",
        ),
        (
            lambda: TetherCase("boat-held", -1.0, judged=True),
            (
                "drag_per_speed2: outside the range in which the answer was shown; got -1 N s2/m2; "
                "allowed 0 to 100000 N s2/m2"
            ),
        ),
        (
            lambda: LineStrength((replace(ROPE, strength_n=NAN),), "T1", 1e4),
            (
                "strength_n, hold_n, anchor_least_n: outside the range in which the answer was shown; "
                "got nan N; allowed 0 to 1e+07 N"
            ),
        ),
        (
            lambda: LineStrength((ROPE,), "T1", NAN),
            (
                "strength_n, hold_n, anchor_least_n: outside the range in which the answer was shown; "
                "got nan N; allowed 0 to 1e+07 N"
            ),
        ),
        (
            lambda: LineStrength((replace(ROPE, divided_by=0.0),), "T1", 1e4),
            (
                "anchor_ratio, divided_by: outside the range in which the answer was shown; got 0; "
                "allowed 1 to 100"
            ),
        ),
        (
            lambda: LineStrength((), "T1", 1e4),
            "limits: a bow line of nothing; allowed: at least its rope",
        ),
        (
            lambda: replace(RULES, tail_m=-2.0),
            (
                "lengths of rules and site: outside the range in which the answer was shown; got -2 m; "
                "allowed 0 to 1000 m"
            ),
        ),
        (
            lambda: replace(SITE, stern=(SITE.near, StationPoint(0.0, 30.0, NAN))),
            "stations: outside the range in which the answer was shown; got nan m; allowed -1000 to 1000 m",
        ),
    ],
)
def test_what_goes_in_is_a_number_that_can_be_meant(made, text):
    with pytest.raises(OutOfRange) as refusal:
        made()
    assert str(refusal.value) == text
