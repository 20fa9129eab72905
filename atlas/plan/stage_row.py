"""A row of the level table with its results, whatever the rig."""

from __future__ import annotations

from typing import TypeVar

from atlas.plan.context import Context
from atlas.plan.rig_results import CaseResult, StageResult
from atlas.water import StageRow

__all__ = ["drowned_at", "stage_result"]

AnyCase = TypeVar("AnyCase", bound=CaseResult)


def drowned_at(context: Context, rise_m: float) -> tuple[str, ...]:
    """Surveyed anchors that the water has reached."""
    return tuple(anchor.tag for anchor in context.site.anchors if anchor.height_m <= rise_m)


def stage_result(
    context: Context, row: StageRow, cases: tuple[AnyCase, ...], setbacks_m: tuple[float, float]
) -> StageResult[AnyCase]:
    """The row with its cases.

    Parameters
    ----------
    setbacks_m : near and far, at the row's width [m]
    """
    return StageResult(
        name=row.name_code,
        planning=row.planning,
        stage_m=row.stage_m,
        rise_m=row.rise_m,
        discharge_m3_s=row.discharge_m3_s,
        surface_speed_m_s=row.surface_speed_m_s,
        design_speed_m_s=row.design_speed_m_s,
        width_m=row.width_m,
        modelled=row.modelled,
        beyond_survey=row.beyond_survey,
        assumed=row.assumed,
        cases=cases,
        near_setback_m=setbacks_m[0],
        far_setback_m=setbacks_m[1],
        drowned=drowned_at(context, row.rise_m),
    )
