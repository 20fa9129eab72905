"""Every default of the policy against the trade rules, typed here.

[S] is a standard, [C] common practice, [A] the agency's own figure.

The trade rules are the project's own page of what is computed; where they give no figure, the policy is
the first to say it, and the comment tells so.
"""

import pytest

from atlas.settings import load_settings

DEFAULTS = {
    # limits
    "limits.factor_track": 5.0,  # [A]
    "limits.factor_lines": 7.0,  # [A] ferry, up-down, messenger
    "limits.clearance": 0.9,  # [S] TM 5-5420-278-10, waves added
    "limits.clearance_boats": 2.5,  # where boats pass under
    "limits.boats_pass_under": 0.0,
    "limits.clearance_closest_boat": 0.6,
    "limits.anchor_ratio": 4.0,
    "limits.anchor_track_least": 20e3,
    "limits.anchor_station_least": 12e3,
    "limits.set_fraction_of_strength": 0.10,
    "limits.pull_per_person": 222.0,
    "limits.rule_of_12": 12.0,  # [C] to 11 mm, and between
    "limits.rule_of_18": 18.0,  # [C] from 12.5 mm
    "limits.rule_of_18_from": 0.0125,
    "limits.survey_valid_months": 12.0,
    "limits.tie_height_head": 2.0,  # no figure in the rules: a line at head height
    "limits.far_bank_cut_off": 1800.0,  # no figure in the rules: half an hour
    # progress capture
    "capture.general_use": 11e3,
    "capture.technical_use": 5e3,
    "capture.default": 5e3,
    "capture.soft_hitch_wet": 3.5e3,  # [A] not preferred
    # loads
    "loads.water_density": 1000.0,
    "loads.carriage_weight": 120.0,
    "loads.ring_below_line": 0.30,  # [A]
    "loads.bow_ring_above_water": 0.30,  # [A]
    "loads.strand_distance_least": 3.0,
    "loads.ferry_weight": 0.8,  # no figure in the rules: 11 mm, wet
    "loads.leverage_least": 0.5,
    "loads.speed_most": 6.0,  # no figure in the rules: end of a search
    "loads.seating": 0.15,
    "loads.surface_from_vertical": 0.85,
    "loads.surface_from_section": 0.65,
    "loads.one_note_margin": 0.40,
    "loads.interval_level": 0.90,
    "loads.width_to_depth": 20.0,  # no figure in the rules
    # cases
    "cases.empty.area": 0.0,
    "cases.empty.surge": 1.0,
    "cases.boat-held.area": 0.30,  # [A]
    "cases.boat-held.surge": 1.5,
    "cases.boat-swamped.area": 0.831,  # published table
    "cases.boat-swamped.surge": 1.25,
    "cases.broached.area": 2.4,
    "cases.broached.surge": 1.25,  # no figure in the rules: as swamped
    # stiffness
    "stiffness.low_of_10pct": 0.75,
    "stiffness.high_of_10pct": 1.33,
    "stiffness.high_elongation_of_50_150kg": 0.035,  # [A, assumed]
    # planning rope
    "planning_rope.diameter": 0.0125,
    "planning_rope.strength": 40e3,
    "planning_rope.weight": 1.02,
    "planning_rope.stiffness": 100e3,
    # ends and wet
    "ends.figure_8": 0.80,
    "ends.butterfly": 0.75,
    "ends.bowline": 0.60,
    "ends.wraps": 1.00,
    "ends.wraps_thin": 0.60,  # no figure in the rules: 1.00 asks 8 rope diameters; else as the weakest knot
    "ends.device": 1.00,
    "ends.join": 0.65,  # no figure in the rules: double fisherman's bend, 0.65 to 0.70; value from memory
    "wet.nylon": 0.85,
    "wet.polyester": 0.98,
    "wet.polypropylene": 1.00,
    "wet.hmpe": 1.00,
    "wet.unknown": 0.85,
    # lines
    "lines.wraps": 4.0,
    "lines.wrap_anchor_diameters_least": 8.0,
    "lines.anchor_diameter_assumed": 0.5,  # no figure in the rules
    "lines.spare_fraction": 0.10,
    "lines.spare_least": 3.0,
    "lines.tail_far_tie_off": 2.0,  # [C], as the other tails
    "lines.tail_near": 3.0,
    "lines.tail_tended": 6.0,
    "lines.tail_messenger": 5.0,
    "lines.throw": 3.0,
    "lines.rig_x": 0.0,
    "lines.launch_arc": 1.148,
    "lines.ferry_joined": 0.0,  # where policy allows it: not unless an agency says so
    "lines.join_rope": 1.5,  # no figure in the rules
    # minutes not given: the figures are left to policy
    "purchase.rope_step": 5.0,
    "travel.detour": 1.4,
    "travel.speed": 50.0 / 3.6,
    # launchers
    "launchers.hand_bag": 15.0,
    "launchers.slingshot": 35.0,
    "launchers.pneumatic": 75.0,
    "launchers.cartridge": 200.0,
    "launchers.into_wind": 0.7,
    # stations
    "stations.ferry_upriver_most": 8.0,
    "stations.ferry_upriver_of_span": 0.25,
    "stations.up_down_downriver": 8.0,
    # what crews ask on the bank: times, masses and ground are not in the rules but where said
    "pulse.returns": 10.0,  # N = 10
    "pulse.wet_factor": 1.4,
    "if_lost.sudden": 2.0,
    "if_lost.factor_back_up": 4.0,  # as a back-up tether
    "hand_over.sag_tight": 0.05,  # kept tight
    "hand_over.sag_slack": 0.20,  # slack
    "hand_over.cylinder_drag": 1.20,  # long cylinder across
    "boat.mass": 450.0,
    "boat.mass_swamped": 1500.0,
    "posts.see": 10.0,
    "posts.clear": 60.0,
    "posts.catch": 15.0,
    "posts.throw": 5.0,
    "no_go.behind_length": 10.0,
    "no_go.behind_angle": 15.0,
    "no_go.margin": 1.0,
    "decisions.interval": 900.0,  # every 15 minutes
    "decisions.clear": 300.0,
    "decisions.reading_oldest": 7200.0,  # no figure in the rules
    # the rest
    "window.tie_rise_most": 6.0,  # no figure in the rules: end of a search
    "haul.pulley_efficiency": 0.80,
    "haul.anchor_clear_run": 1.0,  # no figure in the rules
    "stages.rows_above": 2.0,  # no figure in the rules
    "stages.row_step": 0.3,  # no figure in the rules
    "seasons.not_count_on": 10.0,  # no figure in the rules: a third of a month
    "float_check.seconds_least": 10.0,
    "float_check.paces_step": 3.048,  # no figure in the rules: tens of feet
    "float_check.paces_step_si": 5.0,  # no figure in the rules
    # anchors without a rating: assumed from kind and size; the rules leave the figures to policy
    "anchor_kinds.tree.of_size_squared": 450e3,
    "anchor_kinds.tree.most": 90e3,
    "anchor_kinds.tree.size_least": 0.25,
    "anchor_kinds.boulder.of_size_squared": 10e3,
    "anchor_kinds.boulder.most": 90e3,
    "anchor_kinds.boulder.size_least": 1.0,
    "anchor_kinds.bridge_post.of_size_squared": 900e3,
    "anchor_kinds.bridge_post.most": 90e3,
    "anchor_kinds.bridge_post.size_least": 0.2,
}


@pytest.fixture(scope="module")
def settings():
    return load_settings()


def test_every_value_of_the_policy_is_the_trade_s(settings):
    policy = settings.policy
    assert {key: policy.value_of(key) for key in DEFAULTS} == pytest.approx(DEFAULTS, rel=1e-12)


def test_no_value_of_the_movable_control_point_is_left_unlooked_at(settings):
    """A value added to the policy is looked up in the trade rules and typed above; tethers have their own."""
    new = {key for key in settings.policy.provenance if key not in DEFAULTS}
    assert {key.partition(".")[0] for key in new} <= {"tether", "choice"}


CREW = {
    "command": (1, 1), "rigging_lead": (1, 1), "haul": (3, 2), "far_bank": (3, 2), "up_down": (3, 2),
    "boat": (2, 2), "upstream_spotter": (1, 1), "downstream_near": (2, 1), "downstream_far": (2, 1),
}  # fmt: skip


def test_crew_of_the_movable_control_point(settings):
    """Command 1, rigging lead 1, haul 3 then near ferry 2, far bank 3 never under 2, up-down 3, boat 2,
    spotter 1, downstream 2 a bank."""
    rig = settings.rig("movable-control-point")
    assert {rule.post: (rule.people, rule.least) for rule in rig.crew} == CREW
    assert sum(rule.people for rule in rig.crew) == 18
    assert rig.people_on_haul == CREW["haul"][0]


def test_cases_and_strands_of_the_movable_control_point(settings):
    """Judged: empty, boat held, boat swamped; broached printed; swamped planned for; two strands."""
    rig = settings.rig("movable-control-point")
    assert rig.judged_cases == ["empty", "boat-held", "boat-swamped"]
    assert "broached" in rig.printed_cases
    assert (rig.planning_case, rig.bow_strands) == ("boat-swamped", 2)
    assert rig.hauls == ["2:1", "3:1", "4:1", "6:1", "9:1"]
    assert (rig.far_end, rig.near_end) == ("wraps", "device")


ROPES = {
    "track": [(["static"], 12.5, 40.0, None), (["static"], 11.0, 27.0, 25.0)],
    "ferry-near": [(["low_stretch", "floating"], 11.0, 20.0, None)],
    "ferry-far": [(["low_stretch", "floating"], 11.0, 20.0, None)],
    "up-down": [(["floating", "static"], 11.0, 20.0, None)],
    "messenger": [(["floating"], 6.0, 4.5, None)],
}


def test_ropes_of_the_movable_control_point(settings):
    """Track static >= 12.5 mm, >= 40 kN (11 mm, >= 27 kN to 25 m); ferry low-stretch or floating >= 11 mm,
    >= 20 kN; up-down floating or static >= 11 mm; messenger floating 6-8 mm, >= 4.5 kN."""
    rig = settings.rig("movable-control-point")
    found = {
        line.name: [
            (rope.kinds, rope.diameter_least_mm, rope.strength_least_kn, rope.span_most_m)
            for rope in line.rope
        ]
        for line in rig.line
    }
    assert found == ROPES
    (messenger,) = [line for line in rig.line if line.name == "messenger"]
    assert messenger.rope[0].diameter_most_mm == pytest.approx(8.0, abs=0.5)  # 5/16 in is 7.9 mm


def test_what_is_let_go_and_where_the_knives_are(settings):
    """Up-down, then track, then ferry lines; knives at two stations, one on each bank."""
    rig = settings.rig("movable-control-point")
    assert rig.release == ["up-down", "track", "ferry-far", "ferry-near"]
    assert rig.knives == ["up_down", "far_bank"]


def test_two_people_carry_a_knife_and_two_bags_stand_on_each_bank(settings):
    rig = settings.rig("movable-control-point")
    rules = {rule.item: rule for rule in rig.gear}
    throwers = sum(rule.people for rule in rig.crew if rule.post.startswith("downstream"))
    assert rules["knife"].count == 2
    assert rules["throw_bag"].per["thrower"] * throwers == 4
    assert rules["friction_device"].per == {"held_line": 1}  # ferries, up-down: hands cannot hold them
    assert rules["releasable_link"].count == 1  # behind a rope grab, which cannot be let go under load


def test_every_figure_says_whose_it_is(settings):
    """A named standard or table, common practice, or the agency's own."""
    named = (
        "agency's own figure", "common practice", "NFPA 2500", "TM 5-5420-278-10", "USGS WSP 2175",
        "CRC/IAPWS", "Cordage Institute", "CI 1801", "training", "river-rescue textbook",
        "fire-department study card", "entropy-velocity literature", "geometry", "nothing in the water",
        "no knot", "as the weakest", "Aeronautical Engineer's Data Book",
    )  # fmt: skip
    for key, provenance in settings.policy.provenance.items():
        assert provenance.source.startswith(named), key
