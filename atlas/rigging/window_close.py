"""Where a window closes: the place of something that closes it, rising water or ties that come down.

There the greatest set tension that the forces or a rule allow is the least that keeps the clearance: two
roots at once, found by Newton's method on the margins of all questions. Each question's margin m is taken
as straight in the set tension T and the place p, so that it is used up at

    T(p) = T0 - m / m_T - (m_p / m_T) (p - p0).

A force and a clearance close where their two T(p) meet; the rule on set tension counts with the forces, the
least set tension that is looked at with the clearances. Of all such pairs the one that meets first is gone
to. The answer is put back: all questions, all over the travel, with no margin under nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.panels import Flags, Kind, Panel, Read
from atlas.rigging.rigged import Rigged
from atlas.rigging.shown import PRETENSION_N, FloatArray
from atlas.rigging.worlds import BOTH, Worlds

__all__ = ["RULE", "Closed", "ClosingWindow", "WorldOf"]

RULE = -1
"""Names the rule on set tension beside the rows of `Stand` where it is what the clearance meets."""
_STEP_N, _STEP_M = 1e-3, 1e-3
"""Steps of the slopes: of the set tension, and of the place [m]."""
_STRIDE_N, _STRIDE_M = 0.35, 0.6
"""Longest step: of the set tension, and of the place [m]."""
_CLOSE_N, _CLOSE_M = 1e-4, 5e-5
_BROKEN = -2e-4
"""A margin so far under nothing is broken, where an answer is put back."""
_NEAR = 0.3
"""A question is asked again whose own T(p) comes so near to where the pair meets, as a share of it."""
_TURNS = 24

WorldOf = Callable[[Index, FloatArray, FloatArray], Worlds]
"""Worlds of some sites at a place and with a set tension each."""


@dataclass(frozen=True, slots=True, eq=False)
class Closed:
    """What it came to, each shape (sites,); NaN where the window is empty, or open, at every place.

    Attributes
    ----------
    at_m : place
    set_n : the only set tension left there
    cause : row of `Stand` whose limit it meets there, or `RULE`
    """

    at_m: FloatArray
    set_n: FloatArray
    cause: Index


@dataclass(frozen=True, slots=True, eq=False)
class _Lines:
    """Where margins are used up: T = at + slope (p - p0), shape (sites, questions); absent where NaN."""

    at: FloatArray
    slope: FloatArray


def _lines(margin: FloatArray, *, sign: float, set_n: FloatArray) -> _Lines:
    """Of margins at (T, p), (T + step, p) and (T, p + step), shape (3, sites, questions).

    `sign` is that of a margin's slope with T; one that has the other sign limits no set tension.
    """
    by_n = (margin[1] - margin[0]) / (_STEP_N * set_n[:, np.newaxis])
    by_m = (margin[2] - margin[0]) / _STEP_M
    by_n = np.where(sign * by_n > 0.0, by_n, np.nan)
    return _Lines(set_n[:, np.newaxis] - margin[0] / by_n, -by_m / by_n)


def _with_one(lines: _Lines, set_n: FloatArray) -> _Lines:
    """Beside them a set tension at whatever place: the rule's, or the least that is looked at."""
    return _Lines(np.column_stack([lines.at, set_n]), np.column_stack([lines.slope, np.zeros(set_n.size)]))


@dataclass(frozen=True, slots=True, eq=False)
class _Meeting:
    """First pair to meet: step of the place, set tension there, and the force's question."""

    step_m: FloatArray
    set_n: FloatArray
    force: Index


def _first_meeting(force: _Lines, clear: _Lines) -> _Meeting:
    """Of each site; the step is infinite where no pair closes further on."""
    apart = force.at[:, :, np.newaxis] - clear.at[:, np.newaxis, :]
    nearing = clear.slope[:, np.newaxis, :] - force.slope[:, :, np.newaxis]
    with np.errstate(invalid="ignore", divide="ignore"):
        step = np.where(nearing > 0.0, apart / nearing, np.inf)
    step = np.where(np.isnan(step), np.inf, step)
    flat = step.reshape(step.shape[0], -1)
    pair = np.argmin(flat, axis=1)
    row = np.arange(flat.shape[0])
    i, j = pair // step.shape[2], pair % step.shape[2]
    ahead = flat[row, pair]
    reached = clear.at[row, j] + clear.slope[row, j] * np.where(np.isfinite(ahead), ahead, 0.0)
    return _Meeting(ahead, reached, i)


def _table_of(panel: Panel, values: FloatArray, variants: int) -> FloatArray:
    """Values of a panel's questions, shape (variants, sites, questions); NaN where one was not asked."""
    found = np.full((panel.worlds, panel.each), np.nan)
    found[panel.owner, panel.place] = values
    return found.reshape(variants, -1, panel.each)


@dataclass(frozen=True, slots=True, eq=False)
class _Turn:
    """Sites looked at in one way, and the panels of forces and of clearances."""

    which: Index
    variants: int
    panels: list[Panel]


class ClosingWindow:
    """Asks, in step with other searches, for the place that closes each site's window."""

    def __init__(
        self,
        rigged: Rigged,
        world_of: WorldOf,
        *,
        start_m: FloatArray,
        start_n: FloatArray,
        between_m: tuple[FloatArray, FloatArray],
    ) -> None:
        """Begin at a place and a set tension; `between_m` are the places between which it is looked for."""
        self.rigged, self.world_of, self.between_m = rigged, world_of, between_m
        self.at_m, self.set_n = start_m.copy(), start_n.copy()
        self.open_m, self.shut_m = (end.copy() for end in between_m)
        self.kinds = [Kind(most_n=most, whole=BOTH) for most in (rigged.track_most_n, None)]
        self.near: list[Flags] = []
        self.cause: Index = np.full(start_m.size, RULE)
        self.met, self.never, self.done = (np.zeros(start_m.size, dtype=bool) for _ in range(3))
        self.turns: list[_Turn] = []
        self.left = _TURNS

    def ask(self) -> list[Panel]:
        """All questions at first, then those near the pair that meets; all again where it has met."""
        going, back = np.flatnonzero(~self.done & ~self.met), np.flatnonzero(~self.done & self.met)
        self.turns = []
        if not self.left:
            self.never |= ~self.done
            return []
        if going.size:
            worlds, site = self._worlds(going, 3), np.tile(going, 3)
            ropes = self.rigged.ropes
            first = [kind.first(worlds, ropes) for kind in self.kinds] if not self.near else []
            known = zip(self.kinds, self.near, strict=False)
            panels = [kind.again(worlds, ropes, site, keep=near[site].ravel()) for kind, near in known]
            self.turns.append(_Turn(going, 3, first or panels))
        if back.size:
            worlds = self._worlds(back, 1)
            all_over = [
                kind.again(worlds, self.rigged.ropes, back, keep=None, all_over=True) for kind in self.kinds
            ]
            self.turns.append(_Turn(back, 1, all_over))
        self.left -= 1
        return [panel for turn in self.turns for panel in turn.panels]

    def take(self, reads: Sequence[Read]) -> None:
        """Step on, or be sure."""
        left = iter(reads)
        for turn in self.turns:
            own = [next(left) for _ in turn.panels]
            self._remember(turn, own)
            margins = [
                _table_of(panel, read.margin, turn.variants)
                for panel, read in zip(turn.panels, own, strict=True)
            ]
            if turn.variants == 1:
                self._put_back(turn.which, margins)
            else:
                cause = _table_of(turn.panels[0], own[0].cause.astype(np.float64), 3)[0]
                self._step(turn.which, margins, cause)

    def closed(self) -> Closed:
        """What it came to, once it asks nothing more."""
        found = self.done & ~self.never
        return Closed(np.where(found, self.at_m, np.nan), np.where(found, self.set_n, np.nan), self.cause)

    def _worlds(self, which: Index, variants: int) -> Worlds:
        """Worlds flat over (variants, sites): as it stands, with more set tension, further on."""
        set_n = np.concatenate([self.set_n[which] * (1.0 + _STEP_N * (k == 1)) for k in range(variants)])
        at_m = np.concatenate([self.at_m[which] + _STEP_M * (k == 2) for k in range(variants)])
        return self.world_of(np.tile(which, variants), at_m, set_n)

    def _remember(self, turn: _Turn, reads: Sequence[Read]) -> None:
        for kind, panel, read in zip(self.kinds, turn.panels, reads, strict=True):
            if not kind.shares.size:
                kind.shares = np.zeros((self.at_m.size, panel.each, kind.known))
                kind.last = np.zeros((self.at_m.size, panel.each))
            kind.remember(
                np.tile(turn.which, turn.variants), panel, read, counts=np.zeros(panel.worlds, bool)
            )
        if not self.near:
            self.near = [np.ones(kind.last.shape, dtype=bool) for kind in self.kinds]

    def _step(self, which: Index, margins: Sequence[FloatArray], cause: FloatArray) -> None:
        """To where the first pair meets, as far as the lines may be trusted."""
        set_n = self.set_n[which]
        rule_n = self.rigged.rule_most_n[which]
        force, clear = (
            _lines(margin, sign=sign, set_n=set_n) for margin, sign in zip(margins, (-1.0, 1.0), strict=True)
        )
        force = _with_one(force, rule_n)
        clear = _with_one(clear, np.full(which.size, PRETENSION_N.low))
        meets = _first_meeting(force, clear)
        place = self._next_place(which, meets.step_m)
        reached = np.clip(meets.set_n, (1.0 - _STRIDE_N) * set_n, (1.0 + _STRIDE_N) * set_n)
        reached = np.where(np.isfinite(meets.step_m), reached, set_n)
        reached = np.clip(reached, PRETENSION_N.low, rule_n)
        self._look_near(which, force, clear, meets)
        close = np.abs(meets.step_m) <= _CLOSE_M
        self.met[which] = close & (np.abs(meets.set_n - set_n) <= _CLOSE_N * set_n)
        stuck = (place == self.at_m[which]) & ~close & (reached == set_n)
        self.never[which] |= stuck
        self.done[which] |= stuck
        causes = np.column_stack([cause, np.full(which.size, RULE)])[np.arange(which.size), meets.force]
        self.cause[which] = np.where(np.isnan(causes), RULE, causes).astype(np.intp)
        self.at_m[which] = np.where(self.met[which], self.at_m[which], place)
        self.set_n[which] = np.where(self.met[which], set_n, reached)

    def _next_place(self, which: Index, step_m: FloatArray) -> FloatArray:
        """Newton's step, between places seen open and seen shut; halfway where it would leave them.

        What was seen with a set tension far off may be wrong: where the two have come together, they go
        back to the ends.
        """
        at, ahead = self.at_m[which], step_m > 0.0
        lowest, highest = (end[which] for end in self.between_m)
        low = np.where(ahead, np.maximum(self.open_m[which], at), self.open_m[which])
        high = np.where(ahead, self.shut_m[which], np.minimum(self.shut_m[which], at))
        wrong = high - low <= 0.2 * _CLOSE_M
        low, high = np.where(wrong, lowest, low), np.where(wrong, highest, high)
        self.open_m[which], self.shut_m[which] = low, high
        to = np.clip(at + np.clip(step_m, -_STRIDE_M, _STRIDE_M), lowest, highest)
        past = ((to >= high) & (high < highest)) | ((to <= low) & (low > lowest))
        return np.where(past, 0.5 * (low + high), to)

    def _look_near(self, which: Index, force: _Lines, clear: _Lines, meets: _Meeting) -> None:
        """Ask next time what comes near to where the pair meets."""
        step = np.where(np.isfinite(meets.step_m), meets.step_m, 0.0)[:, np.newaxis]
        for near, lines in zip(self.near, (force, clear), strict=True):
            apart = np.abs(lines.at + lines.slope * step - meets.set_n[:, np.newaxis])
            near[which] = (apart <= _NEAR * meets.set_n[:, np.newaxis])[:, : near.shape[1]]

    def _put_back(self, which: Index, margins: Sequence[FloatArray]) -> None:
        """Done where nothing is broken; else all questions are asked again."""
        least = np.minimum(*(margin[0].min(axis=1) for margin in margins))
        fine = least >= _BROKEN
        self.done[which[fine]] = True
        self.met[which[~fine]] = False
        for near in self.near:
            near[which[~fine]] = True
