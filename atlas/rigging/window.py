"""The pretension window: set tensions between which every limit of the track line holds at a stage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.limits import least_rule
from atlas.rigging.rigged import Rigged, cause_code
from atlas.rigging.search import Found, Search, run_searches
from atlas.rigging.shown import PRETENSION_N, FloatArray
from atlas.rigging.worlds import BOTH, Worlds

__all__ = ["LEAST_SET_N", "WindowEnds", "pretension_windows", "set_tension_searches", "window_ends"]

LEAST_SET_N = PRETENSION_N.low
"""Set tensions are looked for from the least in which the track line was shown to hold [N]."""
_CLOSE_N = 0.01


@dataclass(frozen=True, slots=True)
class WindowEnds:
    """Both ends looked for separately; the window is empty unless low <= high.

    Attributes
    ----------
    low_n : least set tension that keeps the clearance [N]; None where none does by the rules
    high_n : greatest at which force limits and set-tension rules hold [N]; None where none does
    governed_by : code of what sets the upper end
    """

    low_n: float | None
    high_n: float | None
    governed_by: str

    @property
    def is_open(self) -> bool:
        """Whether some set tension meets every limit."""
        return self.low_n is not None and self.high_n is not None and self.low_n <= self.high_n


def set_tension_searches(
    rigged: Rigged, worlds: Worlds, *, whole: Sequence[bool] = BOTH
) -> tuple[Search, Search]:
    """The greatest set tension the forces allow, and the least that keeps the clearance.

    Parameters
    ----------
    worlds : one for each site; their set tensions are not looked at
    """

    def at(set_n: FloatArray, which: Index) -> Worlds:
        return replace(worlds.part(which), set_least_n=set_n, set_most_n=set_n)

    rising = np.stack([np.full(rigged.rule_most_n.shape, LEAST_SET_N), rigged.rule_most_n], axis=1)
    return (
        Search(at, rising, rigged.track_most_n, hangs=False, width=_CLOSE_N, whole=whole),
        Search(at, rising[:, ::-1], None, hangs=True, width=_CLOSE_N, whole=whole),
    )


def window_ends(rigged: Rigged, upper: Found, lower: Found) -> list[WindowEnds]:
    """Windows from what the two searches found."""
    ends = []
    for index, site in enumerate(rigged.sites):
        low_n = None if lower.never[index] else float(lower.value[index])
        if upper.never[index]:
            ends.append(WindowEnds(None, None, cause_code(site, upper.cause[index])))
            continue
        rule = least_rule(site.rules)[0]
        code = rule if upper.always[index] else cause_code(site, upper.cause[index])
        ends.append(WindowEnds(low_n, float(upper.value[index]), code))
    return ends


def pretension_windows(rigged: Rigged, worlds: Worlds, *, whole: Sequence[bool] = BOTH) -> list[WindowEnds]:
    """Both ends of every site's window: tension rises and clearance grows with set tension.

    Parameters
    ----------
    worlds : one for each site, its judged cases at one stage
    whole : the systems of forces looked at

    Raises
    ------
    OutOfRange, NoSolution
        From the track line.
    """
    searches = set_tension_searches(rigged, worlds, whole=whole)
    return window_ends(rigged, *run_searches(rigged.table, rigged.ropes, searches))
