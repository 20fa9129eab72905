"""Tie heights: how far both ties may come down, or must go up, for the clearance to hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.rigged import Rigged
from atlas.rigging.search import Search
from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import Worlds

__all__ = ["tie_raise_search"]

_CLOSE_M = 1e-5
_RANGE_LEAST_M = 0.5


def tie_raise_search(rigged: Rigged, worlds: Worlds, *, most_m: FloatArray) -> Search:
    """Least change of height of both ties together at which every case keeps its clearance.

    Parameters
    ----------
    worlds : one for each site; its least set tension counts
    most_m : the greatest looked at

    Notes
    -----
    A search that fails at `most_m` has no answer: only slower water or a stronger line will do. It ends where
    even the higher tie stands no higher over the water than carriage and hardware must.
    """
    table = rigged.table[:, worlds.site]
    highest = table[Of.NEAR_TIE] + np.maximum(table[Of.RISE], 0.0)
    needed = worlds.water_rise_m + worlds.clearance_m + table[Of.RING_BELOW]
    least_m = np.minimum(needed - highest, most_m - _RANGE_LEAST_M)

    def at(raised_m: FloatArray, which: Index) -> Worlds:
        return replace(worlds.part(which), raised_m=raised_m)

    return Search(at, np.stack([most_m, least_m], axis=1), None, hangs=True, width=_CLOSE_M)
