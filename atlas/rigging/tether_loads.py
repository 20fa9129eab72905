"""What the two bow lines of a tethered boat carry, for one newton of drag, over its work area.

**Equilibrium.** The boat floats: water carries it and whatever the lines pull up or down, so only the
horizontal balance decides, drag D straight downriver against two lines, each toward its own station. In
the coordinates of `atlas.rigging.tether_geometry`, with a1, a2 how far the bow lies across from the line of
flow through the near and the far station, and m1, m2 how far it lies downriver of them,

    T1 = D d1 a2 / A,    T2 = D d2 a1 / A,    A = a1 m2 + a2 m1,

where d is the straight distance from bow ring to station, heights and all, and A is twice the area of the
triangle of bow and stations. On the axis between two level stations it is T = D / (2 cos(a / 2)) with a
the angle between the lines. Both are positive exactly where the bow lies downriver of the line from station
to station and between the two lines of flow through them; elsewhere one is negative: a line would have to
push, and the boat cannot be held there.

**Where a line carries most.** a / A has one value all along a straight line through the other station, and
d is convex along it: so the tension has no greatest value inside an area, and its worst place lies on the
outline. On an edge it is a corner or a root of a cubic.

Left out: sag and weight of the lines (a few newtons across at the tensions that matter), the drag of a line
that lies in the water, and any part of the load that stern lines take. The bow lines are meant to come down
to the boat: their height over the water is not judged. Stern lines are slack for load; one that trails in the
current pulls the boat downriver and is not counted here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
import numpy.typing as npt

from atlas.faults import OutOfRange
from atlas.rigging.shown import FloatArray
from atlas.rigging.tether_depth import across_margin_m
from atlas.rigging.tether_geometry import Place, TetherGeometry, from_flow, outline_places

__all__ = [
    "WorstShares",
    "bow_lift_share",
    "holding_speed_m_s",
    "on_axis_share",
    "tension_shares",
    "worst_shares",
    "worst_shares_at",
]


_HALVINGS, _NEWTONS = 8, 4
"""Of an interval to a 256th, and then each step squares what is missed; at a turn of the tension a miss of
the place is squared once more."""


@dataclass(frozen=True, slots=True)
class WorstShares:
    """Greatest tension of each bow line over a work area, per newton of drag.

    Attributes
    ----------
    near, far : tension over drag [1]
    near_place, far_place : where the bow is then, site's frame
    lift : greatest lift of the bow by both lines together, over drag [1]; negative is down
    """

    near: float
    far: float
    near_place: Place
    far_place: Place
    lift: float

    @property
    def both(self) -> tuple[float, float]:
        """Near and far."""
        return self.near, self.far

    @property
    def places(self) -> tuple[Place, Place]:
        """Near and far."""
        return self.near_place, self.far_place


def on_axis_share(angle_deg: npt.ArrayLike) -> FloatArray:
    """Tension of each of two alike lines over the load between them: 1 / (2 cos(a / 2)).

    Parameters
    ----------
    angle_deg : between the lines, 0 to under 180 [degrees]

    Raises
    ------
    OutOfRange
        For another angle.
    """
    angle = np.asarray(angle_deg, dtype=np.float64)
    if not np.all((angle >= 0.0) & (angle < 180.0)):
        raise OutOfRange(f"angle_deg: got {angle_deg!r}; allowed 0 to under 180 degrees")
    return np.asarray(0.5 / np.cos(np.radians(0.5 * angle)))


def tension_shares(
    geometry: TetherGeometry, places: npt.ArrayLike, *, near_height_m: float, far_height_m: float
) -> FloatArray:
    """Tension over drag of the near and the far bow line with the bow at each place.

    Parameters
    ----------
    places : across and along the flow, shape (..., 2) [m]
    near_height_m, far_height_m : of the stations over the bow ring [m]

    Returns
    -------
    shape (..., 2), near first. A negative one: the boat cannot be held there. Infinite with the bow on the
    straight line between the stations.
    """
    at = np.asarray(places, dtype=np.float64)
    across, area2 = _levers(geometry, at)
    heights = np.array([near_height_m, far_height_m])
    runs = np.stack([geometry.near - at, geometry.far - at], axis=-2)
    distance = np.sqrt((runs**2).sum(axis=-1) + heights**2)
    shares = np.full(distance.shape, np.inf)
    np.divide(distance * across[..., ::-1], area2[..., None], out=shares, where=area2[..., None] != 0.0)
    return shares


def bow_lift_share(
    geometry: TetherGeometry, places: npt.ArrayLike, *, near_height_m: float, far_height_m: float
) -> FloatArray:
    """Pull of both lines upward on the bow, over drag, shape (...); what buoyancy is relieved of."""
    at = np.asarray(places, dtype=np.float64)
    across, area2 = _levers(geometry, at)
    lever = near_height_m * across[..., 1] + far_height_m * across[..., 0]
    lift = np.full(area2.shape, np.inf)
    np.divide(lever, area2, out=lift, where=area2 != 0.0)
    return lift


def worst_shares(geometry: TetherGeometry, *, near_height_m: float, far_height_m: float) -> WorstShares:
    """Greatest tension over drag of each line over the whole work area, exactly: see the module.

    Parameters
    ----------
    near_height_m, far_height_m : of the stations over the bow ring [m]

    Raises
    ------
    OutOfRange
        The boat cannot be held in all of the work area: some of it is not downriver of the stations, or
        not between them.
    """
    return worst_shares_at(geometry, [[near_height_m, far_height_m]])[0]


def worst_shares_at(geometry: TetherGeometry, heights_m: npt.ArrayLike) -> list[WorstShares]:
    """`worst_shares` at several waters at once.

    Parameters
    ----------
    heights_m : of near and far station over the bow ring, shape (n, 2) [m]

    Raises
    ------
    OutOfRange
        As `worst_shares`.
    """
    heights = np.asarray(heights_m, dtype=np.float64)
    across, area2 = _levers(geometry, geometry.corners)
    if across_margin_m(geometry) <= 0.0 or area2.min() <= 0.0:
        raise OutOfRange("work area: reaches where a bow line would have to push; no greatest tension")
    runs = np.stack([geometry.near - geometry.corners, geometry.far - geometry.corners], axis=-2)
    distance = np.sqrt((runs**2).sum(axis=-1) + heights[:, np.newaxis] ** 2)
    shares = distance * (across[:, ::-1] / area2[:, np.newaxis])
    at = shares.argmax(axis=1)
    worst = np.take_along_axis(shares, at[:, np.newaxis], axis=1)[:, 0]
    places = geometry.corners[at]
    _turning_within(geometry, heights, worst, places)
    # a ratio of two linear functions: greatest at a corner
    lift = ((heights @ across[:, ::-1].T) / area2).max(axis=1)
    turned = from_flow(places, skew_deg=geometry.skew_deg).tolist()
    return [
        WorstShares(near, far, (near_at[0], near_at[1]), (far_at[0], far_at[1]), most)
        for (near, far), (near_at, far_at), most in zip(worst.tolist(), turned, lift.tolist(), strict=True)
    ]


def _turning_within(
    geometry: TetherGeometry, heights: FloatArray, worst: FloatArray, places: FloatArray
) -> None:
    """Raise worst tensions, shape (n, 2), and their places to those within an edge that are greater."""
    cubics = np.stack([_turning_cubics(geometry, line=line, heights_m=heights[:, line]) for line in (0, 1)])
    changes, begins_over = _sign_changes(cubics)
    falls = (changes == 1) & begins_over
    line, stage, edge = np.nonzero(falls)
    if line.size:
        start, end = geometry.edges[edge].swapaxes(0, 1)
        at = start + _falling_root(cubics[falls])[:, np.newaxis] * (end - start)
        across, area2 = _levers(geometry, at)
        run = np.where(line[:, np.newaxis] == 0, geometry.near, geometry.far) - at
        distance = np.sqrt((run**2).sum(axis=-1) + heights[stage, line] ** 2)
        shares = distance * across[np.arange(line.size), 1 - line] / area2
        for one in np.flatnonzero(shares > worst[stage, line]):
            if shares[one] > worst[stage[one], line[one]]:
                worst[stage[one], line[one]] = shares[one]
                places[stage[one], line[one]] = at[one]
    for line_at, stage_at, edge_at in zip(*np.nonzero(changes > 1), strict=True):
        one_edge = slice(edge_at, edge_at + 1)
        within = outline_places(geometry.edges[one_edge], cubics[line_at, stage_at, one_edge])
        near_m, far_m = heights[stage_at].tolist()
        found = tension_shares(geometry, within, near_height_m=near_m, far_height_m=far_m)[:, line_at]
        best = int(found.argmax())
        if found[best] > worst[stage_at, line_at]:
            worst[stage_at, line_at], places[stage_at, line_at] = found[best], within[best]


def _sign_changes(cubics: FloatArray) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.bool_]]:
    """How often a cubic's Bernstein coefficients change their sign, and whether it begins over zero.

    Between 0 and 1 it has as many roots as changes, or less by an even number (Descartes' rule); with one
    change the one root is a fall from over to under zero only if it begins over zero. A coefficient of zero
    counts as a change.
    """
    a, b, c, d = np.moveaxis(cubics, -1, 0)
    bernstein = np.stack([d, d + c / 3.0, d + (2.0 * c + b) / 3.0, a + b + c + d])
    signs = np.sign(bernstein)
    return (signs[:-1] * signs[1:] <= 0.0).sum(axis=0), signs[0] >= 0.0


def _falling_root(cubics: FloatArray) -> FloatArray:
    """Where cubics with one root between 0 and 1 fall from over to under zero, shape (k, 4) to (k,).

    Halved, then refined by Newton's rule within what the halving left.
    """
    a, b, c, d = cubics.T
    low, high = np.zeros(len(cubics)), np.ones(len(cubics))
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        over = ((a * middle + b) * middle + c) * middle + d > 0.0
        low, high = np.where(over, middle, low), np.where(over, high, middle)
    at = 0.5 * (low + high)
    for _ in range(_NEWTONS):
        value, slope = ((a * at + b) * at + c) * at + d, (3.0 * a * at + 2.0 * b) * at + c
        step = np.divide(value, slope, out=np.zeros_like(value), where=slope != 0.0)
        at = np.clip(at - step, low, high)
    return np.asarray(at)


def holding_speed_m_s(*, most_n: float, share: float, drag_per_speed2: float) -> float:
    """Speed at which a line carries `most_n`: sqrt(most / (share x drag at 1 m/s)) [m/s].

    The tension grows with the square of the speed. Infinite for a case without drag.

    Parameters
    ----------
    most_n : greatest tension inside plan [N], not negative
    share : tension over drag [1]
    drag_per_speed2 : drag at 1 m/s, surge included [N s2/m2]
    """
    per_speed2 = share * drag_per_speed2
    return sqrt(most_n / per_speed2) if per_speed2 > 0.0 else np.inf


def _levers(geometry: TetherGeometry, at: FloatArray) -> tuple[FloatArray, FloatArray]:
    """a1 and a2, shape (..., 2), and A, shape (...), of the module's equations."""
    across = np.stack([at[..., 0] - geometry.near[0], geometry.far[0] - at[..., 0]], axis=-1)
    down = at[..., 1, None] - np.array([geometry.near[1], geometry.far[1]])
    return across, (across * down[..., ::-1]).sum(axis=-1)


def _turning_cubics(geometry: TetherGeometry, *, line: int, heights_m: FloatArray) -> FloatArray:
    """Of each edge, the cubic whose roots are where the line's tension turns, shape (heights, edges, 4).

    With the share of the way t, d^2 = Q a quadratic, a and A linear: the derivative of ln(d a / A) is zero
    where Q' a A + 2 Q (a' A - a A') = 0; the bracket is the same all along the edge. The sign of the cubic
    is that of the derivative.
    """
    start, end = geometry.edges[:, 0], geometry.edges[:, 1]
    run = start - (geometry.near if line == 0 else geometry.far)
    step = end - start
    q2, q1 = (step**2).sum(axis=-1), 2.0 * (run * step).sum(axis=-1)
    q0 = (run**2).sum(axis=-1) + heights_m[:, np.newaxis] ** 2
    across_start, area = _levers(geometry, start)
    across_end, area_end = _levers(geometry, end)
    lever, lever_step = across_start[:, 1 - line], (across_end - across_start)[:, 1 - line]
    area_step = area_end - area
    twist = 2.0 * (lever_step * area - lever * area_step)
    product = (lever_step * area_step, lever_step * area + lever * area_step, lever * area)
    cubics = np.empty((*q0.shape, 4))
    cubics[..., 0] = 2.0 * q2 * product[0]
    cubics[..., 1] = 2.0 * q2 * product[1] + q1 * product[0] + q2 * twist
    cubics[..., 2] = 2.0 * q2 * product[2] + q1 * product[1] + q1 * twist
    cubics[..., 3] = q1 * product[2] + q0 * twist
    return cubics
