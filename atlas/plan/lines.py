"""Needed lengths of all lines of the rig at the planning stage, and the ropes taken for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, hypot, radians

import numpy as np

from atlas.cover import Cover, RopePiece
from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics, drag_most_n, shores_of
from atlas.plan.rig_results import LinePlan, Part, Take
from atlas.records import PostKind
from atlas.rigging.asked import Asked
from atlas.rigging.envelope import grid_of
from atlas.rigging.ferry import StationPoint
from atlas.rigging.lines import (
    LineLength,
    ferry_line,
    launch_line,
    messenger_line,
    track_line,
    up_down_line,
)
from atlas.rigging.rigged import Rigged
from atlas.rigging.shown import AT_SHARE, FloatArray

__all__ = [
    "CarriagePath",
    "carriage_paths",
    "guessed_path",
    "line_lengths",
    "line_plans",
    "throw_m",
]

_PLACES = 49
_GUESSED, _GUESSED_BOW = 9, 0.1


@dataclass(frozen=True, slots=True, eq=False)
class CarriagePath:
    """Places of the loaded carriage in the site's frame [m].

    Attributes
    ----------
    ring_m : carriage ring over the survey day's water
    clear_m : and over that of the planning stage
    """

    x_m: FloatArray
    y_m: FloatArray
    ring_m: FloatArray
    clear_m: FloatArray


def carriage_paths(contexts: Sequence[Context], mechanics: Sequence[Mechanics]) -> list[CarriagePath]:
    """Where the loaded carriage goes in the planning case: softest, seated, least set, bowed farthest.

    From where it is rigged to the far water's edge, as near as the track line's range lets it be
    computed; with drag alone, so past where the ferry lines have leverage too.
    """
    rigged = Rigged.of([one.site for one in mechanics])
    rows = [context.planning for context in contexts]
    drag_n = [
        context.planning_case.drag_per_speed2 * row.design_speed_m_s**2
        for context, row in zip(contexts, rows, strict=True)
    ]
    asked = Asked.of(
        site=np.arange(len(rows)),
        whole=False,
        drag_n=np.minimum(drag_n, drag_most_n()),
        water_rise_m=[row.rise_m for row in rows],
        clearance_m=0.0,
        set_n=[one.haul.least_n for one in mechanics],
        stiffness_n=rigged.ropes.low_n,
        seating_m=rigged.ropes.seating_m,
    )
    ends = [_path_ends(context) for context in contexts]
    from_m, to_m = np.array(ends).T
    state = grid_of(rigged.table, asked, from_m=from_m, to_m=to_m, count=_PLACES)
    return [
        CarriagePath(
            x_m=state.at_m[k], y_m=state.bow_m[k], ring_m=state.ring_m[k], clear_m=state.clearance_m[k]
        )
        for k in range(len(rows))
    ]


def guessed_path(context: Context) -> CarriagePath:
    """A path to begin with: at the ties' height, bowed by a tenth of the span."""
    frame = context.frame
    from_m, to_m = _path_ends(context)
    x_m = np.linspace(from_m, to_m, _GUESSED)
    bow_m = _GUESSED_BOW * 4.0 * x_m * (frame.span_m - x_m) / frame.span_m
    ring_m = np.full(_GUESSED, frame.near_tie_height_m)
    return CarriagePath(x_m, bow_m, ring_m, ring_m - context.planning.rise_m)


def _path_ends(context: Context) -> tuple[float, float]:
    span_m = context.frame.span_m
    _, far = shores_of([context]).edges(np.zeros(1, dtype=np.intp), np.array([context.planning.width_m]))
    edge_m = float(far[0])
    return min(max(context.policy.lines.rig_x, AT_SHARE.low * span_m), edge_m * 0.5), edge_m


def _farthest_m(station: StationPoint, path: CarriagePath) -> float:
    """Greatest distance from a station to the carriage ring [m]."""
    return float(
        np.sqrt(
            (path.x_m - station.x_m) ** 2 + (path.y_m - station.y_m) ** 2 + (path.ring_m - station.z_m) ** 2
        ).max()
    )


def throw_m(context: Context) -> float:
    """How far the first line must be thrown [m]: launch post to landing, or beyond the far tie point."""
    posts = {post.kind: post.at for post in context.frame.posts}
    from_x, from_y = posts.get(PostKind.LAUNCH, (0.0, 0.0))
    to_x, to_y = posts.get(PostKind.LANDING, (context.frame.span_m, 0.0))
    surveyed_m = hypot(to_x - from_x, to_y - from_y)
    return max(surveyed_m, hypot(context.frame.span_m - from_x, from_y))


def line_lengths(
    context: Context, path: CarriagePath, *, rope_diameter_m: float, haul_advantage: int
) -> dict[str, LineLength]:
    """Needed length of each line by name, at the planning stage."""
    frame = context.frame
    rules = context.policy.lines
    spare = {"spare_fraction": rules.spare_fraction, "spare_least_m": rules.spare_least}
    width_m = max(context.planning.width_m, frame.width_m)
    near, far, up_down = context.station_points()
    reach_m = frame.reach_down_m / cos(radians(frame.skew_deg))
    ring_over_bow_m = max(float(path.clear_m.max()) - context.policy.loads.bow_ring_above_water, 0.0)
    far_anchor = next(anchor for anchor in context.site.anchors if anchor.tag == frame.track_far_tag)
    return {
        "track": track_line(
            chord_m=frame.chord_m,
            wraps=rules.wraps,
            far_anchor_diameter_m=far_anchor.diameter_m or rules.anchor_diameter_assumed,
            rope_diameter_m=rope_diameter_m,
            far_tail_m=rules.tail_far_tie_off,
            haul_advantage=haul_advantage,
            throw_m=rules.throw,
            near_tail_m=rules.tail_near,
            **spare,
        ),
        "ferry-near": ferry_line(
            station_to_carriage_m=_farthest_m(near, path),
            tail_m=rules.tail_tended,
            width_m=width_m,
            **spare,
        ),
        "ferry-far": ferry_line(
            station_to_carriage_m=_farthest_m(far, path),
            tail_m=rules.tail_tended,
            width_m=width_m,
            **spare,
        ),
        "up-down": up_down_line(
            station_to_carriage_m=_farthest_m(up_down, path),
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


def _take(piece: RopePiece) -> Take:
    return Take(agency=piece.agency, rope=piece.name, length_m=piece.length_m, diameter_m=piece.diameter_m)


def _nearest(cover: Cover) -> Take | None:
    return None if cover.nearest is None else _take(cover.nearest)


def line_plans(lengths: Mapping[str, LineLength], covers: Mapping[str, Cover]) -> tuple[LinePlan, ...]:
    """Lines with the ropes taken; the launch line is the launcher's own and takes none."""
    return tuple(
        LinePlan(
            line=name,
            needed_m=length.needed_m,
            floor_m=length.floor_m,
            parts=tuple(Part(part.part, part.length_m) for part in length.parts),
            take=tuple(map(_take, covers[name].take)) if name in covers else (),
            short_m=covers[name].short_m if name in covers else 0.0,
            nearest=_nearest(covers[name]) if name in covers else None,
        )
        for name, length in lengths.items()
    )
