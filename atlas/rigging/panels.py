"""Questions of one kind asked of many worlds at a few places each, and the least margin read of each.

A question carries a few places with it from one turn to the next, at its folds and at its worst, so that
its worst place is known ever better while the worlds move.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from atlas.faults import NoSolution
from atlas.rigging.asked import Asked, Index
from atlas.rigging.carriages import Carriages, carriages_of
from atlas.rigging.envelope import FOLDS, crossings, summits
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

__all__ = ["Asking", "Flags", "Kind", "Panel", "Read", "run_in_step"]

Flags = npt.NDArray[np.bool_]

_SCANNED = np.linspace(0.0, 1.0, 3)
"""Shares of the travel that are looked at as long as nothing is known."""
_ALL_OVER = np.linspace(0.0, 1.0, 9)
"""Shares that are looked at beside what is known, to be sure."""
_BESIDE = np.array([-0.05, 0.05])
"""Shares of the travel beside a question's worst place that are looked at with it."""
_SPREAD = np.linspace(0.19, 0.81, FOLDS + 1)
"""Shares of the travel that are looked at as long as no fold is known."""
_LENGTH_LEAST_M = 1e-9
_TURNS = 80


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """Questions of one kind of some worlds, all or some.

    Attributes
    ----------
    asked : the questions
    owner, place : of which world, and which of the world's questions of the kind each is
    worlds, each : how many worlds, and questions of the kind that one has
    from_m, length_m : the carriage's travel, shape (questions, 1)
    shares : places as shares of the travel, shape (questions, places)
    """

    kind: Kind
    asked: Asked
    owner: Index
    place: Index
    worlds: int
    each: int
    from_m: FloatArray
    length_m: FloatArray
    shares: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Read:
    """Of each question the least margin, its cause, where that was, and where to look next time.

    Places as shares of the travel.
    """

    margin: FloatArray
    cause: Index
    worst: FloatArray
    shares: FloatArray


def _read(panel: Panel, state: Carriages) -> Read:
    if panel.kind.most_n is None:
        margin = clearance_margin(state)
        cause = np.full(margin.shape, CLEARANCE)
    else:
        margin, cause = force_margin(state, panel.kind.most_n)
    question = np.arange(margin.shape[0])
    worst = np.argmin(margin, axis=1)
    at = (state.at_m[question, worst] - panel.from_m[:, 0]) / np.maximum(
        panel.length_m[:, 0], _LENGTH_LEAST_M
    )
    return Read(
        margin[question, worst],
        cause[question, worst],
        np.clip(at, 0.0, 1.0),
        _looked_at_next(panel, state, margin),
    )


def _looked_at_next(panel: Panel, state: Carriages, margin: FloatArray) -> FloatArray:
    """Folds and the worst place, as shares of the travel; where that is one place, it."""
    if margin.shape[1] == 1:
        return np.zeros_like(margin)
    at = np.stack([*crossings(state, -margin), summits(state, -margin)], axis=1)
    shares = np.where(np.isnan(at), _SPREAD, (at - panel.from_m) / panel.length_m)
    return np.clip(shares, 0.0, 1.0)


def _read_all(table: FloatArray, panels: Sequence[Panel]) -> list[Read]:
    """All panels, solved in one call."""
    places = [panel.from_m + panel.length_m * np.sort(panel.shares, axis=1) for panel in panels]
    solved = carriages_of(table, [(panel.asked, at) for panel, at in zip(panels, places, strict=True)])
    return [_read(panel, state) for panel, state in zip(panels, solved, strict=True)]


class Kind:
    """Questions of one kind: what is remembered of each, by site and by its place among the site's.

    Attributes
    ----------
    most_n : greatest forces, as `force_margin`; None where clearance is judged
    whole : the systems of forces looked at
    one_place : the carriage's travel is one place
    shares : places to look at next, as shares of the travel, shape (sites, questions, known)
    last : margins as they counted last, shape (sites, questions)
    worst : places where a question was worst last, as shares of the travel, shape (sites, questions)
    second : another place where one was found worse than where it was looked at, so; NaN where none was
    """

    def __init__(self, *, most_n: FloatArray | None, whole: Sequence[bool], one_place: bool = False) -> None:
        self.most_n, self.whole, self.one_place = most_n, whole, one_place
        self.known = 1 if one_place else FOLDS + 1
        self.shares, self.last, self.worst = np.empty((0, 0, self.known)), np.empty((0, 0)), np.empty((0, 0))
        self.second = np.empty((0, 0))

    def first(self, worlds: Worlds, ropes: Ropes) -> Panel:
        """All questions of some worlds, of which nothing is known."""
        return self._panel(worlds, ropes, _SCANNED[:1] if self.one_place else _SCANNED, None)

    def again(
        self, worlds: Worlds, ropes: Ropes, site: Index, *, keep: Flags | None, all_over: bool = False
    ) -> Panel:
        """Questions of some worlds where they are known to fold and to be worst.

        Parameters
        ----------
        site : of each world, whose memory counts
        keep : those that are asked, shape (worlds, questions); None for all
        all_over : also at even places
        """
        known = self.shares[site]
        if self.one_place:
            shares = known
        elif all_over:
            even = np.broadcast_to(_ALL_OVER, (*known.shape[:2], _ALL_OVER.size))
            shares = np.concatenate([even, known], axis=2)
        else:
            shares = np.concatenate([known, np.clip(known[..., -1:] + _BESIDE, 0.0, 1.0)], axis=2)
            shares = self._with_second(shares, site)
        return self._panel(worlds, ropes, shares, keep)

    def _with_second(self, shares: FloatArray, site: Index) -> FloatArray:
        """Also where a question was found worse: it may be there again, when it no longer is where it was."""
        if not self.second.size or np.isnan(second := self.second[site]).all():
            return shares
        other = np.where(np.isnan(second), shares[..., 0], second)
        return np.concatenate([shares, other[..., np.newaxis]], axis=2)

    def found_worse(self, site: Index, panel: Panel, read: Read, *, broken: Flags) -> None:
        """Remember where questions of some worlds were worst, which had not been seen before."""
        if not self.second.size:
            self.second = np.full(self.last.shape, np.nan)
        some = broken[panel.owner] & (read.margin < 0.0)
        self.second[site[panel.owner[some]], panel.place[some]] = read.worst[some]

    def at_worst(self, worlds: Worlds, ropes: Ropes, site: Index, *, keep: Flags) -> Panel:
        """Questions of some worlds at the one place where each was worst last; arguments as `again`."""
        return self._panel(worlds, ropes, self.worst[site][..., np.newaxis], keep)

    def remember(self, site: Index, panel: Panel, read: Read, *, counts: Flags) -> None:
        """What was read: places of all that was asked, margins of those worlds that count."""
        of = site[panel.owner]
        self.shares[of, panel.place] = read.shares
        moved = counts[panel.owner]
        self.last[of[moved], panel.place[moved]] = read.margin[moved]

    def _panel(self, worlds: Worlds, ropes: Ropes, shares: FloatArray, keep: Flags | None) -> Panel:
        ask = hang_questions if self.most_n is None else pull_questions
        asked = ask(worlds, ropes, whole=self.whole)
        each = asked.count // worlds.site.size
        kept = np.arange(asked.count) if keep is None else np.flatnonzero(keep)
        owner = kept // each
        wide = np.broadcast_to(shares, (worlds.site.size, each, shares.shape[-1]))
        from_m = worlds.from_m[owner][:, np.newaxis]
        return Panel(
            kind=self,
            asked=asked if keep is None else asked.part(kept),
            owner=owner,
            place=kept % each,
            worlds=worlds.site.size,
            each=each,
            from_m=from_m,
            length_m=worlds.to_m[owner][:, np.newaxis] - from_m,
            shares=wide.reshape(asked.count, -1)[kept],
        )


class Asking(Protocol):
    """Something that asks questions turn by turn until it knows."""

    def ask(self) -> list[Panel]:
        """Panels of the next turn; none when it is done."""

    def take(self, reads: Sequence[Read]) -> None:
        """What was read of the panels it asked last, in their order."""


def run_in_step(table: FloatArray, askings: Sequence[Asking]) -> None:
    """Let all ask to their end, the questions of one turn solved in one call.

    Raises
    ------
    OutOfRange, NoSolution
        From the track line, or where one does not come to an end.
    """
    for _ in range(_TURNS):
        asked = [one.ask() for one in askings]
        if not any(asked):
            return
        reads = iter(_read_all(table, [panel for panels in asked for panel in panels]))
        for one, panels in zip(askings, asked, strict=True):
            if panels:
                one.take([next(reads) for _ in panels])
    raise NoSolution(f"search: a limit is not closed after {_TURNS} turns")
