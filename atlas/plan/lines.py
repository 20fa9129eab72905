"""Needed lengths of all lines of the rig at the planning stage, and the ropes taken for them."""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, hypot, radians

import numpy as np
from numpy.typing import NDArray

from atlas.cover import Cover, LineNeed, RopeAsked, cover_lines, pieces_of
from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics, capped_drag, edges_at
from atlas.plan.results import LinePlan, Part, Take
from atlas.records import PostKind
from atlas.rigging.carriage import CarriageState
from atlas.rigging.envelope import places_between
from atlas.rigging.ferry import StationPoint
from atlas.rigging.lines import (
    LineLength,
    ferry_line,
    launch_line,
    messenger_line,
    track_line,
    up_down_line,
)
from atlas.rigging.loads import carriage_state
from atlas.rigging.shown import AT_SHARE
from atlas.settings import RopeRule

__all__ = ["cover_of", "line_lengths", "line_plans", "throw_m"]

Floats = NDArray[np.float64]

_PLACES = 49


def _carriage_path(
    context: Context, mechanics: Mechanics, *, from_m: float, to_m: float
) -> tuple[Floats, CarriageState]:
    """Places and states in the planning case: softest, seated, least set, which bows farthest."""
    row = context.planning
    case = context.planning_case
    at_m = places_between(from_m=from_m, to_m=to_m, count=_PLACES)
    state = carriage_state(
        mechanics.setup,
        at_m=at_m,
        drag_n=capped_drag(drag_per_speed2=case.drag_per_speed2, speed_m_s=row.design_speed_m_s),
        water_rise_m=row.rise_m,
        pretension_n=mechanics.haul.least_n,
        stiffness_n=mechanics.bounds.low_n,
        seating_m=mechanics.bounds.seating_m,
    )
    return at_m, state


def _farthest_m(station: StationPoint, mechanics: Mechanics, at_m: Floats, state: CarriageState) -> float:
    """Greatest distance from a station to the carriage ring [m]."""
    ring_m = mechanics.setup.near_tie_height_m + state.track.height_m - mechanics.setup.ring_below_line_m
    return float(
        np.sqrt(
            (at_m - station.x_m) ** 2
            + (state.track.downstream_m - station.y_m) ** 2
            + (ring_m - station.z_m) ** 2
        ).max()
    )


def throw_m(context: Context) -> float:
    """How far the first line must be thrown [m]: launch post to landing, or beyond the far tie point."""
    posts = {post.kind: post.at for post in context.frame.posts}
    from_x, from_y = posts.get(PostKind.LAUNCH, (0.0, 0.0))
    to_x, to_y = posts.get(PostKind.LANDING, (context.frame.span_m, 0.0))
    surveyed_m = hypot(to_x - from_x, to_y - from_y)
    return max(surveyed_m, hypot(context.frame.span_m - from_x, from_y))


def line_lengths(context: Context, mechanics: Mechanics, *, haul_advantage: int) -> dict[str, LineLength]:
    """Needed length of each line by name.

    The ferry lines are measured to the loaded carriage from where it is rigged to the far water's
    edge, as near as the track line's range lets it be computed.
    """
    frame = context.frame
    rules = context.policy.lines
    spare = {"spare_fraction": rules.spare_fraction, "spare_least_m": rules.spare_least}
    width_m = max(context.planning.width_m, frame.width_m)
    edge_m = edges_at(context, context.planning)[1]
    from_m = min(max(rules.rig_x, AT_SHARE.low * frame.span_m), edge_m * 0.5)
    at_m, state = _carriage_path(context, mechanics, from_m=from_m, to_m=edge_m)
    near, far, up_down = context.station_points()
    reach_m = frame.reach_down_m / cos(radians(frame.skew_deg))
    ring_over_bow_m = max(float(state.clearance_m.max()) - mechanics.setup.bow_ring_m, 0.0)
    far_anchor = next(anchor for anchor in context.site.anchors if anchor.tag == frame.track_far_tag)
    return {
        "track": track_line(
            chord_m=frame.chord_m,
            wraps=rules.wraps,
            far_anchor_diameter_m=far_anchor.diameter_m or rules.anchor_diameter_assumed,
            rope_diameter_m=mechanics.rope.diameter_m,
            far_tail_m=rules.tail_far_tie_off,
            haul_advantage=haul_advantage,
            throw_m=rules.throw,
            near_tail_m=rules.tail_near,
            **spare,
        ),
        "ferry-near": ferry_line(
            station_to_carriage_m=_farthest_m(near, mechanics, at_m, state),
            tail_m=rules.tail_tended,
            width_m=width_m,
            **spare,
        ),
        "ferry-far": ferry_line(
            station_to_carriage_m=_farthest_m(far, mechanics, at_m, state),
            tail_m=rules.tail_tended,
            width_m=width_m,
            **spare,
        ),
        "up-down": up_down_line(
            station_to_carriage_m=_farthest_m(up_down, mechanics, at_m, state),
            bow_strands=context.rig.bow_strands,
            reach_m=reach_m,
            ring_over_bow_m=ring_over_bow_m,
            tail_m=rules.tail_tended,
            width_m=width_m,
            **spare,
        ),
        "messenger": messenger_line(span_m=frame.span_m, tail_m=rules.tail_messenger, **spare),
        "launch": launch_line(throw_m=throw_m(context), arc=rules.launch_arc, span_m=frame.span_m, **spare),
    }


def _asked(rule: RopeRule) -> RopeAsked:
    most_mm = rule.diameter_most_mm
    return RopeAsked(
        kinds=tuple(rule.kinds),
        strength_min_n=rule.strength_least_kn * 1e3,
        diameter_min_m=rule.diameter_least_mm * 1e-3,
        diameter_max_m=None if most_mm is None else most_mm * 1e-3,
    )


def cover_of(context: Context, lengths: Mapping[str, LineLength]) -> dict[str, Cover]:
    """Ropes of the first-due agency for the lines the rig's template asks ropes for."""
    span_m = context.frame.span_m
    needs = []
    for line in context.rig.line:
        first, *others = (
            _asked(rule) for rule in line.rope if rule.span_most_m is None or span_m <= rule.span_most_m
        )
        needs.append(
            LineNeed(
                line=line.name,
                needed_m=lengths[line.name].needed_m,
                kinds=first.kinds,
                strength_min_n=first.strength_min_n,
                diameter_min_m=first.diameter_min_m,
                diameter_max_m=first.diameter_max_m,
                others=tuple(others),
            )
        )
    return {cover.line: cover for cover in cover_lines(needs, pieces_of([context.agency]))}


def line_plans(lengths: Mapping[str, LineLength], covers: Mapping[str, Cover]) -> tuple[LinePlan, ...]:
    """Lines with the ropes taken; the launch line is the launcher's own and takes none."""
    return tuple(
        LinePlan(
            line=name,
            needed_m=length.needed_m,
            floor_m=length.floor_m,
            parts=tuple(Part(part.part, part.length_m) for part in length.parts),
            take=tuple(
                Take(
                    agency=piece.agency, rope=piece.name, length_m=piece.length_m, diameter_m=piece.diameter_m
                )
                for piece in (covers[name].take if name in covers else ())
            ),
            short_m=covers[name].short_m if name in covers else 0.0,
        )
        for name, length in lengths.items()
    )
