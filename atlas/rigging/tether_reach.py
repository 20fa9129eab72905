"""Reachable water of a tether: the part of the work area in which the boat can be held.

The bow can be held where both lines pull, the included angle is kept and no line is past what it may carry.
Along one line of flow each of these is an interval of the way downriver, known in closed form:

- both lines pull: between the stations' own lines of flow, downriver of the line from station to station;
- the angle is kept: downriver of the arc of `atlas.rigging.tether_geometry.AngleCircle`, which lies
  downriver of that line;
- a line keeps its tension: with k what it may carry over the drag, W the distance of the stations across
  and e how far its own station lies downriver of the other,
  k^2 (W m + a e)^2 >= b^2 (m^2 + a^2 + h^2) in the way m below its own station, a and b the bow's distance
  across from its own and the other station's line of flow. Close under the stations the tension is
  endless; it falls, and may rise again toward D b / W. So the interval begins at the greater root, or lies
  between the two.

The reachable water is the band between the greatest beginning and the least end, cut with the work area.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from atlas.rigging.shown import FloatArray
from atlas.rigging.tether_depth import angle_circle
from atlas.rigging.tether_geometry import (
    TetherGeometry,
    from_flow,
    included_angle_deg,
    with_shape,
)
from atlas.rigging.tether_loads import tension_shares

__all__ = ["HoldLimits", "can_hold", "holding_part", "tether_water"]

_COLUMNS = 513
"""Lines of flow on which the band's ends are computed; the arcs between them are chords, off by parts in
a hundred thousand of the stations' distance."""
_INSET_M = 1e-6
"""Off the lines of flow through the stations, on which one line is slack."""
_ALMOST_NONE = 1e-12


@dataclass(frozen=True, slots=True)
class HoldLimits:
    """What holding asks.

    Attributes
    ----------
    near_height_m, far_height_m : of the stations over the bow ring [m]
    angle_most_deg : greatest included angle [degrees]
    near_share, far_share : greatest tension of each line over the drag [1]; infinite where any tension
        will do
    """

    near_height_m: float
    far_height_m: float
    angle_most_deg: float
    near_share: float = np.inf
    far_share: float = np.inf


def can_hold(geometry: TetherGeometry, places: npt.ArrayLike, limits: HoldLimits) -> npt.NDArray[np.bool_]:
    """Whether the boat can be held with its bow at each place; for a mask on a grid.

    Parameters
    ----------
    places : across and along the flow, shape (..., 2) [m]; whether they lie in the work area is not asked
    """
    shares = tension_shares(
        geometry, places, near_height_m=limits.near_height_m, far_height_m=limits.far_height_m
    )
    most = np.array([limits.near_share, limits.far_share])
    held = (np.isfinite(shares) & (shares > 0.0) & (shares <= most)).all(axis=-1)
    return held & (included_angle_deg(geometry, places) <= limits.angle_most_deg)


def tether_water(geometry: TetherGeometry, limits: HoldLimits) -> shapely.Geometry:
    """Water in which the boat can be held, as far downriver as the work area reaches; site's frame [m].

    `atlas.rigging.reachable_water.reach_of` tells how much of the work area that is.

    Parameters
    ----------
    limits : what each line may carry is over the greatest drag the boat is to be held in
    """
    water = _water(geometry, limits)
    return shapely.transform(water, lambda places: from_flow(places, skew_deg=geometry.skew_deg))


def holding_part(geometry: TetherGeometry, limits: HoldLimits) -> TetherGeometry | None:
    """The same stations with only the part of the work area that can be held; None where there is none."""
    held = shapely.intersection(_water(geometry, limits), geometry.shape)
    return None if held.is_empty else with_shape(geometry, held)


def _water(geometry: TetherGeometry, limits: HoldLimits) -> shapely.Geometry:
    across = np.linspace(geometry.near[0] + _INSET_M, geometry.far[0] - _INSET_M, _COLUMNS)
    circle = angle_circle(near=geometry.near, far=geometry.far, angle_deg=limits.angle_most_deg)
    begins, ends = circle.exit_m(across), np.full(across.shape, geometry.corners[:, 1].max() + 1.0)
    for line, (height_m, share) in enumerate(
        ((limits.near_height_m, limits.near_share), (limits.far_height_m, limits.far_share))
    ):
        if np.isfinite(share):
            least, most = _kept_between(geometry, across, line=line, height_m=height_m, share=share)
            begins, ends = np.maximum(begins, least), np.minimum(ends, most)
    return shapely.union_all(_bands(across, begins, ends))


def _kept_between(
    geometry: TetherGeometry, across: FloatArray, *, line: int, height_m: float, share: float
) -> tuple[FloatArray, FloatArray]:
    """Between which places along the flow a line carries at most `share` of the drag, on each line of flow.

    An upside-down interval where it does nowhere.
    """
    own, other = (geometry.near, geometry.far) if line == 0 else (geometry.far, geometry.near)
    a, b = np.abs(across - own[0]), np.abs(across - other[0])
    width, shift = abs(other[0] - own[0]), own[1] - other[1]
    square = share**2 * width**2 - b**2
    square = np.where(np.abs(square) < _ALMOST_NONE * width**2, _ALMOST_NONE * width**2, square)
    half = share**2 * width * a * shift
    rest = share**2 * a**2 * shift**2 - b**2 * (a**2 + height_m**2)
    inside = half**2 - square * rest
    # the root of the two that needs no difference of alike numbers first, the other from their product
    first = -(half + np.copysign(np.sqrt(np.maximum(inside, 0.0)), half))
    roots = np.sort(
        np.stack([first / square, np.divide(rest, first, where=first != 0.0, out=np.zeros_like(first))]),
        axis=0,
    )
    # roots upriver of the line of the stations do no harm: the arc of the angle begins the band below it
    nowhere = (square < 0.0) & (inside < 0.0)
    least = np.where(square > 0.0, roots[1], roots[0])
    most = np.where(square > 0.0, np.inf, roots[1])
    return own[1] + np.where(nowhere, np.inf, least), own[1] + np.where(nowhere, -np.inf, most)


def _bands(across: FloatArray, begins: FloatArray, ends: FloatArray) -> list[shapely.Geometry]:
    """Polygons between `begins` and `ends`, one for each run of lines of flow on which there is water."""
    found = np.flatnonzero(begins < ends)
    runs = np.split(found, np.flatnonzero(np.diff(found) > 1) + 1)
    bands = []
    for run in runs:
        if len(run) > 1:
            down = np.stack([across[run], ends[run]], axis=-1)
            up = np.stack([across[run], begins[run]], axis=-1)
            bands.append(shapely.Polygon(np.concatenate([down, up[::-1]])))
    return bands
