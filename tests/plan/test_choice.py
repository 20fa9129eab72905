"""Which rig is printed in full: named by the survey, else by the policy's rule."""

from dataclasses import replace
from datetime import date

import pytest

from atlas.faults import AtlasError, NoSolution
from atlas.plan import plan_sites

ISSUED = date(2026, 11, 1)


def unnamed(site):
    return replace(site, access=replace(site.access, rig=None))


def test_the_survey_names_the_rig(demo):
    for name in ("two-line-tether", "four-line-tether", "movable-control-point"):
        site = demo.sites["OT-01"]
        plan = demo.quick(replace(site, access=replace(site.access, rig=name)))
        assert (plan.chosen.rig, plan.rigs[0].rig, sum(rig.chosen for rig in plan.rigs)) == (name, name, 1)


def test_without_a_name_the_simplest_inside_plan(demo):
    """OT-06's survey names none: the two-line tether is inside plan, the track line is not."""
    assert demo.sites["OT-06"].access.rig is None
    plan = demo.plans["OT-06"]
    assert (plan.chosen.rig, plan.track_line.inside) == ("two-line-tether", False)


def test_none_inside_plan_takes_the_movable_control_point(demo):
    plan = demo.quick(unnamed(demo.sites["WEN-05"]))
    assert not any(rig.inside for rig in plan.rigs)
    assert plan.chosen.rig == "movable-control-point"


def test_a_rig_on_stations_to_be_found_is_not_taken_by_rule(demo):
    """PC-03: both tethers are inside plan, on stations nobody surveyed."""
    site = unnamed(demo.sites["PC-03"])
    plan = demo.quick(site)
    assert next(rig for rig in plan.rigs if rig.rig == "two-line-tether").inside
    assert plan.chosen.rig == "movable-control-point"
    free = {
        f"choice.{rig}.{key}": False
        for rig in ("two-line-tether", "four-line-tether")
        for key in ("stations_surveyed", "ropes_held")
    }
    assert demo.quick(site, **free).chosen.rig == "two-line-tether"


def test_ranks_are_the_agency_s(demo):
    site = unnamed(demo.sites["OT-01"])
    assert demo.quick(site).chosen.rig == "two-line-tether"
    ranks = {"choice.movable-control-point.rank": 0.5}
    assert demo.quick(site, **ranks).chosen.rig == "movable-control-point"


def test_a_rig_without_a_template(demo):
    site = demo.sites["OT-01"]
    with pytest.raises(NoSolution) as told:
        demo.plan(replace(site, access=replace(site.access, rig="kite")))
    assert str(told.value) == (
        "site OT-01: the survey names the rig kite, which has no template; rigs: two-line-tether, "
        "four-line-tether, movable-control-point"
    )


def test_no_rig_can_be_computed(demo):
    """A track line past the range shown and no tether: the error of the rig taken where none is inside."""
    site = unnamed(demo.sites["OT-01"])
    rig = demo.settings.rig("movable-control-point")
    alone = replace(demo.settings, rigs=(rig,))
    far = replace(
        site,
        anchors=tuple(
            replace(anchor, place=(anchor.place[0] + 0.02, anchor.place[1])) if anchor.tag == "F1" else anchor
            for anchor in site.anchors
        ),
    )
    (found,) = plan_sites([far], county=demo.county, agencies=demo.agencies, settings=alone, as_of=ISSUED)
    assert isinstance(found, AtlasError)
    assert str(found).startswith("site OT-01: ")
