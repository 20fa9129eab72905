"""Gear from what is really rigged: counted here anew from anchors, lines and haul; ratings from the loads."""

from dataclasses import replace
from math import ceil, pi

import pytest

PULLEYS = {"2:1": 1, "3:1": 2, "4:1": 2, "6:1": 3, "9:1": 4}
EYES = {"mooring_ring", "deadman", "picket_holdfast", "vehicle"}
CLASSES_KN = (5, 9, 11, 13, 16, 18, 20, 22, 24, 27, 30, 36, 40, 45, 50, 70)


def needs(rig):
    return {need.item: need for need in rig.gear}


def girth_m(demo, code, tag):
    anchor = next((one for one in demo.sites[code].anchors if one.tag == tag), None)
    if anchor is None or anchor.diameter_m is None:
        return 0.0
    return pi * anchor.diameter_m


def slings(demo, plan, rig):
    """Two each time round, once for every 2.4 m of girth; none on an eye, nor where the rope is wrapped."""
    count = 0
    for anchor in rig.anchors:
        wrapped = rig is plan.track_line and anchor.tag == plan.frame.track_far_tag
        if anchor.needed_n is None or wrapped or anchor.kind in EYES:
            continue
        count += 2 * max(1, ceil(girth_m(demo, plan.site.code, anchor.tag) / 2.4))
    return count


def class_n(load_n):
    return next((one * 1e3 for one in CLASSES_KN if one * 1e3 >= load_n), load_n)


def test_counts_are_of_what_is_rigged(demo, plan):
    for rig in plan.rigs:
        found = {item: need.needed for item, need in needs(rig).items()}
        used = [anchor for anchor in rig.anchors if anchor.needed_n is not None]
        assert found.get("sling", 0) == slings(demo, plan, rig)
        assert found["edge_protection"] == len(used)
        held = [line.line for line in rig.lines if line.line not in ("track", "messenger", "launch")]
        assert found["friction_device"] == len(held)
        throwers = sum(post.people for post in rig.crew if post.post.startswith("downstream"))
        assert found["throw_bag"] >= throwers
        assert found["light"] == 3


def test_pulleys_are_those_of_the_haul_and_of_the_bow(plan):
    rig = plan.track_line
    assert needs(rig)["pulley"].needed == PULLEYS[rig.haul.system] + 2


def test_a_lesser_haul_takes_fewer_pulleys(demo):
    rig = demo.settings.rig("movable-control-point").model_copy(update={"hauls": ["2:1"]})
    plan = replace(demo, settings=replace(demo.settings, rigs=(rig,))).plan("PC-02")
    assert (plan.chosen.haul.system, needs(plan.chosen)["pulley"].needed) == ("2:1", 3)


def test_ratings_follow_from_the_loads_up_to_the_next_class(plan):
    """Factor 7 on tended lines, twice the line on a pulley; anchors 4 to 1; never under the template's."""
    for rig in plan.rigs:
        judged = [case for case in rig.planning.cases if case.judged]
        if rig is plan.track_line:
            hauled_n = max(case.up_down_haul_n for case in judged)
            tended_n = max(
                max(case.ferry_near_n, case.ferry_far_n, case.up_down_hold_n, case.up_down_haul_n)
                for case in judged
            )
            pulley_n = 14.0 * hauled_n
            slung = [
                anchor.load_n
                for anchor in rig.anchors
                if anchor.needed_n is not None and anchor.tag != plan.frame.track_far_tag
            ]
        else:
            tended_n = max(case.tension_n for case in judged)
            pulley_n = 7.0 * tended_n
            slung = [anchor.load_n for anchor in rig.anchors if anchor.needed_n is not None]
        asked = {
            "friction_device": (22e3, 7.0 * tended_n),
            "carabiner": (27e3, 7.0 * tended_n),
            "pulley": (22e3, pulley_n),
            "sling": (22e3, 4.0 * max(slung)),
        }
        for item, (least_n, load_n) in asked.items():
            need = needs(rig).get(item)
            if need is not None:
                expected_n = least_n if load_n <= least_n else class_n(load_n)
                assert need.rating_n == pytest.approx(expected_n), (rig.rig, item)


def test_a_thicker_tree_takes_more_slings_and_an_eye_none(demo):
    site = demo.sites["PC-02"]

    def with_near(**changes):
        anchors = tuple(
            replace(anchor, **changes) if anchor.tag == "N2" else anchor for anchor in site.anchors
        )
        return needs(demo.quick(replace(site, anchors=anchors)).track_line)["sling"].needed

    thin = with_near(diameter_m=0.7, rating_n=50e3)
    assert with_near(diameter_m=0.8, rating_n=50e3) == thin + 2
    assert with_near(kind="mooring_ring", rating_n=50e3) == thin - 2


def test_people_under_which_a_rig_is_not_built(plan):
    """Of every post, by rig; the far bank never under two."""
    for rig in plan.rigs:
        posts = {post.post: post for post in rig.crew}
        assert all(0 < post.least <= post.people for post in rig.crew)
        assert posts["far_bank"].least == 2
