"""Many roots looked for at once: where a margin is used up, found from its good side."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.shown import FloatArray

__all__ = ["CLOSE", "Brackets"]

CLOSE = 4e-4
"""A margin between nothing and this is at its limit and not past it."""
_EDGE = 0.01
"""A step keeps this share of the bracket from either end."""


@dataclass(slots=True, eq=False)
class Brackets:
    """Brackets about one root each: the margin is not negative at `good` and negative at `bad`.

    False position with the Illinois rule (Dowell and Jarratt, BIT 11, 1971, 168-174), aimed at half of
    `CLOSE`, so that the good end comes to lie at the limit and never past it. A bracket as narrow as
    `width` is done too: there the margin jumps.
    """

    good: FloatArray
    good_margin: FloatArray
    bad: FloatArray
    bad_margin: FloatArray
    width: FloatArray
    weight: FloatArray = field(init=False)
    last: Index = field(init=False)

    def __post_init__(self) -> None:
        self.weight = np.ones((2, self.good.size))
        self.last = np.zeros(self.good.size, dtype=np.intp)

    def open(self) -> Index:
        """Which are not done."""
        return np.flatnonzero((self.good_margin > CLOSE) & (np.abs(self.good - self.bad) > self.width))

    def next(self, which: Index) -> FloatArray:
        """Where to look next, for some of them."""
        good = self.weight[0, which] * (self.good_margin[which] - 0.5 * CLOSE)
        bad = self.weight[1, which] * (self.bad_margin[which] - 0.5 * CLOSE)
        share = np.clip(good / (good - bad), _EDGE, 1.0 - _EDGE)
        at: FloatArray = self.good[which] + share * (self.bad[which] - self.good[which])
        return at

    def take(self, which: Index, at: FloatArray, margin: FloatArray) -> None:
        """The margins found there."""
        fine = margin >= 0.0
        self.good[which] = np.where(fine, at, self.good[which])
        self.good_margin[which] = np.where(fine, margin, self.good_margin[which])
        self.bad[which] = np.where(fine, self.bad[which], at)
        self.bad_margin[which] = np.where(fine, self.bad_margin[which], margin)
        side = np.where(fine, 1, -1)
        again = side == self.last[which]
        # the end that stays a second time counts half
        self.weight[0, which] = np.where(fine, 1.0, np.where(again, 0.5, 1.0) * self.weight[0, which])
        self.weight[1, which] = np.where(fine, np.where(again, 0.5, 1.0) * self.weight[1, which], 1.0)
        self.last[which] = side
