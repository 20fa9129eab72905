"""Where a tethered boat works, seen along the flow: work area and included angle at the bow.

Everything here is plan geometry in two coordinates along the flow: *across* it, toward the far bank, and
*along* it, downriver. With the skew s of the flow from +y toward +x they are

    across = x cos s - y sin s,    along = x sin s + y cos s

(`atlas.rigging.drift.flow_coordinates`).

**Included angle.** The angle between the two bow lines at the bow, in plan. Seen in space it is smaller,
cos a' = c1 c2 cos a + s1 s2 with the cosines and sines of the lines' slopes, wherever a is 90 degrees or
more and both stations stand higher than the bow ring: the plan angle is the one that decides, and the one
that sets the forces (the boat floats, only the horizontal balance counts).

**Where it is worst.** With both stations as complex numbers the angle at z is the absolute value of
Im log((z - far) / (z - near)), harmonic away from the stations, and an absolute value of it has no greatest
value inside an area that does not touch the line from station to station (maximum principle). So the worst
place of a work area lies on its outline: at a corner, or where an edge touches a circle through both
stations, which is a quadratic on each edge.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import shapely

from atlas.faults import OutOfRange
from atlas.rigging.drift import SKEW_DEG, flow_coordinates
from atlas.rigging.ferry import StationPoint
from atlas.rigging.shown import FloatArray, Shown, numbers, require

__all__ = [
    "Place",
    "TetherGeometry",
    "WorstAngle",
    "farthest_m",
    "from_flow",
    "included_angle_deg",
    "pull_sector_deg",
    "quadratic_roots",
    "tether_geometry",
    "to_flow",
    "with_shape",
    "with_stations",
    "worst_angle",
]

Place = tuple[float, float]
"""x, y [m] in the site's frame."""

_COORDINATE_M = Shown("x_m, y_m", -1000.0, 1000.0, "m")
_HEIGHT_M = Shown("z_m", -100.0, 100.0, "m")
_NEAREST_M = 1.0
"""A boat nearer to a station than this lies at the bank, not on a tether [m]."""


@dataclass(frozen=True, slots=True, eq=False)
class TetherGeometry:
    """Two upriver stations and the work area, in coordinates across and along the flow [m].

    Attributes
    ----------
    near, far : stations, shape (2,)
    skew_deg : of the flow in the site's frame
    shape : the work area
    edges : its outer outline, shape (n, 2, 2): start and end of each edge; a point is an edge without length
    """

    near: FloatArray
    far: FloatArray
    skew_deg: float
    shape: shapely.Geometry
    edges: FloatArray

    @property
    def corners(self) -> FloatArray:
        """Ends of all edges, shape (2 n, 2)."""
        return self.edges.reshape(-1, 2)


@dataclass(frozen=True, slots=True)
class WorstAngle:
    """Greatest included angle over a work area [degrees], and the bow's place there."""

    angle_deg: float
    place: Place


def to_flow(places: npt.ArrayLike, *, skew_deg: float) -> FloatArray:
    """Places x, y of the site's frame as across, along; shape (..., 2) [m]."""
    at = numbers("places", places)
    along, across = flow_coordinates(x_m=at[..., 0], y_m=at[..., 1], skew_deg=skew_deg)
    return np.stack([across, along], axis=-1)


def from_flow(places: npt.ArrayLike, *, skew_deg: float) -> FloatArray:
    """Places across, along as x, y of the site's frame; shape (..., 2) [m]. The turn back."""
    return to_flow(places, skew_deg=-skew_deg)


def tether_geometry(
    near: StationPoint, far: StationPoint, work_area: shapely.Geometry, *, skew_deg: float
) -> TetherGeometry:
    """Stations and work area turned into the flow.

    Parameters
    ----------
    near, far : stations of the bow lines
    work_area : places of the bow: points, lines or polygons in the site's frame [m]
    skew_deg : of the flow, from +y toward +x [degrees], -60 to 60

    Raises
    ------
    OutOfRange
        Coordinates past 1000 m or no numbers, a skew past 60 degrees, a work area that is empty or crosses
        itself, stations that do not lie across the flow from each other, a station within 1 m of the work
        area.
    """
    require(SKEW_DEG, skew_deg)
    stations = _stations(near, far, skew_deg=skew_deg)
    if work_area.is_empty or not work_area.is_valid:
        raise OutOfRange("work area: empty, or crosses itself; allowed: a valid geometry")
    require(_COORDINATE_M, shapely.get_coordinates(work_area))
    turned = shapely.transform(work_area, lambda places: to_flow(places, skew_deg=skew_deg))
    shape = shapely.union_all([turned])
    geometry = TetherGeometry(stations[0], stations[1], skew_deg, shape, _edges_of(shape))
    _require_apart(geometry)
    return geometry


def _stations(near: StationPoint, far: StationPoint, *, skew_deg: float) -> FloatArray:
    """Both stations across and along the flow, shape (2, 2), once they can be meant."""
    require(_HEIGHT_M, [near.z_m, far.z_m])
    stations = to_flow(require(_COORDINATE_M, [(near.x_m, near.y_m), (far.x_m, far.y_m)]), skew_deg=skew_deg)
    if not stations[1, 0] - stations[0, 0] > _NEAREST_M:
        raise OutOfRange(
            "stations: the far one does not lie across the flow from the near one; got "
            f"{stations[1, 0] - stations[0, 0]:.6g} m; allowed over {_NEAREST_M:g} m"
        )
    return stations


def _require_apart(geometry: TetherGeometry) -> None:
    """Raise `OutOfRange` for a station at the work area."""
    for name, station in (("near", geometry.near), ("far", geometry.far)):
        apart_m = float(shapely.distance(geometry.shape, shapely.Point(station)))
        if apart_m < _NEAREST_M:
            raise OutOfRange(
                f"work area: at the {name} station; got {apart_m:.6g} m from it; "
                f"allowed {_NEAREST_M:g} m or more"
            )


def with_shape(geometry: TetherGeometry, shape: shapely.Geometry) -> TetherGeometry:
    """The same stations with another work area, across and along the flow."""
    return TetherGeometry(geometry.near, geometry.far, geometry.skew_deg, shape, _edges_of(shape))


def with_stations(geometry: TetherGeometry, near: StationPoint, far: StationPoint) -> TetherGeometry:
    """The same work area seen from other stations.

    Raises
    ------
    OutOfRange
        As `tether_geometry`, for the stations.
    """
    stations = _stations(near, far, skew_deg=geometry.skew_deg)
    found = replace(geometry, near=stations[0], far=stations[1])
    _require_apart(found)
    return found


def included_angle_deg(geometry: TetherGeometry, places: npt.ArrayLike) -> FloatArray:
    """Angle between the two bow lines in plan, 0 to 180 [degrees].

    Parameters
    ----------
    places : of the bow, across and along the flow, shape (..., 2) [m]
    """
    at = np.asarray(places, dtype=np.float64)
    one, other = geometry.near - at, geometry.far - at
    turn = one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]
    return np.asarray(np.degrees(np.arctan2(np.abs(turn), (one * other).sum(axis=-1))))


def worst_angle(geometry: TetherGeometry) -> WorstAngle:
    """Greatest included angle over the whole work area, exactly: see the module.

    180 degrees where the work area touches the straight line between the stations.
    """
    if not _all_on_one_side(geometry):
        between = shapely.intersection(shapely.LineString([geometry.near, geometry.far]), geometry.shape)
        if not between.is_empty:
            return WorstAngle(180.0, _site_place(shapely.get_coordinates(between)[0], geometry.skew_deg))
    # Im((z - near) (z - far) / (d (far - near))) = 0 with z = start + t d: a turn of the angle on the edge
    near, far = complex(*geometry.near), complex(*geometry.far)
    start, step = _complex(geometry.edges[:, 0]), _complex(geometry.edges[:, 1] - geometry.edges[:, 0])
    turn = np.conj(step * (far - near))
    quadratics = np.stack(
        [step**2 * turn, step * (2.0 * start - near - far) * turn, (start - near) * (start - far) * turn],
        axis=-1,
    ).imag
    share = np.clip(quadratic_roots(quadratics), 0.0, 1.0)
    within = geometry.edges[:, :1] + share[..., np.newaxis] * np.diff(geometry.edges, axis=1)
    places = np.concatenate([geometry.corners, within.reshape(-1, 2)])
    angles = included_angle_deg(geometry, places)
    worst = int(angles.argmax())
    return WorstAngle(float(angles[worst]), _site_place(places[worst], geometry.skew_deg))


def _all_on_one_side(geometry: TetherGeometry) -> bool:
    """Every corner of the work area lies on one side of the line through the stations."""
    chord, run = geometry.far - geometry.near, geometry.corners - geometry.near
    side = chord[0] * run[:, 1] - chord[1] * run[:, 0]
    return bool(side.min() > 0.0 or side.max() < 0.0)


def quadratic_roots(quadratics: FloatArray) -> FloatArray:
    """Roots of quadratics, highest power first, shape (..., 3) to (..., 2).

    Of complex ones the real part, and 0 for what is none: one place more of an outline does no harm where
    the greatest of all is looked for.
    """
    a, half, c = quadratics[..., 0], 0.5 * quadratics[..., 1], quadratics[..., 2]
    # the root of the two that needs no difference of alike numbers first, the other from their product
    first = -(half + np.copysign(np.sqrt(np.maximum(half**2 - a * c, 0.0)), half))
    roots = np.zeros((*a.shape, 2))
    np.divide(first, a, out=roots[..., 0], where=a != 0.0)
    np.divide(c, first, out=roots[..., 1], where=first != 0.0)
    return roots


def farthest_m(
    station: StationPoint, geometry: TetherGeometry, *, ring_z_m: npt.ArrayLike, astern_m: float
) -> float:
    """Greatest straight distance from a station to a ring on the boat, over the whole work area [m].

    Parameters
    ----------
    ring_z_m : height of the ring over the survey day's water; of several the worst counts [m]
    astern_m : how far downriver of the bow the ring is [m]

    Notes
    -----
    A distance is convex, so it is greatest at a corner. The line is taken straight: its own sag adds less
    than the spare.
    """
    at = to_flow((station.x_m, station.y_m), skew_deg=geometry.skew_deg)
    run = geometry.corners + np.array([0.0, astern_m]) - at
    rises = station.z_m - np.asarray(ring_z_m, dtype=np.float64)
    return float(np.sqrt((run**2).sum(axis=-1).max() + (rises**2).max()))


def pull_sector_deg(station: StationPoint, geometry: TetherGeometry) -> tuple[float, float]:
    """Between which directions a line pulls on its station over the whole work area [degrees].

    In plan, in the site's frame, from +y toward +x, the lesser first. Seen from outside, a work area ends
    at a corner on either side.
    """
    run = from_flow(geometry.corners, skew_deg=geometry.skew_deg) - np.array([station.x_m, station.y_m])
    angles = np.degrees(np.arctan2(run[:, 0], run[:, 1]))
    off = (angles - angles[0] + 180.0) % 360.0 - 180.0
    return float(angles[0] + off.min()), float(angles[0] + off.max())


def _complex(places: FloatArray) -> npt.NDArray[np.complex128]:
    return places[:, 0] + 1j * places[:, 1]


def _site_place(place: FloatArray, skew_deg: float) -> Place:
    x, y = from_flow(place, skew_deg=skew_deg).tolist()
    return (x, y)


def _edges_of(shape: shapely.Geometry) -> FloatArray:
    """Outer outline of a shape as edges; a point as an edge without length.

    What is greatest over an area with its holes filled lies on its outer outline, which is water that
    counts: so holes need no look.
    """
    edges = []
    for piece in shapely.get_parts(shape):
        at = shapely.get_coordinates(piece)
        if piece.geom_type == "Polygon":
            at = shapely.get_coordinates(piece.exterior)
        edges += [(at[0], at[0])] if len(at) == 1 else list(pairwise(at))
    return np.array(edges, dtype=np.float64).reshape(-1, 2, 2)
