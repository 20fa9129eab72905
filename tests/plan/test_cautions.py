"""Every condition of templates/cautions.toml: a site where it fires and one where it does not."""

from dataclasses import replace
from datetime import date
from typing import get_args

import pytest

from atlas.records import Danger, DangerKind, GearStock, LowHeadDam, Shape
from atlas.settings.lists import Fact

# caution -> where it fires, where it does not: as the surveys of the demo county have it
DEMO_CAUTIONS = {
    "low_head_dam": ("OT-04", "OT-01"),  # a dam feature, and a dam above with its telephone
    "power_line": ("WEN-02", "WEN-03"),
    "strainer": ("OT-01", "OT-03"),
    "bridge_pier": ("OT-02", "OT-03"),
    "undercut": ("OT-05", "OT-04"),
    "debris": ("OT-02", "OT-05"),
    "outside_plan": ("WEN-05", "OT-01"),
    "capture_no_release": ("OT-01", "OT-03"),  # OT-03 is tied off behind its rope grab
    "far_bank_cut_off": ("OT-03", "OT-01"),  # 34 minutes, 18 minutes; 30 by policy
    "cold_water": ("OT-05", "OT-01"),
    "line_at_head_height": ("WEN-05", "OT-01"),  # lower tie 2.3 m less 1.2 m of water, 3.41 less 0.76
    "overdue": ("WEN-01", "OT-01"),
    "stations_on_scene": ("PC-03", "OT-01"),
}
ALWAYS = {"clipped_in", "line_bight", "lines_up_aircraft", "equipment"}
OF_RIG = {
    "movable-control-point": {"no_slack", "ferry_by_hand"},
    "two-line-tether": {"no_slack_bow", "bow_by_hand"},
}


NOT_OF_THE_DEMO = (
    "beyond_survey", "assumed_values", "clipped_in", "no_slack", "no_slack_bow", "ferry_by_hand",
    "soft_hitch", "broached",
)  # fmt: skip


def codes(plan):
    return [caution.code for caution in plan.cautions]


@pytest.mark.parametrize(("code", "sites"), DEMO_CAUTIONS.items())
def test_it_fires_and_it_does_not(demo, code, sites):
    fires, silent = sites
    assert code in codes(demo.plans[fires])
    assert code not in codes(demo.plans[silent])


def test_some_cautions_stand_on_every_sheet(plan):
    assert set(codes(plan)) >= ALWAYS


@pytest.mark.parametrize(("rig", "other"), [list(OF_RIG), list(OF_RIG)[::-1]])
def test_some_cautions_go_with_the_rig(demo, rig, other):
    site = demo.sites["OT-01"]
    plan = demo.plan(replace(site, access=replace(site.access, rig=rig)))
    assert plan.chosen.rig == rig
    assert set(codes(plan)) >= ALWAYS | OF_RIG[rig]
    assert not set(codes(plan)) & OF_RIG[other]


def test_no_caution_stands_twice_and_the_most_serious_come_first(plan):
    assert len(set(codes(plan))) == len(codes(plan))
    order = ["DANGER", "WARNING", "CAUTION", "NOTICE"]
    ranks = [order.index(caution.signal) for caution in plan.cautions]
    assert ranks == sorted(ranks)


def test_beyond_survey_only_where_a_row_is_past_it(demo):
    assert "beyond_survey" in codes(demo.plans["PC-02"])
    # PC-02 plans for its highest note: with no row above it nothing is modelled
    plan = demo.brief("PC-02")
    assert "beyond_survey" not in codes(plan)
    assert "beyond_survey" not in {note.code for note in plan.warnings}


def test_assumed_values_only_where_an_anchor_in_use_is_assumed(demo):
    assert "assumed_values" in codes(demo.plans["PC-02"])
    site = demo.sites["PC-02"]
    rated = replace(site, anchors=tuple(replace(anchor, rating_n=60e3) for anchor in site.anchors))
    plan = demo.brief(rated)
    assert "assumed_values" not in codes(plan)
    assert "rating_assumed" not in {note.code for note in plan.warnings}
    assert not [value for value in plan.assumed if value.code.startswith("anchor")]


def test_a_soft_hitch_is_told_of_where_the_line_hangs_on_one(demo):
    """PC-02's agency with nothing else to hold the line; tied off behind it, the hitch may slip."""
    hitch = demo.agency_of("PC-02", gear=(GearStock("soft_hitch", 2),))
    brief = {"stages.rows_above": 0, "limits.factor_lines": 1}
    assert "soft_hitch" in codes(demo.plan("PC-02", agencies=hitch, overrides=brief))
    assert "soft_hitch" not in codes(demo.plans["PC-02"])
    site = demo.sites["PC-02"]
    tied = replace(site, access=replace(site.access, tied_off=True))
    assert "soft_hitch" not in codes(demo.plan(tied, agencies=hitch, overrides=brief))


def test_a_broached_boat_is_told_of_where_it_is_outside_plan(demo):
    assert "broached" in codes(demo.plans["PC-02"])
    small = demo.brief("PC-02", **{"cases.broached.area": 0.01})
    assert "broached" not in codes(small)


def test_slack_is_told_of_where_a_snatch_can_pass_a_limit(demo):
    """PC-02: a swamped boat snatches past the factor; one of 50 kg does not pass a factor of 1."""
    assert any(one.slack_m is not None for one in demo.plans["PC-02"].chosen.track_answers.slack)
    assert "no_slack" in codes(demo.plans["PC-02"])
    light = {"boat.mass": 50, "boat.mass_swamped": 50, "limits.factor_track": 1, "limits.anchor_ratio": 1}
    plan = demo.brief("PC-02", **light)
    assert [one.slack_m for one in plan.chosen.track_answers.slack] == [None, None]
    assert "no_slack" not in codes(plan)


# the sites below are outside plan in still water already: no limit speed to look for, and quickly planned


def test_a_dam_above_the_site_is_a_low_head_dam_s_caution_too(demo):
    """The dam that lets water go is not drawn on the plan, and still is told of."""
    site = demo.sites["WEN-05"]
    with_dam = replace(site, access=replace(site.access, dam=LowHeadDam(name="Mill Dam")))
    assert "low_head_dam" in codes(demo.quick(with_dam))
    assert "low_head_dam" not in codes(demo.plans["WEN-05"])


def test_a_danger_of_no_known_kind_brings_up_no_caution(demo):
    site = demo.sites["WEN-05"]
    shape = Shape("point", ((site.access.place,),))
    other = Danger(kind=DangerKind.OTHER, kind_text="old car", shape=shape)
    assert codes(demo.plan(replace(site, dangers=(*site.dangers, other)))) == codes(demo.plans["WEN-05"])


def test_the_far_bank_is_cut_off_from_the_policy_s_minutes_on(demo):
    site = demo.sites["WEN-05"]
    for minutes, fires in ((29.9, False), (30.0, True), (None, False)):
        plan = demo.quick(replace(site, access=replace(site.access, far_minutes=minutes)))
        assert ("far_bank_cut_off" in codes(plan)) is fires
    assert site.access.far_minutes == 41.0
    (text,) = [c.text for c in demo.plans["WEN-05"].cautions if c.code == "far_bank_cut_off"]
    assert text == "Far bank is 41 min by road: crew takes food, light, radio and its way home."
    assert "far_bank_cut_off" not in codes(demo.quick("WEN-05", **{"limits.far_bank_cut_off": 42}))


def test_overdue_the_day_after_it_is_valid(demo):
    """WEN-05 was surveyed on 24 September 2026: valid for 12 months, through that day of 2027."""
    last, late = (demo.plan("WEN-05", as_of=day) for day in (date(2027, 9, 24), date(2027, 9, 25)))
    assert last.valid_until == date(2027, 9, 24)
    assert (last.overdue, "overdue" in codes(last)) == (False, False)
    assert (late.overdue, "overdue" in codes(late)) == (True, True)
    shorter = demo.plan("WEN-05", as_of=date(2026, 11, 1), overrides={"limits.survey_valid_months": 1})
    assert (shorter.valid_until, shorter.overdue) == (date(2026, 10, 24), True)


def test_every_fact_the_template_may_ask_for_is_shown_here(demo):
    rules = demo.settings.cautions.caution
    fact_of = {rule.code: rule.when for rule in rules}
    shown = {fact_of[code] for code in (*DEMO_CAUTIONS, *NOT_OF_THE_DEMO)}
    assert shown == set(get_args(Fact))
    assert {rule.code for rule in rules if rule.when == "always"} == ALWAYS
