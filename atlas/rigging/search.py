"""Worlds turned round: the value of a set tension, speed, stage or length at which a margin is used up.

Each search asks one such value for each of its sites. All searches go in step: the questions of one
turn are solved in one call, however many sites and searches there are. On the way only those questions
are asked that failed at the bad end; where a value has closed all are asked once more, all over the travel,
and then those that came near, where that has shown them to be worst.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.faults import NoSolution
from atlas.rigging.asked import Index
from atlas.rigging.panels import Kind, Panel, Read, run_in_step
from atlas.rigging.roots import SURE, Brackets
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import BOTH, Ropes, Worlds

__all__ = ["Found", "Search", "Searching", "run_searches"]

_COUNTS = (0.02, np.inf, 0.2)
"""A question is asked where its margin last was under this: on the way, all over, and once more.

On the way: at the bad end of the bracket.
"""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """What a search came to, each shape (sites of the search,).

    Attributes
    ----------
    value : the last with no margin used up, at its limit; NaN where `never`
    cause : row of `Stand`, or `CLEARANCE`, that is met first just past it; -1 where nothing is met
    never : not even the first value has its margins
    always : margins are kept up to the last value, which is then `value`
    """

    value: FloatArray
    cause: Index
    never: npt.NDArray[np.bool_]
    always: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Search:
    """One value for each of its sites.

    Attributes
    ----------
    world_of : worlds at some values, for some of the sites (their indices in the search)
    values : shape (sites, values), from a good end on; the first failure is looked for between them
    most_n : greatest forces, shape (rows of `Stand`, table's sites); None if tension is not judged
    hangs : whether clearance is judged
    width : as `Brackets.width`
    whole : the systems of forces looked at
    one_place : the carriage's travel is one place, `from_m`
    """

    world_of: Callable[[FloatArray, Index], Worlds]
    values: FloatArray
    most_n: FloatArray | None
    hangs: bool
    width: float
    whole: Sequence[bool] = BOTH
    one_place: bool = False


def _least(panels: Sequence[Panel], reads: Sequence[Read]) -> tuple[FloatArray, Index]:
    """Least margin of each world over panels of the same worlds, and its cause."""
    owner = np.concatenate([panel.owner for panel in panels])
    margin = np.concatenate([read.margin for read in reads])
    cause = np.concatenate([read.cause for read in reads])
    order = np.lexsort((margin, owner))
    first = order[np.searchsorted(owner[order], np.arange(panels[0].worlds))]
    return margin[first], cause[first]


@dataclass(frozen=True, slots=True, eq=False)
class _Turn:
    """Values at which some sites of a search are looked at, and the questions there."""

    which: Index
    at: FloatArray
    panels: list[Panel]
    all_over: bool


class Searching:
    """A search on its way."""

    def __init__(self, search: Search, ropes: Ropes) -> None:
        self.search, self.ropes = search, ropes
        self.count = search.values.shape[0]
        judged = ([search.most_n] if search.most_n is not None else []) + ([None] if search.hangs else [])
        self.kinds = [Kind(most_n=most, whole=search.whole, one_place=search.one_place) for most in judged]
        self.brackets: Brackets | None = None
        self.turns: list[_Turn] = []

    def ask(self) -> list[Panel]:
        """All values of all sites; then all questions where a value has closed, else those that count."""
        if self.brackets is None:
            which = np.repeat(np.arange(self.count), self.search.values.shape[1])
            worlds = self.search.world_of(self.search.values.ravel(), which)
            self.turns = [
                _Turn(
                    which, self.search.values, [kind.first(worlds, self.ropes) for kind in self.kinds], True
                )
            ]
        else:
            self.turns = self._next(self.brackets)
        return [panel for turn in self.turns for panel in turn.panels]

    def take(self, reads: Sequence[Read]) -> None:
        """The bracket about the first failure; then its new ends."""
        left = iter(reads)
        for turn in self.turns:
            own = [next(left) for _ in turn.panels]
            if self.brackets is None:
                self.brackets = self._bracketed(turn, own)
            else:
                self._move(self.brackets, turn, own)

    def _bracketed(self, turn: _Turn, reads: Sequence[Read]) -> Brackets:
        shape = self.search.values.shape
        least, cause = _least(turn.panels, reads)
        margins, causes = least.reshape(shape), cause.reshape(shape)
        brackets = Brackets(self.search.values, margins, self.search.width)
        rows, good = np.arange(self.count), brackets.step
        bad = np.minimum(good + 1, shape[1] - 1)
        self.cause = causes[rows, np.where(brackets.never, 0, bad)]
        for kind, read in zip(self.kinds, reads, strict=True):
            kind.shares = read.shares.reshape(*shape, -1, kind.known)[rows, good].copy()
            kind.last = read.margin.reshape(*shape, -1)[rows, bad].copy()
        return brackets

    def _next(self, brackets: Brackets) -> list[_Turn]:
        which = brackets.open()
        at = brackets.next(which)
        again = np.where(brackets.closed(which), 1 + brackets.sure[which], 0)
        turns = []
        for turn in range(1 + SURE):
            here = np.flatnonzero(again == turn)
            if here.size:
                some = which[here]
                worlds = self.search.world_of(at[here], some)
                panels = [self._panel(kind, worlds, some, again=turn) for kind in self.kinds]
                panels = [panel for panel in panels if panel.owner.size]
                turns.append(_Turn(some, at[here], panels, all_over=turn == 1))
        return turns

    def _panel(self, kind: Kind, worlds: Worlds, some: Index, *, again: int) -> Panel:
        """On the way (0); where a value has closed all over (1), then near what that has found (2)."""
        if again == 1:
            return kind.again(worlds, self.ropes, some, keep=None, all_over=True)
        least = np.min([each.last[some].min(axis=1) for each in self.kinds], axis=0)
        keep = kind.last[some] <= np.maximum(_COUNTS[again], least)[:, np.newaxis]
        return kind.again(worlds, self.ropes, some, keep=keep)

    def _move(self, brackets: Brackets, turn: _Turn, reads: Sequence[Read]) -> None:
        margin, cause = _least(turn.panels, reads)
        brackets.take(turn.which, turn.at, margin)
        self.cause[turn.which] = np.where(margin <= brackets.close[turn.which], cause, self.cause[turn.which])
        for panel, read in zip(turn.panels, reads, strict=True):
            panel.kind.remember(turn.which, panel, read, counts=turn.all_over | (margin < 0.0))
            if turn.all_over and (margin < 0.0).any():
                panel.kind.found_worse(turn.which, panel, read, broken=margin < 0.0)

    def found(self) -> Found:
        """What it came to, once it asks nothing more."""
        if self.brackets is None:
            raise NoSolution("search: nothing has been asked yet")
        never, always = self.brackets.never, self.brackets.always
        value = np.where(always, self.search.values[:, -1], self.brackets.good)
        return Found(np.where(never, np.nan, value), np.where(always, -1, self.cause), never, always)


def run_searches(table: FloatArray, ropes: Ropes, searches: Sequence[Search]) -> list[Found]:
    """Run searches in step.

    Raises
    ------
    OutOfRange, NoSolution
        As `run_in_step`.
    """
    running = [Searching(search, ropes) for search in searches]
    run_in_step(table, running)
    return [one.found() for one in running]
