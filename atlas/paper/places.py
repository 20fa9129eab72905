"""Candidate places for labels: rings of boxes round a point, and what strikes them out.

All tests run over whole arrays, one candidate a row, which is what keeps a crowded plan under ten
milliseconds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from atlas.paper.boxes import Box, Point

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

__all__ = ["PATTERNS", "Candidates", "Clear", "LabelWish", "Pattern", "conflicts"]

# Distances of the rings from the mark's edge [mm]; from _LEADER_FROM_MM on a label needs a leader.
_NEAR_RINGS_MM = (0.0, 1.5)
_RINGS_MM = (*_NEAR_RINGS_MM, 4.0, 7.0, 11.0, 16.0, 22.0, 30.0)
_LEADER_FROM_MM = 4.0
# Directions, clockwise from the right [sixteenths of a turn], best first: beside, at the corners,
# above and below, then those between. A matter of taste, no source.
_DIRECTIONS = (0, 8, 14, 2, 10, 6, 12, 4, 15, 1, 9, 7, 13, 11, 3, 5)
_TURN = 16
# The second try, for crowded corners: many more places, ten times the time.
_FINE_RINGS_MM = (*_RINGS_MM, 2.5, 5.5, 9.0, 13.5, 19.0, 26.0, 35.0, 40.0, 46.0, 53.0, 60.0)
_FINE_TURN = 48
_COST_OF_DIRECTIONS = 1.8  # from the best to the worst: less than the step to the third ring
_NEXT_POINT_COST = 0.8
_CROSSING_COST = 6.0  # a leader over a line


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelWish:
    """A label that seeks a place.

    Attributes
    ----------
    key : names the label in results and errors
    points : what it names; several where any will do (along a line), best first
    width_mm, height_mm : of the label
    mark_mm : radius of the mark drawn at the point, which no label may cover
    """

    key: str
    points: tuple[Point, ...]
    width_mm: float
    height_mm: float
    mark_mm: float = 1.0


@dataclass(frozen=True, slots=True)
class Candidates:
    """Candidate places, one a row.

    Attributes
    ----------
    owner : number of the wish
    boxes : left, top, right, bottom
    leaders : x and y at the mark, x and y at the label; NaN where there is none
    """

    owner: NDArray[np.intp]
    boxes: Floats
    leaders: Floats
    cost: Floats

    def only(self, keep: Bools) -> Candidates:
        """Those that a mask keeps."""
        return Candidates(self.owner[keep], self.boxes[keep], self.leaders[keep], self.cost[keep])


@dataclass(frozen=True, slots=True)
class Pattern:
    """Candidates round any point, one a row.

    Attributes
    ----------
    unit : direction
    half_share : how much of half the label's width and height lies between ring and its middle
    ring_mm : distance from the mark's edge
    """

    unit: Floats
    half_share: Floats
    ring_mm: Floats
    cost: Floats


def _pattern(rings_mm: Sequence[float], directions: Sequence[int], turn: int) -> Pattern:
    """Every direction (parts of a turn, best first) on every ring."""
    angles = np.array(directions) * (2 * math.pi / turn)
    unit = np.column_stack([np.cos(angles), np.sin(angles)])
    unit[np.abs(unit) < 1e-9] = 0.0
    unit = np.tile(unit, (len(rings_mm), 1))
    ring_mm = np.repeat(rings_mm, len(directions))
    ranks = np.linspace(0.0, _COST_OF_DIRECTIONS, len(directions))
    half_share = unit / np.abs(unit).max(axis=1, keepdims=True)
    return Pattern(unit, half_share, ring_mm, ring_mm + np.tile(ranks, len(rings_mm)))


PATTERNS = (
    _pattern(_NEAR_RINGS_MM, _DIRECTIONS, _TURN),
    _pattern(_RINGS_MM, _DIRECTIONS, _TURN),
    _pattern(_FINE_RINGS_MM, range(_FINE_TURN), _FINE_TURN),
)
"""Few places close by; those and more with leaders; very many, for crowded corners."""


def _round_points(
    pattern: Pattern, points: Floats, half: Floats, mark_mm: Floats, gap_mm: float
) -> tuple[Floats, Floats]:
    """Boxes and leaders of all candidates round points; one point a row, one candidate a column."""
    point, half = points[:, None, :], half[:, None, :]
    mark = mark_mm[:, None, None]
    reach = pattern.ring_mm[:, None] + mark + gap_mm
    centre = point + reach * pattern.unit + pattern.half_share * half
    boxes = np.concatenate([centre - half, centre + half], axis=-1)
    start = np.broadcast_to(point + mark * pattern.unit, centre.shape)
    end = np.clip(point, boxes[..., :2], boxes[..., 2:]) - gap_mm * pattern.unit
    leaders = np.concatenate([start, end], axis=-1)
    leaders[:, pattern.ring_mm < _LEADER_FROM_MM] = np.nan
    return boxes.reshape(-1, 4), leaders.reshape(-1, 4)


def _of_level(pattern: Pattern, wishes: Sequence[tuple[int, LabelWish]], gap_mm: float) -> Candidates:
    """Candidates of those wishes that look for a place in one pattern."""
    rows = [(number, rank, wish) for number, wish in wishes for rank in range(len(wish.points))]
    points = np.array([wish.points[rank] for _, rank, wish in rows])
    half = np.array([(wish.width_mm / 2, wish.height_mm / 2) for _, _, wish in rows])
    marks = np.array([wish.mark_mm for _, _, wish in rows])
    boxes, leaders = _round_points(pattern, points, half, marks, gap_mm)
    ranks = np.array([rank for _, rank, _ in rows])
    cost = (pattern.cost + ranks[:, None] * _NEXT_POINT_COST).ravel()
    owner = np.repeat([number for number, _, _ in rows], len(pattern.cost))
    return Candidates(owner, boxes, leaders, cost)


def _inside(boxes: Floats, frame: Box) -> Bools:
    low = np.array([frame.left_mm, frame.top_mm])
    high = np.array([frame.right_mm, frame.bottom_mm])
    return np.asarray((boxes[:, :2] >= low).all(axis=1) & (boxes[:, 2:] <= high).all(axis=1))


def _covers_mark(boxes: Floats, wishes: Sequence[LabelWish], gap_mm: float) -> Bools:
    """Whether a box comes too near the mark of any wish."""
    points = np.array([point for wish in wishes for point in wish.points])
    reach = np.array([wish.mark_mm for wish in wishes for _ in wish.points]) + 0.9 * gap_mm
    across, down = (
        np.maximum(boxes[:, None, low] - points[:, low], points[:, low] - boxes[:, None, high]).clip(min=0.0)
        for low, high in ((0, 2), (1, 3))
    )
    return np.asarray((across**2 + down**2 < reach**2).any(axis=1))


def _boxes_meet(boxes: Floats, box: Floats, gap_mm: float) -> Bools:
    return np.asarray(
        (boxes[:, 0] < box[2] + gap_mm)
        & (boxes[:, 2] > box[0] - gap_mm)
        & (boxes[:, 1] < box[3] + gap_mm)
        & (boxes[:, 3] > box[1] - gap_mm)
    )


def _segments_meet_boxes(segments: Floats, boxes: Floats) -> Bools:
    """Slab test, row by row (either may be a single row); NaN segments meet nothing."""
    enters: Floats | float = 0.0
    leaves: Floats | float = 1.0
    for low, high in ((0, 2), (1, 3)):  # across, then down
        start = segments[..., low]
        step = segments[..., high] - start
        step = np.where(np.abs(step) < 1e-12, 1e-12, step)
        first, second = (boxes[..., low] - start) / step, (boxes[..., high] - start) / step
        enters = np.maximum(enters, np.minimum(first, second))
        leaves = np.minimum(leaves, np.maximum(first, second))
    return np.asarray(enters <= leaves)


def _segments_cross(segments: Floats, other: Floats) -> Bools:
    """Whether segments cross another one; NaN segments cross nothing."""

    def side(origin: Floats, end: Floats, point: Floats) -> Floats:
        along, to = end - origin, point - origin
        return np.asarray(along[..., 0] * to[..., 1] - along[..., 1] * to[..., 0])

    a, b, c, d = segments[:, :2], segments[:, 2:], other[:2], other[2:]
    return np.asarray((side(a, b, c) * side(a, b, d) < 0) & (side(c, d, a) * side(c, d, b) < 0))


def conflicts(places: Candidates, taken: int, gap_mm: float) -> Bools:
    """Candidates that cannot stand beside a taken one."""
    box, leader = places.boxes[taken], places.leaders[taken]
    grown = box + np.array([-gap_mm, -gap_mm, gap_mm, gap_mm]) / 2
    hit = _boxes_meet(places.boxes, box, gap_mm) | _segments_meet_boxes(places.leaders, grown)
    if not np.isnan(leader[0]):
        hit |= _segments_meet_boxes(leader, places.boxes) | _segments_cross(places.leaders, leader)
    return hit


def _geometries(obstacles: Sequence[shapely.Geometry]) -> NDArray[np.object_]:
    """An array of geometries even where there are none."""
    return np.array(obstacles, dtype=object)


def _leader_costs(places: Candidates, obstacles: NDArray[np.object_]) -> Floats:
    """Cost of the lines that each leader crosses; none where there is no leader."""
    cost = np.zeros(len(places.owner))
    with_leader = np.flatnonzero(~np.isnan(places.leaders[:, 0]))
    if not len(with_leader):
        return cost
    lines = shapely.linestrings(places.leaders[with_leader].reshape(-1, 2, 2))
    _, crossing = shapely.STRtree(lines).query(obstacles, predicate="intersects")
    np.add.at(cost, with_leader[crossing], _CROSSING_COST)
    return cost


def _leaders_over_marks(places: Candidates, wishes: Sequence[LabelWish]) -> Bools:
    """Whether a leader runs over a mark that is not its own label's."""
    points = np.array([point for wish in wishes for point in wish.points])
    reach = np.array([wish.mark_mm for wish in wishes for _ in wish.points])[:, None]
    owner = np.repeat(np.arange(len(wishes)), [len(wish.points) for wish in wishes])
    marks = np.hstack([points - reach, points + reach])
    hit = np.zeros(len(places.owner), dtype=bool)
    led = np.flatnonzero(~np.isnan(places.leaders[:, 0]))
    if not len(led):
        return hit
    over = _segments_meet_boxes(places.leaders[led, None], marks) & (places.owner[led, None] != owner)
    hit[led] = over.any(axis=1)
    return hit


def _together(found: Sequence[Candidates]) -> Candidates:
    if len(found) == 1:
        return found[0]
    return Candidates(
        np.concatenate([one.owner for one in found]),
        np.concatenate([one.boxes for one in found]),
        np.concatenate([one.leaders for one in found]),
        np.concatenate([one.cost for one in found]),
    )


class Clear:
    """Candidates clear of all that never moves: asked for by wish and pattern, each looked at once."""

    def __init__(
        self,
        wishes: Sequence[LabelWish],
        obstacles: Sequence[shapely.Geometry],
        frame: Box,
        gap_mm: float,
    ) -> None:
        self._wishes = wishes
        self._obstacles = _geometries(obstacles)
        self._frame = frame
        self._gap_mm = gap_mm
        self._known: dict[tuple[int, int], Candidates] = {}

    def _look(self, level: int, numbers: Sequence[int]) -> None:
        wishes, gap_mm = self._wishes, self._gap_mm
        places = _of_level(PATTERNS[level], [(number, wishes[number]) for number in numbers], gap_mm)
        places = places.only(_inside(places.boxes, self._frame))
        places = places.only(~_covers_mark(places.boxes, wishes, gap_mm))
        places = places.only(~_leaders_over_marks(places, wishes))
        grown = places.boxes + np.array([-gap_mm, -gap_mm, gap_mm, gap_mm])
        tree = shapely.STRtree(shapely.box(*grown.T))
        _, struck = tree.query(self._obstacles, predicate="intersects")
        clear = np.ones(len(places.owner), dtype=bool)
        clear[struck] = False
        places = places.only(clear)
        cost = places.cost + _leader_costs(places, self._obstacles)
        places = Candidates(places.owner, places.boxes, places.leaders, cost)
        for number in numbers:
            self._known[number, level] = places.only(places.owner == number)

    def at(self, levels: Sequence[int]) -> Candidates:
        """Those of all wishes, each in its pattern, in the order of the wishes."""
        asked = list(enumerate(levels))
        for level in sorted(set(levels)):
            new = [number for number, own in asked if own == level and (number, level) not in self._known]
            if new:
                self._look(level, new)
        return _together([self._known[one] for one in asked])
