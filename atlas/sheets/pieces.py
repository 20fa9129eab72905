"""Pieces that several blocks are made of: a titled block, a line of mixed styles, rules."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from atlas.faults import BlockOverrun
from atlas.paper import (
    Align,
    Box,
    Item,
    Line,
    Point,
    Span,
    Table,
    lay_table,
    place_line,
    spans_width_mm,
)
from atlas.paper.measure import SLACK_MM, require_spans
from atlas.sheets.desk import Desk

TITLE_MM = 4.3
"""From a block's rule to what stands under its title."""
TITLE_BASE_MM = 3.3
_PAD_LEAST_MM, _PAD_MOST_MM = 0.06, 0.35

Run = tuple[str, str]
"""A text and the name of its style."""


def segment(
    desk: Desk, start: Point, end: Point, *, stroke: str, block: str, clear_of_text: bool = True
) -> Line:
    """A straight line between two points of the page."""
    return Line(
        x1_mm=start[0],
        y1_mm=start[1],
        x2_mm=end[0],
        y2_mm=end[1],
        stroke=desk.strokes[stroke],
        block=block,
        clear_of_text=clear_of_text,
    )


def rule(desk: Desk, box: Box, y_mm: float, *, stroke: str = "rule", block: str) -> Line:
    """A horizontal rule across a box."""
    return segment(desk, (box.left_mm, y_mm), (box.right_mm, y_mm), stroke=stroke, block=block)


def spans_of(desk: Desk, runs: Sequence[Run]) -> tuple[Span, ...]:
    """Texts of several styles as spans, a space of the later one's style between each two."""
    there = [(text, style) for text, style in runs if text]
    return tuple(
        Span(f" {text}" if number else text, desk.styles[style]) for number, (text, style) in enumerate(there)
    )


def lay_runs(
    desk: Desk,
    runs: Sequence[Run],
    *,
    x_mm: float,
    y_mm: float,
    width_mm: float,
    block: str,
    align: Align = Align.LEFT,
) -> list[Item]:
    """Texts of several styles after each other on one baseline.

    Parameters
    ----------
    x_mm : left edge of the room there is, `width_mm` wide

    Raises
    ------
    BlockOverrun
        They are wider than the room.
    MissingGlyphs
        Characters that cannot be set.
    """
    spans = spans_of(desk, runs)
    if not spans:
        return []
    require_spans(spans, desk.fonts, block)
    overrun_mm = spans_width_mm(spans, desk.fonts) - width_mm
    if overrun_mm > SLACK_MM:
        words = "".join(span.text for span in spans)
        raise BlockOverrun(block, overrun_mm, f"one line of {width_mm:.1f} mm: '{words[:60]}'")
    at_mm = x_mm + align.share * width_mm
    return list(place_line(spans, x_mm=at_mm, y_mm=y_mm, fonts=desk.fonts, block=block, align=align))


def row_pad_mm(desk: Desk, room: Box, *, rows: int) -> float:
    """What a table's rows of one line may keep above and below their text: all there is, within reason."""
    heights = desk.fonts.heights(desk.styles["table"])
    spare_mm = room.height_mm / max(1, rows) - heights.ascent_mm - heights.descent_mm
    return min(max(spare_mm / 2, _PAD_LEAST_MM), _PAD_MOST_MM)


def lay_rows(desk: Desk, table: Table, room: Box) -> list[Item]:
    """A table of a block; where rows of several lines leave no room for air between rows, without it.

    Raises
    ------
    BlockOverrun, MissingGlyphs
        As `lay_table`.
    """
    try:
        laid = lay_table(table, room, desk.fonts)
    except BlockOverrun:
        laid = None
    if laid is None or laid.dropped:
        laid = lay_table(replace(table, pad_mm=min(table.pad_mm, _PAD_LEAST_MM)), room, desk.fonts)
    return list(laid.items)


def titled(desk: Desk, box: Box, title: str, *, block: str, note: str = "") -> tuple[list[Item], Box]:
    """A block's rule and title, a note at the right, and the box that is left under them."""
    items: list[Item] = [rule(desk, box, box.top_mm, block=block)]
    y_mm = box.top_mm + TITLE_BASE_MM
    items += lay_runs(
        desk, [(title, "title")], x_mm=box.left_mm, y_mm=y_mm, width_mm=box.width_mm, block=block
    )
    if note:
        left_mm = box.left_mm + desk.width_mm(title, "title") + 2.0
        items += lay_runs(
            desk,
            [(note, "column")],
            x_mm=left_mm,
            y_mm=y_mm,
            width_mm=box.right_mm - left_mm,
            block=block,
            align=Align.RIGHT,
        )
    return items, box.below(TITLE_MM)
