"""What the agency's limits do to a verdict, and what the limit speed says, put back."""

from dataclasses import replace
from math import isfinite

import pytest

from atlas.faults import NoSolution
from atlas.records import AnchorUse, Bank, GearStock
from atlas.settings import load_settings

SITE = "PC-02"


def reasons(plan, case=None):
    """Codes of the planning row's judged cases."""
    return {
        note.code
        for found in plan.chosen.planning.cases
        for note in found.why
        if found.judged and case in (None, found.case)
    }


@pytest.fixture(scope="module")
def here(demo):
    plan = demo.quick(SITE)
    assert plan.chosen.planning.inside
    return plan


@pytest.fixture(scope="module")
def brief_here(demo):
    return demo.brief(SITE)


def with_anchors(site, **changes):
    """Anchors changed by tag; None takes one away."""
    anchors = tuple(
        anchor if anchor.tag not in changes else replace(anchor, **changes[anchor.tag])
        for anchor in site.anchors
        if changes.get(anchor.tag, {}) is not None
    )
    return replace(site, anchors=anchors)


# ---- policy


def swamped(plan):
    return next(case for case in plan.chosen.planning.cases if case.case == "boat-swamped")


@pytest.mark.parametrize(
    ("key", "value", "code"),
    [
        # 30 kN of the releasable link over 2.9 kN, which the drag alone puts on a line hardly set, is 10
        ("limits.factor_track", 12, "factor"),
        # 23.4 kN of polyester with its figure-8 over some 2.5 kN is 9.4
        ("limits.factor_lines", 14, "factor_line"),
        # ties 2.37 and 2.67 m over the water, hardware 0.30 m under the line
        ("limits.clearance", 2.0, "clearance"),
        ("limits.boats_pass_under", True, "clearance"),
        # N1 holds 90 kN
        ("limits.anchor_ratio", 25, "anchor_track"),
        ("limits.anchor_station_least", 45, "anchor_station"),
    ],
)
def test_a_stricter_limit_puts_the_site_outside_plan(demo, here, key, value, code):
    there = demo.brief(SITE, **{key: value})
    assert code not in reasons(here)
    assert code in reasons(there)
    assert not there.chosen.planning.inside
    if key == "limits.boats_pass_under":
        used = {limit.key: limit for limit in there.limits_used}
        assert used["limits.clearance_boats"].value == 2.5
    else:
        (used,) = [limit for limit in there.limits_used if limit.key == key]
        assert used.source == "agency's own figure (county.toml)"


def test_a_factor_of_seven_in_place_of_five_is_asked_of_every_part(demo, brief_here):
    """At 4.22 kN the link of 30 kN has 7.1: inside with 7 as with 5; the window's upper end comes down."""
    here, there = brief_here, demo.brief(SITE, **{"limits.factor_track": 7})
    assert (here.chosen.least_factor, there.chosen.least_factor) == (5.0, 7.0)
    assert there.chosen.window.high_n < here.chosen.window.high_n
    # 30 kN / 7 = 4286 N is less than the rope grab's 5 kN, which governs with 5
    assert (here.chosen.window.high_governed_by, there.chosen.window.high_governed_by) == (
        "capture",
        "factor",
    )
    assert there.chosen.limit.surface_speed_m_s < here.chosen.limit.surface_speed_m_s


def test_a_set_tension_over_the_rules_is_told_by_its_rule(demo):
    """A crew that knows only 9:1 sets 1998 N: over 6 x 222 = 1332 N, and over 3 % of 42.7 kN = 1281 N."""
    strict = load_settings(overrides={"limits.rule_of_18": 6, "limits.set_fraction_of_strength": 0.03})
    rig = strict.rig("movable-control-point").model_copy(update={"hauls": ["9:1"]})
    plan = replace(demo, settings=replace(strict, rigs=(rig,))).plan("WEN-05")
    assert plan.chosen.haul.most_n == pytest.approx(1998.0)
    for stage in plan.chosen.stages:
        for case in stage.cases:
            texts = {note.text for note in case.why}
            assert "Set tension is over the rule of 6" in texts
            assert "Set tension is over 3 % of the rope's strength" in texts


def test_where_no_ferry_line_has_leverage_the_rig_is_outside_plan(demo):
    """A leverage of 0.99 means within 8 degrees of the track line: nowhere from stations 6 m upriver."""
    plan = demo.brief(SITE, **{"loads.leverage_least": 0.99})
    assert "no_leverage" in reasons(plan)
    assert plan.chosen.limit is None


def test_a_boat_that_cannot_be_brought_as_near_as_the_work(demo):
    """With more clearance asked of the closest boat than of the held one at its work, 10 m down."""
    plan = demo.brief(SITE, **{"limits.clearance": 0.3, "limits.clearance_closest_boat": 1.5})
    closest_m = plan.chosen.closest_boat_m
    assert closest_m > plan.frame.reach_down_m
    assert reasons(plan) == reasons(plan, "boat-held") == {"closest_boat"}
    (note,) = [
        note for case in plan.chosen.planning.cases for note in case.why if note.code == "closest_boat"
    ]
    # distances it cannot come nearer than go up, those it must reach go down to the foot
    up_ft, down_ft = -int(-closest_m / 0.3048 // 1), int(plan.frame.reach_down_m / 0.3048)
    assert note.text == f"The held boat comes no closer than {up_ft} ft; it must reach {down_ft} ft"
    assert plan.chosen.limit is None
    stages = [case for stage in plan.chosen.stages if not stage.planning for case in stage.cases]
    assert "closest_boat" not in {note.code for case in stages for note in case.why}


def test_loads_past_the_range_shown_are_said_and_outside(demo):
    """PC-01's third row: 4.2 m/s by one note, 9.1 kN on the swamped boat."""
    row = demo.plans["PC-01"].chosen.stages[-1]
    case = next(case for case in row.cases if case.case == "boat-swamped")
    assert case.drag_n > 9e3
    assert "beyond_model" in {note.code for note in case.why}


FARTHEST = [
    # nothing set, the whole crew hauling, ropes that stretch least and most: at the ends the policy allows
    {"limits.rule_of_18": 6, "limits.pull_per_person": 100, "limits.set_fraction_of_strength": 0.025},
    {"limits.rule_of_18": 24, "limits.pull_per_person": 330, "limits.set_fraction_of_strength": 0.25},
    {"limits.factor_track": 500, "limits.factor_lines": 500, "limits.anchor_ratio": 500},
    {"limits.clearance": 100, "limits.clearance_closest_boat": 100, "loads.seating": 0.5},
    {"loads.leverage_least": 0.4, "loads.carriage_weight": 2000},
    {"stations.ferry_upriver_most": 2, "window.tie_rise_most": 8},
    {"cases.boat-held.area": 500, "cases.boat-swamped.area": 500, "loads.strand_distance_least": 1000},
    {"stiffness.low_of_10pct": 0.4, "stiffness.high_of_10pct": 3, "haul.pulley_efficiency": 0.5},
]


@pytest.mark.parametrize("overrides", FARTHEST, ids=", ".join)
def test_a_policy_at_its_bounds_still_plans_a_site(demo, leaves, overrides):
    """A value that the loader takes never keeps a site from its sheet, and never prints as endless."""
    for code in ("PC-03", "WEN-05"):
        plan = demo.plan(code, overrides={"stages.rows_above": 0, **overrides})
        numbers = [value for value in leaves(plan).values() if isinstance(value, float)]
        assert all(isfinite(number) for number in numbers)
        assert plan.chosen.planning.inside == (
            plan.chosen.limit is not None
            and plan.chosen.limit.surface_speed_m_s >= plan.chosen.planning.design_speed_m_s
        )


# ---- capture


def test_the_strongest_class_of_device_counts_and_of_it_the_weakest(demo):
    general = [GearStock("rope_grab_general", 1, 12e3), GearStock("rope_grab_general", 1, 10.5e3)]
    technical = GearStock("rope_grab_technical", 4, 5e3)
    soft = GearStock("soft_hitch", 2, None)
    for gear, expected in (
        ([technical, *general], ("rope_grab_general", 10.5e3)),
        ([technical, GearStock("rope_grab_general", 0, 12e3)], ("rope_grab_technical", 5e3)),
        ([GearStock("rope_grab_general", 1, None)], ("rope_grab_general", 11e3)),  # its class's
        ([soft], ("soft_hitch", 3.5e3)),
        ([], ("progress_capture", 5e3)),
    ):
        plan = demo.plan(
            "WEN-05", agencies=demo.agency_of("WEN-05", gear=tuple(gear)), overrides={"stages.rows_above": 0}
        )
        assert (plan.chosen.capture, plan.chosen.capture_limit_n) == expected
        key = {"rope_grab_general": "general_use", "rope_grab_technical": "technical_use"}
        name = {"soft_hitch": "soft_hitch_wet", "progress_capture": "default"} | key
        assert plan.limits_used[-1].key == f"capture.{name[expected[0]]}"
        assert plan.limits_used[-1].value == expected[1]


def test_a_line_tied_off_behind_hangs_on_no_capture_and_no_link(demo, here):
    site = demo.sites[SITE]
    there = demo.brief(replace(site, access=replace(site.access, tied_off=True)))
    assert (there.chosen.capture, there.chosen.capture_limit_n) == ("rope_grab_technical", None)
    assert "device_capture" not in {caution.code for caution in there.cautions}
    assert not any(limit.key.startswith("capture.") for limit in there.limits_used)
    assert there.chosen.window.high_n > here.chosen.window.high_n
    assert {case.factor_part for case in there.chosen.planning.cases} == {"rope"}


# ---- anchors


def test_an_anchor_with_several_lines_holds_what_they_pull_together(demo):
    """N1 takes track, near ferry and up-down line; rated between four times the track's pull and theirs.

    Tied off, so that the capture is no limit.
    """
    used = frozenset({AnchorUse.TRACK, AnchorUse.FERRY, AnchorUse.UP_DOWN})
    least = {"limits.anchor_track_least": 10}

    def rated(rating_n, **changes):
        tied = replace(demo.sites[SITE], access=replace(demo.sites[SITE].access, tied_off=True))
        return with_anchors(tied, N1={"rating_n": rating_n, **changes})

    site = rated(90e3, uses=used)
    site = replace(site, anchors=tuple(anchor for anchor in site.anchors if anchor.tag not in {"N2", "N3"}))
    strong = demo.brief(site, **least)
    (anchor,) = [anchor for anchor in strong.chosen.anchors if anchor.tag == "N1"]
    case = swamped(strong)
    hauled_n = max(case.up_down_hold_n, case.up_down_haul_n)
    # more than the track line's tension, and no more than the sum of all tensions
    assert case.tension_n + 0.2 * hauled_n < anchor.load_n
    assert anchor.load_n <= case.tension_n + case.ferry_near_n + hauled_n + 1e-6
    assert anchor.needed_n == pytest.approx(4.0 * anchor.load_n)
    assert strong.chosen.planning.inside
    between_n = 2.0 * (case.tension_n + anchor.load_n)
    alone = demo.brief(rated(between_n), **least)
    assert "anchor_track" not in reasons(alone)
    weak = demo.brief(
        replace(
            site,
            anchors=tuple(
                replace(anchor, rating_n=between_n) if anchor.tag == "N1" else anchor
                for anchor in site.anchors
            ),
        ),
        **least,
    )
    assert reasons(weak) == {"anchor_track"}
    (anchor,) = [anchor for anchor in weak.chosen.anchors if anchor.tag == "N1"]
    assert [note.code for note in anchor.why] == ["anchor_track"]
    assert anchor.ratio == pytest.approx(between_n / anchor.load_n)
    # it holds in slower water: the limit is where four times their pull is what it holds
    assert weak.chosen.limit.governed_by == "anchor_track"
    assert weak.chosen.limit.surface_speed_m_s < weak.chosen.planning.design_speed_m_s


def test_a_weak_station_governs_the_limit_speed(demo):
    """F2 rated at 4.2 times the far ferry line's pull: it comes to four before any other limit is met."""
    least = {"limits.anchor_station_least": 1}
    here = demo.brief(SITE, **least)
    load_n, speed_m_s = swamped(here).ferry_far_n, here.chosen.planning.design_speed_m_s
    assert here.chosen.limit.surface_speed_m_s > 1.03 * speed_m_s
    plan = demo.brief(with_anchors(demo.sites[SITE], F2={"rating_n": 4.2 * load_n}), **least)
    assert plan.chosen.planning.inside
    assert plan.chosen.limit.governed_by == "anchor_station"
    # the force grows about as the drag does, with the square of the speed
    assert plan.chosen.limit.surface_speed_m_s == pytest.approx(speed_m_s * (4.2 / 4.0) ** 0.5, rel=0.015)


def test_a_station_under_the_least_hold_is_outside_at_any_speed(demo):
    plan = demo.brief(with_anchors(demo.sites[SITE], N2={"rating_n": 11.9e3}))
    assert reasons(plan) == {"anchor_station"}
    assert plan.chosen.limit is None


def test_a_station_that_higher_water_drowns_is_out_at_that_stage(demo):
    """N3 at 0.7 m: over the planning stage's 0.53 m, under the 0.83 m of the row above."""
    plan = demo.brief(with_anchors(demo.sites[SITE], N3={"height_m": 0.7}), **{"stages.rows_above": 2})
    drowned = {
        round(stage.rise_m, 2): {
            note.about for case in stage.cases for note in case.why if note.code == "anchor_drowned"
        }
        for stage in plan.chosen.stages
    }
    assert drowned == {0.0: set(), 0.53: set(), 0.83: {"N3"}, 1.13: {"N3"}}


def test_a_station_that_the_planning_stage_drowns_is_looked_for_on_scene(demo):
    plan = demo.brief(with_anchors(demo.sites[SITE], N3={"height_m": 0.5}))
    anchors = {anchor.tag: anchor for anchor in plan.chosen.anchors}
    assert (anchors["N3"].drowned, anchors["N3"].load_n) == (True, None)
    assert (anchors["UD*"].surveyed, anchors["UD*"].rating_n) == (False, None)
    # 8 m down the bank: the anchor that is out was 5 m down
    assert anchors["UD*"].at[1] == pytest.approx(8.0, rel=0.05)
    assert "Stations not surveyed: UD*. Find and judge anchors on scene" in {
        note.text for note in plan.warnings
    }


def test_a_drowned_tie_point_is_outside_plan(demo):
    plan = demo.brief(with_anchors(demo.sites[SITE], F1={"height_m": 0.53}))
    assert "anchor_drowned" in reasons(plan)
    assert plan.chosen.limit is None
    about = {note.about for case in plan.chosen.planning.cases for note in case.why}
    assert "F1" in about
    assert "N1" not in about


def test_an_anchor_of_unknown_kind_without_rating_is_outside_plan(demo):
    for change, held in (
        ({"kind": "mooring_ring"}, None),
        ({"diameter_m": 0.24}, None),  # a trunk under 25 cm is not assumed to hold
        ({"diameter_m": 0.25}, 450e3 * 0.25**2),
    ):
        plan = demo.brief(with_anchors(demo.sites[SITE], N1=change))
        (anchor,) = [anchor for anchor in plan.chosen.anchors if anchor.tag == "N1"]
        assert anchor.rating_n == held
        assert ("anchor_unrated" in reasons(plan)) is (held is None)
        assert (plan.chosen.limit is None) is (held is None)


def test_an_anchor_set_aside_for_one_not_to_be_used(demo):
    """N1 not to be used: there is no other track anchor on the near bank, and the text says so."""
    site = with_anchors(demo.sites[SITE], N1={"do_not_use": True})
    with pytest.raises(NoSolution) as raised:
        demo.quick(site)
    assert str(raised.value) == (
        "site PC-02: no usable track anchor on the near bank (got only N1 (do_not_use)): "
        "survey a track anchor on the near bank"
    )
    spare = replace(
        next(anchor for anchor in site.anchors if anchor.tag == "N2"),
        tag="N9",
        uses=frozenset({AnchorUse.TRACK}),
    )
    assert spare.bank is Bank.NEAR
    plan = demo.brief(replace(site, anchors=(*site.anchors, spare)))
    assert plan.frame.track_near_tag == "N9"


# ---- limit speed, put back


@pytest.mark.parametrize("code", ["PC-02", "OT-04"])
def test_the_limit_speed_put_back_is_the_edge_of_the_plan(demo, code):
    here = demo.quick(code)
    limit = here.chosen.limit
    assert limit is not None

    def at_speed(speed_m_s):
        site = demo.sites[code]
        stage_m = here.chosen.planning.stage_m
        notes = tuple(
            replace(note, surface_speed_m_s=speed_m_s, mean_speed_m_s=None)
            if abs(note.stage_m - stage_m) < 0.005
            else note
            for note in site.access.flow_notes
        )
        return demo.quick(replace(site, access=replace(site.access, flow_notes=notes)))

    below, above = at_speed(limit.surface_speed_m_s - 0.002), at_speed(limit.surface_speed_m_s + 0.004)
    assert below.chosen.planning.design_speed_m_s == pytest.approx(limit.surface_speed_m_s - 0.002)
    # a window that closes on the haul brings another haul, with a limit of its own
    if below.chosen.haul == here.chosen.haul:
        assert below.chosen.planning.inside
    if above.chosen.haul == here.chosen.haul:
        assert reasons(above) == {limit.governed_by}
    assert here.chosen.haul in (below.chosen.haul, above.chosen.haul)
