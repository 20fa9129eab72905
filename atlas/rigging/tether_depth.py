"""How far upriver the stations of a tether stand, and must stand, for the included angle at the bow.

Places of one angle lie on a circle through both stations (Euclid, Elements III.21). Moving both stations
upriver along the flow is the same as moving the work area downriver out of that circle, so the least move
is the greatest height of the circle's lower arc over the work area: at a corner, or where the arc is as
steep as an edge. No depth helps where the work area reaches past the line of flow through a station: there
one line is slack and the boat swings.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, radians, sin, tan

import numpy as np
import numpy.typing as npt

from atlas.rigging.shown import FloatArray, Shown, require
from atlas.rigging.tether_geometry import TetherGeometry

__all__ = [
    "AngleCircle",
    "StationDepth",
    "across_margin_m",
    "angle_circle",
    "level_depth_m",
    "station_depth",
]

_ANGLE_DEG = Shown("angle_most_deg", 10.0, 170.0, "degrees")
_ROUND_OFF_M = 1e-6
"""Stations put at the least depth are deep enough, whatever the last digit says."""


@dataclass(frozen=True, slots=True)
class AngleCircle:
    """Circle through both stations on whose downriver arc the included angle has one value."""

    across_m: float
    along_m: float
    radius_m: float

    def exit_m(self, across_m: npt.ArrayLike) -> FloatArray:
        """Where a boat going downriver leaves the circle: along, for each place across [m]."""
        off = np.asarray(across_m, dtype=np.float64) - self.across_m
        return np.asarray(self.along_m + np.sqrt(np.maximum(self.radius_m**2 - off**2, 0.0)))


@dataclass(frozen=True, slots=True)
class StationDepth:
    """How far upriver the two stations stand, and must stand, along the flow [m].

    Attributes
    ----------
    near_m, far_m : from the most upriver place of the work area up to the station; negative is downriver
    needed_m : for two stations side by side, each on its own line of flow: the least depth at which the
        angle is kept over the whole work area. None where no depth serves
    move_m : how much farther upriver the stations as they are must be moved together; 0 where they
        serve, None where no move does
    outside_m : how far the work area reaches past the line of flow through a station, where one of the
        lines would go slack at any depth; 0 where it does not
    """

    near_m: float
    far_m: float
    needed_m: float | None
    move_m: float | None
    outside_m: float

    @property
    def serves(self) -> bool:
        """The stations keep the angle and both lines taut over the whole work area."""
        return self.move_m == 0.0


def across_margin_m(geometry: TetherGeometry) -> float:
    """Least distance of the work area from the lines of flow through the stations [m].

    Negative outside: past a station's line of flow the other bow line cannot hold the boat, at any depth.
    """
    across = geometry.corners[:, 0]
    return float(min(across.min() - geometry.near[0], geometry.far[0] - across.max()))


def angle_circle(*, near: FloatArray, far: FloatArray, angle_deg: float) -> AngleCircle:
    """Circle of places downriver of two stations at which the included angle is `angle_deg`.

    Parameters
    ----------
    near, far : across and along the flow, shape (2,) [m]
    angle_deg : 10 to 170 [degrees]

    Raises
    ------
    OutOfRange
        For another angle.

    Notes
    -----
    Inscribed angle: radius chord / (2 sin a), centre chord / (2 tan a) downriver of the chord's middle,
    so upriver of it past 90 degrees (Euclid, Elements III.20 and III.21).
    """
    require(_ANGLE_DEG, angle_deg)
    chord = far - near
    centre = 0.5 * (near + far) + np.array([-chord[1], chord[0]]) / (2.0 * tan(radians(angle_deg)))
    return AngleCircle(
        float(centre[0]), float(centre[1]), hypot(*chord.tolist()) / (2.0 * sin(radians(angle_deg)))
    )


def level_depth_m(geometry: TetherGeometry, *, angle_most_deg: float) -> float | None:
    """Least depth of two stations side by side, upriver of the work area's most upriver place [m].

    Each stays on its own line of flow. None where the work area reaches past one of those lines.

    Raises
    ------
    OutOfRange
        For an angle outside 10 to 170 degrees.
    """
    level_m = float(geometry.corners[:, 1].min())
    near, far = (np.array([station[0], level_m]) for station in (geometry.near, geometry.far))
    circle = angle_circle(near=near, far=far, angle_deg=angle_most_deg)
    if across_margin_m(geometry) <= 0.0:
        return None
    return _out_of_circle_m(geometry, circle)


def station_depth(geometry: TetherGeometry, *, angle_most_deg: float) -> StationDepth:
    """Depth the stations have, depth two level stations need, and what the surveyed ones lack.

    Raises
    ------
    OutOfRange
        For an angle outside 10 to 170 degrees.
    """
    circle = angle_circle(near=geometry.near, far=geometry.far, angle_deg=angle_most_deg)
    top_m = float(geometry.corners[:, 1].min())
    margin_m = across_margin_m(geometry)
    lacking_m = _out_of_circle_m(geometry, circle)
    return StationDepth(
        near_m=top_m - float(geometry.near[1]),
        far_m=top_m - float(geometry.far[1]),
        needed_m=level_depth_m(geometry, angle_most_deg=angle_most_deg),
        move_m=None if margin_m <= 0.0 else lacking_m if lacking_m > _ROUND_OFF_M else 0.0,
        outside_m=max(-margin_m, 0.0),
    )


def _out_of_circle_m(geometry: TetherGeometry, circle: AngleCircle) -> float:
    """How far downriver the work area must be moved to clear a circle; negative is room to spare [m]."""
    start = geometry.edges[:, 0]
    step = geometry.edges[:, 1] - start
    length = np.hypot(step[:, 0], step[:, 1])
    # the arc is as steep as the edge where its radius is square to it
    downward = np.where(step[:, 0] >= 0.0, 1.0, -1.0)
    lean = np.divide(downward * step[:, 1], length, out=np.zeros_like(length), where=length > 0.0)
    touch = circle.across_m - circle.radius_m * lean - start[:, 0]
    share = np.divide(touch, step[:, 0], out=np.zeros_like(length), where=step[:, 0] != 0.0)
    places = np.concatenate([geometry.corners, start + np.clip(share, 0.0, 1.0)[:, None] * step])
    return float((circle.exit_m(places[:, 0]) - places[:, 1]).max())
