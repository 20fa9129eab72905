"""What rises with the water: setbacks, drowned anchors, the limit stage. Today's water leaves it alone."""

from dataclasses import replace

import pytest

from atlas.plan import plan_sites
from atlas.water import AskedWater


def test_setbacks_and_width_make_the_span_at_every_stage(plan):
    for row in plan.chosen.stages:
        whole_m = row.near_setback_m + row.width_m + row.far_setback_m
        assert whole_m == pytest.approx(plan.frame.span_m, abs=1e-9)
    for lower, higher in zip(plan.chosen.stages, plan.chosen.stages[1:], strict=False):
        assert (higher.near_setback_m <= lower.near_setback_m) == (higher.width_m >= lower.width_m)
        assert (higher.far_setback_m <= lower.far_setback_m) == (higher.width_m >= lower.width_m)


def test_at_the_survey_days_width_setbacks_are_as_surveyed(plan):
    frame = plan.frame
    for row in plan.chosen.stages:
        if row.width_m == frame.width_m:
            assert row.near_setback_m == pytest.approx(frame.near_edge_x_m)
            assert row.far_setback_m == pytest.approx(frame.span_m - frame.far_edge_x_m)


def test_an_anchor_is_drowned_from_the_stage_that_reaches_its_tie_point(demo):
    """N3 of PC-02 tied at 0.70 m: over the planning stage's 0.53 m, under the rows above."""
    site = demo.sites["PC-02"]
    anchors = tuple(
        replace(anchor, height_m=0.7) if anchor.tag == "N3" else anchor for anchor in site.anchors
    )
    plan = demo.plan(replace(site, anchors=anchors))
    drowned = [(round(row.rise_m, 2), row.drowned) for row in plan.chosen.stages]
    assert drowned == [(0.0, ()), (0.53, ()), (0.83, ("N3",)), (1.13, ("N3",))]


def test_a_limit_stage_is_no_higher_than_the_water_that_drowns_an_anchor(demo):
    """WEN-04, inside plan up to 1.23 m over the survey day: the up-down anchor's tie point at 1.15 m."""
    site, here = demo.sites["WEN-04"], demo.plans["WEN-04"].chosen
    (tag,) = [anchor.tag for anchor in here.anchors if "up_down" in anchor.uses and anchor.load_n]
    assert here.limit.rise_m > 1.2
    anchors = tuple(
        replace(anchor, height_m=1.15) if anchor.tag == tag else anchor for anchor in site.anchors
    )
    limit = demo.plan(replace(site, anchors=anchors)).chosen.limit
    assert limit.rise_m == 1.15
    assert limit.stage_governed_by == "anchor_drowned"


def test_over_the_highest_note_the_models_margin_counts_at_once(demo):
    """PC-01, one note of 1.65 m/s: a hand over it the model has 2.3 m/s, the limit speed is 2.1 m/s."""
    chosen = demo.plans["PC-01"].chosen
    assert chosen.planning.design_speed_m_s < chosen.limit.held_speed_m_s < 1.4 * 1.65
    assert chosen.limit.rise_m == pytest.approx(chosen.planning.rise_m, abs=1e-6)
    assert chosen.limit.stage_speed_m_s == pytest.approx(chosen.limit.held_speed_m_s, rel=1e-4)
    assert chosen.limit.stage_m is None  # its survey knows no stage


def test_todays_water_moves_no_limit(demo):
    for code, water in (
        ("OT-03", AskedWater(surface_speed_m_s=1.2)),
        ("OT-04", AskedWater(stage_m=demo.plans["OT-04"].chosen.planning.stage_m + 0.05)),
    ):
        (asked,) = plan_sites(
            [demo.sites[code]],
            county=demo.county,
            agencies=demo.agencies,
            settings=demo.settings,
            as_of=demo.plans[code].as_of,
            waters={code: water},
        )
        here = demo.plans[code].chosen
        assert len(asked.chosen.stages) == len(here.stages) + 1
        assert asked.chosen.limit == here.limit
        assert asked.chosen.window_closes == here.window_closes
