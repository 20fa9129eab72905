"""A tether on paper: every line recomputed from its printed numbers, and the rigs side by side."""

from dataclasses import replace
from math import acos, degrees, hypot

import pytest

from atlas.paper import Text
from atlas.plan import TetherRig
from atlas.workings.paper.derive import derive_tether
from atlas.workings.paper.entries import Check, Given, Step, Table
from atlas.workings.paper.pages import workings_pages
from atlas.workings.paper.recompute import faults_of, lines_of

ASKED = [("OT-06", "two-line-tether"), ("PC-04", "four-line-tether"), ("PC-03", "two-line-tether")]


@pytest.fixture(scope="module", params=ASKED, ids=" ".join)
def told(request, demo):
    plan = demo.tether(*request.param)
    assert isinstance(plan.chosen, TetherRig)
    return plan, derive_tether(plan, plan.chosen, demo.settings)


def numbers(chapter):
    told = (entry.result for entry in chapter.entries if isinstance(entry, Given | Step))
    return {value.symbol: value.value for value in told}


def chapter(chapters, code, at=0):
    return [one for one in chapters if one.code == code][at]


def test_every_line_follows_from_its_printed_numbers(told):
    _, chapters = told
    assert list(faults_of(chapters)) == []
    assert sum(1 for _ in lines_of(chapters)) > 60


def test_a_wrong_number_would_be_found(told):
    """The far bow line's pull a tenth greater than its numbers give."""
    _, chapters = told
    bow = chapter(chapters, "tether_bow", 1)
    spoilt = tuple(
        replace(entry, result=replace(entry.result, value=entry.result.value * 1.1))
        if isinstance(entry, Step) and entry.result.symbol == "T_2"
        else entry
        for entry in bow.entries
    )
    assert list(faults_of([replace(one, entries=spoilt) if one is bow else one for one in chapters]))


def test_the_angle_is_that_between_the_two_stations(told):
    plan, chapters = told
    at = numbers(chapter(chapters, "tether_stations"))
    near, far = ((at[f"x_{k}"] - at["x_a"], at[f"y_{k}"] - at["y_a"]) for k in (1, 2))
    cosine = (near[0] * far[0] + near[1] * far[1]) / (hypot(*near) * hypot(*far))
    assert at["a_b"] == pytest.approx(degrees(acos(cosine)), abs=1e-6)
    assert at["a_b"] == plan.chosen.angle_deg


def test_both_lines_hold_the_drag_and_nothing_across(told):
    """Statics of the bow, summed here: downriver the drag, across nothing."""
    plan, chapters = told
    for index in (0, 1):
        at = numbers(chapter(chapters, "tether_bow", index))
        assert at["D_h"] == pytest.approx(at["D"], rel=1e-9)
        across = at["T_1"] * at["b_1"] / at["d_1"] - at["T_2"] * at["b_2"] / at["d_2"]
        assert across == pytest.approx(0.0, abs=1e-6 * at["D"])
        swamped = next(case for case in plan.chosen.planning.cases if case.case == "boat-swamped")
        assert at[f"T_{index + 1}"] == pytest.approx(swamped.bow[index].tension_n, rel=1e-9)


def test_the_limit_speed_is_the_least_of_both_lines(told):
    plan, chapters = told
    limit = plan.chosen.limit
    lines = [numbers(chapter(chapters, "tether_bow", index))[f"v_{index + 1}"] for index in (0, 1)]
    assert limit.held_speed_m_s == pytest.approx(min(lines), rel=1e-9)
    assert numbers(chapter(chapters, "tether_limit"))["v_l"] == limit.surface_speed_m_s


def test_checks_agree_with_the_verdict(told):
    plan, chapters = told
    checks = [entry.holds for one in chapters for entry in one.entries if isinstance(entry, Check)]
    assert all(checks) is plan.chosen.planning.inside
    assert len(checks) >= 3


def test_the_rigs_stand_side_by_side(told, demo):
    plan, chapters = told
    for found, of in ((chapters, plan), (demo.derivation("OT-01").chapters, demo.plan("OT-01"))):
        (table,) = [entry for entry in chapter(found, "compare").entries if isinstance(entry, Table)]
        assert [one.name for one in table.instances] == [
            demo.settings.words(f"rig.{rig.rig}") for rig in of.rigs
        ]
        assert len(table.instances) == 3
        verdicts = [one.cells[0] for one in table.instances]
        assert verdicts == ["inside" if rig.inside else "OUTSIDE" for rig in of.rigs]


def test_it_is_laid_out_on_pages(demo, template):
    plan = demo.tether("PC-04", "four-line-tether")
    pages = workings_pages(plan, demo.settings, template)
    assert len(pages) > 5
    texts = [item.text for page in pages for item in page.items if isinstance(item, Text)]
    assert "Four-line tether" in texts
    assert any(text.startswith("arccos") for text in texts)
