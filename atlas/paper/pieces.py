"""Pieces under each other, as many pages as they take; a heading is never left alone at a foot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from atlas.paper import Box, Column, Item, LaidOut, Link, Row, Table, lay_table
from atlas.paper.flow import Piece, beside, gap, pour
from atlas.paper.measure import Span, lines_height_mm, require_spans, wrap_spans
from atlas.paper.press import BoundPage, Press

__all__ = ["Piece", "beside", "flow", "gap", "heading", "paragraph", "table_row"]


def paragraph(press: Press, text: str, style: str, *, block: str, keeps_next: bool = False) -> Piece:
    """A paragraph in one style."""

    def lay(box: Box) -> LaidOut:
        look = press.looks.styles[style]
        require_spans((Span(text, look),), press.looks.fonts, block)
        lines = wrap_spans((Span(text, look),), box.width_mm, press.looks.fonts)
        height_mm = lines_height_mm(lines, press.looks.fonts)
        items = press.text(text, style, replace(box, height_mm=height_mm), block=block)
        return LaidOut(items=items, height_mm=height_mm, dropped=0)

    return Piece(lay, keeps_next=keeps_next)


def heading(press: Press, text: str, *, block: str, style: str = "meta_strong") -> Piece:
    """A heading over a rule, kept with what follows."""

    def lay(box: Box) -> LaidOut:
        words = paragraph(press, text, style, block=block).lay(box)
        rule = press.rule(box, box.top_mm + words.height_mm + 0.6, stroke="rule", block=block)
        return LaidOut(items=(*words.items, rule), height_mm=words.height_mm + 1.0, dropped=0)

    return Piece(lay, keeps_next=True)


def table_row(
    press: Press,
    columns: tuple[Column, ...],
    row: Row,
    *,
    block: str,
    repeats: Piece | None = None,
    link: str | None = None,
    keeps_next: bool = False,
    pad_mm: float = 0.6,
) -> Piece:
    """One row of a table with a hairline under it; it leads to a destination where `link` names one.

    Parameters
    ----------
    pad_mm : over and under the text of a cell
    """

    def lay(box: Box) -> LaidOut:
        table = Table(block=block, columns=columns, rows=(row,), pad_mm=pad_mm)
        laid = lay_table(table, box, press.looks.fonts)
        whole = replace(box, height_mm=laid.height_mm)
        extra: list[Item] = [press.rule(box, whole.bottom_mm, block=block)]
        if link is not None:
            extra.append(Link(box=whole, destination=link, block=block))
        return LaidOut(items=(*laid.items, *extra), height_mm=laid.height_mm, dropped=laid.dropped)

    return Piece(lay, keeps_next=keeps_next, repeats=repeats)


def flow(
    press: Press, pieces: Sequence[Piece], *, title: str, label: str, destination: str, block: str
) -> tuple[BoundPage, ...]:
    """Pieces on as many pages as they take.

    Parameters
    ----------
    title : over every page
    label : of the first page; further ones are counted from 2
    destination : name of the place that links and outline lead to, the first page

    Raises
    ------
    BlockOverrun
        A piece, with what it is kept with, is higher than a page.
    """
    poured = pour(pieces, press.column, block)
    pages = []
    for number, items in enumerate(poured, start=1):
        own = label if number == 1 else press.words("binder.label.next", label=label, number=number)
        place = destination if number == 1 else None
        pages.append(press.page(items, title=title, label=own, destination=place))
    return tuple(pages)
