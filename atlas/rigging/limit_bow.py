"""The bow at which a track line is at its limit: what can be seen from the bank, whatever the speed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.carriages import Carriages, carriages_at
from atlas.rigging.rigged import Rigged
from atlas.rigging.search import Found, Search
from atlas.rigging.setups import Of
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import Worlds, force_margin, pull_questions

__all__ = ["BOW_SHARES", "BowsAtLimit", "limit_bow_search", "limit_bows"]

BOW_SHARES = (1.0 / 3.0, 0.5, 2.0 / 3.0)
"""Of the span: where crews look."""
_DRAGS = (0.0, 0.12, 0.35, 1.0)
"""Of the greatest drag: the limit is looked for between these."""
_CLOSE_N = 1e-3


def _at_places(rigged: Rigged, worlds: Worlds, drag_n: FloatArray, which: Index) -> Worlds:
    """Worlds of one case each: of every site its places of `BOW_SHARES`, flat."""
    site = which // len(BOW_SHARES)
    one = worlds.part(site)
    at_m = np.array(BOW_SHARES)[which % len(BOW_SHARES)] * rigged.table[Of.SPAN, one.site]
    hauled = np.ones((which.size, 1), dtype=bool)
    return replace(one, drag_n=drag_n[:, np.newaxis], hauled=hauled, from_m=at_m, to_m=at_m)


def limit_bow_search(rigged: Rigged, worlds: Worlds, *, drag_most_n: float) -> Search:
    """Drag that brings the track line to its limit, with the carriage at each of `BOW_SHARES`.

    Parameters
    ----------
    worlds : one for each site at the stage's geometry: its greatest set tension counts

    Notes
    -----
    The stiff bound and the greatest set tension: so a bow tells of the greatest tension. Which limit of the
    track line it is, the rope, its hardware, the capture or an anchor, is not asked here.
    """

    def at(drag_n: FloatArray, which: Index) -> Worlds:
        return _at_places(rigged, worlds, drag_n, which)

    drags = np.tile(drag_most_n * np.array(_DRAGS), (worlds.site.size * len(BOW_SHARES), 1))
    return Search(at, drags, rigged.track_most_n, hangs=False, width=_CLOSE_N, one_place=True)


@dataclass(frozen=True, slots=True, eq=False)
class BowsAtLimit:
    """States of track lines at their limit, of some sites and places.

    Attributes
    ----------
    of : site and place of each, as ``site * len(BOW_SHARES) + place``
    state : at one place each
    cause : row of `Stand` whose limit it is
    """

    of: Index
    state: Carriages
    cause: Index


def limit_bows(rigged: Rigged, worlds: Worlds, found: Found) -> BowsAtLimit | None:
    """The states at the limit; a place is left out where the line is past it unloaded, or never at it.

    Parameters
    ----------
    worlds, found : of `limit_bow_search`

    Raises
    ------
    OutOfRange, NoSolution
        From the track line.
    """
    some = np.flatnonzero(~found.never & ~found.always)
    if not some.size:
        return None
    asked = pull_questions(_at_places(rigged, worlds, found.value[some], some), rigged.ropes)
    each = asked.count // some.size
    at_m = np.repeat(np.array(BOW_SHARES)[some % len(BOW_SHARES)], each)
    state = carriages_at(rigged.table, asked, (at_m * rigged.table[Of.SPAN, asked.site])[:, np.newaxis])
    margin, cause = force_margin(state, rigged.track_most_n)
    # of both systems of forces the one that is at the limit
    first = np.arange(some.size) * each + np.argmin(margin.reshape(some.size, each), axis=1)
    return BowsAtLimit(some, state.part(first), cause[first, 0])
