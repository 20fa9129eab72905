"""Tie heights: how far both ties may come down, or must go up, for the clearance to hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.search import Search
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import Worlds

__all__ = ["tie_raise_search"]

_CLOSE_M = 1e-5


def tie_raise_search(worlds: Worlds, *, least_m: FloatArray, most_m: FloatArray) -> Search:
    """Least change of height of both ties together at which every case keeps its clearance.

    Parameters
    ----------
    worlds : one for each site; its least set tension counts
    least_m, most_m : changes between which it is looked for; negative is lower

    Notes
    -----
    A search that fails at `most_m` has no answer: only slower water or a stronger line will do.
    """

    def at(raised_m: FloatArray, which: Index) -> Worlds:
        return replace(worlds.part(which), raised_m=raised_m)

    return Search(at, np.stack([most_m, least_m], axis=1), None, hangs=True, width=_CLOSE_M)
