from dataclasses import replace

import pytest

from atlas.faults import BlockOverrun
from atlas.paper import Rect, Text
from atlas.plan.rig_results import Note
from atlas.plan.track_results import Window
from atlas.settings.page import read_page_template
from atlas.sheets import layout
from atlas.sheets.stop import StopFigure, is_outside, outside_reasons, stop_figure

EN_DASH = "\N{EN DASH}"


@pytest.fixture
def with_rig(plans):
    """The plain plan with something of its rig replaced."""

    def change(**values):
        plan = plans["plain"]
        return replace(plan, rigs=(replace(plan.chosen, **values),))

    return change


def test_limit_speed_is_printed_down_in_both_units(desk_of, plans):
    # 1.97 m/s is 4.407 mph; the fixture's limit
    assert stop_figure(desk_of(plans["plain"]), "limit_speed") == StopFigure(
        "Outside plan from", "4.4", "mph", ("1.9 m/s", "fastest surface thread")
    )


def test_float_check_is_printed_up_over_its_paced_distance(desk_of, plans):
    # 10.8 s over 70 ft: half seconds, up
    assert stop_figure(desk_of(plans["plain"]), "float") == StopFigure(
        "Float check over 70 ft", "11.0", "s", ("faster is outside plan", "3 floats, the fastest counts")
    )


def test_what_governs_is_a_word(desk_of, plans):
    figure = stop_figure(desk_of(plans["plain"]), "governs")
    assert (figure.number, figure.word) == ("", "clearance")


def test_planned_level_says_its_speed(desk_of, plans):
    assert stop_figure(desk_of(plans["plain"]), "planned") == StopFigure(
        "Planned for level", "5.3", "ft", ("1.62 m", "4.1 mph surface")
    )


def test_modelled_level_says_the_upper_end_of_its_speed(desk_of, with_rig, plans):
    stages = [replace(stage, design_speed_m_s=2.0) for stage in plans["plain"].chosen.stages]
    figure = stop_figure(desk_of(with_rig(stages=tuple(stages))), "planned")
    # 2.0 m/s is 4.47 mph
    assert figure.notes == ("1.62 m", "up to 4.5 mph surface")


def test_level_that_nobody_knows_leaves_the_speed(desk_of, with_rig, plans):
    stages = [replace(stage, stage_m=None) for stage in plans["plain"].chosen.stages]
    figure = stop_figure(desk_of(with_rig(stages=tuple(stages))), "planned")
    assert (figure.label, figure.number, figure.unit) == ("Planned for speed", "4.1", "mph")


def test_window_is_printed_inward_with_what_the_haul_sets(desk_of, plans):
    # 1080 to 2510 N is 242.8 to 564.3 lbf, 1.08 to 2.51 kN
    assert stop_figure(desk_of(plans["plain"]), "set_tension") == StopFigure(
        "Set tension",
        f"250{EN_DASH}560",
        "lbf",
        (f"1.1{EN_DASH}2.5 kN", f"3:1 by 3 sets 360{EN_DASH}450 lbf"),
    )


def test_window_that_vanishes_in_rounding_is_none(desk_of, with_rig):
    window = Window(low_n=1010.0, high_n=1090.0, high_governed_by="factor", low_governed_by="clearance")
    assert stop_figure(desk_of(with_rig(window=window)), "set_tension").word == "no window"


@pytest.mark.parametrize("cell", ["limit_speed", "float", "governs"])
def test_without_a_limit_there_is_no_such_figure(desk_of, with_rig, cell):
    assert stop_figure(desk_of(with_rig(limit=None)), cell) is None


def test_outside_without_a_limit_or_with_a_failing_planning_row(plans, with_rig):
    assert not is_outside(plans["plain"].chosen)
    assert is_outside(with_rig(limit=None).chosen)
    assert is_outside(plans["outside"].chosen)


def test_of_each_kind_of_reason_the_worst_case_is_told(desk_of, plans):
    rig = plans["outside"].chosen
    worse = Note("clearance", "Clearance 0.2 ft is under 3.5 ft")
    stages = tuple(
        replace(
            stage,
            cases=tuple(
                replace(case, clearance_m=0.05, inside=False, why=(worse,)) if case.case == "empty" else case
                for case in stage.cases
            ),
        )
        for stage in rig.stages
    )
    plan = replace(plans["outside"], rigs=(replace(rig, stages=stages),))
    assert outside_reasons(desk_of(plan)) == (
        "Empty carriage: Clearance 0.2 ft is under 3.5 ft",
        "Boat swamped: Factor 4.2 is under 5 (rope)",
        "Ties 2.5 ft higher on both banks would open the window",
    )


def test_reason_of_every_case_is_told_without_a_case(desk_of, plans):
    rig = plans["outside"].chosen
    note = Note("no_window", "No set tension meets every limit")
    stages = tuple(
        replace(stage, cases=tuple(replace(case, inside=False, why=(note,)) for case in stage.cases))
        for stage in rig.stages
    )
    plan = replace(plans["outside"], rigs=(replace(rig, stages=stages, window_opens=None),))
    assert outside_reasons(desk_of(plan)) == ("No set tension meets every limit",)


def test_reason_of_a_case_that_is_not_judged_is_not_told(desk_of, plans):
    rig = plans["outside"].chosen
    note = Note("factor", "Factor 1.7 is under 5 (rope)")
    stages = tuple(
        replace(
            stage,
            cases=tuple(case if case.judged else replace(case, why=(note,)) for case in stage.cases),
        )
        for stage in rig.stages
    )
    plan = replace(plans["outside"], rigs=(replace(rig, stages=stages),))
    assert not any("1.7" in text for text in outside_reasons(desk_of(plan)))


def test_outside_plan_is_a_word_in_a_heavy_frame(pages, texts_of, letter):
    texts = texts_of(pages["outside"], "stop")
    assert texts[0] == "OUTSIDE PLAN"
    frames = [item for item in pages["outside"].items if isinstance(item, Rect) and item.block == "stop"]
    assert [frame.stroke.weight_mm for frame in frames] == [letter.stroke.outside_frame.weight_mm]
    assert not any(isinstance(item, Rect) and item.block == "stop" for item in pages["plain"].items)


def test_outside_plan_with_a_lower_limit_prints_it_beside(plans, letter, words, texts_of):
    limit = plans["plain"].chosen.limit
    plan = replace(plans["outside"], rigs=(replace(plans["outside"].chosen, limit=limit),))
    texts = texts_of(layout(plan, letter, words), "stop")
    assert texts[0] == "OUTSIDE PLAN"
    assert "Outside plan from" in texts
    assert "4.4" in texts


def test_reasons_that_do_not_fit_are_counted(plans, letter, words, texts_of):
    rig = plans["outside"].chosen
    notes = tuple(
        Note(f"code {number}", f"Reason number {number} " + "of many words " * 5) for number in range(6)
    )
    stages = tuple(
        replace(
            stage,
            cases=tuple(
                replace(case, why=notes) if case.case == "boat-held" else replace(case, why=())
                for case in stage.cases
            ),
        )
        for stage in rig.stages
    )
    plan = replace(plans["outside"], rigs=(replace(rig, stages=stages),))
    page = layout(plan, letter, words)
    texts = texts_of(page, "stop")
    told = [text for text in texts if text.endswith("in the workings")]
    whole = sum(text.startswith("Boat held: Reason number") for text in texts)
    assert told == [f"+{7 - whole} in the workings"]
    assert not any(isinstance(item, Text) and item.style.size_pt < 7.5 for item in page.items)


def test_row_without_height_for_its_notes_is_an_overrun(plans, edited, words):
    path = edited(
        (
            "top_mm = 16.2\nwidth_mm = 186.5\nheight_mm = 17.3",
            "top_mm = 16.2\nwidth_mm = 186.5\nheight_mm = 12",
        )
    )
    with pytest.raises(BlockOverrun) as caught:
        layout(plans["plain"], read_page_template(path), words)
    assert caught.value.block == "stop"
    assert 4 < caught.value.overrun_mm < 6
