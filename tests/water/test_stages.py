import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.faults import OutOfRange
from atlas.records import MeanKind
from atlas.water import StageSettings, stage_rows


def rows_of(access, *notes, stage_m=1.2, planning_stage_m=None, width_m=34.0, **changed):
    said = access(*notes, stage_m=stage_m, planning_stage_m=planning_stage_m)
    return stage_rows(said, width_m=width_m, settings=StageSettings(**changed))


def short(rows):
    return [
        (row.name_code, None if row.stage_m is None else round(row.stage_m, 3), round(row.rise_m, 3))
        for row in rows
    ]


def planning_of(rows):
    (row,) = [row for row in rows if row.planning]
    return row


def test_nothing_but_a_speed(access, note):
    rows = rows_of(access, note(None, 1.5, stage_assumed=True), stage_m=None)
    assert short(rows) == [("noted", None, 0.0), ("modelled", None, 0.3), ("modelled", None, 0.6)]
    assert rows[0] == planning_of(rows)
    assert (rows[0].surface_speed_m_s, rows[0].design_speed_m_s, rows[0].width_m) == (1.5, 1.5, 34.0)
    assert (rows[0].modelled, rows[0].beyond_survey, rows[0].assumed) == (False, False, ("stage_assumed",))
    for row in rows[1:]:
        assert (row.modelled, row.beyond_survey, row.discharge_m3_s) == (True, True, None)
        assert row.assumed == ("scaled_from_highest_note", "depth_assumed")
        # depth 34 / 20 = 1.7 m
        scaled = 1.5 * ((1.7 + row.rise_m) / 1.7) ** 0.85
        assert row.surface_speed_m_s == pytest.approx(scaled)
        assert row.design_speed_m_s == pytest.approx(1.4 * scaled)


def test_a_row_a_note_the_survey_day_and_two_above(access, note):
    rows = rows_of(access, note(2.0, 2.2, width_m=37.0, discharge_m3_s=70.0), note(1.6, 1.8))
    assert short(rows) == [
        ("survey_day", 1.2, 0.0),
        ("noted", 1.6, 0.4),
        ("noted", 2.0, 0.8),
        ("modelled", 2.3, 1.1),
        ("modelled", 2.6, 1.4),
    ]
    survey_day, lower, upper, *_ = rows
    assert (survey_day.modelled, survey_day.beyond_survey, survey_day.width_m) == (True, True, 34.0)
    assert survey_day.assumed == ("scaled_from_highest_note", "depth_assumed")
    assert (lower.width_m, lower.assumed) == (34.0, ("width_of_survey_day",))
    assert (upper.width_m, upper.discharge_m3_s, upper.assumed) == (37.0, 70.0, ())
    assert upper == planning_of(rows)


def test_water_lower_than_any_note_is_taken_as_fast_as_the_lowest(access, note):
    survey_day, flood, *_ = rows_of(access, note(3.2, 2.2))
    assert (survey_day.name_code, survey_day.design_speed_m_s, survey_day.width_m) == (
        "survey_day",
        2.2,
        34.0,
    )
    assert survey_day.assumed == ("scaled_from_highest_note", "depth_assumed", "held_at_lowest_note")
    assert flood == planning_of((survey_day, flood))


def test_no_second_row_for_the_survey_day_where_a_note_has_its_stage(access, note):
    rows = rows_of(access, note(1.203, 1.5), rows_above=0)
    assert short(rows) == [("noted", 1.203, 0.003)]
    assert rows[0].assumed == ()


def test_the_planning_stage_the_survey_names_goes_before_the_highest(access, note):
    rows = rows_of(access, note(2.0, 2.2), note(1.6, 1.8), planning_stage_m=1.601)
    assert planning_of(rows).stage_m == 1.6
    assert not planning_of(rows).modelled


def test_a_planning_stage_without_a_note_is_modelled(access, note):
    rows = rows_of(access, note(1.2, 1.5), planning_stage_m=1.9)
    row = planning_of(rows)
    assert (row.name_code, row.stage_m, row.modelled, row.beyond_survey) == ("modelled", 1.9, True, True)
    assert row.rise_m == pytest.approx(0.7)
    assert short(rows)[2:] == [("modelled", 2.2, 1.0), ("modelled", 2.5, 1.3)]


def test_a_planning_stage_between_notes_is_not_beyond_the_survey(access, note):
    row = planning_of(rows_of(access, note(1.2, 1.5), note(2.4, 2.5), planning_stage_m=1.9))
    assert (row.modelled, row.beyond_survey) == (True, False)


def test_the_survey_day_is_planned_for_if_it_was_the_highest_water(access, note):
    row = planning_of(rows_of(access, note(0.8, 1.0), stage_m=1.2))
    assert (row.name_code, row.stage_m, row.modelled) == ("survey_day", 1.2, True)
    assert row.design_speed_m_s >= 1.4 * 1.0


def test_a_planning_stage_nothing_relates_to(access, note):
    rows = rows_of(access, note(None, 1.5, stage_assumed=True), stage_m=None, planning_stage_m=2.0)
    assert planning_of(rows).assumed == ("stage_assumed", "planning_stage_unknown")
    assert planning_of(rows).rise_m == 0.0


def test_rows_above_keep_half_a_step_from_surveyed_rows(access, note):
    rows = rows_of(access, note(1.2, 1.5), note(1.62, 2.0), planning_stage_m=1.2)
    # 1.5 lies 0.12 m from the noted 1.62 and is left out, 1.8 lies 0.18 m from it
    assert short(rows) == [("noted", 1.2, 0.0), ("noted", 1.62, 0.42), ("modelled", 1.8, 0.6)]


def test_half_a_step_is_far_enough(access, note):
    rows = rows_of(access, note(1.0, 1.5), note(1.75, 2.0), stage_m=1.0, planning_stage_m=1.0, row_step_m=0.5)
    # 1.5 lies just half a step below the noted 1.75, 2.0 half a step above it
    assert [row.stage_m for row in rows] == [1.0, 1.5, 1.75, 2.0]


def test_policy_sets_number_and_step(access, note):
    rows = rows_of(access, note(1.2, 1.5), rows_above=3, row_step_m=0.5)
    assert [row.rise_m for row in rows] == pytest.approx([0.0, 0.5, 1.0, 1.5])


def test_a_modelled_row_is_no_slower_than_a_surveyed_row_below(access, note):
    rows = rows_of(access, note(1.2, 4.0, depth_m=1.2), note(1.6, 2.0, depth_m=1.6))
    assert [row.design_speed_m_s for row in rows] == pytest.approx([4.0, 2.0, 4.0, 4.0], abs=1e-9)
    assert [("raised_to_lower_row" in row.assumed) for row in rows] == [False, False, True, True]


def test_a_gauge_mean_is_marked_in_its_row(access, note):
    row = rows_of(access, note(1.2, mean_speed_m_s=1.3, mean_kind=MeanKind.SECTION))[0]
    assert row.surface_speed_m_s == pytest.approx(2.0)
    assert row.assumed == ("speed_from_section_mean",)


def test_without_notes_there_is_no_row(access):
    with pytest.raises(OutOfRange, match=r"^no flow note; needed: at least one with a speed$"):
        rows_of(access)


stages = st.one_of(st.none(), st.floats(0.0, 5.0))
noted = st.tuples(stages, st.floats(0.05, 5.0), st.one_of(st.none(), st.floats(5.0, 80.0)))


@given(
    notes=st.lists(noted, min_size=1, max_size=7),
    stage_m=stages,
    planning_stage_m=stages,
    lift=st.floats(-20.0, 200.0),
)
def test_rows_of_any_notes(access, note, notes, stage_m, planning_stage_m, lift):
    def rows_at(zero):
        def shifted(stage):
            return None if stage is None else stage + zero

        made = [
            note(shifted(stage), speed, width_m=width, stage_assumed=stage is None)
            for stage, speed, width in notes
        ]
        return rows_of(access, *made, stage_m=shifted(stage_m), planning_stage_m=shifted(planning_stage_m))

    rows = rows_at(0.0)
    assert sum(row.planning for row in rows) == 1
    assert [row.rise_m for row in rows] == sorted(row.rise_m for row in rows)
    fastest = 0.0
    for row in rows:
        assert row.design_speed_m_s >= row.surface_speed_m_s > 0.0
        assert row.width_m > 0.0
        assert not (row.modelled and row.design_speed_m_s < fastest)
        fastest = max(fastest, row.design_speed_m_s)
    # the zero of the gauge is nothing to the river; rows at the edge of "the same stage" may differ
    there = rows_at(lift)
    if len(there) == len(rows):
        assert [row.rise_m for row in there] == pytest.approx([row.rise_m for row in rows], abs=1e-9)
        assert [row.name_code for row in there] == [row.name_code for row in rows]
