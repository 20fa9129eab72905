"""Which agencies are needed: everything covered first, then the fewest, then soonest, then least over-length.

Exact by trying sets of agencies by size, all of one size together in arrays: the first size at which
nothing more is lacking than with everybody is the least.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, islice

import numpy as np
from numpy.typing import NDArray

from atlas.cover.gear_groups import GearAsked, gear_groups
from atlas.cover.ropes import LineNeed, RopePiece, pieces_of
from atlas.cover.tables import NEVER, Table, line_table, reach, together
from atlas.records import Agency

__all__ = ["Comer", "Job", "who_comes"]

Ints = NDArray[np.int64]
_NOTHING = GearAsked("", 0)
_AT_ONCE = 4096
"""Sets of agencies looked at together."""


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


@dataclass(frozen=True, slots=True)
class _Brought:
    """What each agency brings, a row an agency, the first due in the first row.

    Attributes
    ----------
    lines : tables of `line_table`
    reach : of each table, and what each set of lines asks of them all together
    gear : for each group of items and each set of them, pieces that serve one of the set
    gear_needed : pieces needed of each set, the same columns
    starts : where each group's columns begin
    """

    lines: Table
    reach: Ints
    asked: Ints
    gear: Ints
    gear_needed: Ints
    starts: Ints
    people: Ints
    people_needed: int
    minutes: NDArray[np.float64]


def _pieces(agency: Agency) -> tuple[RopePiece, ...]:
    return pieces_of([agency])


def _brought(job: Job, comers: Sequence[Comer]) -> _Brought:
    groups = gear_groups(job.gear or (_NOTHING,))
    held = [np.concatenate([group.held(comer.agency.gear) for group in groups]) for comer in comers]
    sizes = [len(group.needed) for group in groups]
    lines = np.stack([line_table(job.needs, _pieces(comer.agency)) for comer in comers])
    return _Brought(
        lines=lines,
        reach=reach(lines),
        asked=np.array([number.bit_count() for number in range(lines.shape[1])]),
        gear=np.stack(held),
        gear_needed=np.concatenate([group.needed for group in groups]),
        starts=np.cumsum([0, *sizes[:-1]]),
        people=np.array([sum(crew.people for crew in comer.agency.crew) for comer in comers]),
        people_needed=job.people,
        minutes=np.array([comer.minutes for comer in comers]),
    )


def _open_and_over(lines: Table) -> tuple[Ints, Ints]:
    """Lines left open and the least over-length of the rest, a row each."""
    sets = np.arange(lines.shape[1])
    covered = np.array([int(one).bit_count() for one in sets])
    most = np.where(lines < NEVER, covered, -1).max(axis=1)
    over = np.where(covered == most[:, None], lines, NEVER).min(axis=1)
    return covered.max() - most, over


def _people_and_gear_short(brought: _Brought, sets: Ints) -> tuple[Ints, Ints]:
    """Gear pieces and people short with each set of agencies; the largest lack of any set of items counts.

    Source: deficiency version of Hall's theorem (Ore 1955; from memory), group by group.
    """
    lack = np.maximum(brought.gear_needed - brought.gear[sets].sum(axis=1), 0)
    gear = np.maximum.reduceat(lack, brought.starts, axis=1).sum(axis=1)
    people = np.maximum(brought.people_needed - brought.people[sets].sum(axis=1), 0)
    return gear, people


def _lines_of_all(lines: Table) -> Table:
    """Table of everybody together, shape (1, 2^lines): pair by pair, then pairs of pairs."""
    while len(lines) > 1:
        half = len(lines) // 2
        lines = np.concatenate([together(lines[:half], lines[half : 2 * half]), lines[2 * half :]])
    return lines


def _lines_of(brought: _Brought, sets: Ints) -> Table:
    table = brought.lines[sets[:, 0]]
    for column in range(1, sets.shape[1]):
        table = together(table, brought.lines[sets[:, column]])
    return table


def _sets(others: Sequence[int], size: int) -> Iterator[Ints]:
    """Sets of the first due and `size` others, many at once, in order."""
    every = combinations(others, size)
    while chunk := list(islice(every, _AT_ONCE)):
        yield np.array([(0, *one) for one in chunk], dtype=np.intp)


def _best_of_size(brought: _Brought, size: int, least: tuple[int, int, int]) -> tuple[int, ...] | None:
    """Of the sets of a size that lack no more than `least` the soonest, then the one least over-long."""
    best: tuple[float, int] | None = None
    found: tuple[int, ...] | None = None
    for sets in _sets(range(1, len(brought.minutes)), size):
        kept = sets[_may_serve(brought, sets, least)]
        latest = brought.minutes[kept].max(axis=1)
        for minutes in np.unique(latest):
            if best is not None and minutes > best[0]:
                break
            group = kept[latest == minutes]
            still_open, over = _open_and_over(_lines_of(brought, group))
            serves = still_open <= least[0]
            if serves.any():
                row = int(np.where(serves, over, 2 * NEVER).argmin())
                score = (float(minutes), int(over[row]))
                if best is None or score < best:
                    best, found = score, tuple(int(number) for number in group[row])
                break
    return found


def _may_serve(brought: _Brought, sets: Ints, least: tuple[int, int, int]) -> NDArray[np.bool_]:
    """Sets that lack no more gear and people than `least`, nor, as far as their reach tells, more lines."""
    gear, people = _people_and_gear_short(brought, sets)
    still_open = (brought.asked - brought.reach[sets].sum(axis=1)).max(axis=1)
    serves: NDArray[np.bool_] = (still_open <= least[0]) & (gear <= least[1]) & (people <= least[2])
    return serves


def who_comes(job: Job, comers: Sequence[Comer]) -> tuple[Comer, ...]:
    """The agencies that are called, the first due first, the others by minutes.

    Parameters
    ----------
    comers : the first due first; it always comes, and counts

    Notes
    -----
    As few lines as possible are left open; then as few pieces of gear as possible are short, then people;
    then as few agencies as possible come; then the last of them as soon as possible; then with the least
    over-length of rope; then the first by order.
    """
    brought = _brought(job, comers)
    everybody = np.arange(len(comers), dtype=np.intp)[None, :]
    gear, people = _people_and_gear_short(brought, everybody)
    still_open, _ = _open_and_over(_lines_of_all(brought.lines))
    least = int(still_open[0]), int(gear[0]), int(people[0])
    for size in range(len(comers)):
        found = _best_of_size(brought, size, least)
        if found is not None:
            first, *others = (comers[number] for number in found)
            return (first, *sorted(others, key=lambda comer: comer.minutes))
    raise AssertionError("everybody together lacks no more than everybody together")
