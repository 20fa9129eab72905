"""Pieces under each other, as many pages as they take; a heading is never left alone at a foot."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from atlas.faults import BlockOverrun
from atlas.paper.boxes import Box, Item
from atlas.paper.measure import SLACK_MM
from atlas.paper.table import LaidOut

__all__ = ["Piece", "beside", "gap", "pour"]

_ENDLESS_MM = 1e5


@dataclass(frozen=True, slots=True)
class Piece:
    """Something with a height of its own.

    Attributes
    ----------
    lay : lays it from the top of a box as high as it needs
    keeps_next : stays on one page with the piece after it
    repeats : laid again at the top of a page that begins with this piece
    is_gap : not laid at the top of a page
    """

    lay: Callable[[Box], LaidOut]
    keeps_next: bool = False
    repeats: Piece | None = None
    is_gap: bool = False


def gap(height_mm: float) -> Piece:
    """White between pieces; none at the top of a page."""
    return Piece(lambda _: LaidOut(items=(), height_mm=height_mm, dropped=0), keeps_next=True, is_gap=True)


def _column_of(pieces: Sequence[Piece], box: Box) -> tuple[list[Item], float]:
    items, bottom_mm = _lay_group(pieces, box, box.top_mm)
    return items, bottom_mm - box.top_mm


def beside(left: Sequence[Piece], right: Sequence[Piece], *, left_mm: float | None, gap_mm: float) -> Piece:
    """Pieces in two columns that stay on one page; `left_mm` wide at the left, None for halves."""

    def lay(box: Box) -> LaidOut:
        width_mm = (box.width_mm - gap_mm) / 2 if left_mm is None else left_mm
        start_mm = box.left_mm + width_mm + gap_mm
        first, first_mm = _column_of(left, replace(box, width_mm=width_mm))
        rest = replace(box, left_mm=start_mm, width_mm=box.right_mm - start_mm)
        second, second_mm = _column_of(right, rest)
        return LaidOut(items=(*first, *second), height_mm=max(first_mm, second_mm), dropped=0)

    return Piece(lay)


def _groups(pieces: Sequence[Piece]) -> Iterator[list[Piece]]:
    """Pieces that stay together."""
    group: list[Piece] = []
    for piece in pieces:
        group.append(piece)
        if not piece.keeps_next:
            yield group
            group = []
    if group:
        yield group


def _lay_group(group: Sequence[Piece], box: Box, top_mm: float) -> tuple[list[Item], float]:
    items: list[Item] = []
    for piece in group:
        laid = piece.lay(replace(box, top_mm=top_mm, height_mm=_ENDLESS_MM))
        items += laid.items
        top_mm += laid.height_mm
    return items, top_mm


def _at_page_top(group: Sequence[Piece]) -> list[Piece]:
    """A group as it begins a page: without white over it, with the head that repeats."""
    there = list(group)
    while there and there[0].is_gap:
        del there[0]
    repeated = there[0].repeats if there else None
    return [repeated, *there] if repeated else there


def pour(pieces: Sequence[Piece], box: Box, block: str) -> list[list[Item]]:
    """Items of each page, the pieces poured into the same box of as many pages as they take.

    Raises
    ------
    BlockOverrun
        A piece, with what it is kept with, is higher than the box.
    """
    pages: list[list[Item]] = [[]]
    top_mm = box.top_mm
    for group in _groups(pieces):
        items, bottom_mm = _lay_group(group, box, top_mm)
        if bottom_mm > box.bottom_mm + SLACK_MM and pages[-1]:
            pages.append([])
            items, bottom_mm = _lay_group(_at_page_top(group), box, box.top_mm)
        if bottom_mm > box.bottom_mm + SLACK_MM:
            raise BlockOverrun(block, bottom_mm - box.bottom_mm, "a piece higher than a page")
        pages[-1] += items
        top_mm = bottom_mm
    return pages
