"""What pulls on the carriage at a place: drag, strands, working strand, both ferry lines, weight.

The ring hangs at (x, y, d): y downstream of the track line, d under the near tie point. A force along a
line is written as a density q (tension over distance) times the way to its other end, so that none of
its parts needs an angle:

    F = q (dx, dy, dd),   tension = q s,   s = |(dx, dy, dd)|

With the drag D along the flow, h = ring over the bow ring and r = the horizontal length of the strands,
the strands pull D hypot(1, h / r) in all and D h / r of it down; the working strand carries one n-th of
that toward the up-down station. Each ferry line has its least tension; what is then still missing of the
force along the track line, A, the far one gives, and what is too much the near one. All together

    downstream = D cos(skew) + sum q dy,   down = W + D h / r + sum q dd

With drag alone the flow runs straight across, and there is no working strand and no ferry line.

Arrays of one batch are flat, the batch in their last axis. Before it stands an axis of the two directions
(downstream, down), of the stations (near ferry, far ferry, up-down), or of both in this order.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from atlas.rigging.shown import FloatArray

__all__ = ["END_ROOM_M", "LEAST_MOST_N", "Hung", "Pulls", "Tended", "pull_slopes", "pulls_at"]

END_ROOM_M = 0.1
"""An end of a ferry line that stands less over the line's floor is taken as so high over it: between
two such ends a line is let sag so far, for no crew pulls it straighter [m]."""
LEAST_MOST_N = 1000.0
"""Nobody holds a ferry line harder only to keep it dry: a line that asks for more is let hang lower [N]."""


@dataclass(frozen=True, slots=True, eq=False)
class Tended:
    """The lines that hold the carriage and the boat, of a batch of carriages.

    Attributes
    ----------
    share : of the strands' pull that the working strand carries
    half_weight : half of a metre's weight of a ferry line [N/m]
    rub : friction along the track line for each newton on the carriage's pulley
    floor : depth under the near tie point that the ferry lines are to stay over [m]
    x : from the carriage to the stations, toward the far bank [m]
    yd : of the stations: downstream of the track line, and under the near tie point [m]
    """

    share: FloatArray
    half_weight: FloatArray
    rub: FloatArray
    floor: FloatArray
    x: FloatArray
    yd: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Hung:
    """What hangs on the carriages of a batch.

    Attributes
    ----------
    drag : of what the current pushes [N]
    along, downstream : parts of the flow's direction
    weight : of the carriage [N]
    ring_drop : the ring under the track line [m]
    bow_ring : depth of the bow ring under the near tie point [m]
    reach : from the track line along the flow to the boat [m]
    strand_least : least horizontal length of the strands [m]; a reach far below nothing holds them so long
    tended : None with drag alone
    """

    drag: FloatArray
    along: FloatArray
    downstream: FloatArray
    weight: FloatArray
    ring_drop: FloatArray
    bow_ring: FloatArray
    reach: FloatArray
    strand_least: FloatArray
    tended: Tended | None

    def part(self, which: npt.NDArray[np.intp]) -> Hung:
        """Some of the carriages, by index."""
        tended = self.tended
        return Hung(
            drag=self.drag[which],
            along=self.along[which],
            downstream=self.downstream[which],
            weight=self.weight[which],
            ring_drop=self.ring_drop[which],
            bow_ring=self.bow_ring[which],
            reach=self.reach[which],
            strand_least=self.strand_least[which],
            tended=None
            if tended is None
            else Tended(*(getattr(tended, item.name)[..., which] for item in fields(tended))),
        )


@dataclass(frozen=True, slots=True, eq=False)
class TendedPulls:
    """What the tended lines pull with at a place of the ring.

    Attributes
    ----------
    way : from the ring to the stations, downstream and down [m]
    nearness : 1 over the distance to the stations [1/m]
    ring_room : from the ring down to the floor of the ferry lines [m]
    mean_room : geometric mean of the rooms under both ends of a ferry line [m]
    room : (root of one + root of the other)^2 [m]
    least : density of the ferry lines at their least tension [N/m]
    left : what these leave of the force along the track line [N]
    density : of the three lines, all told [N/m]
    """

    way: FloatArray
    nearness: FloatArray
    ring_room: FloatArray
    mean_room: FloatArray
    room: FloatArray
    least: FloatArray
    left: FloatArray
    density: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Pulls:
    """All that pulls at a place of the ring.

    Attributes
    ----------
    load : downstream and down, in all [N]
    strand : all strands together [N]
    slope : of the strands, h / r
    strand_length : r [m]
    tended : None with drag alone
    """

    load: FloatArray
    strand: FloatArray
    slope: FloatArray
    strand_length: FloatArray
    tended: TendedPulls | None


def _tended_pulls(
    hung: Hung, tended: Tended, *, ring: FloatArray, working: FloatArray, along: FloatArray
) -> TendedPulls:
    """Ferry lines and working strand, with the ring where it is and `along` asked of them and the drag.

    The least tension of a ferry line keeps its lowest point over the floor it is given, or at its lower
    end where that is less. As a parabola between ends a and b over the floor,
    q = w s / (2 (sqrt a + sqrt b)^2), for a level line the textbook w s^2 / (8 sag) over s (Beer and
    Johnston, Vector Mechanics, cables with distributed loads); ends under the floor as `END_ROOM_M` says,
    and never more than `LEAST_MOST_N`.
    """
    way = tended.yd - ring[:, np.newaxis]
    nearness = 1.0 / np.sqrt(tended.x * tended.x + way[0] * way[0] + way[1] * way[1])
    station_room = np.maximum(tended.floor - tended.yd[1, :2], END_ROOM_M)
    ring_room = np.maximum(tended.floor - ring[1], END_ROOM_M)
    mean_room = np.sqrt(station_room * ring_room)
    room = station_room + ring_room + 2.0 * mean_room
    density = np.empty_like(nearness)
    least = np.minimum(tended.half_weight / (nearness[:2] * room), LEAST_MOST_N * nearness[:2])
    density[:2] = least
    density[2] = working * nearness[2]
    pull = density * tended.x
    left = along - hung.along * hung.drag - (pull[0] + pull[1] + pull[2])
    density[0] += np.maximum(-left, 0.0) / np.abs(tended.x[0])
    density[1] += np.maximum(left, 0.0) / np.abs(tended.x[1])
    return TendedPulls(way, nearness, ring_room, mean_room, room, least, left, density)


def pulls_at(hung: Hung, *, place: FloatArray, along: FloatArray) -> Pulls:
    """What pulls on carriages that their line holds there (equations at the module's head).

    Parameters
    ----------
    place : y and d of the carriage on its line [m]
    along : A, the force along the line that must be given to keep the carriage there [N]
    """
    ring = np.empty_like(place)
    ring[0] = place[0]
    ring[1] = place[1] + hung.ring_drop
    length = np.maximum(hung.reach - ring[0], hung.strand_least)
    slope = np.maximum(hung.bow_ring - ring[1], 0.0) / length
    strand = hung.drag * np.sqrt(1.0 + slope * slope)
    load = np.empty_like(place)
    load[0] = hung.downstream * hung.drag
    load[1] = hung.weight + hung.drag * slope
    tended = None
    if hung.tended is not None:
        tended = _tended_pulls(hung, hung.tended, ring=ring, working=hung.tended.share * strand, along=along)
        pull = tended.density * tended.way
        load += pull[:, 0]
        load += pull[:, 1]
        load += pull[:, 2]
    return Pulls(load, strand, slope, length, tended)


def _density_slopes(
    hung: Hung, pulls: Pulls, lines: Tended, at: TendedPulls, by_slope: FloatArray
) -> FloatArray:
    """Derivatives of the densities of ferry lines' least tension and working strand with y and d."""
    by = np.empty_like(at.way)
    square = at.nearness[:2] * at.nearness[:2]
    most = at.least >= LEAST_MOST_N * at.nearness[:2]
    by[:, :2] = np.where(most, at.least, -at.least) * square * at.way[:, :2]
    # the lower the ring, the less room is under it
    sagging = (at.ring_room > END_ROOM_M) & ~most
    by[1, :2] += np.where(sagging, at.least * (1.0 + at.mean_room / at.ring_room) / at.room, 0.0)
    near = at.nearness[2]
    by[:, 2] = (lines.share * pulls.strand * near * near * near) * at.way[:, 2]
    lean = lines.share * hung.drag * pulls.slope * near / np.sqrt(1.0 + pulls.slope * pulls.slope)
    by[:, 2] += lean * by_slope
    return by


def pull_slopes(hung: Hung, pulls: Pulls, *, place: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Derivatives of the load.

    Returns
    -------
    with y and d: shape (2, 2, batch), the load's direction first [N/m]
    with the force along the track line: shape (2, batch)
    """
    by_slope = np.empty_like(place)
    by_slope[0] = np.where(hung.reach - place[0] > hung.strand_least, pulls.slope / pulls.strand_length, 0.0)
    by_slope[1] = np.where(pulls.slope > 0.0, -1.0 / pulls.strand_length, 0.0)
    by_place = np.zeros((2, *place.shape))
    by_place[1] = hung.drag * by_slope
    if hung.tended is None or pulls.tended is None:
        return by_place, np.zeros_like(place)
    lines, at = hung.tended, pulls.tended
    by = _density_slopes(hung, pulls, lines, at, by_slope)
    taken = np.empty_like(at.least)
    taken[0] = (at.left < 0.0) / -np.abs(lines.x[0])
    taken[1] = (at.left > 0.0) / np.abs(lines.x[1])
    given = by * lines.x
    given = given[:, 0] + given[:, 1] + given[:, 2]
    by[:, 0] -= taken[0] * given
    by[:, 1] -= taken[1] * given
    for line in range(3):
        by_place += by[:, line] * at.way[:, line][:, np.newaxis]
    whole = at.density[0] + at.density[1] + at.density[2]
    by_place[0, 0] -= whole
    by_place[1, 1] -= whole
    return by_place, taken[0] * at.way[:, 0] + taken[1] * at.way[:, 1]
