"""Where a window closes: the place of something that closes it, rising water or ties that come down.

There the greatest set tension that the forces or a rule allow is the least that keeps the clearance: two
roots at once, found by Newton's method on the margins of all questions. Each question's margin m is taken
as straight in the set tension T and the place p, so that it comes down to a little more than nothing at

    T(p) = T0 - m / m_T - (m_p / m_T) (p - p0).

A force and a clearance close where their two T(p) meet; the rule on set tension counts with the forces, the
least set tension that is looked at with the clearances. Of all such pairs the one that meets first is gone
to. A place where both hold is open, one where both fail with the same set tension is shut: the answer stays
between. It is put back: all questions, all over the travel, with no margin under nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from atlas.rigging.asked import Index
from atlas.rigging.panels import Flags, Kind, Panel, Read
from atlas.rigging.rigged import Rigged
from atlas.rigging.shown import PRETENSION_N, FloatArray
from atlas.rigging.window_lines import (
    STEP_M,
    STEP_N,
    Lines,
    Meeting,
    bounds,
    first_meeting,
    lines_of,
    none_between,
    with_one,
)
from atlas.rigging.worlds import BOTH, CLEARANCE, Worlds

__all__ = ["RULE", "Closed", "ClosingWindow", "WorldOf"]

RULE = -1
"""Names the rule on set tension beside the rows of `Stand` where it is what the clearance meets."""
_STRIDE_N, _STRIDE_M = 0.35, 0.6
"""Longest step: of the set tension, and of the place [m]."""
_AIM, _AIM_MOST = 1e-4, 4e-4
"""Margins aimed at; twice as much each time the answer did not hold where it was put back, up to the most."""
_MET = 2.0
"""Met is under so many times what is aimed at."""
_TOGETHER_M = 2e-5
"""Open and shut places nearer than this are one."""
_SOON_M = 0.05
_FAR_N, _FAR_M = 0.1, 0.1
"""A longer step is far: there all questions are asked."""
_LITTLE = 0.02
_RULED = 1e-3
"""A force with more margin than this does not set the limit, where the rule is as near."""
_NEAR = 0.3
"""A question is asked again whose own T(p) comes so near to where the pair meets, as a share of it."""
_TURNS = 30
_ROUND_OFF = 1e-9

WorldOf = Callable[[Index, FloatArray, FloatArray], Worlds]
"""Worlds of some sites at a place and with a set tension each."""


@dataclass(frozen=True, slots=True, eq=False)
class Closed:
    """What it came to, each shape (sites,); NaN where the window is empty, or open, at every place.

    Attributes
    ----------
    at_m : place
    set_n : the only set tension left there
    cause : row of `Stand` whose limit it meets there, or `RULE`; `CLEARANCE` where that closes it alone,
        whatever the set tension
    """

    at_m: FloatArray
    set_n: FloatArray
    cause: Index


def _table_of(panel: Panel, values: FloatArray | Index, variants: int) -> FloatArray:
    """Values of a panel's questions, shape (variants, sites, questions); NaN where one was not asked."""
    found = np.full((panel.worlds, panel.each), np.nan)
    found[panel.owner, panel.place] = values
    return found.reshape(variants, -1, panel.each)


@dataclass(frozen=True, slots=True, eq=False)
class _Turn:
    """Sites looked at in one way, and the panels of forces and of clearances.

    Attributes
    ----------
    back : an answer is put back
    variants : worlds of each site in `panels`: one, or three as in `lines_of`
    beside : panels of three worlds a site, at one place of each question; none where `panels` have three
    """

    which: Index
    back: bool
    variants: int
    panels: list[Panel]
    beside: list[Panel]


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
        sites: Index | None = None,
    ) -> None:
        """Begin at a place and a set tension.

        Parameters
        ----------
        world_of : worlds by their sites' numbers here
        between_m : places between which it is looked for
        sites : columns of the table, of some sites; None for all
        """
        self.ropes, self.world_of, self.between_m = rigged.ropes, world_of, between_m
        self.rule_most_n = rigged.rule_most_n if sites is None else rigged.rule_most_n[sites]
        self.at_m, self.set_n = start_m.copy(), start_n.copy()
        # between the last place seen open, with its set tension, and the first seen shut
        self.rigged, self.world_of, self.between_m = rigged, world_of, between_m
        self.at_m, self.set_n = start_m.copy(), start_n.copy()
        self.open_m, self.shut_m = (end.copy() for end in between_m)
        self.kinds = [Kind(most_n=most, whole=BOTH) for most in (rigged.track_most_n, None)]
        self.near: list[Flags] = []
        self.cause: Index = np.full(start_m.size, RULE)
        self.open_n = np.full(start_m.size, np.nan)
        self.aim = np.full(start_m.size, _AIM)
        self.met, self.never, self.done = (np.zeros(start_m.size, dtype=bool) for _ in range(3))
        self.turns: list[_Turn] = []
        self.left = _TURNS

    def ask(self) -> list[Panel]:
        """All questions at first, then those near the pair that meets; all again where it has met."""
        going, back = np.flatnonzero(~self.done & ~self.met), np.flatnonzero(~self.done & self.met)
        self.turns = []
        if not self.left:
            self._give_up()
            return []
        if going.size:
            self.turns.append(self._near_turn(going) if self.near else self._first_turn(going))
        if back.size:
            worlds = self._worlds(back, 1)
            all_over = [kind.again(worlds, self.ropes, back, keep=None, all_over=True) for kind in self.kinds]
            self.turns.append(_Turn(back, True, 1, all_over, []))
        self.left -= 1
        return [panel for turn in self.turns for panel in (*turn.panels, *turn.beside)]

    def _first_turn(self, going: Index) -> _Turn:
        worlds = self._worlds(going, 3)
        return _Turn(going, False, 3, [kind.first(worlds, self.ropes) for kind in self.kinds], [])

    def _near_turn(self, going: Index) -> _Turn:
        kinds = list(zip(self.kinds, self.near, strict=True))
        worlds, thrice = self._worlds(going, 3), np.tile(going, 3)
        one = worlds.part(np.arange(going.size))
        panels = [kind.again(one, self.ropes, going, keep=near[going].ravel()) for kind, near in kinds]
        beside = [
            kind.at_worst(worlds, self.ropes, thrice, keep=near[thrice].ravel()) for kind, near in kinds
        ]
        return _Turn(going, False, 1, panels, beside)

    def take(self, reads: Sequence[Read]) -> None:
        """Step on, or be sure."""
        left = iter(reads)
        for turn in self.turns:
            own, beside = ([next(left) for _ in panels] for panels in (turn.panels, turn.beside))
            self._remember(turn, own)
            margins = [
                _table_of(panel, read.margin, turn.variants)
                for panel, read in zip(turn.panels, own, strict=True)
            ]
            here = [margin[0] for margin in margins]
            if turn.back:
                broken = np.minimum(here[0].min(axis=1), here[1].min(axis=1)) < 0.0
                for kind, panel, read in zip(self.kinds, turn.panels, own, strict=True):
                    kind.found_worse(turn.which, panel, read, broken=broken)
                self._put_back(turn.which, here, _table_of(turn.panels[0], own[0].cause, 1)[0])
            elif beside:
                near = zip(turn.beside, beside, strict=True)
                self._step(turn.which, here, [_table_of(panel, read.margin, 3) for panel, read in near])
            else:
                self._step(turn.which, here, margins)

    def closed(self) -> Closed:
        """What it came to, once it asks nothing more."""
        found = self.done & ~self.never
        return Closed(np.where(found, self.at_m, np.nan), np.where(found, self.set_n, np.nan), self.cause)

    def _worlds(self, which: Index, variants: int) -> Worlds:
        """Worlds flat over (variants, sites): as it stands, with more set tension, further on."""
        set_n = np.concatenate([self.set_n[which] * (1.0 + STEP_N * (k == 1)) for k in range(variants)])
        at_m = np.concatenate([self.at_m[which] + STEP_M * (k == 2) for k in range(variants)])
        return self.world_of(np.tile(which, variants), at_m, set_n)

    def _remember(self, turn: _Turn, reads: Sequence[Read]) -> None:
        for kind, panel, read in zip(self.kinds, turn.panels, reads, strict=True):
            if not kind.shares.size:
                kind.shares = np.zeros((self.at_m.size, panel.each, kind.known))
                kind.last, kind.worst = np.zeros((2, self.at_m.size, panel.each))
            site = np.tile(turn.which, turn.variants)
            kind.remember(site, panel, read, counts=np.zeros(panel.worlds, bool))
            kind.worst[site[panel.owner], panel.place] = read.worst
        if not self.near:
            self.near = [np.ones(kind.last.shape, dtype=bool) for kind in self.kinds]

    def _step(self, which: Index, here: Sequence[FloatArray], beside: Sequence[FloatArray]) -> None:
        """To where the first pair meets, as far as the lines may be trusted."""
        set_n, rule_n, aim = self.set_n[which], self.rule_most_n[which], self.aim[which]
        force, clear = (
            lines_of(margin, by, sign=sign, set_n=set_n, aim=aim)
            for margin, by, sign in zip(here, beside, (-1.0, 1.0), strict=True)
        )
        force = with_one(force, rule_n)
        clear = with_one(clear, np.full(which.size, PRETENSION_N.low))
        meets = first_meeting(force, clear)
        self._look_near(which, (force, clear), meets, here)
        # no set tension mends a question that fails and does not follow it
        hopeless = [
            ((margin < 0.0) & np.isnan(lines.at[:, : margin.shape[1]])).any(axis=1)
            for margin, lines in zip(here, (force, clear), strict=True)
        ]
        shut = hopeless[0] | hopeless[1] | none_between(force, clear, set_n)
        self._see(which, meets, *(np.nanmin(margin, axis=1) for margin in here), shut=shut)
        self._move(which, meets, force, clear)

    def _see(
        self, which: Index, meets: Meeting, force: FloatArray, clear: FloatArray, *, shut: Flags
    ) -> None:
        """Whether it is open or shut here, or met; never, if open at the last place or shut at the first."""
        at, set_n, rule_n = self.at_m[which], self.set_n[which], self.rule_most_n[which]
        lowest, highest = (end[which] for end in self.between_m)
        tautest, slackest = (
            set_n >= rule_n * (1.0 - _ROUND_OFF),
            set_n <= PRETENSION_N.low * (1.0 + _ROUND_OFF),
        )
        is_open = (force >= 0.0) & (clear >= 0.0)
        is_shut = (shut | (((force < 0.0) | tautest) & ((clear < 0.0) | slackest))) & ~is_open
        little = _MET * self.aim[which]
        at_force = (force <= little) | tautest | meets.low
        at_clear = (clear <= little) | slackest | meets.sheer
        self.met[which] = is_open & at_force & at_clear & ~(tautest & slackest)
        farther = is_open & (at >= self.open_m[which])
        self.open_n[which] = np.where(farther, set_n, self.open_n[which])
        self.open_m[which] = np.where(farther, at, self.open_m[which])
        self.shut_m[which] = np.where(is_shut, np.minimum(at, self.shut_m[which]), self.shut_m[which])
        ended = ((at >= highest) & is_open) | ((at <= lowest) & is_shut)
        self.never[which] |= ended & ~self.met[which]
        self.done[which] |= self.never[which]

    def _between(self, which: Index, to: FloatArray) -> FloatArray:
        """A place between open and shut; where none was seen open yet, soon the first of all."""
        low, high, first = self.open_m[which], self.shut_m[which], self.between_m[0][which]
        unseen = np.isnan(self.open_n[which])
        past = ((to >= high) & (high < self.between_m[1][which])) | ((to <= low) & ~unseen)
        inside = low + np.where(unseen, 0.2, 0.5) * (high - low)
        return np.where(past, np.where(unseen & (high - first < _SOON_M), first, inside), to)

    def _move(self, which: Index, meets: Meeting, force: Lines, clear: Lines) -> None:
        """Newton's step, amid the set tensions there; to the open place where open and shut are together."""
        at, set_n, met = self.at_m[which], self.set_n[which], self.met[which]
        lowest, highest = (end[which] for end in self.between_m)
        together = ~met & np.isfinite(self.open_n[which])
        together &= self.shut_m[which] - self.open_m[which] <= _TOGETHER_M
        to = np.clip(at + np.clip(meets.step_m, -_STRIDE_M, _STRIDE_M), lowest, highest)
        to = np.where(together, self.open_m[which], self._between(which, to))
        most, least = bounds(force, clear, to - at)
        amid = np.clip(
            0.5 * (most + least),
            np.maximum((1.0 - _STRIDE_N) * set_n, PRETENSION_N.low),
            np.minimum((1.0 + _STRIDE_N) * set_n, self.rule_most_n[which]),
        )
        self.at_m[which] = np.where(met, at, to)
        self.set_n[which] = np.where(met, set_n, amid)
        self.met[which] |= together

    def _look_near(
        self, which: Index, pair: tuple[Lines, Lines], meets: Meeting, here: Sequence[FloatArray]
    ) -> None:
        """Ask next time what is little, or comes near to where the pair meets; all, while that is far."""
        set_n = self.set_n[which]
        far = (np.abs(meets.step_m) > _FAR_M) | (np.abs(meets.set_n - set_n) > _FAR_N * set_n)
        step = np.where(np.isfinite(meets.step_m), meets.step_m, 0.0)[:, np.newaxis]
        for near, lines, margin in zip(self.near, pair, here, strict=True):
            apart = np.abs(lines.at + lines.slope * step - meets.set_n[:, np.newaxis])[:, : near.shape[1]]
            close = apart <= _NEAR * meets.set_n[:, np.newaxis]
            # NaN is what was not asked
            least = margin <= np.maximum(np.nanmin(margin, axis=1), _LITTLE)[:, np.newaxis]
            near[which] = far[:, np.newaxis] | close | least

    def _put_back(self, which: Index, here: Sequence[FloatArray], cause: FloatArray) -> None:
        """Done where nothing is broken; else all questions are asked again, and more is aimed at."""
        force = here[0]
        worst = np.argmin(force, axis=1)
        row = np.arange(which.size)
        at_rule = self.set_n[which] >= self.rule_most_n[which] * (1.0 - _RULED)
        slack = force[row, worst] > _RULED
        alone = np.where(slack, CLEARANCE, cause[row, worst])
        self.cause[which] = np.where(at_rule & slack, RULE, alone).astype(np.intp)
        fine = np.minimum(force[row, worst], here[1].min(axis=1)) >= 0.0
        broken = which[~fine]
        self.done[which[fine]] = True
        self.met[broken] = False
        self.aim[broken] = np.minimum(2.0 * self.aim[broken], _AIM_MOST)
        self.open_m[broken], self.shut_m[broken] = (end[broken] for end in self.between_m)
        self.open_n[broken] = np.nan
        for near in self.near:
            near[broken] = True

    def _give_up(self) -> None:
        """What is not closed ends at the last place seen open, which is on the careful side."""
        left = np.flatnonzero(~self.done)
        seen = np.isfinite(self.open_n[left])
        self.at_m[left], self.set_n[left] = self.open_m[left], self.open_n[left]
        self.done[left] = True
        self.never[left] |= ~seen
