from dataclasses import replace

import pytest

from atlas.paper import Line, Polyline, Text
from atlas.sheets import layout
from atlas.sheets.section import least_clearance, section_scale
from atlas.sheets.view import View


@pytest.fixture
def scale_of(desk_of, plans, letter):
    """Scale of the section of a plan under a plan view of so many millimetres a metre."""

    def make(name, mm_per_m):
        desk = desk_of(plans[name])
        frame = desk.box(letter.block.section)
        across = 1 if name != "near bank left" else -1
        view = View(
            frame=frame, mm_per_m=mm_per_m, across=across, centre_m=(plans[name].frame.span_m / 2, 0.0)
        )
        return section_scale(desk, frame, view)

    return make


def test_heights_are_stretched_by_a_round_number_that_fits(scale_of, letter):
    scale = scale_of("plain", 2.0)
    assert scale.times in {1, 1.5, 2, 2.5, 3, 4}
    assert scale.up_mm_m == pytest.approx(scale.times * 2.0)
    _, top_mm = scale.at((0.0, 3.1))
    assert top_mm >= letter.page.edge_mm + letter.block.section.top_mm
    _, water_mm = scale.at((0.0, 0.0))
    assert water_mm - top_mm == pytest.approx(3.1 * scale.up_mm_m)


def test_ties_too_high_for_the_block_are_drawn_flatter(plans, desk_of, letter):
    plan = plans["plain"]
    tall = replace(plan, frame=replace(plan.frame, near_tie_height_m=30.0, far_tie_height_m=30.0))
    desk = desk_of(tall)
    frame = desk.box(letter.block.section)
    view = View(frame=frame, mm_per_m=2.0, across=1, centre_m=(21.0, 0.0))
    scale = section_scale(desk, frame, view)
    assert scale.times < 1
    assert scale.at((0.0, 30.0))[1] > frame.top_mm


def test_span_that_would_be_tiny_gets_a_scale_of_its_own(scale_of, letter):
    shared, own = scale_of("plain", 2.0), scale_of("plain", 0.8)
    assert shared.across_mm_m == 2.0
    room_mm = letter.block.section.width_mm - 2 * letter.block.section.label_margin_mm
    assert own.across_mm_m == pytest.approx(room_mm / 42.0)


def test_near_bank_stands_on_the_side_it_has_in_plan(scale_of):
    assert scale_of("plain", 2.0).across_mm_m > 0
    assert scale_of("near bank left", 2.0).across_mm_m < 0


def test_least_clearance_is_that_with_least_to_spare(plans):
    plan = plans["plain"]
    # boat held: 1.18 m of 1.06 asked
    assert least_clearance(plan) == (1.18, 1.06)
    stages = tuple(
        replace(
            stage,
            cases=tuple(replace(case, clearance_m=0.1) if not case.judged else case for case in stage.cases),
        )
        for stage in plan.chosen.stages
    )
    unjudged = replace(plan, rigs=(replace(plan.chosen, stages=stages),))
    assert least_clearance(unjudged) == (1.18, 1.06)


def test_section_says_its_figures(pages, texts_of):
    texts = texts_of(pages["plain"], "section")
    for text in (
        "clear 3.8 ft",
        " needs 3.5 ft",
        "T1",
        " 6.4 ft",
        "T2",
        " 8.0 ft",
        "planning level 5.3 ft",
        "survey day",
    ):
        assert text in texts
    assert any(text.startswith("looking upriver") for text in texts)


def test_clearance_is_drawn_from_the_lowest_to_the_planning_water(plans, letter, words):
    plan = plans["plain"]
    page = layout(plan, letter, words)
    lines = [item for item in page.items if isinstance(item, Line) and item.block == "section"]
    upright = [
        line
        for line in lines
        if line.x1_mm == line.x2_mm and line.stroke.weight_mm == letter.stroke.dimension.weight_mm
    ]
    lengths = sorted(line.y2_mm - line.y1_mm for line in upright)
    profile, rise_m = plan.chosen.profile, plan.chosen.planning.rise_m
    heights = sorted(
        (
            plan.frame.near_tie_height_m - rise_m,
            plan.frame.far_tie_height_m - rise_m,
            profile.lowest_m - rise_m,
        )
    )
    mm_per_m = lengths[-1] / heights[-1]
    assert lengths == pytest.approx([height * mm_per_m for height in heights])


def test_water_wider_than_the_frame_is_cut_at_it(plans, letter, words):
    plan = plans["creek"]
    page = layout(plan, letter, words)
    left_mm = letter.content_left_mm
    right_mm = left_mm + letter.block.section.width_mm
    for item in page.items:
        if isinstance(item, Polyline) and item.block == "section":
            assert all(left_mm - 1e-6 <= x <= right_mm + 1e-6 for x, _ in item.points)


def test_survey_level_is_not_drawn_where_it_is_the_planning_level(plans, letter, words):
    plan = plans["plain"]
    stages = tuple(replace(stage, rise_m=0.0) for stage in plan.chosen.stages)
    page = layout(replace(plan, rigs=(replace(plan.chosen, stages=stages),)), letter, words)
    assert "survey day" not in [item.text for item in page.items if isinstance(item, Text)]


def test_level_without_a_stage_is_named_without_one(plans, letter, words, texts_of):
    plan = plans["plain"]
    stages = tuple(replace(stage, stage_m=None) for stage in plan.chosen.stages)
    page = layout(replace(plan, rigs=(replace(plan.chosen, stages=stages),)), letter, words)
    assert "planning level" in texts_of(page, "section")
