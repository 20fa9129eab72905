"""Grounds and surveyed shapes of a site as geometries, and geometries as grounds."""

from __future__ import annotations

import numpy as np
import shapely

from atlas.frame import PlacedShape
from atlas.plan.crew_results import Ground, Ring
from atlas.rigging.shown import FloatArray

__all__ = ["geometry_of", "geometry_of_ground", "ground_of"]


def geometry_of(shape: PlacedShape) -> shapely.Geometry:
    """A surveyed shape in the site's frame [m]."""
    if shape.kind == "polygon":
        shell, *holes = shape.parts
        return shapely.make_valid(shapely.Polygon(shell, holes))
    if shape.kind == "line":
        return shapely.MultiLineString([list(part) for part in shape.parts])
    return shapely.MultiPoint([point for part in shape.parts for point in part])


def geometry_of_ground(ground: Ground) -> shapely.Geometry:
    """A ground as one geometry [m]."""
    return shapely.union_all([shapely.Polygon(*_arrays(rings)) for rings in ground])


def _arrays(rings: tuple[Ring, ...]) -> tuple[FloatArray, list[FloatArray]]:
    """Shell and holes as arrays, which shapely takes whole and not place by place."""
    shell, *holes = map(np.array, rings)
    return shell, holes


def _ring(ring: shapely.LinearRing) -> Ring:
    return tuple(map(tuple, shapely.get_coordinates(ring).tolist()))


def ground_of(geometry: shapely.Geometry) -> Ground:
    """The polygons of a geometry; what has no surface is left out."""
    return tuple(
        (_ring(part.exterior), *(_ring(hole) for hole in part.interiors))
        for part in shapely.get_parts(geometry)
        if isinstance(part, shapely.Polygon) and part.area > 0.0
    )
