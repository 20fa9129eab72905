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
from atlas.rigging.falls import falls_within
from atlas.rigging.shown import FloatArray
from atlas.rigging.tether_depth import across_margin_m
from atlas.rigging.tether_geometry import Place, TetherGeometry, from_flow

__all__ = [
    "WorstShares",
    "bow_lift_share",
    "greatest_shares",
    "holding_speed_m_s",
    "on_axis_share",
    "tension_shares",
    "worst_shares",
    "worst_shares_at",
]


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
    near, far = _worst_of_lines(geometry, heights)
    across, area2 = _levers(geometry, geometry.corners)
    # a ratio of two linear functions: greatest at a corner
    lift = ((heights @ across[:, ::-1].T) / area2).max(axis=1).tolist()
    turned = [from_flow(line.places, skew_deg=geometry.skew_deg).tolist() for line in (near, far)]
    return [
        WorstShares(near_share, far_share, (near_at[0], near_at[1]), (far_at[0], far_at[1]), most)
        for near_share, far_share, near_at, far_at, most in zip(
            near.shares.tolist(), far.shares.tolist(), *turned, lift, strict=True
        )
    ]


def greatest_shares(geometry: TetherGeometry, heights_m: npt.ArrayLike) -> FloatArray:
    """Only the tensions of `worst_shares_at`, near before far, shape (n, 2).

    Raises
    ------
    OutOfRange
        As `worst_shares`.
    """
    near, far = _worst_of_lines(geometry, np.asarray(heights_m, dtype=np.float64))
    return np.stack([near.shares, far.shares], axis=-1)


@dataclass(frozen=True, slots=True, eq=False)
class _LineWorst:
    """Greatest tension of one line over drag, shape (n,), and the bow's places, shape (n, 2)."""

    shares: FloatArray
    places: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class _LineEdges:
    """Edges as one line sees them: tension over drag is sqrt(square + height^2) x ratio at their ends.

    Attributes
    ----------
    edges : shape (m, 2, 2)
    squares : of the distance in plan, shape (m, 2)
    ratios : a / A of the module's equations, shape (m, 2)
    """

    edges: FloatArray
    squares: FloatArray
    ratios: FloatArray

    def which_count(self, squares: FloatArray) -> _LineEdges:
        """Those of which some part may carry more than a certain corner, for heights of these squares.

        The square of the distance is convex along an edge and the ratio of two linear functions has no
        greatest value within, so nothing on the edge exceeds the greater square times the greater ratio.
        Squared, this and what the corner carries are linear in the square of the height: a bound
        that is under the corner's for the least and the greatest height is under it for all between.
        """
        ends = np.array([squares.min(), squares.max()])
        ratios2 = self.ratios**2
        carried = (self.squares + ends.mean()) * ratios2
        edge, end = divmod(int(carried.argmax()), 2)
        corner = (self.squares[edge, end] + ends) * ratios2[edge, end]
        bound = (self.squares.max(axis=1)[:, np.newaxis] + ends) * ratios2.max(axis=1)[:, np.newaxis]
        counts = (bound > corner).any(axis=1)
        counts[edge] = True
        return _LineEdges(self.edges[counts], self.squares[counts], self.ratios[counts])


def _worst_of_lines(geometry: TetherGeometry, heights: FloatArray) -> tuple[_LineWorst, _LineWorst]:
    """Greatest tensions of the near and the far line over the whole outline.

    Raises
    ------
    OutOfRange
        As `worst_shares`.
    """
    across, area2 = _levers(geometry, geometry.edges)
    if across_margin_m(geometry) <= 0.0 or area2.min() <= 0.0:
        raise OutOfRange("work area: reaches where a bow line would have to push; no greatest tension")
    near, far = (
        _worst_of_line(
            geometry,
            line,
            _LineEdges(
                geometry.edges,
                ((geometry.edges - station) ** 2).sum(axis=-1),
                across[..., 1 - line] / area2,
            ),
            heights[:, line],
        )
        for line, station in enumerate((geometry.near, geometry.far))
    )
    return near, far


def _worst_of_line(
    geometry: TetherGeometry, line: int, every: _LineEdges, heights_m: FloatArray
) -> _LineWorst:
    squares = heights_m**2
    seen = every.which_count(squares)
    corners = seen.edges.reshape(-1, 2)
    carried = np.sqrt(seen.squares.ravel() + squares[:, np.newaxis]) * seen.ratios.ravel()
    at, rows = carried.argmax(axis=1), np.arange(len(heights_m))
    shares, places = carried[rows, at], corners[at]
    cubics = _turning_cubics(geometry, seen.edges, line=line, heights_m=heights_m)
    stage, edge = np.nonzero(_may_turn(cubics))
    if stage.size:
        which, way = falls_within(cubics[stage, edge])
        stage, (start, end) = stage[which], seen.edges[edge[which]].swapaxes(0, 1)
        within = start + way[:, np.newaxis] * (end - start)
        turning = _carried(geometry, within, line=line, squares=squares[stage])
        # the greatest of a stage comes last and stays
        order = np.argsort(turning)
        order = order[turning[order] > shares[stage[order]]]
        shares[stage[order]], places[stage[order]] = turning[order], within[order]
    return _LineWorst(shares, places)


def _carried(geometry: TetherGeometry, at: FloatArray, *, line: int, squares: FloatArray) -> FloatArray:
    """Tension of a line over drag at places, shape (n, 2), at stations whose height has these squares."""
    across, area2 = _levers(geometry, at)
    run = at - (geometry.near if line == 0 else geometry.far)
    return np.asarray(np.sqrt((run**2).sum(axis=-1) + squares) * across[:, 1 - line] / area2)


def _may_turn(cubics: FloatArray) -> npt.NDArray[np.bool_]:
    """Whether a cubic may go from over to under zero between 0 and 1, shape (...).

    By its Bernstein coefficients: it has at most as many roots there as they change their sign, and as many
    less an even number (Descartes' rule); with one change the root is a fall only if it begins over zero.
    """
    a, b, c, d = (cubics[..., power] for power in range(4))
    bernstein = np.stack([d, d + c / 3.0, d + (2.0 * c + b) / 3.0, a + b + c + d])
    signs = np.sign(bernstein)
    changes = (signs[:-1] * signs[1:] <= 0.0).sum(axis=0)
    return np.asarray((changes > 1) | ((changes == 1) & (signs[0] >= 0.0)))


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


def _turning_cubics(
    geometry: TetherGeometry, edges: FloatArray, *, line: int, heights_m: FloatArray
) -> FloatArray:
    """Of each edge, the cubic whose roots are where the line's tension turns, shape (heights, edges, 4).

    With the share of the way t, d^2 = Q a quadratic, a and A linear: the derivative of ln(d a / A) is zero
    where Q' a A + 2 Q (a' A - a A') = 0; the bracket is the same all along the edge. The sign of the cubic
    is that of the derivative.
    """
    start, end = edges[:, 0], edges[:, 1]
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
