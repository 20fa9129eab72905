"""Every load case at every stage: the worst states, the factor by part, inside or outside plan and why."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.plan.context import CaseDrag, Context
from atlas.plan.mechanics import PLACES, Mechanics, capped_drag, travel_at
from atlas.plan.reasons import Reasons
from atlas.plan.results import CaseResult, LoadPlace, Note, StageResult
from atlas.plan.tie_loads import LineLoads
from atlas.rigging.envelope import Conditions, Envelope, bow, clearance, places_between, tension, worst
from atlas.rigging.ferry import TendedLoads, tended_loads
from atlas.rigging.limits import clearance_needed_m, factor_of
from atlas.rigging.loads import carriage_state
from atlas.water import StageRow

__all__ = ["stage_results"]

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Worst:
    """Envelopes of all rows and cases.

    ``pulled`` has shape (rows, cases); ``hangs`` and ``bowed`` (set tensions, bounds, rows, cases);
    ``tended`` (rows, cases), the greatest over the places.
    """

    pulled: Envelope
    hangs: Envelope
    bowed: Envelope
    tended: TendedLoads
    set_n: Floats
    stiffness_n: Floats


def _worst_states(context: Context, mechanics: Mechanics) -> _Worst:
    rows, cases = context.rows, context.cases
    haul, bounds = mechanics.haul, mechanics.bounds
    drag = np.array(
        [
            [
                capped_drag(drag_per_speed2=case.drag_per_speed2, speed_m_s=row.design_speed_m_s)
                for case in cases
            ]
            for row in rows
        ]
    )
    rise = np.array([[row.rise_m] for row in rows])
    places = np.stack(
        [
            places_between(from_m=from_m, to_m=to_m, count=PLACES)
            for from_m, to_m in (travel_at(context, mechanics, row) for row in rows)
        ]
    )[:, None, :]
    set_n = np.array([haul.least_n, haul.most_n])
    stiffness_n = np.array([bounds.low_n, bounds.high_n])
    tight = Conditions(drag, rise, haul.most_n, bounds.high_n, 0.0)
    seated = Conditions(
        drag, rise, set_n[:, None, None, None], stiffness_n[None, :, None, None], bounds.seating_m
    )
    near, far, up_down = context.station_points()
    at_m = np.broadcast_to(places, (*drag.shape, PLACES))
    loaded = carriage_state(
        mechanics.setup,
        at_m=at_m,
        drag_n=drag[..., None],
        water_rise_m=rise[..., None],
        pretension_n=haul.most_n,
        stiffness_n=bounds.high_n,
        seating_m=0.0,
    )
    tended = tended_loads(
        mechanics.setup,
        loaded,
        at_m=at_m,
        water_rise_m=rise[..., None],
        ferry_near=near,
        ferry_far=far,
        up_down=up_down,
        skew_deg=context.frame.skew_deg,
        bow_strands=context.rig.bow_strands,
        pulley_efficiency=context.policy.haul.pulley_efficiency,
        ferry_weight_n_m=context.policy.loads.ferry_weight,
    )
    return _Worst(
        pulled=worst(mechanics.setup, tension, tight, places_m=places),
        hangs=worst(mechanics.setup, clearance, seated, places_m=places),
        bowed=worst(mechanics.setup, bow, seated, places_m=places),
        tended=TendedLoads(
            ferry_near_n=tended.ferry_near_n.max(axis=-1),
            ferry_far_n=tended.ferry_far_n.max(axis=-1),
            up_down_hold_n=tended.up_down_hold_n.max(axis=-1),
            up_down_haul_n=tended.up_down_haul_n.max(axis=-1),
        ),
        set_n=set_n,
        stiffness_n=stiffness_n,
    )


def _load_place(
    envelope: Envelope, index: tuple[int, ...], *, pretension_n: float, stiffness_n: float, seating_m: float
) -> LoadPlace:
    state = envelope.state
    here = (*index, 0)
    return LoadPlace(
        at_m=float(envelope.at_m[index]),
        along_n=float(state.track.along_n[here]),
        downstream_n=float(state.downstream_n[here]),
        up_n=-float(state.down_n[here]),
        pretension_n=float(pretension_n),
        stiffness_n=float(stiffness_n),
        seating_m=float(seating_m),
    )


def _factor(mechanics: Mechanics, *, tension_n: float, resultant_n: float) -> tuple[float, str]:
    """Least factor over the parts of the track line, and the part."""
    factors = [
        (
            float(factor_of(limit, tension_n=np.array(tension_n), resultant_n=np.array(resultant_n))),
            limit.part,
        )
        for limit in mechanics.limits
        if limit.code == "factor"
    ]
    return min(factors)


def _case_result(
    context: Context,
    mechanics: Mechanics,
    states: _Worst,
    reasons: Reasons,
    *,
    row: tuple[int, StageRow],
    case: tuple[int, CaseDrag],
) -> CaseResult:
    s, stage = row
    c, drag = case
    tension_n = float(states.pulled.value[s, c])
    factor, part = _factor(
        mechanics, tension_n=tension_n, resultant_n=float(states.pulled.state.resultant_n[s, c, 0])
    )
    low = np.unravel_index(int(np.argmax(states.hangs.value[:, :, s, c])), states.hangs.value.shape[:2])
    a, b = int(low[0]), int(low[1])
    clearance_m = -float(states.hangs.value[a, b, s, c])
    needed_m = float(clearance_needed_m(base_m=context.clearance_base_m, speed_m_s=stage.design_speed_m_s))
    tended = states.tended
    loads = (
        float(tended.ferry_near_n[s, c]),
        float(tended.ferry_far_n[s, c]),
        float(tended.up_down_hold_n[s, c]),
        float(tended.up_down_haul_n[s, c]),
    )
    why: list[Note] = []
    why += reasons.force(tension_n=tension_n, factor=factor, part=part)
    why += reasons.clearance(clearance_m=clearance_m, needed_m=needed_m)
    pulls = LineLoads(tension_n, loads[0], loads[1], max(loads[2:]))
    why += reasons.anchors(pulls, rise_m=stage.rise_m)
    why += reasons.no_leverage()
    why += reasons.set_tension()
    why += reasons.range_shown(drag_n=drag.drag_per_speed2 * stage.design_speed_m_s**2)
    if not drag.judged:
        why = [*why, reasons.plain("let_go")]
    return CaseResult(
        case=drag.name,
        judged=drag.judged,
        drag_n=drag.drag_per_speed2 * stage.design_speed_m_s**2,
        tension_n=tension_n,
        tension_at=_load_place(
            states.pulled,
            (s, c),
            pretension_n=mechanics.haul.most_n,
            stiffness_n=mechanics.bounds.high_n,
            seating_m=0.0,
        ),
        clearance_m=clearance_m,
        clearance_needed_m=needed_m,
        clearance_at=_load_place(
            states.hangs,
            (a, b, s, c),
            pretension_n=states.set_n[a],
            stiffness_n=states.stiffness_n[b],
            seating_m=mechanics.bounds.seating_m,
        ),
        bow_m=float(states.bowed.value[:, :, s, c].max()),
        factor=factor,
        factor_part=part,
        ferry_near_n=loads[0],
        ferry_far_n=loads[1],
        up_down_hold_n=loads[2],
        up_down_haul_n=loads[3],
        inside=not why,
        why=tuple(why),
    )


def stage_results(context: Context, mechanics: Mechanics) -> tuple[StageResult, ...]:
    """One row a stage, each with every case of the rig.

    Raises
    ------
    OutOfRange, NoSolution
        From the track line.
    """
    states = _worst_states(context, mechanics)
    reasons = Reasons(context, mechanics)
    return tuple(
        StageResult(
            name=stage.name_code,
            planning=stage.planning,
            stage_m=stage.stage_m,
            rise_m=stage.rise_m,
            discharge_m3_s=stage.discharge_m3_s,
            surface_speed_m_s=stage.surface_speed_m_s,
            design_speed_m_s=stage.design_speed_m_s,
            width_m=stage.width_m,
            modelled=stage.modelled,
            beyond_survey=stage.beyond_survey,
            assumed=stage.assumed,
            cases=tuple(
                _case_result(context, mechanics, states, reasons, row=(s, stage), case=(c, case))
                for c, case in enumerate(context.cases)
            ),
        )
        for s, stage in enumerate(context.rows)
    )
