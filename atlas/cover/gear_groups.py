"""Hardware that may stand in for other hardware, group by group, so that what agencies bring adds up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.faults import OutOfRange
from atlas.records import GearStock

__all__ = ["GearAsked", "GearGroup", "gear_groups"]

Ints = NDArray[np.int64]
_ITEMS_MOST = 12


@dataclass(frozen=True, slots=True)
class GearAsked:
    """Pieces of one item that a rig needs.

    Attributes
    ----------
    rating_least_n : pieces whose rating is less, or not known, do not count [N]; None for any
    served_by : other items that do its work, the first preferred
    """

    item: str
    count: int
    rating_least_n: float | None = None
    served_by: tuple[str, ...] = ()

    @property
    def names(self) -> frozenset[str]:
        """Items that do its work, itself among them."""
        return frozenset((self.item, *self.served_by))

    def serves(self, entry: GearStock) -> bool:
        """Whether pieces of a cache's entry count for it."""
        if entry.item not in self.names:
            return False
        least_n = self.rating_least_n
        return least_n is None or (entry.rating_n is not None and entry.rating_n >= least_n)


@dataclass(frozen=True, slots=True)
class GearGroup:
    """Items that may share pieces; sets of them are numbered by a bit an item."""

    asked: tuple[GearAsked, ...]

    @property
    def needed(self) -> Ints:
        """Pieces needed of each set of the items, shape (2^items,)."""
        counts = np.array([one.count for one in self.asked], dtype=np.int64)
        return self._members() @ counts

    def held(self, stock: Iterable[GearStock]) -> Ints:
        """Pieces that serve one item or more of each set, shape (2^items,)."""
        sets = np.arange(1 << len(self.asked))
        total = np.zeros(len(sets), dtype=np.int64)
        for entry in stock:
            serves = sum(1 << number for number, one in enumerate(self.asked) if one.serves(entry))
            if serves:
                total += np.where(sets & serves != 0, entry.count, 0)
        return total

    def _members(self) -> Ints:
        sets = np.arange(1 << len(self.asked))
        return (sets[:, None] >> np.arange(len(self.asked))) & 1


def gear_groups(asked: Sequence[GearAsked]) -> tuple[GearGroup, ...]:
    """Items that may share pieces put together.

    Raises
    ------
    OutOfRange
        More than 12 items of one group.
    """
    groups: list[list[GearAsked]] = []
    for one in asked:
        sharing = [group for group in groups if any(one.names & other.names for other in group)]
        groups = [group for group in groups if group not in sharing]
        groups.append([*(other for group in sharing for other in group), one])
    if any(len(group) > _ITEMS_MOST for group in groups):
        raise OutOfRange(f"gear: more than {_ITEMS_MOST} items stand in for each other")
    return tuple(GearGroup(tuple(group)) for group in groups)
