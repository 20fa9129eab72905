"""Reachable water: the part of the work area in which the boat can be held.

With the carriage at x the boat lies down the flow from it, at (x + r sin(skew), bow(x) + r cos(skew)), r the
strands' length in plan: from the closest the boat may be hauled to the farthest its line reaches.
The carriage travels where the ferry lines move it under load. The strip of all these
places, cut with the work area.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from atlas.faults import OutOfRange
from atlas.rigging.drift import SKEW_DEG
from atlas.rigging.shown import FloatArray, numbers, require

__all__ = ["Reach", "boat_places_m", "mesh_ground", "reach_of"]

_GRID_M = 1e-6
"""Corners nearer together than a micrometre are one: no slivers between neighbouring cells."""


@dataclass(frozen=True, slots=True)
class Reach:
    """How much of a work area the boat can be held in.

    Attributes
    ----------
    ground : that part of it, a geometry in the site's frame, possibly empty [m]
    share : its part of the work area: of its surface, or its length, or its points if it has none; 0 to 1
    """

    ground: shapely.Geometry
    share: float


def boat_places_m(
    *, at_m: npt.ArrayLike, bow_m: npt.ArrayLike, strand_m: npt.ArrayLike, skew_deg: float
) -> FloatArray:
    """Places of the boat's bow; the arguments broadcast; x and y in the last axis [m].

    Parameters
    ----------
    at_m : x of the carriage [m]
    bow_m : bow of the track line there [m]
    strand_m : of the strands in plan [m]
    skew_deg : the flow, from straight downstream toward the far bank [degrees]

    Raises
    ------
    OutOfRange
        For a skew past 60 degrees, a negative strand, and what is not finite.
    """
    at, bow, strand = np.broadcast_arrays(
        numbers("at_m", at_m), numbers("bow_m", bow_m), numbers("strand_m", strand_m)
    )
    if not (np.isfinite(at).all() and np.isfinite(bow).all() and np.isfinite(strand).all()):
        raise OutOfRange("at_m, bow_m, strand_m: not finite; allowed: any finite length")
    if (strand < 0.0).any():
        raise OutOfRange(f"strand_m: negative; got {strand.min():.6g} m; allowed 0 m or more")
    skew = np.radians(require(SKEW_DEG, skew_deg))
    return np.stack([at + strand * np.sin(skew), bow + strand * np.cos(skew)], axis=-1)


def mesh_ground(places_m: npt.ArrayLike) -> shapely.Geometry:
    """Ground covered by a mesh of places: every cell between four neighbours [m].

    Parameters
    ----------
    places_m : shape (rows, columns, 2), at least 2 rows and 2 columns; x and y [m]

    Raises
    ------
    OutOfRange
        For another shape.

    Notes
    -----
    Cells are taken as their two triangles, so that a mesh that folds over itself still covers what it does.
    One that does not fold, all triangles turned alike within an outline that does not cross itself, is its
    outline.
    """
    places = numbers("places_m", places_m)
    if places.ndim != 3 or places.shape[2] != 2 or min(places.shape[:2]) < 2:
        raise OutOfRange(f"places_m: no mesh; got shape {places.shape}; allowed (2 or more, 2 or more, 2)")
    first, along, down, both = places[:-1, :-1], places[:-1, 1:], places[1:, :-1], places[1:, 1:]
    outline = shapely.Polygon(
        np.concatenate([places[0], places[1:, -1], places[-1, -2::-1], places[-2:0:-1, 0]])
    )
    turned = [
        np.sign(_cross(along - first, both - first)),
        np.sign(_cross(both - first, down - first)),
    ]
    if np.abs(np.sum(turned)) == 2 * first[..., 0].size and outline.is_valid:
        return outline
    triangles = np.concatenate(
        [
            np.stack([first, along, both], axis=2).reshape(-1, 3, 2),
            np.stack([first, both, down], axis=2).reshape(-1, 3, 2),
        ]
    )
    return shapely.union_all(shapely.polygons(triangles), grid_size=_GRID_M)


def _cross(one: FloatArray, other: FloatArray) -> FloatArray:
    """Twice the area between two ways, positive where the other lies to the left of the one."""
    return np.asarray(one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0])


def reach_of(work_area: shapely.Geometry, water: shapely.Geometry) -> Reach:
    """The part of a work area that lies in the water the boat can be held in.

    Parameters
    ----------
    work_area : a polygon, line or points in the site's frame [m]
    water : of `mesh_ground`

    Raises
    ------
    OutOfRange
        For a work area that is empty or crosses itself.
    """
    if work_area.is_empty or not work_area.is_valid:
        raise OutOfRange("work_area: empty, or crosses itself; allowed: a valid geometry")
    ground = shapely.intersection(work_area, water)
    return Reach(ground, min(_size(ground, like=work_area) / _size(work_area, like=work_area), 1.0))


def _size(geometry: shapely.Geometry, *, like: shapely.Geometry) -> float:
    """Surface, length or number of points, whichever `like` has."""
    if like.area > 0.0:
        return float(geometry.area)
    if like.length > 0.0:
        return float(geometry.length)
    return float(len(shapely.get_coordinates(geometry)))
