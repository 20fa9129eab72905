"""Hardware and people: what a rig needs against what is there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from atlas.cover.assignment import FORBIDDEN, Costs, assign
from atlas.faults import OutOfRange
from atlas.records import Agency, GearStock

Counts = NDArray[np.int64]


class GearHeld(NamedTuple):
    """One item of hardware.

    Attributes
    ----------
    item, needed : as asked
    held : pieces there that serve it and are not counted for another item
    short : needed less held, never under 0
    """

    item: str
    needed: int
    held: int
    short: int


def gear_cover(
    needs: Mapping[str, int],
    stock: Iterable[GearStock],
    *,
    served_by: Mapping[str, Sequence[str]] | None = None,
    rating_least_n: Mapping[str, float] | None = None,
) -> tuple[GearHeld, ...]:
    """Pieces held for each item needed, no piece counted for two items.

    Parameters
    ----------
    needs : item -> pieces needed
    stock : pieces there; several entries of one item add up
    served_by : item -> other items that do its work, the first preferred
    rating_least_n : item -> least rating [N]. Pieces whose rating is not known do not count for it: what
        nobody rated holds nothing

    Returns
    -------
    tuple of GearHeld
        One for each need, in its order. As few pieces as possible are short; then as few as possible stand
        in for another item; then earlier needs are served first.

    Raises
    ------
    OutOfRange
        A negative count.

    Notes
    -----
    Three levels in one whole-number cost, as in `cover_lines`. With u pieces needed of k items and
    substitutes down to rank s, a piece costs rank x (u k + 1), and a piece lacking
    u (s (u k + 1) + k) + 1 and one more for each item that comes after its own.
    """
    items, entries = list(needs), [entry for entry in stock if entry.count]
    needed = np.array([needs[item] for item in items], dtype=np.int64)
    there = np.array([entry.count for entry in entries], dtype=np.int64)
    if min(needed.min(initial=0), there.min(initial=0)) < 0:
        raise OutOfRange("a count of gear is negative")
    ranks = np.full((len(items), len(entries)), FORBIDDEN)
    for row, item in enumerate(items):
        for column, entry in enumerate(entries):
            rank = _rank(item, entry, (served_by or {}).get(item, ()), (rating_least_n or {}).get(item))
            if rank is not None:
                ranks[row, column] = rank
    allotted = _allot(needed, there, ranks)
    elsewhere = allotted.sum(axis=0) - allotted
    held = np.where(np.isfinite(ranks), there - elsewhere, 0).sum(axis=1)
    return tuple(
        GearHeld(item, count, int(have), max(0, count - int(have)))
        for item, count, have in zip(items, needs.values(), held, strict=True)
    )


def _rank(item: str, entry: GearStock, substitutes: Sequence[str], least_n: float | None) -> int | None:
    """0 for the item itself, 1 and on for what stands in for it; None where it does not serve."""
    if least_n is not None and (entry.rating_n is None or entry.rating_n < least_n):
        return None
    if entry.item == item:
        return 0
    return substitutes.index(entry.item) + 1 if entry.item in substitutes else None


def _allot(needed: Counts, there: Counts, ranks: Costs) -> Counts:
    """Pieces of each entry given to each item, shape (items, entries)."""
    count, pieces = len(needed), int(needed.sum())
    asked = np.repeat(np.arange(count), needed)
    stocked = np.repeat(np.arange(len(there)), np.minimum(there, pieces))
    rank = np.where(np.isfinite(ranks), ranks, 0.0)
    of_rank = pieces * count + 1.0
    lacking = pieces * (rank.max(initial=0.0) * of_rank + count) + 1.0
    costs = np.where(np.isfinite(ranks), rank * of_rank, FORBIDDEN)[np.ix_(asked, stocked)]
    allotted = np.zeros(ranks.shape, dtype=np.int64)
    for row, column in enumerate(assign(costs, lacking + (count - 1.0 - asked))):
        if column is not None:
            allotted[asked[row], stocked[column]] += 1
    return allotted


def crew_held(agencies: Iterable[Agency], qualification: str | None = None) -> int:
    """People on duty, all or those of one qualification.

    Each person is taken to be counted once in a cache, under the highest qualification held.
    """
    return sum(
        crew.people
        for agency in agencies
        for crew in agency.crew
        if qualification is None or crew.qualification == qualification
    )
