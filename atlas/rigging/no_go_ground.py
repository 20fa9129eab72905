"""Ground on which nobody stands: in the bight of the track line, behind loaded anchors, under lost lines.

Every function returns a geometry in the site's frame; arcs are drawn by chords that lie outside of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, cos, degrees, radians

import numpy as np
import numpy.typing as npt
import shapely

from atlas.faults import OutOfRange
from atlas.rigging.shown import FloatArray, Shown, numbers, require

__all__ = ["behind_anchor", "bight_ground", "no_go_ground", "swept_by_line"]

_HALF_ANGLE_DEG = Shown("half_angle_deg", 1.0, 60.0, "degrees")
_LENGTH_M = Shown("length_m", 0.1, 250.0, "m")
_MARGIN_M = Shown("margin_m", 0.0, 50.0, "m")
_STEP_DEG = 5.0
_QUARTER_CHORDS = 8
_STRAIGHT = 3
"""Points of a line that is straight in plan from tie point to carriage to tie point."""
_SAME = 1e-3
"""A hull that tells no more than this share more ground than there is may stand for it."""


def _places(field: str, value: npt.ArrayLike, *, axes: int) -> FloatArray:
    places = numbers(field, value)
    if places.ndim != axes or places.shape[-1] != 2 or places.size == 0 or not np.isfinite(places).all():
        raise OutOfRange(f"{field}: not places; got shape {places.shape}; allowed {axes} axes, x and y last")
    return places


def bight_ground(lines_m: npt.ArrayLike) -> shapely.Geometry:
    """Ground between the loaded line and the straight way of its ends, over the carriage's travel.

    Parameters
    ----------
    lines_m : the line in plan with the carriage at k places, shape (k, n, 2), n at least 3, tie point to
        tie point [m]

    Raises
    ------
    OutOfRange
        For another shape, and what is not finite.

    Notes
    -----
    A tensioned line whose load goes, or whose carriage lets go, springs to the straight way of its ends:
    across this ground. Between two places of the carriage the hull of both lines is taken; the line in
    between may stand out of it by b'' d^2 / 8, d the way between the places and b'' the bend of the bow over
    x: a centimetre or two with a place every 2 m, for the margin to cover.
    """
    lines = _places("lines_m", lines_m, axes=3)
    if lines.shape[1] < 3:
        raise OutOfRange(f"lines_m: too few points; got {lines.shape[1]}; allowed 3 or more")
    # where no place lies within the hull of all, the hulls of neighbours fill it
    hull = shapely.convex_hull(shapely.multipoints(lines.reshape(-1, 2)))
    outer = shapely.Polygon([lines[0, 0], *lines[:, lines.shape[1] // 2], lines[0, -1]])
    if lines.shape[1] == _STRAIGHT and outer.is_valid and hull.area - outer.area <= _SAME * hull.area:
        return hull
    pairs = [lines[:1], *(lines[place : place + 2] for place in range(len(lines) - 1))]
    return shapely.union_all(
        [shapely.convex_hull(shapely.multipoints(pair.reshape(-1, 2))) for pair in pairs]
    )


def behind_anchor(
    anchor_m: tuple[float, float], pulls: npt.ArrayLike, *, half_angle_deg: float, length_m: float
) -> shapely.Polygon:
    """Ground behind a loaded anchor, where a parted line, sling or picket comes back over it.

    Parameters
    ----------
    anchor_m : x and y of the tie point [m]
    pulls : what pulls on the anchor, x and y, over the carriage's travel, shape (k, 2) [any unit]
    half_angle_deg : how far beside the line of the pull, 1 to 60 degrees; the agency's figure
    length_m : how far behind the anchor; the agency's figure [m]

    Raises
    ------
    OutOfRange
        For pulls of no direction or that leave no side free, angles and lengths outside 1 to 60 degrees
        and 0.1 to 250 m.

    Notes
    -----
    A sector round the anchor, opposite to the pulls; its arc is drawn by chords that lie outside of it.
    """
    pull = _places("pulls", pulls, axes=2)
    if (np.hypot(*pull.T) == 0.0).any():
        raise OutOfRange("pulls: no direction; got 0, 0; allowed: any pull")
    half = float(require(_HALF_ANGLE_DEG, half_angle_deg))
    length = float(require(_LENGTH_M, length_m))
    back = -pull / np.hypot(*pull.T)[:, None]
    middle_deg = degrees(np.arctan2(*back.sum(axis=0)[::-1]))
    off_deg = (np.degrees(np.arctan2(back[:, 1], back[:, 0])) - middle_deg + 180.0) % 360.0 - 180.0
    from_deg, to_deg = float(off_deg.min()) - half, float(off_deg.max()) + half
    if to_deg - from_deg >= 180.0:
        raise OutOfRange(
            f"pulls: on all sides; got {to_deg - from_deg:.0f} degrees; allowed under 180 degrees"
        )
    steps = ceil((to_deg - from_deg) / _STEP_DEG)
    angles = np.radians(middle_deg + np.linspace(from_deg, to_deg, steps + 1))
    outer = length / cos(radians((to_deg - from_deg) / steps / 2.0))
    arc = np.column_stack([np.cos(angles), np.sin(angles)]) * outer + np.asarray(anchor_m)
    return shapely.Polygon(np.vstack([anchor_m, arc]))


def swept_by_line(station_m: tuple[float, float], ends_m: npt.ArrayLike) -> shapely.Geometry:
    """Ground that a line from a station sweeps while its end moves.

    Parameters
    ----------
    station_m : x and y where the line is made fast [m]
    ends_m : where its end goes, in order, shape (k, 2), k at least 2 [m]

    Raises
    ------
    OutOfRange
        For another shape, and what is not finite.
    """
    ends = _places("ends_m", ends_m, axes=2)
    if len(ends) < 2:
        raise OutOfRange("ends_m: one place; allowed 2 or more")
    way = ends - np.asarray(station_m)
    turned = np.sign(way[:-1, 0] * way[1:, 1] - way[:-1, 1] * way[1:, 0])
    fan = shapely.Polygon(np.vstack([station_m, ends]))
    # one that does not fold, turning one way all along within an outline that does not cross itself
    if np.abs(turned.sum()) == len(turned) and fan.is_valid:
        return fan
    station = np.broadcast_to(np.asarray(station_m, dtype=np.float64), (len(ends) - 1, 2))
    return shapely.union_all(shapely.polygons(np.stack([station, ends[:-1], ends[1:]], axis=1)))


def no_go_ground(parts: Sequence[shapely.Geometry], *, margin_m: float) -> shapely.Geometry:
    """All the ground together, with room about it.

    Parameters
    ----------
    parts : geometries in the site's frame [m]
    margin_m : room about each [m]

    Raises
    ------
    OutOfRange
        For a margin outside 0 to 50 m.
    """
    margin = float(require(_MARGIN_M, margin_m))
    # a buffer's corners lie on its circle and the chords inside: drawn so much wider, the chords lie outside
    wider = margin / cos(radians(45.0 / _QUARTER_CHORDS))
    return shapely.buffer(shapely.union_all(list(parts)), wider, quad_segs=_QUARTER_CHORDS)
