"""Many sites split into maps of few: halves along the longer side, until none holds too many."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from atlas.binder.map_sites import MapSite
from atlas.frame.metres import east_north

__all__ = ["SITES_MOST", "split_sites"]

SITES_MOST = 40
"""Sites on one map."""


@dataclass(frozen=True, slots=True)
class _Half:
    sites: tuple[MapSite, ...]
    metres: np.ndarray


def _halves(half: _Half) -> tuple[_Half, _Half]:
    """West and east, or north and south, the same number of sites in each."""
    size = half.metres.max(axis=0) - half.metres.min(axis=0)
    west_to_east = size[0] >= size[1]
    along = half.metres[:, 0] if west_to_east else -half.metres[:, 1]
    order = np.argsort(along, kind="stable")
    middle = len(order) // 2
    west, east = (
        _Half(tuple(half.sites[number] for number in part.tolist()), half.metres[part])
        for part in (order[:middle], order[middle:])
    )
    return west, east


def split_sites(sites: Sequence[MapSite], most: int) -> tuple[tuple[MapSite, ...], ...]:
    """Groups of neighbours, each of `most` at the most; north before south, west before east."""
    ordered = tuple(sorted(sites, key=lambda site: (site.place, site.code)))
    waiting = [_Half(ordered, east_north(ordered[0].place, [site.place for site in ordered]))]
    done: list[tuple[MapSite, ...]] = []
    while waiting:
        half = waiting.pop()
        if len(half.sites) <= most:
            done.append(half.sites)
        else:
            first, second = _halves(half)
            waiting += [second, first]
    return tuple(done)
