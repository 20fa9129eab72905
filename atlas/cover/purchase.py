"""The smallest purchase with which ropes and hardware are complete at the most sites, exact for its model.

The model: what is bought lies in one cache and is there for any one site at a time. A line is made of a rope
that is there, or of one that is bought for lines with its limits; a bought rope is as long as the longest
need it serves; no more are bought of one set of limits than one site has lines of it. A bought piece of
hardware serves its own item. People are not bought.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from atlas.cover.gear_groups import GearAsked
from atlas.cover.ropes import LineNeed, RopeAsked
from atlas.cover.tables import NEVER, Table
from atlas.cover.who_comes import Job
from atlas.faults import NoSolution

__all__ = ["BoughtGear", "BoughtRope", "Lack", "Purchase", "lack_of", "purchases"]

_WHOLE = 1e-9
"""Of a step: a length that is so little over a whole number of them is one."""

Slot = tuple[tuple[RopeAsked, ...], int]
"""Limits of a rope, and which of the ropes with those limits, the longest being 0."""


@dataclass(frozen=True, slots=True)
class BoughtRope:
    """A rope to buy, by what is asked of it."""

    asked: tuple[RopeAsked, ...]
    length_m: float


@dataclass(frozen=True, slots=True)
class BoughtGear:
    """Pieces of an item to buy; `rating_n` the least rating that serves every site [N]."""

    item: str
    count: int
    rating_n: float | None


@dataclass(frozen=True, slots=True)
class Purchase:
    """What is bought, and the sites that are complete with it, by their number."""

    ropes: tuple[BoughtRope, ...]
    gear: tuple[BoughtGear, ...]
    complete: tuple[int, ...]

    @property
    def articles(self) -> int:
        """Ropes, and kinds of hardware."""
        return len(self.ropes) + len(self.gear)


@dataclass(frozen=True, slots=True)
class Lack:
    """What a cache lacks at one site.

    Attributes
    ----------
    ropes : ways to complete the lines, each the least lengths of the slots it needs; one empty way where no
        rope is lacking
    gear : sets of items with the pieces of them that are lacking
    asked : the items with their ratings
    """

    ropes: tuple[tuple[tuple[Slot, float], ...], ...]
    gear: tuple[tuple[frozenset[str], int], ...]
    asked: tuple[GearAsked, ...]


def _slots(needs: Sequence[LineNeed], step_m: float) -> tuple[tuple[Slot, float], ...]:
    """Lines to be bought as slots: of each set of limits the longest need first, up to the next step."""
    by_limits: dict[tuple[RopeAsked, ...], list[float]] = {}
    for need in needs:
        steps = math.ceil(need.needed_m / step_m - _WHOLE)
        by_limits.setdefault(need.asked, []).append(steps * step_m)
    return tuple(
        ((limits, number), length_m)
        for limits, lengths in by_limits.items()
        for number, length_m in enumerate(sorted(lengths, reverse=True))
    )


def lack_of(job: Job, lines: Table, gear: Sequence[tuple[frozenset[str], int]], *, step_m: float) -> Lack:
    """What a cache lacks at one site.

    Parameters
    ----------
    lines : the cache's table of `line_table`, shape (2^needs,)
    gear : sets of items that may stand in for each other, with the pieces of them that are lacking
    step_m : ropes are bought in lengths of so many of these
    """
    everything = len(lines) - 1
    open_sets = [everything ^ covered for covered in np.flatnonzero(lines < NEVER).tolist()]
    least = [
        one for one in open_sets if not any(other != one and other & one == other for other in open_sets)
    ]
    ways = [
        _slots([need for bit, need in enumerate(job.needs) if one >> bit & 1], step_m)
        for one in sorted(least)
    ]
    return Lack(tuple(dict.fromkeys(ways)), tuple(gear), job.gear)


class _Model:
    """Whole numbers: a rope at least so long in each slot, pieces of each item, ways, sites alike."""

    def __init__(self, alike: Mapping[Lack, Sequence[int]]) -> None:
        lacks = self.lacks = tuple(alike)
        self.alike = tuple(alike.values())
        lengths: dict[Slot, set[float]] = {}
        for lack in lacks:
            for way in lack.ropes:
                for slot, length_m in way:
                    lengths.setdefault(slot, set()).add(length_m)
        self.lengths = {slot: sorted(found) for slot, found in lengths.items()}
        self.items = sorted({item for lack in lacks for items, _ in lack.gear for item in items})
        names: list[object] = [(slot, m) for slot, found in self.lengths.items() for m in found]
        names += [("some", item) for item in self.items] + [("pieces", item) for item in self.items]
        names += [(site, way) for site, lack in enumerate(lacks) for way in range(len(lack.ropes))]
        names += list(range(len(lacks)))
        self.column = {name: number for number, name in enumerate(names)}
        self.most = {
            item: sum(count for lack in lacks for items, count in lack.gear if item in items)
            for item in self.items
        }
        self.rows = list(self._rows())

    def _rows(self) -> Iterator[dict[object, float]]:
        """Sums that are never over 0."""
        for slot, found in self.lengths.items():
            for shorter, longer in pairwise(found):
                yield {(slot, longer): 1.0, (slot, shorter): -1.0}
        for item in self.items:
            yield {("pieces", item): 1.0, ("some", item): -float(self.most[item])}
        for site, lack in enumerate(self.lacks):
            yield {site: 1.0, **{(site, way): -1.0 for way in range(len(lack.ropes))}}
            for number, way in enumerate(lack.ropes):
                for slot, length_m in way:
                    yield {(site, number): 1.0, (slot, length_m): -1.0}
            for items, count in lack.gear:
                yield {site: float(count), **{("pieces", item): -1.0 for item in items}}

    def articles(self) -> dict[object, float]:
        """Ropes and kinds of hardware bought."""
        ropes: dict[object, float] = {(slot, found[0]): 1.0 for slot, found in self.lengths.items()}
        return {**ropes, **{("some", item): 1.0 for item in self.items}}

    def sites(self) -> dict[object, float]:
        """Sites complete."""
        return {number: float(len(sites)) for number, sites in enumerate(self.alike)}

    def size(self) -> dict[object, float]:
        """Metres of rope, and pieces of hardware as a metre each."""
        steps: dict[object, float] = {}
        for slot, found in self.lengths.items():
            steps |= {(slot, m): m - under for under, m in zip([0.0, *found], found, strict=False)}
        return {**steps, **{("pieces", item): 1.0 for item in self.items}}

    def solve(
        self, least: dict[object, float], limits: Sequence[tuple[dict[object, float], float, float]]
    ) -> NDArray[np.float64]:
        """Whole numbers with the least of a sum, with other sums between limits."""
        count = len(self.column)
        bounded = [(row, -np.inf, 0.0) for row in self.rows] + list(limits)
        entries = [
            (number, self.column[name], value)
            for number, (row, _, _) in enumerate(bounded)
            for name, value in row.items()
        ]
        rows, columns, values = zip(*entries, strict=True)
        matrix = coo_array((values, (rows, columns)), shape=(len(bounded), count)).tocsr()
        upper = np.ones(count)
        for item in self.items:
            upper[self.column["pieces", item]] = self.most[item]
        cost = np.zeros(count)
        for name, value in least.items():
            cost[self.column[name]] = value
        found = milp(
            cost,
            constraints=LinearConstraint(
                matrix, [low for _, low, _ in bounded], [high for _, _, high in bounded]
            ),
            bounds=Bounds(np.zeros(count), upper),
            integrality=np.ones(count, dtype=np.int64),
            options={"mip_rel_gap": 0.0},
        )
        if found.x is None:
            raise NoSolution(f"purchase: {found.message}")
        return np.round(found.x)

    def total(self, of: dict[object, float], found: NDArray[np.float64]) -> float:
        """A sum of a solution."""
        return float(sum(value * found[self.column[name]] for name, value in of.items()))

    def purchase(self, found: NDArray[np.float64]) -> Purchase:
        """A solution as what is bought."""
        ropes = [
            BoughtRope(slot[0], max(m for m in lengths if found[self.column[slot, m]]))
            for slot, lengths in self.lengths.items()
            if found[self.column[slot, lengths[0]]]
        ]
        gear = [
            BoughtGear(item, int(found[self.column["pieces", item]]), self._rating_n(item))
            for item in self.items
            if found[self.column["pieces", item]]
        ]
        complete = [
            site for number, sites in enumerate(self.alike) for site in sites if found[self.column[number]]
        ]
        return Purchase(tuple(ropes), tuple(gear), tuple(sorted(complete)))

    def _rating_n(self, item: str) -> float | None:
        ratings = [one.rating_least_n for lack in self.lacks for one in lack.asked if one.item == item]
        return max((rating for rating in ratings if rating is not None), default=None)


def purchases(lacks: Sequence[Lack]) -> tuple[Purchase, ...]:
    """Of growing numbers of articles the purchases that complete more sites than any smaller one.

    Parameters
    ----------
    lacks : of each site; those complete without anything count in every purchase

    Returns
    -------
    the first buys nothing; the last completes every site. Of so many articles the most sites that can be
    complete are; then rope and pieces are the fewest. An article is a rope, or any number of one item.

    Raises
    ------
    NoSolution
        The solver gives none.

    Notes
    -----
    Level by level, `mip_rel_gap` 0 (HiGHS by scipy.optimize.milp): the most sites, then the smallest of the
    purchases with as many.
    """
    if not lacks:
        return ()
    alike: dict[Lack, list[int]] = {}
    for site, lack in enumerate(lacks):
        alike.setdefault(lack, []).append(site)
    model = _Model(alike)
    found: list[Purchase] = []
    articles, sites = model.articles(), model.sites()
    fewest = {name: -value for name, value in sites.items()}
    done = -1
    for count in range(len(articles) + 1):
        within = (articles, 0.0, float(count))
        most = model.total(sites, model.solve(fewest, [within]))
        if most > done:
            done = round(most)
            smallest = model.solve(model.size(), [within, (sites, most, most)])
            found.append(model.purchase(smallest))
        if done == len(lacks):
            break
    return tuple(found)
