"""What crews ask on the bank: one site by hand from its survey, and what holds at every demo site.

OT-01, Kettle Bar: near bank river left, 4.0 mph at the planning level, 6.6 ft on the gauge; 2.5 ft over the
survey day's water of 4.1 ft. By hand with lines straight and as parabolas, typed from the survey and the
policy's figures; nothing here is taken from the package.
"""

from math import ceil, cos, hypot, radians, sin, sqrt

import pytest
import shapely

NEAR, FAR = (-140.2619295, 30.2102653), (-140.261802, 30.2099314)
N2, F2, N3 = (-140.2620211, 30.2102598), (-140.2618918, 30.2099105), (-140.261841, 30.2102935)
SPOTTER = (-140.2632972, 30.2098655)
STRAINER = [(-140.2611528, 30.2101444), (-140.2611326, 30.2101413)]  # its upper end
SPEED, RISE, WIDTH = 4.0 * 0.44704, 2.5 * 0.3048, 109 * 0.3048
HEIGHTS = {"N2": 8.5 * 0.3048, "F2": 9.5 * 0.3048, "N3": 7.2 * 0.3048}
TIE, TIE_RISE = 11.2 * 0.3048, 0.9 * 0.3048
RING, BOW_RING = 0.30, 0.30  # under the line, over the water
EA, WEIGHT = 1.0e5, 1.02


@pytest.fixture(scope="module")
def bar(hand):
    span_m, at = hand.frame_of(NEAR, FAR, near_bank="left")
    return span_m, at


@pytest.fixture(scope="module")
def answers(demo):
    rig = demo.plans["OT-01"].track_line
    return rig.answers, rig.track_answers


def test_spotter_by_hand(answers, bar):
    """4.0 mph for 10 + 60 s; the post as drawn, less how far up the line's near end lies along the flow."""
    posts = answers[0].posts
    assert posts.spotter_needed_m == pytest.approx(SPEED * 70.0, rel=1e-9)
    up_m = -bar[1](SPOTTER)[1]
    # the skew of 2.7 degrees over the 39 m of the span: 2 m
    assert posts.spotter_m == pytest.approx(up_m, abs=3.0)
    assert posts.spotter_in_time is (posts.spotter_m >= posts.spotter_needed_m)


def test_hand_over_by_hand(answers):
    """q = 1/2 rho 1.2 d v^2; T = q W / (8 f) hypot(1, 4 f); 7 mm messenger, 12.5 mm track line."""
    lines = (("messenger", 0.007), ("track", 0.0125))
    for one, (line, thick_m) in zip(answers[0].hand_overs, lines, strict=True):
        assert one.line == line
        drag = 0.5 * 1000.0 * 1.2 * thick_m * SPEED**2
        for pull, people, sag in (
            (one.tight_n, one.tight_people, 0.05),
            (one.slack_n, one.slack_people, 0.20),
        ):
            by_hand = drag * WIDTH / (8.0 * sag) * hypot(1.0, 4.0 * sag)
            assert pull == pytest.approx(by_hand, rel=1e-6)
            assert people == ceil(by_hand / 222.0)


def test_pulse_by_hand(answers, bar, demo):
    """2 N L sqrt(m / T) of a taut string, wet 1.4 times; the rope's sag and stretch make 1.5 % of it."""
    pulse, window = answers[1].pulse, demo.plans["OT-01"].track_line.window
    for ends, wet in ((pulse.dry_s, 1.0), (pulse.wet_s, 1.4)):
        for seconds, tension in zip(ends, (window.high_n, window.low_n), strict=True):
            taut = 20.0 * bar[0] * sqrt(wet * WEIGHT / 9.80665 / tension)
            assert seconds == pytest.approx(taut, rel=0.03)
    assert (pulse.from_s, pulse.to_s) == (pulse.wet_s[0], pulse.dry_s[1])


def ring_by_hand(hand, bar, x_m, drag_n):
    """Bow and height of the carriage ring over the survey day's water, drag alone on the middle rope."""
    line = (bar[0], TIE_RISE, WEIGHT)
    reach_m = 15.51
    _, bow_m, height_m = hand.under_boat(
        line, tie_m=TIE, rise_m=RISE, reach_m=reach_m, drag_n=drag_n, x_m=x_m, set_n=1321.7, ea_n=EA
    )
    return bow_m, TIE + height_m - RING, max(reach_m - bow_m, 3.0)


def test_ferry_lines_hold_by_hand_when_the_track_line_parts(answers, bar, hand):
    """Two tensions from two equations at the ring's old place: D along the flow, half the strands toward N3.

    Until it is at rest the ring goes down the river by a metre and a half, by which the lines pull better:
    so no more than by hand, and no less than three quarters of it.
    """
    drag_n, skew = hand.swamped_n(SPEED), radians(2.72)
    most = {"ferry-near": 0.0, "ferry-far": 0.0}
    for x_m in range(5, 32, 2):
        bow_m, ring_m, strand_m = ring_by_hand(hand, bar, x_m, drag_n)
        rise = max(ring_m - RISE - BOW_RING, 0.0) / strand_m
        ways = []
        for place, height in ((N2, HEIGHTS["N2"]), (F2, HEIGHTS["F2"]), (N3, HEIGHTS["N3"])):
            px, py = bar[1](place)
            way = (px - x_m, py - bow_m, height - ring_m)
            long = sqrt(sum(part**2 for part in way))
            ways.append(tuple(part / long for part in way))
        working = drag_n * hypot(1.0, rise) / 2.0
        push_x = drag_n * sin(skew) + working * ways[2][0]
        push_y = drag_n * cos(skew) + working * ways[2][1]
        (ax, ay, _), (bx, by, _), _ = ways
        whole = ax * by - bx * ay
        most["ferry-near"] = max(most["ferry-near"], (-push_x * by + push_y * bx) / whole)
        most["ferry-far"] = max(most["ferry-far"], (push_x * ay - push_y * ax) / whole)
    for line in answers[1].track_parted.lines:
        assert 0.75 * most[line.line] <= line.load_n <= 1.02 * most[line.line]
        assert line.sudden_n == pytest.approx(2.0 * line.load_n)
        # 20 kN lines (the cache's 5,600 lbf are more), polyester or nylon wet, figure-8 of 0.80
        assert line.factor * line.sudden_n > 20e3 * 0.85 * 0.80


def test_the_carriage_without_its_far_ferry_line_by_hand(answers, bar, hand):
    """It rests where D sin(skew), half the strands toward N3, and both sides of the rope cancel along x."""
    drag_n, skew = hand.swamped_n(SPEED), radians(2.72)
    line = (bar[0], TIE_RISE, WEIGHT)

    px, py = bar[1](N3)

    def drive(x_m):
        def down_n(_bow, height):  # the boat has gone down the river by half of what the ring came nearer
            return 120.0 + drag_n * max(TIE + height - RING - RISE - BOW_RING, 0.0) / 28.0

        bow, working_y = 0.0, 0.0
        for _ in range(3):  # the working strand draws down the river too
            pushed_n = drag_n * (cos(skew) + 0.5 * working_y)
            tension, bow, _ = hand.loaded(
                line, x_m=x_m, drag_n=pushed_n, down_n=down_n, set_n=1321.7, ea_n=0.75 * EA, seating_m=0.15
            )
            way = hypot(px - x_m, py - bow)
            working_y = (py - bow) / way
        near, far = hypot(x_m, bow), hypot(bar[0] - x_m, bow)
        rope = tension * ((bar[0] - x_m) / far - x_m / near)
        return drag_n * sin(skew) + 0.5 * drag_n * (px - x_m) / way + rope

    lost = answers[1].far_ferry_lost
    assert not lost.at_end
    # shallow parabolas, the lines' heights left out of their directions
    assert lost.rest_m == pytest.approx(hand.root(drive, 1.5, 20.0), abs=0.3)


def test_seconds_to_the_strainer_by_hand(answers, bar):
    """From the foot of the work area, 15.5 m below the line, to the upper end of the fallen tree."""
    skew = radians(2.72)
    along = min(x * sin(skew) + y * cos(skew) for x, y in map(bar[1], STRAINER))
    (danger,) = answers[0].dangers
    # of the places abreast the farthest across lies up to 31 m x tan(2.7) = 1.5 m farther along
    assert danger.seconds_s == pytest.approx((along - 15.5) / SPEED, abs=1.5)
    assert danger.downstream_m - danger.last_catch_m == pytest.approx(15.0 * SPEED * cos(skew), abs=0.05)


def test_the_rise_that_turns_a_crew_back_by_hand(answers, demo):
    """(limit - planned) x 15 / (2 x 15 + 5) minutes."""
    limit = demo.plans["OT-01"].track_line.limit
    numbers = {one.name: one.value for decision in answers[0].decisions for one in decision.numbers}
    room = limit.stage_m - 6.6 * 0.3048
    assert numbers["rise_to_stop_m"] == pytest.approx(room * 15.0 / 35.0, abs=1e-4)
    assert [one.code for one in answers[0].decisions] == [
        "before_crossing", "before_loading_boat", "every_interval", "stop_words",
    ]  # fmt: skip
    assert answers[0].release_order == ("up-down", "track", "ferry-far", "ferry-near")


# ---- at every demo site


@pytest.fixture
def told(plan):
    rig = plan.track_line
    assert rig.untold is None
    return plan, rig, rig.answers, rig.track_answers


def whole(ground):
    return shapely.union_all([shapely.Polygon(shell, holes) for shell, *holes in ground])


def test_the_runaway_stays_within_its_ground(told):
    _, rig, answers, track = told
    lost = track.far_ferry_lost
    assert lost.from_m == pytest.approx(rig.travel_to_m)
    assert lost.swept_from_m - 1e-9 <= lost.rest_m <= lost.swept_to_m + 1e-9
    ground = whole(lost.ground).buffer(1e-3)
    assert ground.contains(shapely.Point(lost.boat_at))
    assert whole(answers.no_go.whole).buffer(1e-3).contains(ground.buffer(-2e-3))


def test_ground_about_loaded_lines(told):
    """The bight, and what is just behind each tie point in line with the track line; not all ground about."""
    plan, rig, answers, _ = told
    ground, span_m = whole(answers.no_go.loaded), plan.frame.span_m
    middle_m = 0.5 * (rig.travel_from_m + rig.travel_to_m)
    for x_m, y_m in ((middle_m, 0.05), (-5.0, 0.0), (span_m + 5.0, 0.0)):
        assert ground.contains(shapely.Point(x_m, y_m))
    assert not ground.contains(shapely.Point(-30.0, 0.0))
    assert not ground.contains(shapely.Point(middle_m, -12.0))
    assert len(answers.no_go.parts) == 7  # bight, five anchors, what the lost ferry line sweeps


def test_reached_water_lies_in_the_work_area_within_the_travel(told):
    """Not nearer than the closest boat, not past the travel; what is well inside of both is reached."""
    plan, rig, answers, _ = told
    if answers.reached is None or rig.closest_boat_m is None:
        assert answers.reached is None or answers.reached.share == 0.0
        return
    areas = shapely.union_all(
        [shapely.Polygon(area.parts[0]) for area in plan.frame.work_areas if area.kind == "polygon"]
    )
    skew = radians(plan.frame.skew_deg)
    bow_m = max(case.bow_m for case in rig.planning.cases if case.case == "boat-held")

    def strip(from_m, to_m, least_m, most_m):
        corners = [(from_m, least_m), (to_m, least_m), (to_m, most_m), (from_m, most_m)]
        return shapely.Polygon([(x + y * sin(skew) / cos(skew), y) for x, y in corners])

    near = max(rig.closest_boat_m, 1.0) * cos(skew)
    most = strip(rig.travel_from_m - 3.0, rig.travel_to_m + 3.0, near, 500.0)
    least = strip(rig.travel_from_m + 3.0, rig.travel_to_m - 3.0, near + bow_m, plan.frame.reach_down_m - 0.1)
    assert answers.reached.share <= areas.intersection(most).area / areas.area + 1e-6
    assert answers.reached.share >= areas.intersection(least).area / areas.area - 1e-6
    assert whole(answers.reached.ground).area == pytest.approx(answers.reached.share * areas.area, rel=1e-6)


def test_back_ups_and_pulse_are_of_one_mind_with_the_plan(told):
    _, rig, _, track = told
    for line in track.track_parted.lines:
        assert 0.0 < line.load_n < line.sudden_n
    if rig.window is None:
        assert track.pulse is None
    else:
        assert track.pulse.dry_s[0] < track.pulse.dry_s[1]
        assert track.pulse.wet_s[0] == pytest.approx(track.pulse.dry_s[0] * sqrt(1.4), rel=0.02)
    assert [one.case for one in track.slack] == ["boat-held", "boat-swamped"]
    up_down_m = next(line.needed_m for line in rig.lines if line.line == "up-down")
    assert all(one.slack_m is None or 0.0 <= one.slack_m < up_down_m for one in track.slack)


def test_dangers_come_soonest_first_and_throwers_are_counted(told):
    plan, _, answers, _ = told
    seconds = [danger.seconds_s for danger in answers.dangers]
    assert seconds == sorted(seconds)
    speed = plan.track_line.planning.design_speed_m_s
    for danger in answers.dangers:
        assert danger.along_m == pytest.approx(danger.seconds_s * speed, rel=1e-9)
        assert danger.kind != "power_line"
    posts = answers.posts
    drawn = [post for post in plan.frame.posts if post.kind.value == "downstream_safety"]
    assert len(posts.throwers) == len(drawn)
    assert 0 <= posts.in_time_least <= posts.in_time_most <= len(drawn)
    for thrower in posts.throwers:
        assert 0.0 <= thrower.seconds_s <= 2.0 * 15.0 / speed + 1e-9
