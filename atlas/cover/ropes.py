"""What rope a line asks for, and the pieces of rope there are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from atlas.faults import OutOfRange
from atlas.records import Agency

# Nominal sizes come from millimetres or inches: 11 mm may be 0.011 or 0.011000000000000001 m.
_SAME_DIAMETER_M = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class RopePiece:
    """One piece of rope in one agency's cache; `index` counts pieces of one name, from 1."""

    agency: str
    name: str
    length_m: float
    diameter_m: float
    kind: str
    strength_n: float
    index: int = 1

    def __post_init__(self) -> None:
        measures = (self.length_m, self.diameter_m, self.strength_n)
        if not all(math.isfinite(value) and value > 0.0 for value in measures):
            raise OutOfRange(f"rope '{self.name}' has a measure that is no positive number")


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeAsked:
    """Ropes that serve: of one of the `kinds`, the first preferred, with these limits."""

    kinds: tuple[str, ...]
    strength_min_n: float
    diameter_min_m: float
    diameter_max_m: float | None = None

    def __post_init__(self) -> None:
        limits = (self.strength_min_n, self.diameter_min_m, self.diameter_max_m or 0.0)
        if not all(math.isfinite(value) and value >= 0.0 for value in limits):
            raise OutOfRange("a limit of strength or diameter is no number >= 0")

    def admits(self, piece: RopePiece) -> bool:
        """Kind, strength and diameter are as asked; says nothing of length."""
        thickest_m = math.inf if self.diameter_max_m is None else self.diameter_max_m
        return (
            piece.kind in self.kinds
            and piece.strength_n >= self.strength_min_n
            and self.diameter_min_m - _SAME_DIAMETER_M <= piece.diameter_m <= thickest_m + _SAME_DIAMETER_M
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LineNeed:
    """A line and the rope it needs.

    Attributes
    ----------
    line : name of the line
    needed_m : length needed [m]; a rope serves with its own true length, never rounded up
    kinds : kinds of rope that serve, the first preferred among ropes equally long
    strength_min_n, diameter_min_m, diameter_max_m : limits [N, m]; None for no greatest diameter
    may_join : two ropes of one name and cache may be joined to make the length
    join_m : rope that the knot of a join takes [m]
    others : further sets of limits of which any serves as well, in order of preference

    Raises
    ------
    OutOfRange
        `needed_m` is no positive number, or a limit or `join_m` is none.
    """

    line: str
    needed_m: float
    kinds: tuple[str, ...]
    strength_min_n: float
    diameter_min_m: float
    diameter_max_m: float | None = None
    may_join: bool = False
    join_m: float = 0.0
    others: tuple[RopeAsked, ...] = ()

    def __post_init__(self) -> None:
        if not (math.isfinite(self.needed_m) and self.needed_m > 0.0):
            raise OutOfRange(f"line '{self.line}' needs a length that is no positive number")
        if not (math.isfinite(self.join_m) and self.join_m >= 0.0):
            raise OutOfRange(f"line '{self.line}': the rope of its knot is no number >= 0")
        _ = self.asked

    @property
    def asked(self) -> tuple[RopeAsked, ...]:
        """All sets of limits of which any serves."""
        own = RopeAsked(
            kinds=self.kinds,
            strength_min_n=self.strength_min_n,
            diameter_min_m=self.diameter_min_m,
            diameter_max_m=self.diameter_max_m,
        )
        return (own, *self.others)

    def rank(self, piece: RopePiece) -> int | None:
        """How far down the order of preference a piece stands, from 0; None where it does not serve.

        Says nothing of length.
        """
        return self.ranks([piece])[0]

    def ranks(self, pieces: Sequence[RopePiece]) -> list[int | None]:
        """`rank` of each piece."""
        asked = self.asked
        begins = [sum(len(one.kinds) for one in asked[:number]) for number in range(len(asked))]
        # pieces of one rope differ in length and number only
        of_rope: dict[tuple[str, float, float], int | None] = {}
        ranks = []
        for piece in pieces:
            rope = piece.kind, piece.strength_n, piece.diameter_m
            if rope not in of_rope:
                of_rope[rope] = next(
                    (
                        at + one.kinds.index(piece.kind)
                        for at, one in zip(begins, asked, strict=True)
                        if one.admits(piece)
                    ),
                    None,
                )
            ranks.append(of_rope[rope])
        return ranks


def pieces_of(agencies: Sequence[Agency]) -> tuple[RopePiece, ...]:
    """Every piece of rope that is not retired, in the order of agencies and of their caches."""
    return tuple(
        RopePiece(
            agency=agency.code,
            name=rope.name,
            length_m=rope.length_m,
            diameter_m=rope.diameter_m,
            kind=rope.kind,
            strength_n=rope.strength_n,
            index=index,
        )
        for agency in agencies
        for rope in agency.ropes
        if not rope.retired
        for index in range(1, rope.count + 1)
    )
