"""Ropes to lines: as many lines covered as can be, then the least rope wasted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from atlas.cover.assignment import FORBIDDEN, Columns, Costs, assign_first
from atlas.cover.ropes import LineNeed, RopePiece
from atlas.cover.tables import Join, joined, over_length
from atlas.faults import OutOfRange

# Lengths are compared in micrometres when one rope is preferred to another: whole numbers add exactly.
# Whether a rope is long enough is decided on its true length and never on these.
_PER_M = 1e6


@dataclass(frozen=True, slots=True)
class Cover:
    """What one line is made of.

    Attributes
    ----------
    line : name of the line
    take : ropes taken; empty where no rope is long enough
    short_m : 0 where covered; else what `nearest` lacks, or all of the need where there is none [m]
    nearest : where not covered, the longest suitable rope left; no rope is named for two lines
    over_micrometres : where covered, what the rope has over the need
    """

    line: str
    take: tuple[RopePiece, ...]
    short_m: float
    nearest: RopePiece | None = None
    over_micrometres: int = field(default=0, compare=False)


def cover_lines(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> tuple[Cover, ...]:
    """Ropes for lines: one rope a line, or two joined where it allows a knot; no rope twice.

    Parameters
    ----------
    needs : lines with what they need, each line once
    pieces : ropes there are, each once; of equals the earlier is taken

    Returns
    -------
    tuple of Cover
        One for each need, in their order. The greatest number of lines that can be covered is covered;
        among such covers it is the one with the least total over-length (to the micrometre), then the one
        of preferred kinds, then the first by order of needs and pieces. What is left is named for the
        lines that are not covered, so that the total lacking is least.

    Raises
    ------
    OutOfRange
        A line or a piece stands twice, or lengths are beyond exact sums (thousands of kilometres).

    Notes
    -----
    Three levels in one whole-number cost. With n needs, over-lengths up to o and ranks up to r, a rope
    costs over x (n r + 1) + rank and an open line n (o (n r + 1) + r) + 1. All ranks together are at most
    n r, less than one micrometre of over-length; all ropes together are less than one open line. So fewer
    open lines always cost less, and among equally many the shorter total does.
    """
    _check_once(needs, pieces)
    ways = joined(needs, pieces)
    plain = _single(needs, pieces)
    if len(ways) == 1 or not needs:
        return plain
    return min([plain, *(_with_joins(needs, pieces, way) for way in ways[1:])], key=_worth)


def nearest_ropes(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> tuple[RopePiece | None, ...]:
    """For lines that nothing covers the longest suitable ropes, no rope for two; the total lacking is least.

    Parameters
    ----------
    needs : at least one; no piece is long enough for any
    """
    open_lines: Columns = (None,) * len(needs)
    found = _nearest(needs, pieces, _ranks(needs, pieces), open_lines)
    return tuple(_piece(pieces, column) for column in found)


def _worth(covers: tuple[Cover, ...]) -> tuple[int, int, int]:
    """Open lines, then knots, then over-length: the less the better."""
    return (
        sum(cover.short_m > 0.0 for cover in covers),
        sum(len(cover.take) > 1 for cover in covers),
        sum(cover.over_micrometres for cover in covers),
    )


def _with_joins(
    needs: Sequence[LineNeed], pieces: Sequence[RopePiece], way: Sequence[Join]
) -> tuple[Cover, ...]:
    """Some lines joined, the others of the ropes that are left."""
    used = {piece for _, first, second in way for piece in (first, second)}
    lines = {line: (pieces[first], pieces[second]) for line, first, second in way}
    rest = [need for number, need in enumerate(needs) if number not in lines]
    others = iter(_single(rest, [piece for number, piece in enumerate(pieces) if number not in used]))
    covers = []
    for number, need in enumerate(needs):
        if number not in lines:
            covers.append(next(others))
            continue
        both = lines[number]
        over = over_length(need, [piece.length_m for piece in both])
        covers.append(Cover(need.line, both, 0.0, over_micrometres=over or 0))
    return tuple(covers)


def _single(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> tuple[Cover, ...]:
    """One rope a line."""
    if not needs:
        return ()
    ranks = _ranks(needs, pieces)
    columns = _covered(needs, pieces, ranks)
    nearest = _nearest(needs, pieces, ranks, columns)
    return tuple(
        _cover(need, _piece(pieces, column), _piece(pieces, near))
        for need, column, near in zip(needs, columns, nearest, strict=True)
    )


def _check_once(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> None:
    lines = [need.line for need in needs]
    ropes = [(piece.agency, piece.name, piece.index) for piece in pieces]
    if len(set(lines)) < len(lines) or len(set(ropes)) < len(ropes):
        raise OutOfRange("a line or a piece of rope stands twice")


def _piece(pieces: Sequence[RopePiece], column: int | None) -> RopePiece | None:
    return None if column is None else pieces[column]


def _cover(need: LineNeed, taken: RopePiece | None, nearest: RopePiece | None) -> Cover:
    if taken is not None:
        return Cover(need.line, (taken,), 0.0, over_micrometres=over_length(need, [taken.length_m]) or 0)
    lacking_m = need.needed_m - (nearest.length_m if nearest is not None else 0.0)
    return Cover(need.line, (), lacking_m, nearest)


def _ranks(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> Costs:
    """Rank of each piece for each need, shape (needs, pieces); `FORBIDDEN` where it does not serve."""
    ranks = [[FORBIDDEN if rank is None else float(rank) for rank in need.ranks(pieces)] for need in needs]
    return np.array(ranks).reshape(len(needs), len(pieces))


def _lengths(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> tuple[Costs, Costs]:
    """Needed [m], shape (needs, 1), and held [m], shape (1, pieces)."""
    needed_m = np.array([need.needed_m for need in needs])[:, None]
    held_m = np.array([piece.length_m for piece in pieces])[None, :]
    return needed_m, held_m


def _covered(needs: Sequence[LineNeed], pieces: Sequence[RopePiece], ranks: Costs) -> Columns:
    """The piece of each need; see the notes of `cover_lines`."""
    needed_m, held_m = _lengths(needs, pieces)
    serves = np.isfinite(ranks) & (held_m >= needed_m)
    over = np.where(serves, np.rint((held_m - needed_m) * _PER_M), 0.0)
    rank = np.where(serves, ranks, 0.0)
    count, most_rank, most_over = len(needs), rank.max(initial=0.0), over.max(initial=0.0)
    of_over = count * most_rank + 1.0
    open_line = count * (most_over * of_over + most_rank) + 1.0
    costs = np.where(serves, over * of_over + rank, FORBIDDEN)
    return assign_first(costs, np.full(count, open_line))


def _nearest(
    needs: Sequence[LineNeed], pieces: Sequence[RopePiece], ranks: Costs, columns: Columns
) -> Columns:
    """For each need without a piece the longest left, so that the total lacking is least."""
    if None not in columns:
        return (None,) * len(columns)
    needed_m, held_m = _lengths(needs, pieces)
    lacking = np.where(np.isfinite(ranks), np.rint((needed_m - held_m) * _PER_M), FORBIDDEN)
    lacking[:, [column for column in columns if column is not None]] = FORBIDDEN
    still_open = [row for row, column in enumerate(columns) if column is None]
    # nothing left is long enough for a line still open: it would have been covered
    found = assign_first(lacking[still_open], np.rint(needed_m[still_open, 0] * _PER_M))
    named: list[int | None] = [None] * len(needs)
    for row, column in zip(still_open, found, strict=True):
        named[row] = column
    return tuple(named)
