"""Which way the river runs: sense, axis and skew, from edges, near_bank and flow_toward.

Directions are angles measured in the frame "along, left": along from the near track tie point to the
far one, left to the left of it. Once the sense is known, +y is downstream, and the skew is the angle
of the flow from +y toward +x.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np
import shapely
from numpy.typing import NDArray

from atlas.frame.metres import left_sign
from atlas.frame.problems import FrameProblem
from atlas.frame.site_frame import Point
from atlas.records import NearBank

__all__ = ["Flow", "edge_axis_deg", "find_flow", "fold_axis_deg"]

SKEW_MOST_DEG = 60.0
"""Beyond it a track line lies more along the river than across it, and no rule here was shown to hold."""
AXIS_APART_MOST_DEG = 30.0
"""flow_toward may differ this much from the drawn edges: the error of a hand compass and of a bend."""
AXIS_CLEAR_LEAST = 0.5
"""Least difference of the edges' principal moments: two straight banks 60 degrees apart have just this."""


@dataclass(frozen=True, slots=True)
class Flow:
    """The river's direction in the site's frame.

    Attributes
    ----------
    near_bank : which bank is near, facing downstream
    skew_deg : from +y (downstream, square to the track line) toward +x [degrees]
    """

    near_bank: NearBank
    skew_deg: float


def find_flow(
    near_bank: NearBank | None,
    flow_toward_deg: float | None,
    *,
    x_azimuth_deg: float,
    span_m: float,
    edges: Sequence[Sequence[Point]],
) -> Flow | tuple[FrameProblem, ...]:
    """Sense and skew of the flow, or what keeps them from being known.

    Parameters
    ----------
    near_bank : as surveyed, or None
    flow_toward_deg : true bearing toward which the water runs [degrees], or None
    x_azimuth_deg : true bearing from the near track tie point to the far one [degrees]
    span_m : between the track tie points [m]
    edges : water's edge lines as along, left [m], both banks together

    Notes
    -----
    A surveyed bearing is the direction; else edges give the axis and near_bank its sense.
    """
    given = None if flow_toward_deg is None else _along_left_of(flow_toward_deg, x_azimuth_deg)
    bank = near_bank if near_bank is not None else _bank_of(given)
    if bank is None or (given is None and not edges):
        return (_no_sense(near_bank, has_edges=bool(edges)),)
    sign = left_sign(bank)
    axis_deg = None
    if edges:
        turned = [[(along, sign * left) for along, left in edge] for edge in edges]
        axis_deg = edge_axis_deg(turned, span_m=span_m)
        if axis_deg is None:
            return (_edges_without_axis(),)
    given_deg = None if given is None else degrees(atan2(given[0], sign * given[1]))
    # one of the two is there: a bearing, or edges with an axis
    skew_deg = next(angle_deg for angle_deg in (given_deg, axis_deg) if angle_deg is not None)
    if flow_toward_deg is not None and axis_deg is not None:
        apart_deg = abs(fold_axis_deg(skew_deg - axis_deg))
        if apart_deg > AXIS_APART_MOST_DEG:
            return (_against_edges(flow_toward_deg, apart_deg),)
    if abs(fold_axis_deg(skew_deg)) > SKEW_MOST_DEG:
        return (_too_skew(abs(fold_axis_deg(skew_deg))),)
    if flow_toward_deg is not None and abs(skew_deg) > 90.0:
        return (_against_near_bank(flow_toward_deg, bank),)
    return Flow(bank, skew_deg)


def edge_axis_deg(edges: Sequence[Sequence[Point]], *, span_m: float) -> float | None:
    """Axis of the water's edges near the track line, from +y toward +x, in (-90, 90] [degrees].

    Parameters
    ----------
    edges : lines as x, y [m], the track line running from (0, 0) to (span, 0)
    span_m : [m]; what lies more than a span above or below the track line, or more than half a span
        behind a tie point, is another part of the river and left out

    Returns
    -------
    float or None
        None where the edges have no common axis (too crooked, or banks at more than 60 degrees).

    Notes
    -----
    Long axis of the lines' own points: second moments of place along each edge, so that a crooked
    bank counts by where it leads and not by its wiggles. Each edge is scaled to the same weight.
    """
    moments = [_moments(*_near_track(edge, span_m=span_m)) for edge in edges]
    kept = [moment / np.trace(moment) for moment in moments if np.trace(moment) > 0.0]
    if not kept:
        return None
    (x_x, x_y), (_, y_y) = np.mean(kept, axis=0).tolist()
    # of a symmetric 2 x 2 matrix with trace 1: hypot of these is the difference of its principal values
    doubled = (2.0 * x_y, y_y - x_x)
    if hypot(*doubled) < AXIS_CLEAR_LEAST:
        return None
    return fold_axis_deg(degrees(atan2(*doubled)) / 2.0)


def fold_axis_deg(angle_deg: float) -> float:
    """An undirected angle brought into (-90, 90] [degrees]."""
    return 90.0 - (90.0 - angle_deg) % 180.0


def _near_track(edge: Sequence[Point], *, span_m: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Starts and ends, shape (n, 2) [m], of an edge's segments beside the track line; of all if none is."""
    line = shapely.LineString(edge)
    near = shapely.clip_by_rect(line, -0.5 * span_m, -span_m, 1.5 * span_m, span_m)
    parts = [shapely.get_coordinates(part) for part in shapely.get_parts(near if near.length > 0.0 else line)]
    return np.concatenate([part[:-1] for part in parts]), np.concatenate([part[1:] for part in parts])


def _moments(starts: NDArray[np.float64], ends: NDArray[np.float64]) -> NDArray[np.float64]:
    """Second moments of place about the centroid, along segments, shape (2, 2) [m3]."""
    lengths = np.hypot(*(ends - starts).T)
    if lengths.sum() == 0.0:
        return np.zeros((2, 2))
    centroid = lengths @ (starts + ends) / 2.0 / lengths.sum()
    one, other = starts - centroid, ends - centroid
    mixed = np.einsum("n,ni,nj->ij", lengths, one, other)
    own = np.einsum("n,ni,nj->ij", lengths, one, one) + np.einsum("n,ni,nj->ij", lengths, other, other)
    # along one segment: the mean of p p' is (a a' + b b') / 3 + (a b' + b a') / 6
    return np.asarray(own / 3.0 + (mixed + mixed.T) / 6.0)


def _along_left_of(azimuth_deg: float, x_azimuth_deg: float) -> Point:
    """Unit vector of a bearing as along, left."""
    turn = radians(azimuth_deg - x_azimuth_deg)
    return (cos(turn), -sin(turn))


def _bank_of(flow: Point | None) -> NearBank | None:
    """Water running to the left of near -> far leaves the near bank on the left hand."""
    if flow is None:
        return None
    return NearBank.LEFT if flow[1] > 0.0 else NearBank.RIGHT


def _no_sense(near_bank: NearBank | None, *, has_edges: bool) -> FrameProblem:
    got = [
        f"near_bank {near_bank or 'missing'}",
        "flow_toward missing",
        f"edges {'drawn' if has_edges else 'missing'}",
    ]
    return FrameProblem(
        code="no_sense_of_flow",
        field="flow_toward",
        got=", ".join(got),
        allowed="flow_toward, or near_bank together with drawn edges",
        todo="give the bearing toward which the water runs, or near_bank and both water's edges",
        what="which way the river runs cannot be told",
    )


def _edges_without_axis() -> FrameProblem:
    return FrameProblem(
        code="edges_no_axis",
        field="geometry",
        got="edge lines with no common direction near the track line",
        allowed="water's edges that run along the river, the two banks less than 60 degrees apart",
        todo="redraw the edges as lines along the water, a few points each",
        what="the drawn edges give no axis of the flow",
        role="edge",
    )


def _against_edges(flow_toward_deg: float, apart_deg: float) -> FrameProblem:
    return FrameProblem(
        code="flow_against_edges",
        field="flow_toward",
        got=f"{flow_toward_deg:.0f} degrees, {apart_deg:.0f} degrees off the drawn edges",
        allowed=f"within {AXIS_APART_MOST_DEG:.0f} degrees of the line of the edges",
        todo="correct flow_toward (degrees true, toward which the water runs) or the edges",
        what="flow_toward does not run along the drawn water's edges",
    )


def _against_near_bank(flow_toward_deg: float, bank: NearBank) -> FrameProblem:
    return FrameProblem(
        code="flow_against_near_bank",
        field="flow_toward",
        got=f"{flow_toward_deg:.0f} degrees, with near_bank {bank.value}",
        allowed="near_bank as seen facing downstream",
        todo="correct near_bank or flow_toward, or the bank of the track anchors if they are exchanged",
        what="flow_toward puts the near bank on the other hand",
    )


def _too_skew(off_deg: float) -> FrameProblem:
    return FrameProblem(
        code="flow_along_track",
        field="flow_toward",
        got=f"{off_deg:.0f} degrees from square to the track line",
        allowed=f"at most {SKEW_MOST_DEG:.0f} degrees",
        todo="choose track anchors that lie across the river, or correct flow_toward or the edges",
        what="the river runs along the track line rather than across it",
    )
