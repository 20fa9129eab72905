"""The closest boat: how near the held boat may be hauled before its steep strands pull the line down."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.search import Search
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import Worlds

__all__ = ["NEAREST_M", "closest_boat_search"]

NEAREST_M, _FARTHEST_M = 0.5, 200.0
_LENGTHS = 8
_CLOSE_M = 1e-4


def closest_boat_search(worlds: Worlds) -> Search:
    """Least horizontal strand length at which the held boat keeps its clearance.

    Parameters
    ----------
    worlds : one for each site: the held case alone, the clearance it keeps, the least set tension

    Notes
    -----
    Over the carriage's travel, both stiffness bounds, seated. A search that fails at its first length,
    200 m, has no answer: the line hangs too low with the boat straight downstream already. One that
    fails nowhere ends at `NEAREST_M`.
    """

    def at(strand_m: FloatArray, which: Index) -> Worlds:
        return replace(worlds.part(which), strand_m=strand_m)

    lengths = np.geomspace(_FARTHEST_M, NEAREST_M, _LENGTHS)
    return Search(at, np.tile(lengths, (worlds.site.size, 1)), None, hangs=True, width=_CLOSE_M)
