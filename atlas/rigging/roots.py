"""Many roots looked for at once: where a margin is used up, found from its good side."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from atlas.rigging.asked import Index
from atlas.rigging.shown import FloatArray

__all__ = ["CLOSE", "SURE", "Brackets"]

Flags = npt.NDArray[np.bool_]

CLOSE = 1e-4
"""A margin between nothing and this is at its limit and not past it."""
_CLOSE_MOST = 5e-4
"""Nor is one under this, where it has not been true to a hair."""
_EDGE = 0.01
"""A step keeps this share of the bracket from either end."""

SURE = 2
"""So often a closed value is asked once more."""


@dataclass(slots=True, eq=False)
class Brackets:
    """Brackets about one root each, from the margins at a row of values: the first failure in the row.

    False position with the Illinois rule (Dowell and Jarratt, BIT 11, 1971, 168-174), aimed at half of
    `CLOSE`, so that the good end comes to lie at the limit and never past it. A bracket as narrow as
    `width` is closed too: there the margin jumps.

    A margin that is known the better the oftener it is asked nearby is asked twice more where it closed;
    where it was not true, the bracket goes back to the good value of the row, and from that to the one
    before, should it be none. Every time it has gone back it keeps farther from the bad end.

    Attributes
    ----------
    values, margins : shape (roots, values), from a good end on
    good, good_margin, bad, bad_margin : the bracket's ends
    never, always : not even the first value is good; all are
    """

    values: FloatArray
    margins: FloatArray
    width: float
    step: Index = field(init=False)
    never: Flags = field(init=False)
    always: Flags = field(init=False)
    good: FloatArray = field(init=False)
    good_margin: FloatArray = field(init=False)
    bad: FloatArray = field(init=False)
    bad_margin: FloatArray = field(init=False)
    weight: FloatArray = field(init=False)
    last: Index = field(init=False)
    sure: Index = field(init=False)
    close: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        roots, count = self.values.shape
        fails = self.margins < 0.0
        first = np.where(fails.any(axis=1), np.argmax(fails, axis=1), count)
        self.never, self.always = first == 0, first == count
        bad, rows = np.clip(first, 1, count - 1), np.arange(roots)
        self.step = bad - 1
        self.bad = self.values[rows, bad]
        self.bad_margin = np.where(self.always, -1.0, self.margins[rows, bad])
        # where nothing has failed, the last value is asked again too
        self.step = np.where(self.always, count - 1, self.step)
        self.good, self.good_margin = self.values[rows, self.step], self.margins[rows, self.step]
        self.weight = np.ones((2, roots))
        self.last = np.zeros(roots, dtype=np.intp)
        self.sure = np.zeros(roots, dtype=np.intp)
        self.close = np.full(roots, CLOSE)

    def closed(self, which: Index) -> Flags:
        """Whether some of them have closed, though it may not yet be sure."""
        narrow = np.abs(self.good[which] - self.bad[which]) <= self.width
        return (self.good_margin[which] <= self.close[which]) | narrow | self.always[which]

    def open(self) -> Index:
        """Which are not done."""
        every = np.arange(self.good.size)
        return np.flatnonzero(~((self.closed(every) & (self.sure == SURE)) | self.never))

    def next(self, which: Index) -> FloatArray:
        """Where to look next, for some of them."""
        aim = 0.5 * self.close[which]
        good = self.weight[0, which] * (self.good_margin[which] - aim)
        bad = self.weight[1, which] * (self.bad_margin[which] - aim)
        share = np.clip(good / (good - bad), _EDGE, 1.0 - _EDGE)
        at: FloatArray = self.good[which] + share * (self.bad[which] - self.good[which])
        return np.where(self.closed(which), self.good[which], at)

    def take(self, which: Index, at: FloatArray, margin: FloatArray) -> None:
        """The margins found there."""
        fine, again = margin >= 0.0, self.closed(which)
        self.bad[which] = np.where(fine, self.bad[which], at)
        self.bad_margin[which] = np.where(fine, self.bad_margin[which], margin)
        self.good[which] = np.where(fine, at, self.good[which])
        self.good_margin[which] = np.where(fine, margin, self.good_margin[which])
        self.sure[which] = np.where(again & fine, self.sure[which] + 1, 0)
        self._weigh(which, np.where(again, 0, np.where(fine, 1, -1)))
        self._go_back(which[again & ~fine])

    def _weigh(self, which: Index, side: Index) -> None:
        """The end that stays a second time counts half."""
        stays = np.where(side == self.last[which], 0.5, 1.0)
        self.weight[0, which] = np.where(side < 0, stays * self.weight[0, which], 1.0)
        self.weight[1, which] = np.where(side > 0, stays * self.weight[1, which], 1.0)
        self.last[which] = side

    def _go_back(self, which: Index) -> None:
        """Begin anew from the good value of the row; from the one before, where that has failed itself."""
        self.close[which] = np.minimum(self.close[which] + CLOSE, _CLOSE_MOST)
        self.always[which] = False
        failed = self.bad[which] == self.values[which, self.step[which]]
        self.step[which] -= failed
        self.never[which] = self.step[which] < 0
        step = np.maximum(self.step[which], 0)
        self.good[which], self.good_margin[which] = self.values[which, step], self.margins[which, step]
