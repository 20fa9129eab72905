"""Today's water: a row at a stage read, or with a speed seen."""

from dataclasses import replace

import pytest

from atlas.faults import NoSolution
from atlas.water import ASKED, AskedWater, StageSettings, asked_row, stage_rows

SETTINGS = StageSettings()
WIDTH_M = 30.0


@pytest.fixture
def river(access, note):
    """Three noted stages, the lowest of them the survey day's."""
    return access(note(1.5, 1.0), note(1.9, 1.4), note(2.3, 1.7), stage_m=1.5)


def asked(access, **water):
    rows = stage_rows(access, width_m=WIDTH_M, settings=SETTINGS)
    return asked_row(access, rows, AskedWater(**water), width_m=WIDTH_M, settings=SETTINGS), rows


def test_a_noted_stage_is_the_note(river):
    row, rows = asked(river, stage_m=1.9)
    noted = next(one for one in rows if one.stage_m == pytest.approx(1.9))
    assert row == replace(noted, name_code=ASKED, planning=False)


def test_between_notes_it_is_modelled_and_no_slower_than_the_row_below(river):
    row, rows = asked(river, stage_m=2.0)
    below = max(one.design_speed_m_s for one in rows if one.rise_m < row.rise_m)
    assert row.rise_m == pytest.approx(0.5)
    assert row.modelled
    assert row.design_speed_m_s >= below
    assert row.width_m >= WIDTH_M


def test_a_speed_seen_is_the_design_speed_at_the_planning_rows_water(river):
    row, rows = asked(river, surface_speed_m_s=0.9)
    planning = next(one for one in rows if one.planning)
    assert (row.surface_speed_m_s, row.design_speed_m_s, row.modelled) == (0.9, 0.9, False)
    assert (row.rise_m, row.width_m, row.planning) == (planning.rise_m, planning.width_m, False)


def test_a_speed_seen_at_a_stage_stands_over_the_model(river):
    row, _ = asked(river, stage_m=2.6, surface_speed_m_s=2.5)
    assert (row.stage_m, row.design_speed_m_s) == (pytest.approx(2.6), 2.5)


def test_a_stage_where_the_survey_knows_none(access, note):
    bare = access(note(None, 1.2))
    with pytest.raises(NoSolution) as told:
        asked(bare, stage_m=2.0)
    assert str(told.value) == ("no stage is known of its survey day or of a flow note: ask by speed instead")


def test_nothing_asked(river):
    with pytest.raises(NoSolution, match=r"^water asked about: neither stage nor speed$"):
        asked(river)
