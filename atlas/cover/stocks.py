"""Ropes and hardware of many agencies as arrays, read off their caches once for any number of jobs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from atlas.cover.gear_groups import GearAsked, gear_groups
from atlas.cover.ropes import LineNeed, RopeAsked, RopePiece, pieces_of
from atlas.cover.tables import NEVER, Table, line_table, over_lengths, singles
from atlas.faults import OutOfRange
from atlas.records import Agency

__all__ = ["GearTable", "Stocks"]

Ints = NDArray[np.int64]
_NOTHING = GearAsked("", 0)


@dataclass(frozen=True, slots=True, eq=False)
class GearTable:
    """What each agency has of the items asked for, group by group; a column for each set of a group's items.

    Attributes
    ----------
    needed : pieces needed of each set, shape (columns,)
    held : pieces that serve one of the set, shape (agencies, columns)
    starts : where each group's columns begin
    """

    needed: Ints
    held: Ints
    starts: Ints


@dataclass(frozen=True, slots=True, eq=False)
class Stocks:
    """Caches of agencies, a row an agency.

    Attributes
    ----------
    pieces : of each agency the pieces of rope that are not retired, the shortest first
    length_m : their lengths, shape (agencies, most pieces); 0 where there is none
    """

    agencies: tuple[Agency, ...]
    pieces: tuple[tuple[RopePiece, ...], ...]
    length_m: NDArray[np.float64]
    _serves: dict[tuple[RopeAsked, ...], NDArray[np.bool_]] = field(default_factory=dict)
    _gear: dict[tuple[GearAsked, ...], GearTable] = field(default_factory=dict)
    _rows: dict[str, int] = field(default_factory=dict)
    _lines: dict[tuple[LineNeed, ...], Table] = field(default_factory=dict)

    @classmethod
    def of(cls, agencies: Sequence[Agency]) -> Stocks:
        """Read off their caches.

        Raises
        ------
        OutOfRange
            An agency stands twice.
        """
        pieces = tuple(
            tuple(sorted(pieces_of([agency]), key=lambda piece: piece.length_m)) for agency in agencies
        )
        length_m = np.zeros((len(agencies), max(map(len, pieces), default=0)))
        for row, own in enumerate(pieces):
            length_m[row, : len(own)] = [piece.length_m for piece in own]
        rows = {agency.code: row for row, agency in enumerate(agencies)}
        if len(rows) < len(agencies):
            raise OutOfRange("an agency stands twice")
        return cls(tuple(agencies), pieces, length_m, _rows=rows)

    def rows(self, agencies: Sequence[Agency]) -> NDArray[np.intp]:
        """Their rows."""
        return np.array([self._rows[agency.code] for agency in agencies], dtype=np.intp)

    def people(self) -> Ints:
        """On duty in each agency."""
        return np.array([sum(crew.people for crew in agency.crew) for agency in self.agencies])

    def serves(self, need: LineNeed) -> NDArray[np.bool_]:
        """Whether each piece is of a kind, strength and diameter asked for, whatever its length."""
        asked = need.asked
        found = self._serves.get(asked)
        if found is None:
            found = np.zeros(self.length_m.shape, dtype=np.bool_)
            for row, own in enumerate(self.pieces):
                found[row, : len(own)] = [any(one.admits(piece) for one in asked) for piece in own]
            self._serves[asked] = found
        return found

    def lines(self, needs: Sequence[LineNeed]) -> Table:
        """`line_table` of every agency, shape (agencies, 2^needs); that of the last needs is kept."""
        asked = tuple(needs)
        found = self._lines.get(asked)
        if found is None:
            self._lines.clear()
            found = self._lines[asked] = self._tables(asked)
        return found

    def _tables(self, needs: tuple[LineNeed, ...]) -> Table:
        if any(need.may_join for need in needs):
            return np.stack([line_table(needs, own) for own in self.pieces])
        if not needs:
            return np.zeros((len(self.agencies), 1), dtype=np.int64)
        serves = np.stack([self.serves(need) for need in needs], axis=2)
        needed_m = np.array([need.needed_m for need in needs])
        return singles(_worth_trying(over_lengths(self.length_m[:, :, None], needed_m, serves)))

    def gear(self, asked: tuple[GearAsked, ...]) -> GearTable:
        """What there is of the items asked for."""
        found = self._gear.get(asked)
        if found is None:
            groups = gear_groups(asked or (_NOTHING,))
            sizes = [len(group.needed) for group in groups]
            held = [np.concatenate([group.held(agency.gear) for group in groups]) for agency in self.agencies]
            needed = np.concatenate([group.needed for group in groups])
            found = GearTable(needed, np.stack(held), np.cumsum([0, *sizes[:-1]]))
            self._gear[asked] = found
        return found


def _worth_trying(over: Table) -> Table:
    """Over-lengths of fewer pieces, shape (agencies, fewer, needs): for each of n needs the n shortest.

    The other lines take at most n - 1 of those, so that no better cover is lost.
    """
    serves = over < NEVER
    among_shortest = serves & (np.cumsum(serves, axis=1) <= over.shape[2])
    kept = among_shortest.any(axis=2)
    most = max(int(kept.sum(axis=1).max(initial=0)), 1)
    if most >= over.shape[1]:
        return over
    first = np.where(kept, np.arange(over.shape[1]), over.shape[1])
    order = np.argsort(first, axis=1, kind="stable")[:, :most]
    fewer = np.take_along_axis(over, order[:, :, None], axis=1)
    return np.where(np.take_along_axis(kept, order, axis=1)[:, :, None], fewer, NEVER)
