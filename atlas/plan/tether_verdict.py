"""Every load case of a tether at every stage: the worst, inside or outside plan and why."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np

from atlas.plan.context import Context
from atlas.plan.mechanics import shores_of
from atlas.plan.rig_results import AnchorPull
from atlas.plan.stage_row import stage_result
from atlas.plan.tether_reasons import TetherReasons
from atlas.plan.tether_results import BowLoad, TetheredCase, TetheredStage
from atlas.rigging.ferry import StationPoint
from atlas.rigging.tether_records import CaseTension, LineLoad, StageTension
from atlas.water import StageRow

__all__ = ["tethered_stages"]

_STANDS = ("bow_near_station", "bow_far_station")


def _pull(stands: str, station: StationPoint, load: LineLoad, ring_m: float) -> AnchorPull:
    """A bow line's greatest tension as what pulls on its station."""
    x_m, y_m, up_m = load.place[0] - station.x_m, load.place[1] - station.y_m, ring_m - station.z_m
    per_m = load.tension_n / hypot(x_m, y_m, up_m)
    return AnchorPull(stands, load.tension_n, per_m * x_m, per_m * y_m, per_m * up_m)


def _case(reasons: TetherReasons, case: CaseTension, rise_m: float) -> TetheredCase:
    place = reasons.place
    near, far = (
        BowLoad(load.line, load.tension_n, load.place, load.factor, load.part) for load in case.lines
    )
    ring_m = rise_m + place.ground.rules.bow_ring_m
    why = reasons.of_case(case.lines, judged=case.judged, rise_m=rise_m)
    weakest = min(near, far, key=lambda load: load.factor)
    return TetheredCase(
        case=case.case,
        judged=case.judged,
        drag_n=case.drag_n,
        tension_n=max(near.tension_n, far.tension_n),
        factor=weakest.factor,
        factor_part=weakest.part,
        inside=not why,
        why=why,
        anchor_pulls=tuple(
            _pull(stands, placed.point, load, ring_m)
            for stands, placed, load in zip(_STANDS, place.bow, case.lines, strict=True)
        ),
        bow=(near, far),
        lift_n=case.lift_n,
    )


def _stage(
    reasons: TetherReasons, row: StageRow, stage: StageTension, setbacks_m: tuple[float, float]
) -> TetheredStage:
    cases = tuple(_case(reasons, case, row.rise_m) for case in stage.cases)
    return stage_result(reasons.context, row, cases, setbacks_m)


def tethered_stages(reasons: TetherReasons, stages: Sequence[StageTension]) -> tuple[TetheredStage, ...]:
    """One row a stage, each with every case of the rig.

    Parameters
    ----------
    stages : of the rows, in their order; each with the loads of both bow lines
    """
    context: Context = reasons.context
    sites = np.zeros(len(context.rows), dtype=np.intp)
    width_m = np.array([row.width_m for row in context.rows])
    near, far = shores_of([context]).setbacks(sites, width_m)
    return tuple(
        _stage(reasons, row, stage, setbacks)
        for row, stage, setbacks in zip(
            context.rows, stages, zip(near.tolist(), far.tolist(), strict=True), strict=True
        )
    )
