"""A line tied off on a deadman by hand, the river known by gauge means. See test_by_hand."""

from math import hypot, pi

import pytest

# ---- WEN-04, Gué d'Orsène: 59 m, tied off, a deadman, gauge means over the section, 120 m of 13 mm polyester


@pytest.fixture(scope="module")
def gue(hand):
    near, far = (-140.1920533, 30.193324), (-140.192325, 30.1928469)
    span_m, at = hand.frame_of(near, far, near_bank="left")
    return {
        "span_m": span_m,
        "at": at,
        "line": (span_m, 3.7 - 3.9, 0.122 * hand.G_M_S2),
        "rise_m": 2.3 - 1.4,
        "speed_m_s": 1.45,
        "ea_n": (0.75 * 0.1 * 41e3 / 0.030, 1.33 * 0.1 * 41e3 / 0.030),  # 41 kN at 3 %: 136.7 kN
    }


def test_gue_on_the_ground(demo, hand, gue):
    frame = demo.plans["WEN-04"].frame
    assert frame.span_m == pytest.approx(gue["span_m"], **hand.LENGTH)
    edges = (
        hand.crossing_m(gue["at"], (-140.1920726, 30.1932976), (-140.1920251, 30.1932726)),
        hand.crossing_m(gue["at"], (-140.1922388, 30.1928555), (-140.19232, 30.1928795)),
    )
    assert (frame.near_edge_x_m, frame.far_edge_x_m) == pytest.approx(edges, abs=0.005)
    # reach-down given as 19.0 m, and drawn to the corner at 140.1920042 W, which counts
    assert frame.reach_down_m == pytest.approx(gue["at"]((-140.1920042, 30.1930238))[1], **hand.LENGTH)
    assert frame.reach_down_m == pytest.approx(19.0, rel=0.01)


def test_gue_speeds(demo):
    """Means over the section 0.79 and 0.90 m/s, / 0.65; the third note has 0.95 and 1.45: its own 0.655.

    The site's ratio is higher than 0.65 and would give less speed, so the policy's stands.
    """
    stages = {round(stage.stage_m, 2): stage for stage in demo.plans["WEN-04"].chosen.stages}
    assert 0.95 / 1.45 > 0.65
    assert stages[1.40].surface_speed_m_s == pytest.approx(0.79 / 0.65)
    assert stages[1.95].surface_speed_m_s == pytest.approx(0.90 / 0.65)
    assert stages[2.30].surface_speed_m_s == pytest.approx(1.45)
    assert stages[2.30].planning


def test_gue_tension_factor_and_anchors(demo, hand, gue):
    plan = demo.plans["WEN-04"]
    rig = plan.chosen
    drag_n = hand.swamped_n(1.45)
    assert drag_n == pytest.approx(1092.0, abs=0.1)  # 519.375 x 2.1025
    tension_n, _, _ = hand.under_boat(
        gue["line"],
        tie_m=3.9,
        rise_m=gue["rise_m"],
        reach_m=19.0,
        drag_n=drag_n,
        x_m=gue["span_m"] / 2.0,
        set_n=rig.haul.most_n,
        ea_n=gue["ea_n"][1],
    )
    case = hand.case_of(plan, "boat-swamped")
    assert tension_n * (1.0 - hand.TENSION["rel"]) <= case.tension_n <= tension_n * hand.TENSION_ADDED_MOST
    # tied off: no capture, no link. Rope 41 kN x 0.98 wet x 1.00 wrapped = 40.2 kN; connector 40 kN
    assert rig.capture_limit_n is None
    assert rig.rope.kept == pytest.approx(0.98)
    assert case.factor_part == "connector"
    assert case.factor == pytest.approx(40e3 / case.tension_n)
    # deadman tested to 34 kN, asked four times the tension
    deadman = hand.anchor_named(plan, "F1")
    assert (deadman.rating_n, deadman.rating_assumed) == (34e3, False)
    assert deadman.needed_n == pytest.approx(4.0 * case.tension_n, rel=0.002)  # the rope's own weight aside
    assert case.tension_n > 5e3
    # pickets of 17.8 kN at the far ferry station: asked four times, at least 12 kN
    pickets = hand.anchor_named(plan, "F2")
    assert pickets.load_n == pytest.approx(max(case.ferry_far_n for case in rig.planning.cases[:3]))
    assert pickets.needed_n == pytest.approx(max(4.0 * pickets.load_n, 12e3))


def test_gue_clearance_of_the_empty_carriage(demo, hand, gue):
    plan = demo.plans["WEN-04"]
    haul = plan.chosen.haul
    assert (haul.system, haul.people) == ("9:1", 2)
    assert (haul.least_n, haul.most_n) == pytest.approx((2 * hand.PULL_N * 2.44**2, 2 * 9 * hand.PULL_N))
    lowest_m = min(
        hand.clear_m(gue["line"], tie_m=3.9, rise_m=gue["rise_m"], x_m=x_m, set_n=haul.least_n, ea_n=ea_n)
        for x_m in (27.0, 29.0, 31.0, 33.0, 35.0)
        for ea_n in gue["ea_n"]
    )
    assert hand.case_of(plan, "empty").clearance_m == pytest.approx(lowest_m, **hand.HEIGHT)
    # 0.9 + 1.45^2 / 2 g = 1.007
    assert hand.case_of(plan, "empty").clearance_needed_m == pytest.approx(1.0072, abs=1e-4)


def test_gue_lines(demo, hand, gue):
    plan, span_m = demo.plans["WEN-04"], gue["span_m"]
    # a deadman has no girth: 0.5 m is assumed for the wraps and said
    parts = (hypot(span_m, 0.2), 4.0 * pi * (0.5 + 0.013), 2.0, 27.0, 3.0)
    assert hand.line_named(plan, "track").needed_m == pytest.approx(hand.needed(parts, span_m), **hand.LENGTH)
    assert "anchor F1 diameter" in {value.code for value in plan.assumed}
    messenger = hand.needed((2.0 * span_m, 10.0), 2.0 * span_m)
    assert hand.line_named(plan, "messenger").needed_m == pytest.approx(messenger, **hand.LENGTH)
    # floors by the planning stage's 54.9 m of water
    assert hand.line_named(plan, "ferry-near").floor_m == pytest.approx(54.9)
    assert hand.line_named(plan, "up-down").floor_m == pytest.approx(2 * 54.9)
    taken = {line.line: [take.rope for take in line.take] for line in plan.chosen.lines}
    assert taken["track"] == ["Blue 120 m"]
    assert taken["messenger"] == ["Messenger 150 m"]


def test_gue_haul_travel(demo, gue):
    """8/3 f^2 span of slack at a sag of a twentieth, stretch to the most set at the soft bound, seating."""
    haul = demo.plans["WEN-04"].chosen.haul
    slack_m = 8.0 / 3.0 * 0.05**2 * gue["span_m"]  # 0.39 m
    stretch_m = gue["span_m"] * haul.most_n / gue["ea_n"][0]  # 59 x 3996 / 102500 = 2.30 m
    assert haul.travel_m == pytest.approx(slack_m + stretch_m + 0.15, rel=1e-4)
