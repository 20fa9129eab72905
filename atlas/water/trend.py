"""How fast a river rises, from stages read one after the other."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from atlas.faults import OutOfRange

__all__ = ["LOOKED_BACK_S", "rise_rate_m_s"]

LOOKED_BACK_S: Final = (3600.0, 10800.0)
"""One hour and three: a rise that has just begun shows in the first, a steady one in both [s]."""
_LEAST_S = 900.0
"""Readings closer than this say more of the instrument than of the river [s]."""


def rise_rate_m_s(*, before_s: ArrayLike, stage_m: ArrayLike) -> float | None:
    """The fastest rise to the latest reading, over one hour and over three; negative where it falls [m/s].

    Parameters
    ----------
    before_s : of each reading, how long before the latest, shape (n,), the latest 0 [s]
    stage_m : shape (n,) [m]

    Returns
    -------
    None where no reading lies a quarter of an hour to three hours back.

    Raises
    ------
    OutOfRange
        Values that are not finite, of different number, or without the latest.
    """
    before, stage = np.asarray(before_s, dtype=np.float64), np.asarray(stage_m, dtype=np.float64)
    if before.shape != stage.shape or before.ndim != 1 or not np.isfinite([before, stage]).all():
        raise OutOfRange("rise of the water: finite readings are needed, a time for each stage")
    if not len(before) or before.min() != 0.0:
        raise OutOfRange("rise of the water: the latest reading is needed, at 0 s")
    latest = stage[int(np.argmin(before))]
    rates = []
    for back_s in LOOKED_BACK_S:
        there = (before >= _LEAST_S) & (before <= back_s)
        if there.any():
            first = int(np.argmax(np.where(there, before, -1.0)))
            rates.append(float((latest - stage[first]) / before[first]))
    return max(rates, default=None)
