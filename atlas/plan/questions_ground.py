"""No-go ground: in the bight of the track line, behind loaded anchors, under lines that may be lost."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from atlas.frame import Point, Station
from atlas.plan.context import Context
from atlas.plan.crew_results import NoGo
from atlas.plan.grounds import ground_of
from atlas.rigging.no_go_ground import behind_anchor, bight_ground, no_go_ground
from atlas.rigging.shown import FloatArray

__all__ = ["no_go", "track_bight", "track_grounds"]


Named = tuple[str, shapely.Geometry]
"""A ground by what makes it."""


def track_bight(*, span_m: float, at_m: FloatArray, bow_m: FloatArray) -> shapely.Geometry:
    """Ground between the loaded track line and the straight way of its ends [m].

    In plan nothing pulls on the rope between its ends and the carriage: each side is straight.

    Raises
    ------
    OutOfRange
        From `bight_ground`.
    """
    still = np.zeros(at_m.shape)
    ends = (np.column_stack([still + x, still]) for x in (0.0, span_m))
    near, far = ends
    return bight_ground(np.stack([near, np.column_stack([at_m, bow_m]), far], axis=1))


def track_grounds(context: Context, *, at_m: FloatArray, bow_m: FloatArray) -> list[Named]:
    """Bight of the track line and the ground behind its anchors and stations, by name.

    Raises
    ------
    OutOfRange
        From the functions asked.
    """
    frame, rules, stations = context.frame, context.policy.no_go, context.stations
    rings = np.column_stack([at_m, bow_m])

    def tag(station: Station, name: str) -> str:
        return context.words(f"station.{name}") if station.tag is None else station.tag

    anchors: list[tuple[str, Point]] = [
        (frame.track_near_tag, (0.0, 0.0)),
        (frame.track_far_tag, (frame.span_m, 0.0)),
        (tag(stations.ferry_near, "ferry_near"), stations.ferry_near.at),
        (tag(stations.ferry_far, "ferry_far"), stations.ferry_far.at),
        (tag(stations.up_down, "up_down"), stations.up_down.at),
    ]
    grounds = [("bight", track_bight(span_m=frame.span_m, at_m=at_m, bow_m=bow_m))]
    for name, at in anchors:
        behind = behind_anchor(
            at,
            rings - np.array(at),
            half_angle_deg=rules.behind_angle,
            length_m=rules.behind_length,
        )
        grounds.append((f"behind {name}", behind))
    return grounds


def no_go(context: Context, loaded: Sequence[Named], lost: Sequence[Named]) -> NoGo:
    """All the ground on which nobody stands, and its parts.

    Parameters
    ----------
    loaded : in the bight of loaded lines and behind loaded anchors
    lost : what a lost line would sweep

    Raises
    ------
    OutOfRange
        From `no_go_ground`.
    """
    margin_m = context.policy.no_go.margin
    tight = no_go_ground([ground for _, ground in loaded], margin_m=margin_m)
    swept = no_go_ground([ground for _, ground in lost], margin_m=margin_m)
    return NoGo(
        parts=tuple((name, ground_of(ground)) for name, ground in (*loaded, *lost)),
        loaded=ground_of(tight),
        whole=ground_of(shapely.union(tight, swept)),
    )
