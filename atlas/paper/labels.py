"""Labels placed clear of lines, of each other and inside a frame; leaders where they must move away.

Each label has candidate places in rings round the point it names, near ones first. What is always in
the way strikes candidates out once; then the labels take places one by one, the least free first, and
one that finds none goes to the head of the queue and all begin again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from atlas.faults import BlockOverrun
from atlas.paper.boxes import Box, Item, Line, Point, Stroke, Text, TextStyle
from atlas.paper.places import PATTERNS, Candidates, Clear, LabelWish, conflicts

if TYPE_CHECKING:
    from collections.abc import Sequence

    import shapely
    from numpy.typing import NDArray

    from atlas.paper.fonts import FontBook
    from atlas.paper.places import Floats

__all__ = ["LEADER", "LabelWish", "PlacedLabel", "label_items", "place_labels", "text_wish"]

LEADER = Stroke(weight_mm=0.12)
"""The line from a label that had to move away to its mark."""

_TRIES_A_LABEL = 4
_FURTHEST = len(PATTERNS) - 1
_TRIES_CLOSE_BY = 6
"""Orders tried before a label that finds no place looks further afield."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedLabel:
    """Where a label stands, and its leader from the mark to the label where it had to move away."""

    key: str
    box: Box
    leader: tuple[Point, Point] | None = None


class _Placing:
    """One search over fixed candidates; remembers which candidates exclude which."""

    def __init__(self, places: Candidates, count: int, gap_mm: float) -> None:
        self.places = places
        self.gap_mm = gap_mm
        self.mine = [np.flatnonzero(places.owner == number) for number in range(count)]
        self._known: dict[int, NDArray[np.int64]] = {}

    @property
    def without_place(self) -> list[int]:
        """Labels that what never moves leaves no place at all."""
        return [number for number, mine in enumerate(self.mine) if not len(mine)]

    def excluded(self, taken: int) -> NDArray[np.int64]:
        """1 for each candidate that a taken one excludes."""
        if taken not in self._known:
            self._known[taken] = conflicts(self.places, taken, self.gap_mm).astype(np.int64)
        return self._known[taken]

    def best(self, number: int, blocked: NDArray[np.int64]) -> int | None:
        """Cheapest free candidate of a label."""
        mine = self.mine[number]
        free = mine[blocked[mine] == 0]
        return int(free[np.argmin(self.places.cost[free])]) if len(free) else None

    def in_order(self, order: Sequence[int]) -> tuple[dict[int, int], int | None]:
        """Candidates taken by label, and the label that found none."""
        blocked = np.zeros(len(self.places.owner), dtype=np.int64)
        taken: dict[int, int] = {}
        for number in order:
            place = self.best(number, blocked)
            if place is None:
                return taken, number
            taken[number] = place
            blocked += self.excluded(place)
        return taken, None

    def improve(self, taken: dict[int, int], order: Sequence[int]) -> dict[int, int]:
        """Let each label once take a cheaper place that the others leave it."""
        better = dict(taken)
        blocked = np.zeros(len(self.places.owner), dtype=np.int64)
        for place in taken.values():
            blocked += self.excluded(place)
        for number in order:
            blocked = blocked - self.excluded(better[number])
            cheaper = self.best(number, blocked)
            better[number] = better[number] if cheaper is None else cheaper
            blocked = blocked + self.excluded(better[number])
        return better

    def solve(self, tries: int) -> tuple[dict[int, int], int | None]:
        """All labels placed, or the one that found no place in the last of so many orders."""
        order = sorted(range(len(self.mine)), key=lambda number: (len(self.mine[number]), number))
        failed: int | None = None
        for _ in range(tries):
            taken, failed = self.in_order(order)
            if failed is None:
                return self.improve(taken, order), None
            order = [failed, *(number for number in order if number != failed)]
        return {}, failed


def _further(levels: Sequence[int], numbers: Sequence[int]) -> list[int]:
    """These labels look one pattern further; where they already look everywhere, all do."""
    if all(levels[number] == _FURTHEST for number in numbers):
        numbers = range(len(levels))
    return [min(level + (number in numbers), _FURTHEST) for number, level in enumerate(levels)]


def _placed(wish: LabelWish, box: Floats, leader: Floats) -> PlacedLabel:
    left, top, right, bottom = (float(value) for value in box)
    place = Box(left_mm=left, top_mm=top, width_mm=right - left, height_mm=bottom - top)
    x1, y1, x2, y2 = (float(value) for value in leader)
    return PlacedLabel(key=wish.key, box=place, leader=None if math.isnan(x1) else ((x1, y1), (x2, y2)))


def place_labels(
    wishes: Sequence[LabelWish],
    *,
    obstacles: Sequence[shapely.Geometry],
    frame: Box,
    block: str,
    gap_mm: float = 0.5,
) -> tuple[PlacedLabel, ...]:
    """Places for labels, in the order of the wishes.

    Parameters
    ----------
    obstacles : what no label may stand on: lines as wide as they print, other boxes [mm]
    frame : labels stay inside
    gap_mm : kept between a label and everything else

    Returns
    -------
    tuple of PlacedLabel
        No label meets an obstacle, a mark, another label or a leader; leaders cross no leader. Same
        wishes, same places.

    Raises
    ------
    BlockOverrun
        A label finds no place within 60 mm of its point; names it.
    """
    if not wishes:
        return ()
    clear = Clear(wishes, obstacles, frame, gap_mm)
    levels = [0] * len(wishes)
    while True:
        places = clear.at(levels)
        search = _Placing(places, len(wishes), gap_mm)
        furthest = min(levels) == _FURTHEST
        taken, failed = search.solve(_TRIES_A_LABEL * len(wishes) if furthest else _TRIES_CLOSE_BY)
        if failed is None:
            return tuple(
                _placed(wish, places.boxes[taken[number]], places.leaders[taken[number]])
                for number, wish in enumerate(wishes)
            )
        if furthest:
            lost = wishes[failed]
            raise BlockOverrun(block, lost.height_mm, f"no room for the label '{lost.key}'")
        levels = _further(levels, search.without_place or [failed])


def text_wish(
    key: str, text: str, style: TextStyle, fonts: FontBook, *, points: Sequence[Point], mark_mm: float = 1.0
) -> LabelWish:
    """The wish of a one-line text; its box is the text's advance width by the height of its ink."""
    above_mm, below_mm = fonts.ink_mm(text, style)
    return LabelWish(
        key=key,
        points=tuple(points),
        width_mm=fonts.width_mm(text, style),
        height_mm=above_mm + below_mm,
        mark_mm=mark_mm,
    )


def label_items(
    placed: PlacedLabel, text: str, style: TextStyle, fonts: FontBook, *, block: str
) -> tuple[Item, ...]:
    """The text in its place, and its leader where it has one."""
    _, below_mm = fonts.ink_mm(text, style)
    box = placed.box
    label = Text(x_mm=box.left_mm, y_mm=box.bottom_mm - below_mm, text=text, style=style, block=block)
    if placed.leader is None:
        return (label,)
    (x1_mm, y1_mm), (x2_mm, y2_mm) = placed.leader
    leader = Line(x1_mm=x1_mm, y1_mm=y1_mm, x2_mm=x2_mm, y2_mm=y2_mm, stroke=LEADER, block=block)
    return (leader, label)
