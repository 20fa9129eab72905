"""A row of the level table for water that somebody asks about: a stage read today, or a speed seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from atlas.faults import NoSolution
from atlas.records import Access
from atlas.water.notes import SAME_STAGE_M, StageSettings
from atlas.water.river_model import river_model
from atlas.water.stages import StageRow, modelled_row

__all__ = ["ASKED", "AskedWater", "asked_row"]

ASKED = "asked"
"""`StageRow.name_code` of such a row."""


@dataclass(frozen=True, slots=True)
class AskedWater:
    """Today's water, by what is known of it; at least one of the two.

    Attributes
    ----------
    stage_m : of the site's gauge [m]
    surface_speed_m_s : of the fastest surface thread [m/s]
    """

    stage_m: float | None = None
    surface_speed_m_s: float | None = None


def _at_stage(rows: Sequence[StageRow], stage_m: float, row: StageRow) -> StageRow:
    """A row there: as surveyed where the survey has that stage, else as modelled.

    No slower than a row below it, no narrower than one whose width was guessed.
    """
    for known in rows:
        if known.stage_m is not None and abs(known.stage_m - stage_m) < SAME_STAGE_M:
            return known
    below = [known for known in rows if known.rise_m < row.rise_m]
    fastest = max((known.design_speed_m_s for known in below), default=0.0)
    widest = max((known.width_m for known in below), default=0.0)
    slow = row.design_speed_m_s < fastest and "raised_to_lower_row" not in row.assumed
    return replace(
        row,
        design_speed_m_s=max(row.design_speed_m_s, fastest),
        width_m=max(row.width_m, widest),
        assumed=(*row.assumed, "raised_to_lower_row") if slow else row.assumed,
    )


def asked_row(
    access: Access,
    rows: Sequence[StageRow],
    water: AskedWater,
    *,
    width_m: float,
    settings: StageSettings,
) -> StageRow:
    """The row of today's water.

    Parameters
    ----------
    rows : the level table, from `stage_rows`
    width_m : of the survey day, along the track line [m]

    Notes
    -----
    A speed that was seen is what the rig is computed with, whatever the river's model says of that stage.
    A speed without a stage goes with the planning row's water: heights and width are its.

    Raises
    ------
    NoSolution
        A stage is asked about where the survey knows none, or nothing is asked.
    """
    planning = next(row for row in rows if row.planning)
    seen_m_s = water.surface_speed_m_s
    if water.stage_m is None:
        if seen_m_s is None:
            raise NoSolution("water asked about: neither stage nor speed")
        row = planning
    else:
        model = river_model(access, width_m=width_m, settings=settings)
        if model.datum_stage_m is None:
            raise NoSolution("no stage is known of its survey day or of a flow note: ask by speed instead")
        rise_m = water.stage_m - model.datum_stage_m
        row = _at_stage(rows, water.stage_m, modelled_row(model, rise_m))
    asked = replace(row, name_code=ASKED, planning=False)
    if seen_m_s is None:
        return asked
    return replace(asked, surface_speed_m_s=seen_m_s, design_speed_m_s=seen_m_s, modelled=False)
