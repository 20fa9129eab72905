"""Worlds turned round: the value of a set tension, speed, stage or length at which a margin is used up.

Each search asks one such value for each of its sites. All searches go in step: the questions of one
turn are solved in one call, however many sites and searches there are. A question carries a few places
with it from turn to turn, at its folds and at its worst, so that the worst place is known ever better
while the value closes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from atlas.faults import NoSolution
from atlas.rigging.asked import Asked, Index, together
from atlas.rigging.carriages import Carriages, carriages_at
from atlas.rigging.envelope import FOLDS, crossings, summits
from atlas.rigging.roots import CLOSE, Brackets
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import (
    CLEARANCE,
    Ropes,
    Worlds,
    clearance_margin,
    force_margin,
    hang_questions,
    pull_questions,
)

__all__ = ["Found", "Search", "run_searches"]

_PLACES = 9
_SPREAD = np.linspace(0.19, 0.81, FOLDS + 1)
"""Shares of the travel that are looked at as long as no fold is known."""
_TURNS = 60


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
    """

    world_of: Callable[[FloatArray, Index], Worlds]
    values: FloatArray
    most_n: FloatArray | None
    hangs: bool
    width: float


@dataclass(frozen=True, slots=True, eq=False)
class _Panel:
    """Questions of one kind of some worlds, as many for each, and their places as shares of the travel."""

    asked: Asked
    worlds: Worlds
    shares: FloatArray
    most_n: FloatArray | None

    @property
    def each(self) -> int:
        """Questions a world."""
        return self.asked.count // self.worlds.site.size

    def travel(self) -> tuple[FloatArray, FloatArray]:
        """Where each question's travel begins, and its length [m]; shape (questions, 1)."""
        from_m, to_m = (
            np.repeat(end, self.each)[:, np.newaxis] for end in (self.worlds.from_m, self.worlds.to_m)
        )
        return from_m, to_m - from_m

    def places_m(self) -> FloatArray:
        from_m, length_m = self.travel()
        even = np.broadcast_to(np.linspace(0.0, 1.0, _PLACES), (self.asked.count, _PLACES))
        places: FloatArray = from_m + length_m * np.sort(np.concatenate([even, self.shares], axis=1), axis=1)
        return places


@dataclass(frozen=True, slots=True, eq=False)
class _Read:
    """Margins of a panel's worlds, their causes, and places to look at next time, by question."""

    margin: FloatArray
    cause: Index
    shares: FloatArray


def _read(panel: _Panel, state: Carriages) -> _Read:
    if panel.most_n is None:
        margin = clearance_margin(state)
        cause = np.full(margin.shape, CLEARANCE)
    else:
        margin, cause = force_margin(state, panel.most_n)
    from_m, length_m = panel.travel()
    worst = np.argmin(margin, axis=1)
    at = np.stack([*crossings(state, -margin), summits(state, -margin)], axis=1)
    shares = np.where(np.isnan(at), _SPREAD, (at - from_m) / length_m)
    question = np.arange(worst.size)
    by_world = margin[question, worst].reshape(-1, panel.each)
    world = np.arange(by_world.shape[0])
    least = np.argmin(by_world, axis=1)
    causes = cause[question, worst].reshape(-1, panel.each)
    return _Read(by_world[world, least], causes[world, least], shares)


def _read_all(table: FloatArray, panels: Sequence[_Panel]) -> list[_Read]:
    """All panels, solved in one call."""
    solved = carriages_at(
        table,
        together([panel.asked for panel in panels]),
        np.concatenate([panel.places_m() for panel in panels]),
    )
    begin, reads = 0, []
    for panel in panels:
        which = np.arange(begin, begin + panel.asked.count)
        reads.append(_read(panel, solved.part(which)))
        begin += panel.asked.count
    return reads


class _Running:
    """A search on its way."""

    def __init__(self, search: Search, ropes: Ropes) -> None:
        self.search, self.ropes = search, ropes
        self.count = search.values.shape[0]
        self.cause = np.full(self.count, -1)
        self.shares: list[FloatArray] = []

    def _panels(self, worlds: Worlds, shares: Sequence[FloatArray] | None) -> list[_Panel]:
        asked: list[tuple[Asked, FloatArray | None]] = []
        if self.search.most_n is not None:
            asked.append((pull_questions(worlds, self.ropes), self.search.most_n))
        if self.search.hangs:
            asked.append((hang_questions(worlds, self.ropes), None))
        return [
            _Panel(
                one,
                worlds,
                np.broadcast_to(_SPREAD, (one.count, FOLDS + 1)) if shares is None else shares[k],
                most_n,
            )
            for k, (one, most_n) in enumerate(asked)
        ]

    def scan(self) -> list[_Panel]:
        """All values of all sites."""
        which = np.repeat(np.arange(self.count), self.search.values.shape[1])
        return self._panels(self.search.world_of(self.search.values.ravel(), which), None)

    def scanned(self, reads: Sequence[_Read]) -> None:
        """Take the answers to `scan`: the bracket about the first failure."""
        shape = self.search.values.shape
        least, cause = _least(reads)
        margins, causes = least.reshape(shape), cause.reshape(shape)
        self.brackets = Brackets(self.search.values, margins, self.search.width)
        rows, good = np.arange(self.count), self.brackets.step
        self.cause = causes[rows, np.where(self.brackets.never, 0, good + 1)]
        self.shares = [read.shares.reshape(*shape, -1, FOLDS + 1)[rows, good] for read in reads]

    def open(self) -> Index:
        """Sites whose value has not closed."""
        return self.brackets.open()

    def next(self, which: Index) -> tuple[FloatArray, list[_Panel]]:
        """Where to look next, and the questions there."""
        at = self.brackets.next(which)
        shares = [share[which].reshape(-1, FOLDS + 1) for share in self.shares]
        return at, self._panels(self.search.world_of(at, which), shares)

    def take(self, which: Index, at: FloatArray, reads: Sequence[_Read]) -> None:
        """Take the answers to `next`."""
        margin, cause = _least(reads)
        self.brackets.take(which, at, margin)
        self.cause[which] = np.where(margin <= CLOSE, cause, self.cause[which])
        for share, read in zip(self.shares, reads, strict=True):
            share[which] = read.shares.reshape(which.size, -1, FOLDS + 1)

    def found(self) -> Found:
        """What it came to."""
        never, always = self.brackets.never, self.brackets.always
        value = np.where(always, self.search.values[:, -1], self.brackets.good)
        return Found(np.where(never, np.nan, value), np.where(always, -1, self.cause), never, always)


def _least(reads: Sequence[_Read]) -> tuple[FloatArray, Index]:
    """Least margin over the panels of the same worlds, and its cause."""
    margins = np.stack([read.margin for read in reads])
    least = np.argmin(margins, axis=0)
    rows = np.arange(margins.shape[1])
    return margins[least, rows], np.stack([read.cause for read in reads])[least, rows]


def run_searches(table: FloatArray, ropes: Ropes, searches: Sequence[Search]) -> list[Found]:
    """Run searches in step.

    Raises
    ------
    OutOfRange, NoSolution
        From the track line, or where a value does not close.
    """
    running = [_Running(search, ropes) for search in searches]
    for one, reads in _in_step(table, [(one, one.scan()) for one in running]):
        one.scanned(reads)
    for _ in range(_TURNS):
        turn = [(one, which) for one in running if (which := one.open()).size]
        if not turn:
            return [one.found() for one in running]
        looked = [(one, which, *one.next(which)) for one, which in turn]
        answers = _in_step(table, [(one, panels) for one, _, _, panels in looked])
        for (one, which, at, _), (_, reads) in zip(looked, answers, strict=True):
            one.take(which, at, reads)
    raise NoSolution(f"search: a limit is not closed after {_TURNS} turns")


def _in_step(
    table: FloatArray, asked: Sequence[tuple[_Running, list[_Panel]]]
) -> list[tuple[_Running, list[_Read]]]:
    reads = iter(_read_all(table, [panel for _, panels in asked for panel in panels]))
    return [(one, [next(reads) for _ in panels]) for one, panels in asked]
