"""Which agencies are needed: everything covered first, then the fewest, then soonest, then least over-length.

Exact by trying sets of agencies by size: the first size at which nothing more is lacking than with everybody
is the least. A set is built agency by agency, and given up as soon as the most that any others could add to
it would still leave it short.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.cover.gear_groups import GearAsked
from atlas.cover.ropes import LineNeed
from atlas.cover.stocks import Stocks
from atlas.cover.tables import NEVER, Table, reach, together
from atlas.records import Agency

__all__ = ["Comer", "Job", "who_comes"]

Ints = NDArray[np.int64]
_AT_ONCE = 1_000_000
"""Figures looked at together."""


@dataclass(frozen=True, slots=True)
class Comer:
    """An agency that can come.

    Attributes
    ----------
    minutes : from its station to the site; infinite where nothing is known
    estimated : from the distance, not given
    """

    agency: Agency
    minutes: float
    estimated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What one rig asks for at one site."""

    needs: tuple[LineNeed, ...]
    gear: tuple[GearAsked, ...] = ()
    people: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """What agencies bring, in columns that add up, a row an agency; the first due in the first row.

    Three kinds of columns: for each set of lines how many of it an agency's ropes can cover, whatever the
    others are; for each set of items of a group of gear the pieces that serve one of it; people. What is
    lacking of lines is the largest lack of any set, of gear the sum over groups of the largest lack in each
    (deficiency version of Hall's theorem, Ore 1955; matroid union theorem, Nash-Williams 1966; from memory).

    Attributes
    ----------
    brought : shape (agencies, columns)
    needed : shape (columns,)
    starts : where the lines, each group of gear, and people begin
    """

    brought: Ints
    needed: Ints
    starts: Ints

    def lacking(self, held: Ints) -> Ints:
        """Lines, pieces of gear and people lacking, shape (..., 3), of what is held, shape (..., columns)."""
        lack = np.maximum(self.needed - held, 0)
        largest = np.maximum.reduceat(lack, self.starts, axis=-1)
        gear = largest[..., 1:-1].sum(axis=-1)
        return np.stack((largest[..., 0], gear, largest[..., -1]), axis=-1)


def _asked(job: Job, stocks: Stocks, rows: NDArray[np.intp], lines: Table) -> _Asked:
    gear = stocks.gear(job.gear)
    sets = np.array([number.bit_count() for number in range(lines.shape[1])])
    brought = np.concatenate((reach(lines), gear.held[rows], stocks.people()[rows, None]), axis=1)
    needed = np.concatenate((sets, gear.needed, [job.people]))
    starts = np.concatenate(([0], len(sets) + gear.starts, [len(needed) - 1]))
    return _worth_counting(_Asked(brought, needed, starts))


def _worth_counting(asked: _Asked) -> _Asked:
    """Without the columns of which the first due alone brings enough, but for one of each kind."""
    kept = asked.needed > asked.brought[0]
    kept[asked.starts] = True
    starts = np.cumsum(kept)[asked.starts] - 1
    return _Asked(asked.brought[:, kept], asked.needed[kept], starts)


def _open_and_over(lines: Table) -> tuple[Ints, Ints]:
    """Lines left open and the least over-length of the rest, a row each."""
    sets = np.arange(lines.shape[1])
    covered = np.array([int(one).bit_count() for one in sets])
    most = np.where(lines < NEVER, covered, -1).max(axis=1)
    over = np.where(covered == most[:, None], lines, NEVER).min(axis=1)
    return covered.max() - most, over


def _lines_of_all(lines: Table) -> Table:
    """Table of everybody together, shape (1, 2^lines): pair by pair, then pairs of pairs."""
    while len(lines) > 1:
        half = len(lines) // 2
        lines = np.concatenate([together(lines[:half], lines[half : 2 * half]), lines[2 * half :]])
    return lines


def _lines_of(lines: Table, sets: NDArray[np.intp]) -> Table:
    table = lines[sets[:, 0]]
    for column in range(1, sets.shape[1]):
        table = together(table, lines[sets[:, column]])
    return table


def _least(asked: _Asked, lines: Table, *, joins: bool) -> Ints:
    """Lines, gear and people lacking with everybody, shape (3,); with joins the reach of lines is a bound."""
    least: Ints = asked.lacking(asked.brought.sum(axis=0))
    if joins:
        least[0] = _open_and_over(_lines_of_all(lines))[0][0]
    return least


def _may_serve(asked: _Asked, size: int, least: Ints) -> Iterator[NDArray[np.intp]]:
    """Sets of the first due and `size` others that lack no more than `least`, many at once, in order."""
    # the most that any one agency brings of those from a row on
    most = np.maximum.accumulate(asked.brought[::-1], axis=0)[::-1]
    first, held = np.zeros((1, 1), dtype=np.intp), asked.brought[:1]
    if (asked.lacking(held + size * most[min(1, len(most) - 1)]) <= least).all():
        yield from _grown(asked, first, held, size, most, least)


def _grown(
    asked: _Asked, sets: NDArray[np.intp], held: Ints, more: int, most: Ints, least: Ints
) -> Iterator[NDArray[np.intp]]:
    """Sets grown by `more` agencies that come after their last."""
    if more == 0:
        yield sets
        return
    count, columns = asked.brought.shape
    chunk = max(1, _AT_ONCE // (count * columns))
    for begin in range(0, len(sets), chunk):
        some, own = sets[begin : begin + chunk], held[begin : begin + chunk]
        row, new = np.nonzero(np.arange(count) > some[:, -1:])
        grown = own[row] + asked.brought[new]
        bound = grown if more == 1 else grown + (more - 1) * most[np.minimum(new + 1, count - 1)]
        kept = (asked.lacking(bound) <= least).all(axis=-1)
        if kept.any():
            larger = np.concatenate((some[row[kept]], new[kept, None]), axis=1)
            yield from _grown(asked, larger, grown[kept], more - 1, most, least)


def _best_of_size(
    asked: _Asked, lines: Table, minutes: NDArray[np.float64], size: int, least: Ints
) -> tuple[int, ...] | None:
    """Of the sets of a size that lack no more than `least` the soonest, then the one least over-long."""
    best: tuple[float, int] | None = None
    found: tuple[int, ...] | None = None
    for sets in _may_serve(asked, size, least):
        latest = minutes[sets].max(axis=1)
        for soonest in np.unique(latest):
            if best is not None and soonest > best[0]:
                break
            group = sets[latest == soonest]
            still_open, over = _open_and_over(_lines_of(lines, group))
            serves = still_open <= least[0]
            if serves.any():
                row = int(np.where(serves, over, 2 * NEVER).argmin())
                score = (float(soonest), int(over[row]))
                if best is None or score < best:
                    best, found = score, tuple(int(number) for number in group[row])
                break
    return found


def who_comes(job: Job, comers: Sequence[Comer], stocks: Stocks | None = None) -> tuple[Comer, ...]:
    """The agencies that are called, the first due first, the others by minutes.

    Parameters
    ----------
    comers : the first due first; it always comes, and counts
    stocks : the comers' caches, of others too, where they were read off before

    Notes
    -----
    As few lines as possible are left open; then as few pieces of gear as possible are short, then people;
    then as few agencies as possible come; then the last of them as soon as possible; then with the least
    over-length of rope; then the first by order.
    """
    agencies = [comer.agency for comer in comers]
    stocks = Stocks.of(agencies) if stocks is None else stocks
    rows = stocks.rows(agencies)
    lines = stocks.lines(job.needs)[rows]
    asked = _asked(job, stocks, rows, lines)
    minutes = np.array([comer.minutes for comer in comers])
    least = _least(asked, lines, joins=any(need.may_join for need in job.needs))
    for size in range(len(comers)):
        found = _best_of_size(asked, lines, minutes, size, least)
        if found is not None:
            first, *others = (comers[number] for number in found)
            return (first, *sorted(others, key=lambda comer: comer.minutes))
    raise AssertionError("everybody together lacks no more than everybody together")
