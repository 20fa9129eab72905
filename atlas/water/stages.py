"""The rows of the level table: every noted stage, the planning stage, and water above it.

Codes in `StageRow.assumed`, each with a word of its own in print:

- ``stage_assumed``: the note gave neither stage nor discharge; the survey day's stage was taken
- ``stage_from_discharge``: the note gave discharge only; stage from the nearest note with both
- ``stage_unknown``: the note gave discharge only, and no other note tells what stage that is; the
  row is computed at the survey day's water
- ``datum_assumed``: the survey day's stage is not known; the lowest noted stage was taken for it
- ``speed_from_section_mean``, ``speed_from_vertical_mean``: surface speed from a mean and policy's ratio
- ``note_ratio``: from the site's own, lower ratio of mean to surface speed
- ``surface_below_mean``: the note's mean is faster than its surface speed; the mean was taken
- ``width_of_survey_day``: the note gave no width, at a stage that is not the survey day's; that day's was
  taken, or the widest of the rows below where that is wider
- ``scaled_from_highest_note``: modelled by at-a-station exponents, with policy's margin
- ``notes_scattered``: so modelled although there are notes at three stages: their speeds do not rise
  with stage by more than their scatter, or the stages lie too close
- ``from_gauge``: modelled from the gauge's field measurements and the notes together
- ``gauge_upstream``: so, with measurements of another section carried here by the ratio of widths
- ``raised_to_gauge``: noted, and raised to the upper end of what the gauge's measurements say
- ``gauge_unrelated``, ``gauge_few_rows``, ``gauge_no_rating``, ``gauge_scattered``: why the gauge is not used
- ``depth_assumed``: modelled with a depth taken from the width
- ``raised_to_lower_row``: the design speed is that of a lower row, which the model fell short of
- ``held_at_lowest_note``: below the lowest noted stage, and taken as fast as there
- ``planning_stage_unknown``: the survey names a planning stage, but no stage of the survey day or of a
  note; the highest surveyed row was taken
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from atlas.records import Access
from atlas.water.notes import SAME_STAGE_M, Seen, StageSettings
from atlas.water.river_model import RiverModel, river_model, river_state

__all__ = ["DEFAULT_SETTINGS", "StageRow", "modelled_row", "noted_row", "stage_rows"]

DEFAULT_SETTINGS = StageSettings()


@dataclass(frozen=True, slots=True)
class StageRow:
    """One row of the level table.

    Attributes
    ----------
    name_code : ``noted`` (a flow note), ``survey_day`` (stage of the survey without a note), ``modelled``,
        or ``asked`` (a row that somebody asked for, see `asked_row`)
    stage_m : gauge stage, None where unknown [m]
    rise_m : over the water of the survey day [m]
    discharge_m3_s : as noted, or of a modelled row as the gauge's rating has it, else None
    surface_speed_m_s : fastest surface thread [m/s]
    design_speed_m_s : what the rig is computed with [m/s]
    width_m : along the track line [m]
    modelled : the speed was not seen at this stage
    beyond_survey : above the highest or below the lowest noted stage; modelled from a gauge, past the flows
        that were measured
    planning : the row the sheet plans for
    assumed : codes, see the module
    """

    name_code: str
    stage_m: float | None
    rise_m: float
    discharge_m3_s: float | None
    surface_speed_m_s: float
    design_speed_m_s: float
    width_m: float
    modelled: bool
    beyond_survey: bool
    planning: bool
    assumed: tuple[str, ...]


def stage_rows(
    access: Access, *, width_m: float, settings: StageSettings = DEFAULT_SETTINGS
) -> tuple[StageRow, ...]:
    """Rows by rising water; exactly one is the planning row.

    Parameters
    ----------
    access : the site's access feature; stage, planning_stage and flow_notes are read
    width_m : of the survey day, along the track line [m]
    settings : policy

    Raises
    ------
    OutOfRange
        No flow note, or a note without a usable speed.

    Notes
    -----
    The planning row is the one the survey names, else the highest of the survey day's stage and the
    noted ones; its result plays no part. Rows modelled above it keep half a step from surveyed rows.
    """
    model = river_model(access, width_m=width_m, settings=settings)
    surveyed = [_by_the_gauge(model, noted_row(one, width_m=width_m)) for one in model.seen]
    if access.stage_m is not None and not any(abs(row.rise_m) < SAME_STAGE_M for row in surveyed):
        surveyed.append(replace(modelled_row(model, 0.0), name_code="survey_day", width_m=width_m))
    surveyed.sort(key=lambda row: row.rise_m)
    rows = _with_planning(model, surveyed, access.planning_stage_m)
    planning = next(row for row in rows if row.planning)
    steps = [planning.rise_m + count * settings.row_step_m for count in range(1, settings.rows_above + 1)]
    rows += [
        modelled_row(model, rise_m)
        for rise_m in steps
        if all(abs(rise_m - row.rise_m) >= settings.row_step_m / 2.0 for row in rows)
    ]
    return _never_falling(sorted(rows, key=lambda row: row.rise_m))


def noted_row(seen: Seen, *, width_m: float) -> StageRow:
    """A row as seen; a width that was not noted is `width_m`, the survey day's [m]."""
    away = seen.width_m is None and abs(seen.rise_m) >= SAME_STAGE_M
    return StageRow(
        name_code="noted",
        stage_m=seen.stage_m,
        rise_m=seen.rise_m,
        discharge_m3_s=seen.discharge_m3_s,
        surface_speed_m_s=seen.surface_speed_m_s,
        design_speed_m_s=seen.surface_speed_m_s,
        width_m=width_m if seen.width_m is None else seen.width_m,
        modelled=False,
        beyond_survey=False,
        planning=False,
        assumed=(*seen.assumed, "width_of_survey_day") if away else seen.assumed,
    )


def _by_the_gauge(model: RiverModel, row: StageRow) -> StageRow:
    """A noted row, no slower than the upper end of what the gauge's measurements say of its stage.

    A speed that was seen once at a stage is one of many there: without this a sheet would call a stage
    inside plan by its note, and outside by its limit stage.
    """
    if model.gauged is None or row.stage_m is None:
        return row
    upper_m_s = float(river_state(model, rise_m=row.rise_m).design_speed_m_s)
    if upper_m_s <= row.design_speed_m_s:
        return row
    return replace(row, design_speed_m_s=upper_m_s, assumed=(*row.assumed, "raised_to_gauge"))


def modelled_row(model: RiverModel, rise_m: float) -> StageRow:
    """A row at any rise over the survey day's water [m], as fast and wide as the model's upper end."""
    state = river_state(model, rise_m=rise_m)
    raised = "held_at_lowest_note" if rise_m < model.lowest_rise_m else "raised_to_lower_row"
    return StageRow(
        name_code="modelled",
        stage_m=None if model.datum_stage_m is None else model.datum_stage_m + rise_m,
        rise_m=rise_m,
        discharge_m3_s=None if state.discharge_m3_s is None else float(state.discharge_m3_s),
        surface_speed_m_s=float(state.surface_speed_m_s),
        design_speed_m_s=float(state.design_speed_m_s),
        width_m=float(state.width_m),
        modelled=True,
        beyond_survey=bool(state.beyond_survey),
        planning=False,
        assumed=model.assumed + ((raised,) if state.raised else ()),
    )


def _with_planning(
    model: RiverModel, surveyed: Sequence[StageRow], planning_stage_m: float | None
) -> list[StageRow]:
    """The surveyed rows, one of them marked for planning, or a modelled row added for it."""
    if planning_stage_m is None:
        return _marked(surveyed, len(surveyed) - 1)
    if model.datum_stage_m is None:
        top = surveyed[-1]
        unknown = replace(top, assumed=(*top.assumed, "planning_stage_unknown"))
        return _marked([*surveyed[:-1], unknown], len(surveyed) - 1)
    rise_m = planning_stage_m - model.datum_stage_m
    for place, row in enumerate(surveyed):
        if row.stage_m is not None and abs(row.rise_m - rise_m) < SAME_STAGE_M:
            return _marked(surveyed, place)
    return [*surveyed, replace(modelled_row(model, rise_m), planning=True)]


def _marked(rows: Sequence[StageRow], place: int) -> list[StageRow]:
    return [replace(row, planning=number == place) for number, row in enumerate(rows)]


def _never_falling(rows: Sequence[StageRow]) -> tuple[StageRow, ...]:
    """A modelled row is at least as fast as every row below it; seen speeds stay as seen.

    And no row whose width was not noted is narrower than a row below it.
    """
    fastest, widest, guarded = 0.0, 0.0, []
    for row in rows:
        risen = row
        if row.modelled and row.design_speed_m_s < fastest:
            codes = (
                row.assumed if "raised_to_lower_row" in row.assumed else (*row.assumed, "raised_to_lower_row")
            )
            risen = replace(row, design_speed_m_s=fastest, assumed=codes)
        if row.modelled or "width_of_survey_day" in row.assumed:
            risen = replace(risen, width_m=max(risen.width_m, widest))
        guarded.append(risen)
        fastest, widest = max(fastest, risen.design_speed_m_s), max(widest, risen.width_m)
    return tuple(guarded)
