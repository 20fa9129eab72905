"""What each agency's rope can do: for every set of lines, the least over-length with which it covers them.

Two ropes of one name may be joined where a line allows a knot. A table of several agencies together comes
from theirs, since no rope is of two agencies.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from atlas.cover.ropes import LineNeed, RopePiece
from atlas.faults import OutOfRange

__all__ = [
    "KNOT",
    "NEVER",
    "Join",
    "Table",
    "joined",
    "line_table",
    "over_length",
    "over_lengths",
    "reach",
    "singles",
    "together",
]

Table = NDArray[np.int64]
"""Least total over-length by set of lines, a bit a line [micrometres]; `NEVER` where it cannot be."""

NEVER = 2**60
KNOT = 10**12
"""What a join counts: more than all over-length there can be, so that a rope in one piece goes before it."""
_PER_M = 1e6
_LINES_MOST = 8
_LENGTH_MOST_M = 1e5  # 8 of them are under a KNOT

Join = tuple[int, int, int]
"""Number of the line, and of the two pieces that make it."""


def over_length(need: LineNeed, lengths_m: Sequence[float]) -> int | None:
    """What a rope, or two joined, has over a need [micrometres]; None where it is too short."""
    lost_m = 0.0 if len(lengths_m) == 1 else need.join_m
    have_m = sum(lengths_m) - lost_m
    return None if have_m < need.needed_m else round((have_m - need.needed_m) * _PER_M)


def over_lengths(
    held_m: NDArray[np.float64], needed_m: NDArray[np.float64], serves: NDArray[np.bool_]
) -> Table:
    """`over_length` of single ropes [micrometres], broadcast; `NEVER` where one is too short or of no use."""
    over = np.rint((held_m - needed_m) * _PER_M)
    if over.max(initial=0.0) > _LENGTH_MOST_M * _PER_M:
        raise OutOfRange(f"cover: a rope over {_LENGTH_MOST_M:g} m")
    return np.where(serves & (held_m >= needed_m), over, NEVER).astype(np.int64)


def _alone(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> Table:
    """Over-length of each piece for each need, shape (pieces, needs)."""
    serves = [[need.rank(piece) is not None for need in needs] for piece in pieces]
    held_m = np.array([piece.length_m for piece in pieces]).reshape(-1, 1)
    needed_m = np.array([need.needed_m for need in needs])
    return over_lengths(held_m, needed_m, np.array(serves, dtype=np.bool_).reshape(len(pieces), len(needs)))


def _pairs(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> Iterator[Join]:
    """Joins that make a line: of each name the first two pieces, and the next two for a second line."""
    by_name: dict[tuple[str, str], list[int]] = {}
    for number, piece in enumerate(pieces):
        by_name.setdefault((piece.agency, piece.name), []).append(number)
    for line, need in enumerate(needs):
        if not need.may_join:
            continue
        for numbers in by_name.values():
            for first, second in zip(numbers[0:4:2], numbers[1:4:2], strict=False):
                both = [pieces[first], pieces[second]]
                serves = need.rank(both[0]) is not None
                if serves and over_length(need, [piece.length_m for piece in both]) is not None:
                    yield line, first, second


def joined(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> list[tuple[Join, ...]]:
    """Every way to join: none at all first, then one line, then two, no piece and no line twice.

    Pieces of one name are equal, so that only their number matters.
    """
    single = list(_pairs(needs, pieces))
    lines = sorted({line for line, _, _ in single})
    ways: list[tuple[Join, ...]] = [()]
    for count in range(1, len(lines) + 1):
        for chosen in combinations(lines, count):
            options = ([join for join in single if join[0] == line] for line in chosen)
            ways += [way for way in product(*options) if _apart(way)]
    return ways


def _apart(way: Sequence[Join]) -> bool:
    used = [piece for _, first, second in way for piece in (first, second)]
    return len(set(used)) == len(used)


@lru_cache(maxsize=16)
def _without(lines: int) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """Each set less each line, and whether the line was in it; shape (2^lines, lines) both."""
    sets, bits = np.arange(1 << lines)[:, None], 1 << np.arange(lines)
    return sets & ~bits, (sets & bits) != 0


def singles(alone: Table) -> Table:
    """Tables of pieces each taken for one line or none.

    Parameters
    ----------
    alone : over-length of each piece for each line, shape (rows, pieces, lines)

    Returns
    -------
    shape (rows, 2^lines)
    """
    rows, pieces, lines = alone.shape
    without, is_in = _without(lines)
    table = np.full((rows, 1 << lines), NEVER, dtype=np.int64)
    table[:, 0] = 0
    for piece in range(pieces):
        cost = np.where(is_in, alone[:, piece, None, :], NEVER)
        table = np.minimum(table, (table[:, without] + cost).min(axis=2, initial=NEVER))
    return table


def line_table(needs: Sequence[LineNeed], pieces: Sequence[RopePiece]) -> Table:
    """Table of one agency's pieces, shape (2^needs,).

    Raises
    ------
    OutOfRange
        More than 8 lines, or a rope longer than 100 km: its over-length is not added exactly.
    """
    if len(needs) > _LINES_MOST or any(piece.length_m > _LENGTH_MOST_M for piece in pieces):
        raise OutOfRange(f"cover: over {_LINES_MOST} lines, or a rope over {_LENGTH_MOST_M:g} m")
    alone = _alone(needs, pieces)
    best = np.full(1 << len(needs), NEVER, dtype=np.int64)
    for way in joined(needs, pieces):
        rest = alone.copy()
        bits = cost = 0
        for line, first, second in way:
            rest[[first, second]] = NEVER
            rest[:, line] = NEVER
            bits |= 1 << line
            over = over_length(needs[line], [pieces[first].length_m, pieces[second].length_m])
            cost += NEVER if over is None else over + KNOT
        table = singles(rest[None])[0]
        sets = np.arange(len(table))
        apart = sets[sets & bits == 0]
        best[apart | bits] = np.minimum(best[apart | bits], table[apart] + cost)
    return np.minimum(best, NEVER)


def reach(table: Table) -> NDArray[np.int64]:
    """Most lines of each set that can be covered, whatever others are; same shape.

    Of single ropes it is the rank of a transversal matroid, so that those of several agencies add up: what
    they leave open together is the greatest lack of any set of lines (matroid union theorem, Nash-Williams
    1966; from memory). With joins it is a bound.
    """
    sets = np.arange(table.shape[-1])
    count = np.array([int(one).bit_count() for one in sets])
    most = np.where(table < NEVER, count, 0)
    for line in range(len(sets).bit_length() - 1):
        with_it = sets[(sets >> line) & 1 == 1]
        most[..., with_it] = np.maximum(most[..., with_it], most[..., with_it ^ (1 << line)])
    return most


def together(one: Table, other: Table) -> Table:
    """Tables of agencies together, row by row; shape (rows, 2^needs) each."""
    sets = np.arange(one.shape[-1])
    both = one.copy()
    for subset in range(1, one.shape[-1]):
        larger = sets[sets & subset == subset]
        cost = one[..., larger ^ subset] + other[..., subset, None]
        both[..., larger] = np.minimum(both[..., larger], cost)
    return np.minimum(both, NEVER)
