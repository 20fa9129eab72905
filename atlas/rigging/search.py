"""Worlds turned round: the value of a set tension, speed, stage or length at which a margin is used up.

Each search asks one such value for each of its sites. All searches go in step: the questions of one
turn are solved in one call, however many sites and searches there are. A question carries a few places
with it from turn to turn, at its folds and at its worst, so that the worst place is known ever better
while the value closes. On the way only those questions are asked that failed at the bad end; where a value
has closed all are asked once more, all over the travel.
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
from atlas.rigging.roots import CLOSE, SURE, Brackets
from atlas.rigging.shown import FloatArray
from atlas.rigging.worlds import (
    BOTH,
    CLEARANCE,
    Ropes,
    Worlds,
    clearance_margin,
    force_margin,
    hang_questions,
    pull_questions,
)

__all__ = ["Found", "Search", "run_searches"]

Flags = npt.NDArray[np.bool_]

_SCANNED, _ALL_OVER = 5, 9
"""Even places at which a scan looks, and at which a closed value is looked at once more."""
_BESIDE = np.array([-0.05, 0.05])
"""Shares of the travel beside a question's worst place that are looked at with it."""
_SPREAD = np.linspace(0.19, 0.81, FOLDS + 1)
"""Shares of the travel that are looked at as long as no fold is known."""
_COUNTS = (0.02, np.inf, 0.2)
"""A question is asked where its margin last was under this: on the way, all over, and once more.

On the way: at the bad end of the bracket.
"""
_TURNS = 80


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
    """

    world_of: Callable[[FloatArray, Index], Worlds]
    values: FloatArray
    most_n: FloatArray | None
    hangs: bool
    width: float
    whole: Sequence[bool] = BOTH


@dataclass(frozen=True, slots=True, eq=False)
class _Panel:
    """Questions of one kind: for some worlds of a search all of the kind, or some.

    Attributes
    ----------
    asked : the questions
    owner, place : of which world, and which of the world's questions of the kind each is
    worlds : how many
    from_m, length_m : the carriage's travel, shape (questions, 1)
    shares : places as shares of the travel, shape (questions, places)
    """

    asked: Asked
    owner: Index
    place: Index
    worlds: int
    from_m: FloatArray
    length_m: FloatArray
    shares: FloatArray
    kind: _Kind

    @property
    def most_n(self) -> FloatArray | None:
        """Greatest forces where tension is judged, None where clearance is."""
        return self.kind.most_n


@dataclass(frozen=True, slots=True, eq=False)
class _Read:
    """Of each question the least margin, its cause, and where to look next time, as shares of the travel."""

    margin: FloatArray
    cause: Index
    shares: FloatArray


def _read(panel: _Panel, state: Carriages) -> _Read:
    if panel.most_n is None:
        margin = clearance_margin(state)
        cause = np.full(margin.shape, CLEARANCE)
    else:
        margin, cause = force_margin(state, panel.most_n)
    question = np.arange(margin.shape[0])
    worst = np.argmin(margin, axis=1)
    at = np.stack([*crossings(state, -margin), summits(state, -margin)], axis=1)
    shares = np.where(np.isnan(at), _SPREAD, (at - panel.from_m) / panel.length_m)
    return _Read(margin[question, worst], cause[question, worst], np.clip(shares, 0.0, 1.0))


def _read_all(table: FloatArray, panels: Sequence[_Panel]) -> list[_Read]:
    """All panels, those with as many places each solved in one call."""
    reads: dict[int, _Read] = {}
    for count in {panel.shares.shape[1] for panel in panels}:
        alike = [index for index, panel in enumerate(panels) if panel.shares.shape[1] == count]
        places = [panels[k].from_m + panels[k].length_m * np.sort(panels[k].shares, axis=1) for k in alike]
        solved = carriages_at(table, together([panels[k].asked for k in alike]), np.concatenate(places))
        begin = 0
        for k in alike:
            end = begin + panels[k].asked.count
            reads[k] = _read(panels[k], solved.part(np.arange(begin, end)))
            begin = end
    return [reads[index] for index in range(len(panels))]


def _least(panels: Sequence[_Panel], reads: Sequence[_Read]) -> tuple[FloatArray, Index]:
    """Least margin of each world over panels of the same worlds, and its cause."""
    owner = np.concatenate([panel.owner for panel in panels])
    margin = np.concatenate([read.margin for read in reads])
    cause = np.concatenate([read.cause for read in reads])
    order = np.lexsort((margin, owner))
    first = order[np.searchsorted(owner[order], np.arange(panels[0].worlds))]
    return margin[first], cause[first]


class _Kind:
    """Questions of one kind of a search: what is remembered of each."""

    def __init__(self, search: Search, *, pulls: bool) -> None:
        self.ask = pull_questions if pulls else hang_questions
        self.most_n = search.most_n if pulls else None
        self.whole = search.whole
        self.shares, self.last = np.empty((0, 0, FOLDS + 1)), np.empty((0, 0))

    def panel(self, worlds: Worlds, ropes: Ropes, shares: FloatArray, keep: Flags | None) -> _Panel:
        """Questions of some worlds; `shares` (worlds, questions, places) or (places,), `keep` those asked."""
        asked = self.ask(worlds, ropes, whole=self.whole)
        each = asked.count // worlds.site.size
        kept = np.arange(asked.count) if keep is None else np.flatnonzero(keep)
        owner = kept // each
        wide = np.broadcast_to(shares, (worlds.site.size, each, shares.shape[-1]))
        from_m = worlds.from_m[owner][:, np.newaxis]
        return _Panel(
            asked=asked if keep is None else asked.part(kept),
            owner=owner,
            place=kept % each,
            worlds=worlds.site.size,
            from_m=from_m,
            length_m=worlds.to_m[owner][:, np.newaxis] - from_m,
            shares=wide.reshape(asked.count, -1)[kept],
            kind=self,
        )

    def remember(self, which: Index, panel: _Panel, read: _Read, *, counts: Flags) -> None:
        """Places of all that was asked; margins at the new bad end of a bracket, and all over."""
        site = which[panel.owner]
        self.shares[site, panel.place] = read.shares
        moved = counts[panel.owner]
        self.last[site[moved], panel.place[moved]] = read.margin[moved]


class _Running:
    """A search on its way."""

    def __init__(self, search: Search, ropes: Ropes) -> None:
        self.search, self.ropes = search, ropes
        self.count = search.values.shape[0]
        self.kinds = [_Kind(search, pulls=True)] if search.most_n is not None else []
        if search.hangs:
            self.kinds.append(_Kind(search, pulls=False))

    def scan(self) -> list[_Panel]:
        """All values of all sites."""
        which = np.repeat(np.arange(self.count), self.search.values.shape[1])
        worlds = self.search.world_of(self.search.values.ravel(), which)
        even = np.linspace(0.0, 1.0, _SCANNED)
        return [kind.panel(worlds, self.ropes, even, None) for kind in self.kinds]

    def scanned(self, panels: Sequence[_Panel], reads: Sequence[_Read]) -> None:
        """Take the answers to `scan`: the bracket about the first failure."""
        shape = self.search.values.shape
        least, cause = _least(panels, reads)
        margins, causes = least.reshape(shape), cause.reshape(shape)
        self.brackets = Brackets(self.search.values, margins, self.search.width)
        rows, good = np.arange(self.count), self.brackets.step
        self.cause = causes[rows, np.where(self.brackets.never, 0, good + 1)]
        for kind, read in zip(self.kinds, reads, strict=True):
            kind.shares = read.shares.reshape(*shape, -1, FOLDS + 1)[rows, good].copy()
            kind.last = read.margin.reshape(*shape, -1)[rows, good + 1].copy()

    def turns(self) -> list[_Turn]:
        """Where to look next: at all questions where a value has closed, else at those that count."""
        which = self.brackets.open()
        at = self.brackets.next(which)
        again = np.where(self.brackets.closed(which), 1 + self.brackets.sure[which], 0)
        turns = []
        for turn in range(1 + SURE):
            here = np.flatnonzero(again == turn)
            if here.size:
                some = which[here]
                worlds = self.search.world_of(at[here], some)
                panels = [self._panel(kind, worlds, some, again=turn) for kind in self.kinds]
                panels = [panel for panel in panels if panel.owner.size]
                turns.append(_Turn(self, some, at[here], panels, all_over=turn == 1))
        return turns

    def _panel(self, kind: _Kind, worlds: Worlds, some: Index, *, again: int) -> _Panel:
        """On the way (0); where a value has closed all over (1), then near what that has found (2)."""
        known = kind.shares[some]
        if again == 1:
            even = np.broadcast_to(np.linspace(0.0, 1.0, _ALL_OVER), (*known.shape[:2], _ALL_OVER))
            return kind.panel(worlds, self.ropes, np.concatenate([even, known], axis=2), None)
        beside = np.clip(known[..., -1:] + _BESIDE, 0.0, 1.0)
        shares = np.concatenate([known, beside], axis=2)
        least = np.min([each.last[some].min(axis=1) for each in self.kinds], axis=0)
        keep = kind.last[some] <= np.maximum(_COUNTS[again], least)[:, np.newaxis]
        return kind.panel(worlds, self.ropes, shares, keep.ravel())

    def take(self, turn: _Turn, reads: Sequence[_Read]) -> None:
        """Take the answers to a turn."""
        which = turn.which
        margin, cause = _least(turn.panels, reads)
        self.brackets.take(which, turn.at, margin)
        self.cause[which] = np.where(margin <= CLOSE, cause, self.cause[which])
        for panel, read in zip(turn.panels, reads, strict=True):
            panel.kind.remember(which, panel, read, counts=turn.all_over | (margin < 0.0))

    def found(self) -> Found:
        """What it came to."""
        never, always = self.brackets.never, self.brackets.always
        value = np.where(always, self.search.values[:, -1], self.brackets.good)
        return Found(np.where(never, np.nan, value), np.where(always, -1, self.cause), never, always)


@dataclass(frozen=True, slots=True, eq=False)
class _Turn:
    """Values at which some sites of a search are looked at, and the questions there."""

    running: _Running
    which: Index
    at: FloatArray
    panels: list[_Panel]
    all_over: bool


def run_searches(table: FloatArray, ropes: Ropes, searches: Sequence[Search]) -> list[Found]:
    """Run searches in step.

    Raises
    ------
    OutOfRange, NoSolution
        From the track line, or where a value does not close.
    """
    running = [_Running(search, ropes) for search in searches]
    scans = [one.scan() for one in running]
    for one, panels, reads in zip(running, scans, _in_step(table, scans), strict=True):
        one.scanned(panels, reads)
    for _ in range(_TURNS):
        turns = [turn for one in running for turn in one.turns()]
        if not turns:
            return [one.found() for one in running]
        answers = _in_step(table, [turn.panels for turn in turns])
        for turn, reads in zip(turns, answers, strict=True):
            turn.running.take(turn, reads)
    raise NoSolution(f"search: a limit is not closed after {_TURNS} turns")


def _in_step(table: FloatArray, asked: Sequence[Sequence[_Panel]]) -> list[list[_Read]]:
    reads = iter(_read_all(table, [panel for panels in asked for panel in panels]))
    return [[next(reads) for _ in panels] for panels in asked]
