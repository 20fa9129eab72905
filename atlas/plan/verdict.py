"""Every load case at every stage of sites: the worst states, inside or outside plan and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from atlas.plan.context import CaseDrag, Context
from atlas.plan.load_places import load_places
from atlas.plan.mechanics import Mechanics, shores_of, water_cases
from atlas.plan.reasons import Reasons
from atlas.plan.rig_results import AnchorPull
from atlas.plan.stage_row import stage_result
from atlas.plan.track_results import LoadPlace, LowestLine, TrackCase, TrackStage
from atlas.rigging.asked import Asked
from atlas.rigging.carriages import Carriages
from atlas.rigging.clearance import Part, ferry_sag, heights_m, line_clearance, lowest_over_m, stretches
from atlas.rigging.envelope import (
    Measure,
    bow,
    ferry_near,
    grid_of,
    resultant,
    tension,
    worst_where_it_counts,
)
from atlas.rigging.fixtures import Stand, anchor_pulls, stood
from atlas.rigging.rigged import Rigged
from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import Worlds, hang_questions, pull_questions
from atlas.water import StageRow

__all__ = ["stage_results"]

_PLACES = 9
_NEAR_SHARE, _NEAR_M = 0.05, 0.05
"""By how much less than the worst of its kind a state is on the grid, and may still be the worst."""
_CLEARANCE_ROUNDS = 4
"""Beside the far bank the least clearance may be narrow: a valley of a metre between nine places."""
_HUNG = 4
"""Questions of one case that hangs: the whole system and drag alone, at both bounds of the rope."""
_ANCHORS = (
    Stand.NEAR_TIE,
    Stand.FAR_TIE,
    Stand.FERRY_NEAR_STATION,
    Stand.FERRY_FAR_STATION,
    Stand.UP_DOWN_STATION,
)


def _worlds(contexts: Sequence[Context], mechanics: Sequence[Mechanics]) -> Worlds:
    """A world for each row of each site, in their order, with every case."""
    rows = [(index, row) for index, context in enumerate(contexts) for row in context.rows]
    of = np.array([index for index, _ in rows])
    levered = [(one.leverage_from_m, one.leverage_to_m) for one in mechanics]
    shores, width_m = shores_of(contexts, levered), np.array([row.width_m for _, row in rows])
    from_m, to_m = shores.travel(of, width_m)
    return (
        water_cases(contexts)
        .worlds(
            of,
            speed_m_s=np.array([row.design_speed_m_s for _, row in rows]),
            water_rise_m=np.array([row.rise_m for _, row in rows]),
            set_least_n=np.array([one.haul.least_n for one in mechanics])[of],
            set_most_n=np.array([one.haul.most_n for one in mechanics])[of],
            from_m=from_m,
            to_m=to_m,
            tended=np.array([one.has_leverage for one in mechanics])[of],
        )
        .between(*shores.water(of, width_m))
    )


def _grid(rigged: Rigged, worlds: Worlds, asked: Asked) -> Carriages:
    each = asked.count // worlds.site.size
    from_m, to_m = (np.repeat(end, each) for end in (worlds.from_m, worlds.to_m))
    return grid_of(rigged.table, asked, from_m=from_m, to_m=to_m, count=_PLACES)


def _worse(state: Carriages, measure: Measure, worlds: Worlds) -> Carriages:
    """Of each world's questions of a case the one that is worst, flat over (worlds, cases)."""
    values = measure(state)[:, 0].reshape(worlds.drag_n.size, -1)
    each = values.shape[1]
    return state.part(np.arange(worlds.drag_n.size) * each + np.argmax(values, axis=1))


@dataclass(frozen=True, slots=True, eq=False)
class _Worst:
    """The worst of all worlds and cases, flat over (worlds, cases).

    Attributes
    ----------
    pulled, hangs, bowed : the states of greatest tension, least clearance and greatest bow
    stood : greatest force on all of `Stand`, shape (rows of `Stand`, flat)
    pulls : along, downstream and up on each anchor at its greatest, shape (anchors, 3, flat)
    strand_n : greatest pull of the strands
    """

    pulled: Carriages
    hangs: Carriages
    bowed: Carriages
    stood: FloatArray
    pulls: FloatArray
    strand_n: FloatArray


def _force_slack(most_n: FloatArray) -> FloatArray:
    return _NEAR_SHARE * most_n


def _clearance_slack(least_m: FloatArray) -> FloatArray:
    return np.full(least_m.shape, _NEAR_M)


def _bow_slack(most_m: FloatArray) -> FloatArray:
    return _NEAR_SHARE * np.abs(most_m) + 1e-3


def _least_height(state: Carriages) -> FloatArray:
    least: FloatArray = heights_m(state).min(axis=0)
    return -least


def _lowest(hanging: Carriages) -> Carriages:
    """Where each question hangs lowest: of carriage and track line, or of a ferry line that cannot be kept.

    Ferry lines are looked at for themselves where one is near to that on the grid.
    """
    found = worst_where_it_counts(
        hanging, line_clearance, together=_HUNG, slack=_clearance_slack, rounds=_CLEARANCE_ROUNDS
    )
    near = ferry_sag(hanging).max(axis=1).reshape(-1, _HUNG).max(axis=1) > -_NEAR_M
    some = np.flatnonzero(np.repeat(near, _HUNG))
    if not some.size:
        return found
    sagging = worst_where_it_counts(hanging.part(some), ferry_sag, together=_HUNG, slack=_clearance_slack)
    at_m, rows = found.at_m.copy(), found.rows.copy()
    at_m[some], rows[:, some] = sagging.at_m, sagging.rows
    both = found.beside(replace(found, at_m=at_m, rows=rows))
    return both.at(np.argmax(_least_height(both), axis=1))


def _worst_states(rigged: Rigged, worlds: Worlds) -> _Worst:
    flat = worlds.drag_n.size
    grid = _grid(rigged, worlds, pull_questions(worlds, rigged.ropes))
    tight = grid
    # greatest each elsewhere; all other forces are greatest where one of these is, or at an end
    for measure in (tension, ferry_near, resultant):
        tight = tight.beside(worst_where_it_counts(grid, measure, together=2, slack=_force_slack))
    forces = stood(tight).reshape(len(Stand), flat, -1)
    found = anchor_pulls(tight)
    pulls = np.stack([found.near_tie, found.far_tie, found.ferry_near, found.ferry_far, found.up_down])
    pulls = pulls.reshape(len(_ANCHORS), 3, flat, -1)
    # of places where an anchor stands as much, the first
    at = np.argmax(np.round(forces[list(_ANCHORS)], 2), axis=2)[:, np.newaxis, :, np.newaxis]
    hanging = _grid(rigged, worlds, hang_questions(worlds, rigged.ropes))
    farthest = worst_where_it_counts(hanging, bow, together=_HUNG, slack=_bow_slack)
    return _Worst(
        pulled=_worse(tight.at(np.argmax(tension(tight), axis=1)), tension, worlds),
        hangs=_worse(_lowest(hanging), _least_height, worlds),
        bowed=_worse(farthest, bow, worlds),
        stood=forces.max(axis=2),
        pulls=np.take_along_axis(pulls, at, axis=3)[..., 0],
        strand_n=tight.strand_n.reshape(flat, -1).max(axis=1),
    )


@dataclass(frozen=True, slots=True)
class _Figures:
    """The figures of one case at one stage."""

    tension_n: float
    tension_at: LoadPlace
    clearance_m: float
    clearance_needed_m: float
    clearance_at: LoadPlace
    clearance_part: str
    lowest_line: LowestLine | None
    bow_m: float
    bow_at: LoadPlace
    stood_n: tuple[float, ...]
    up_down_n: tuple[float, float]
    anchors: tuple[AnchorPull, ...]


def _lowest_line(state: Carriages, case: int, part: Part, *, over_water_m: float) -> LowestLine | None:
    """The line that hangs lowest in one of some states; None where it is the carriage's hardware."""
    if part is Part.HARDWARE:
        return None
    one = state.part(np.array([case]))
    line = min(stretches(one, part), key=lambda line: float(lowest_over_m(line)[0, 0]))
    over_m = one.clearance_m + (one.of_site(Of.RING_BELOW) if part is Part.TRACK_LINE else 0.0)
    return LowestLine(
        run_m=float(line.run_m[0, 0]),
        rise_m=float(line.rise_m[0, 0]),
        tension_n=float(line.tension_n[0, 0]),
        weight_n_m=float(np.broadcast_to(line.weight_n_m, line.run_m.shape)[0, 0]),
        dry_share=float(line.dry_share[0, 0]),
        carriage_end_m=float(over_m[0, 0]),
        over_water_m=over_water_m,
    )


def _figures(rigged: Rigged, worst: _Worst) -> list[_Figures]:
    """Flat over (worlds, cases)."""
    heights = heights_m(worst.hangs)[:, :, 0]
    parts, least = [Part(part) for part in np.argmin(heights, axis=0)], heights.min(axis=0).tolist()
    lines = (
        _lowest_line(worst.hangs, case, part, over_water_m=least[case]) for case, part in enumerate(parts)
    )
    site = worst.pulled.asked.site
    held, hauled = (worst.strand_n * rigged.table[row, site] for row in (Of.SHARE, Of.HAUL_SHARE))
    anchors = [
        tuple(
            AnchorPull(stand.name.lower(), load_n, *pull)
            for stand, load_n, pull in zip(_ANCHORS, loads, pulls, strict=True)
        )
        for loads, pulls in zip(
            worst.stood[list(_ANCHORS)].T.tolist(), worst.pulls.transpose(2, 0, 1).tolist(), strict=True
        )
    ]
    columns = zip(
        worst.pulled.tension_n[:, 0].tolist(),
        load_places(worst.pulled),
        least,
        worst.hangs.asked.clearance_m.tolist(),
        load_places(worst.hangs),
        (part.name.lower().replace("_", "-") for part in parts),
        lines,
        worst.bowed.bow_m[:, 0].tolist(),
        load_places(worst.bowed),
        (tuple(forces) for forces in worst.stood.T.tolist()),
        zip(held.tolist(), hauled.tolist(), strict=True),
        anchors,
        strict=True,
    )
    return [_Figures(*values) for values in columns]


def _factor(mechanics: Mechanics, stood_n: Sequence[float]) -> tuple[float, str]:
    """Least factor over the parts of the track line, and the part."""
    return min(
        (limit.strength_n / stood_n[limit.stands], limit.part)
        for limit in mechanics.site.limits
        if limit.code == "factor"
    )


def _case_result(reasons: Reasons, figures: _Figures, *, stage: StageRow, case: CaseDrag) -> TrackCase:
    mechanics = reasons.mechanics
    drag_n = case.drag_per_speed2 * stage.design_speed_m_s**2
    factor, part = _factor(mechanics, figures.stood_n)
    bare = TrackCase(
        case=case.name,
        judged=case.judged,
        drag_n=drag_n,
        tension_n=figures.tension_n,
        tension_at=figures.tension_at,
        clearance_m=figures.clearance_m,
        clearance_needed_m=figures.clearance_needed_m,
        clearance_at=figures.clearance_at,
        clearance_part=figures.clearance_part,
        lowest_line=figures.lowest_line,
        bow_m=figures.bow_m,
        factor=factor,
        factor_part=part,
        ferry_near_n=figures.stood_n[Stand.FERRY_NEAR],
        ferry_far_n=figures.stood_n[Stand.FERRY_FAR],
        up_down_hold_n=figures.up_down_n[0],
        up_down_haul_n=figures.up_down_n[1],
        inside=True,
        why=(),
        bow_at=figures.bow_at,
        anchor_pulls=figures.anchors,
    )
    why = reasons.of_case(bare, rise_m=stage.rise_m)
    return replace(bare, inside=not why, why=why)


def _stage_result(
    reasons: Reasons, row: StageRow, figures: Sequence[_Figures], setbacks_m: tuple[float, float]
) -> TrackStage:
    cases = tuple(
        _case_result(reasons, one, stage=row, case=case)
        for case, one in zip(reasons.context.cases, figures, strict=True)
    )
    return stage_result(reasons.context, row, cases, setbacks_m)


def stage_results(
    contexts: Sequence[Context], mechanics: Sequence[Mechanics]
) -> list[tuple[TrackStage, ...]]:
    """For each site one row a stage, each with every case of the rig.

    Raises
    ------
    OutOfRange, NoSolution
        From the track line.
    """
    rigged = Rigged.of([one.site for one in mechanics])
    worlds = _worlds(contexts, mechanics)
    figures = iter(_figures(rigged, _worst_states(rigged, worlds)))
    width_m = np.array([row.width_m for context in contexts for row in context.rows])
    setbacks = shores_of(contexts).setbacks(worlds.site, width_m)
    ends = zip(*(end.tolist() for end in setbacks), strict=True)
    return [
        tuple(
            _stage_result(reasons, row, [next(figures) for _ in context.cases], next(ends))
            for row in context.rows
        )
        for context, reasons in (
            (context, Reasons(context, one)) for context, one in zip(contexts, mechanics, strict=True)
        )
    ]
