"""Rigs of kind ``tether``: a boat held by lines to its bow from two stations upriver, no track line.

Two-line and four-line tether stand on the same bow stations; what only these change is computed once a site.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import cos, radians, sin

import shapely

from atlas.faults import EngineeringError, NoSolution
from atlas.frame import Point, SiteFrame
from atlas.plan.called import rig_cover
from atlas.plan.context import CaseDrag, Context
from atlas.plan.gear import crew_posts
from atlas.plan.gear_facts import rigged, rigged_and_loaded
from atlas.plan.line_cover import cover_of
from atlas.plan.lines import line_plans
from atlas.plan.places import bearing_deg
from atlas.plan.questions_tether import with_answers
from atlas.plan.rig_results import AnchorPlan, Limit, RigPlan
from atlas.plan.tether_anchors import tether_anchors
from atlas.plan.tether_limit import TetherRise, tether_limit, tether_rise
from atlas.plan.tether_reasons import TetherReasons
from atlas.plan.tether_results import StationDepths, TetheredStage, TetherRig, TetherRope, TetherStation
from atlas.plan.tether_ropes import bow_ropes, line_strength, tether_lengths
from atlas.plan.tether_site import Placed, TetherPlace, tether_place
from atlas.plan.tether_verdict import tethered_stages
from atlas.rigging.tether import answered
from atlas.rigging.tether_records import BOW_LINES, STERN_LINES, LineStrength, TetherCase, TetherResult

__all__ = ["plan"]

_HALF_TURN = 180.0


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """What follows from the bow lines and the load cases, whatever stern lines and gear there are."""

    result: TetherResult
    stages: tuple[TetheredStage, ...]
    limit: Limit | None


_Strengths = tuple[LineStrength, LineStrength]


@dataclass(frozen=True, slots=True, eq=False)
class _Common:
    """What all tethers of a site have in common.

    Attributes
    ----------
    held : by strengths of the bow lines and load cases
    """

    place: TetherPlace
    rise: TetherRise
    held: dict[tuple[_Strengths, tuple[CaseDrag, ...]], _Held] = field(default_factory=dict)


def _common(context: Context) -> _Common:
    place = tether_place(context)
    if place.ground.held is None:
        raise NoSolution("tether: no part of the work area can be held between its bow stations")
    return _Common(place, tether_rise(context, place))


def _has_stern(context: Context) -> bool:
    return any(rule.name in STERN_LINES for rule in context.rig.line)


def _bearings(frame: SiteFrame, sector: tuple[float, float]) -> tuple[float, float]:
    """True bearings of a sector that is given from +y toward +x, clockwise from the first to the second."""
    from_deg, to_deg = (
        bearing_deg(frame, along=sin(radians(angle)), downstream=cos(radians(angle))) for angle in sector
    )
    clockwise = bearing_deg(frame, along=1.0, downstream=0.0) - bearing_deg(frame, along=0.0, downstream=1.0)
    return (from_deg, to_deg) if clockwise % 360.0 < _HALF_TURN else (to_deg, from_deg)


def _station(
    frame: SiteFrame, line: str, placed: Placed, sector: tuple[float, float] | None
) -> TetherStation:
    bearings = (None, None) if sector is None else _bearings(frame, sector)
    return TetherStation(
        line=line,
        bank=placed.bank.value,
        at=(placed.point.x_m, placed.point.y_m),
        height_m=placed.point.z_m,
        tag=placed.tag,
        pull_from_deg=bearings[0],
        pull_to_deg=bearings[1],
        set_aside=placed.set_aside,
    )


def _stations(
    frame: SiteFrame, place: TetherPlace, result: TetherResult, *, stern: bool
) -> tuple[TetherStation, ...]:
    found = [
        _station(frame, line, placed, (pull.from_deg, pull.to_deg))
        for line, placed, pull in zip(BOW_LINES, place.bow, result.stations, strict=True)
    ]
    if stern:
        found += [
            _station(frame, line, placed, None) for line, placed in zip(STERN_LINES, place.stern, strict=True)
        ]
    return tuple(found)


def _rings(ground: shapely.Geometry) -> tuple[tuple[Point, ...], ...]:
    """Outer rings of polygons, and lines and points as they are."""
    found = []
    for piece in shapely.get_parts(ground):
        outline = piece.exterior if piece.geom_type == "Polygon" else piece
        found.append(tuple((float(x), float(y)) for x, y in shapely.get_coordinates(outline).tolist()))
    return tuple(ring for ring in found if ring)


def _held(context: Context, common: _Common, ropes: tuple[TetherRope, TetherRope]) -> _Held:
    place = common.place
    near, far = (line_strength(context, placed, rope) for placed, rope in zip(place.bow, ropes, strict=True))
    key = ((near, far), context.cases)
    if key not in common.held:
        cases = [TetherCase(case.name, case.drag_per_speed2, case.judged) for case in context.cases]
        result = answered(context.rig.name, place.ground, (), strengths=(near, far), cases=cases)
        common.held[key] = _Held(
            result=result,
            stages=tethered_stages(TetherReasons(context, place, (near, far)), result.stages),
            limit=tether_limit(context, place, common.rise, (near, far), result),
        )
    return common.held[key]


def _loaded(context: Context, planning: TetheredStage, anchors: Sequence[AnchorPlan]) -> Context:
    """With what the loads at the planning stage ask of hardware."""
    most_n = max(case.tension_n for case in planning.cases if case.judged)
    tended_n = context.policy.limits.factor_lines * most_n
    # a haul of 2:1 or more bears no more on a pulley than the line it moves
    return rigged_and_loaded(context, anchors, {"tended": tended_n, "pulley": tended_n})


def _rig(context: Context, common: _Common, like: TetherRig | None) -> TetherRig:
    place, stern = common.place, _has_stern(context)
    lengths = tether_lengths(context, place, stern=stern)
    used = (*place.bow, *(place.stern if stern else ()))
    context = rigged(context, [placed.tag for placed in used])
    covers = cover_of(context, lengths)
    ropes = bow_ropes(context, covers)
    held = _held(context, common, ropes)
    result = held.result
    planning = next(stage for stage in held.stages if stage.planning)
    anchors = tether_anchors(context, place, planning, stern=stern)
    brought = rig_cover(_loaded(context, planning, anchors), covers)
    depth = result.depth
    rig = TetherRig(
        rig=context.rig.name,
        chosen=False,
        lines=line_plans(lengths, covers),
        least_factor=context.policy.limits.factor_lines,
        stages=held.stages,
        limit=held.limit,
        anchors=anchors,
        gear=brought.gear,
        cover=brought.cover,
        crew=crew_posts(context),
        angle_deg=result.angle.angle_deg,
        angle_at=result.angle.place,
        angle_most_deg=place.ground.rules.angle_most_deg,
        depths=StationDepths(depth.near_m, depth.far_m, depth.needed_m, depth.move_m, depth.outside_m),
        stations=_stations(context.frame, place, result, stern=stern),
        ropes=ropes,
        work_areas=place.work_areas,
        work_area_assumed=place.work_area_assumed,
        reachable=_rings(result.reachable.ground),
        reachable_share=result.reachable.share,
        bow_ring_m=place.ground.rules.bow_ring_m,
        boat_length_m=place.ground.rules.boat_length_m,
    )
    return with_answers(context, rig, covers, like=like)


def plan(contexts: Sequence[Context]) -> list[RigPlan | EngineeringError]:
    """Rigs of kind ``tether``: for each context the rig, or why it cannot be computed."""
    common: dict[int, _Common | EngineeringError] = {}
    first: dict[int, TetherRig] = {}
    found: list[RigPlan | EngineeringError] = []
    for context in contexts:
        key = id(context.frame)
        try:
            if key not in common:
                common[key] = _common(context)
            shared = common[key]
            if isinstance(shared, EngineeringError):
                found.append(shared)
                continue
            rig = _rig(context, shared, first.get(key))
            first.setdefault(key, rig)
            found.append(rig)
        except EngineeringError as error:
            common.setdefault(key, error)
            found.append(error)
    return found
