"""At which stage of its gauge a river is as fast as asked: the stage to go by, and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.water.gauged import GaugedRiver

__all__ = ["StagesAtSpeed", "stages_at_speed"]

_ABOVE = 1.0
"""How far over the rating's rows a stage is looked for, in ranges of their stages."""
_STAGES = 2001


@dataclass(frozen=True, slots=True)
class StagesAtSpeed:
    """Stages at which a speed is reached, None where it is not within the range looked at [m].

    Attributes
    ----------
    low_m : by the upper end of the speed's interval: the safe side, what is printed
    middle_m : by the median
    high_m : by the lower end
    """

    low_m: float | None
    middle_m: float | None
    high_m: float | None


def _first(stage: NDArray[np.float64], speed: NDArray[np.float64], asked: float) -> float | None:
    """The lowest stage at which a speed is reached, straight between the places looked at."""
    reached = np.flatnonzero(speed >= asked)
    if not len(reached):
        return None
    at = int(reached[0])
    if at == 0:
        return float(stage[0])
    share = (asked - speed[at - 1]) / (speed[at] - speed[at - 1])
    return float(stage[at - 1] + share * (stage[at] - stage[at - 1]))


def stages_at_speed(river: GaugedRiver, *, surface_speed_m_s: float) -> StagesAtSpeed:
    """The interval of the stage at which the fastest surface thread has a speed.

    Parameters
    ----------
    river : of a site with a gauge
    surface_speed_m_s : such as the limit speed

    Notes
    -----
    Ends of the stage's interval are where the ends of the speed's interval reach the speed (inverse
    prediction: Draper and Smith, Applied Regression Analysis, 3.2). Looked for from the lowest stage of the
    rating's rows to one range of them over the highest.
    """
    staged = [row.stage_m for row in river.rows if row.stage_m is not None]
    top_m = max(staged) + _ABOVE * (max(staged) - river.lowest_m)
    stage = np.linspace(river.lowest_m, top_m, _STAGES)
    middle, low, high = river.at(stage).speed_m_s
    found = (_first(stage, speed, surface_speed_m_s) for speed in (high, middle, low))
    return StagesAtSpeed(*found)
