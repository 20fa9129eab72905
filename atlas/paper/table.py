"""A table laid into a box: measured first; rows that may drop are dropped in their order, and it says so."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from atlas.faults import BlockOverrun
from atlas.paper.boxes import Align, Box, Item, Line, Rect, Stroke, TextStyle
from atlas.paper.colour import Colour
from atlas.paper.measure import (
    SLACK_MM,
    Span,
    place_lines,
    require_spans,
    spans_width_mm,
    tallest,
    wrap_spans,
)
from atlas.paper.symbols import Symbol, symbol

if TYPE_CHECKING:
    from collections.abc import Sequence

    from atlas.paper.fonts import FontBook, Heights
    from atlas.paper.measure import TextLine

__all__ = ["HAIRLINE", "Cell", "Column", "LaidOut", "Row", "Table", "lay_table"]

HAIRLINE = Stroke(weight_mm=0.1)
"""The rule between rows where the table names no other."""

_SYMBOL_SIZE = 1.15  # of the capitals' height: a sign looks as tall as the words beside it
_SYMBOL_GAP_MM = 1.0

_COUNT = "{count}"
"""Stands in `Table.more` where the number of dropped rows is to be printed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    width_mm : its width; None shares what the others leave
    wraps : cells may take several lines; if not, a cell too wide is an overrun
    """

    style: TextStyle
    width_mm: float | None = None
    align: Align = Align.LEFT
    wraps: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell that departs from its column: in style, in several styles, or with a sign before the text."""

    text: str | tuple[Span, ...] = ""
    style: TextStyle | None = None
    symbol: Symbol | None = None
    align: Align | None = None
    wraps: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row; the last cell takes the columns that are left over.

    Attributes
    ----------
    drop : None keeps the row; else rows with the least number go first, of equal ones the lowest
    frame : drawn round the row, inside its edges; the row grows by it
    """

    cells: tuple[str | Cell, ...]
    drop: int | None = None
    frame: Stroke | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """What a table holds and how it looks.

    Attributes
    ----------
    more : printed in a last row where rows were dropped, with ``{count}`` for how many
    gap_mm : between columns
    pad_mm : above and below the text of a row
    side_mm : at both ends of every row, so that frames stay off the text
    rule : between rows
    """

    block: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    head: Row | None = None
    more: str = ""
    more_style: TextStyle | None = None
    gap_mm: float = 1.5
    pad_mm: float = 0.35
    side_mm: float = 0.0
    rule: Stroke | None = HAIRLINE


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidOut:
    """Items of a block, the height they take, and how many rows were left out."""

    items: tuple[Item, ...]
    height_mm: float
    dropped: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class _Set:
    """A cell with its lines broken and its place across the table."""

    lines: tuple[TextLine, ...]
    heights: Heights
    colour: Colour
    align: Align
    symbol: Symbol | None
    left_mm: float
    width_mm: float
    indent_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Measured:
    """A row with its cells set, their common first baseline from the row's top, and its height."""

    row: Row
    cells: tuple[_Set, ...]
    baseline_mm: float
    height_mm: float


def _column_spans(table: Table, width_mm: float) -> tuple[tuple[float, float], ...]:
    """Left edge from the table's own, and width, of every column [mm]."""
    fixed_mm = sum(column.width_mm or 0.0 for column in table.columns)
    gaps_mm = table.gap_mm * (len(table.columns) - 1) + 2 * table.side_mm
    left_over_mm = width_mm - fixed_mm - gaps_mm
    sharing = sum(column.width_mm is None for column in table.columns)
    if left_over_mm < -SLACK_MM or (sharing and left_over_mm <= 0):
        raise BlockOverrun(table.block, -left_over_mm, "the columns are wider than the box")
    spans: list[tuple[float, float]] = []
    left_mm = table.side_mm
    for column in table.columns:
        own_mm = left_over_mm / sharing if column.width_mm is None else column.width_mm
        spans.append((left_mm, own_mm))
        left_mm += own_mm + table.gap_mm
    return tuple(spans)


def _spans(cell: Cell, column: Column) -> tuple[Span, ...]:
    style = cell.style or column.style
    return (Span(cell.text, style),) if isinstance(cell.text, str) else cell.text


def _unwrapped(spans: Sequence[Span]) -> tuple[TextLine, ...]:
    """Lines as broken by the caller's line feeds alone."""
    lines: list[list[Span]] = [[]]
    for span in spans:
        first, *others = span.text.split("\n")
        lines[-1].append(Span(first, span.style))
        lines += [[Span(other, span.style)] for other in others]
    return tuple(tuple(line) for line in lines)


def _set_cell(
    cell: str | Cell, column: Column, fonts: FontBook, *, block: str, left_mm: float, width_mm: float
) -> _Set:
    cell = Cell(text=cell) if isinstance(cell, str) else cell
    wraps = column.wraps if cell.wraps is None else cell.wraps
    spans = _spans(cell, column)
    sign_mm = fonts.heights(spans[0].style).cap_mm * _SYMBOL_SIZE if cell.symbol else 0.0
    indent_mm = sign_mm + _SYMBOL_GAP_MM if cell.symbol and cell.text else sign_mm
    room_mm = width_mm - indent_mm
    require_spans(spans, fonts, block)
    lines = wrap_spans(spans, room_mm, fonts) if wraps else _unwrapped(spans)
    overrun_mm = max(spans_width_mm(line, fonts) for line in lines) - room_mm
    if overrun_mm > SLACK_MM:
        told = "".join(span.text for span in spans)
        raise BlockOverrun(block, overrun_mm, f"cell of {room_mm:.1f} mm: '{told[:60]}'")
    return _Set(
        lines=lines,
        heights=tallest(lines, fonts),
        colour=spans[0].style.colour,
        align=cell.align or column.align,
        symbol=cell.symbol,
        left_mm=left_mm,
        width_mm=width_mm,
        indent_mm=indent_mm,
    )


def _lowering_mm(cells: Sequence[_Set]) -> float:
    """How much lower than the type's own box a single line of capitals and figures looks centred."""
    if any(len(cell.lines) > 1 for cell in cells):
        return 0.0
    largest = max((cell.heights for cell in cells), key=lambda heights: heights.cap_mm)
    return max(0.0, (largest.descent_mm + largest.cap_mm - largest.ascent_mm) / 2)


def _measure_row(table: Table, row: Row, spans: Sequence[tuple[float, float]], fonts: FontBook) -> _Measured:
    if not 0 < len(row.cells) <= len(table.columns):
        raise ValueError(f"block '{table.block}': {len(row.cells)} cells in {len(table.columns)} columns")
    cells = []
    for number, cell in enumerate(row.cells):
        left_mm, width_mm = spans[number]
        if number == len(row.cells) - 1:
            width_mm = sum(spans[-1]) - left_mm
        column = table.columns[number]
        cells.append(_set_cell(cell, column, fonts, block=table.block, left_mm=left_mm, width_mm=width_mm))
    ascent_mm = max(cell.heights.ascent_mm for cell in cells)
    under_mm = max((len(cell.lines) - 1) * cell.heights.line_mm + cell.heights.descent_mm for cell in cells)
    pad_mm = table.pad_mm + (row.frame.weight_mm if row.frame else 0.0)
    baseline_mm = pad_mm + ascent_mm + min(table.pad_mm, _lowering_mm(cells))
    return _Measured(
        row=row,
        cells=tuple(cells),
        baseline_mm=baseline_mm,
        height_mm=ascent_mm + under_mm + 2 * pad_mm,
    )


def _drop_order(rows: Sequence[_Measured]) -> list[int]:
    """Numbers of the rows that may drop, first to go first."""
    droppable = [(row.row.drop, -number) for number, row in enumerate(rows) if row.row.drop is not None]
    return [-negative for _, negative in sorted(droppable)]


def _more_row(table: Table, count: int, spans: Sequence[tuple[float, float]], fonts: FontBook) -> _Measured:
    text = table.more.replace(_COUNT, str(count))
    cell = Cell(text=text, style=table.more_style, align=Align.LEFT, wraps=True)
    return _measure_row(table, Row(cells=(cell,)), spans, fonts)


def _fitting(
    table: Table, box: Box, spans: Sequence[tuple[float, float]], fonts: FontBook
) -> tuple[list[_Measured], int]:
    """Rows that fit the box's height, and how many were dropped for it."""
    head = [] if table.head is None else [_measure_row(table, table.head, spans, fonts)]
    body = [_measure_row(table, row, spans, fonts) for row in table.rows]
    order = _drop_order(body)
    if order and _COUNT not in table.more:
        raise ValueError(f"block '{table.block}': rows may drop, so `more` must say {_COUNT} of them")
    overrun_mm = 0.0
    for count in range(len(order) + 1):
        gone = set(order[:count])
        more = [_more_row(table, count, spans, fonts)] if count else []
        rows = [*head, *(row for number, row in enumerate(body) if number not in gone), *more]
        overrun_mm = sum(row.height_mm for row in rows) - box.height_mm
        if overrun_mm <= SLACK_MM:
            return rows, count
    dropped = f", {len(order)} of them dropped" if order else ""
    raise BlockOverrun(table.block, overrun_mm, f"{len(body)} rows{dropped}")


def _place_cell(cell: _Set, box: Box, baseline_mm: float, block: str, fonts: FontBook) -> list[Item]:
    left_mm = box.left_mm + cell.left_mm
    heights = cell.heights
    place = Box(
        left_mm=left_mm + cell.indent_mm,
        top_mm=baseline_mm - heights.ascent_mm,
        width_mm=cell.width_mm - cell.indent_mm,
        height_mm=0.0,
    )
    items: list[Item] = list(place_lines(cell.lines, place, fonts, block=block, align=cell.align))
    if cell.symbol:
        size_mm = heights.cap_mm * _SYMBOL_SIZE
        items += symbol(
            cell.symbol,
            x_mm=left_mm + size_mm / 2,
            y_mm=baseline_mm - heights.cap_mm / 2,
            size_mm=size_mm,
            colour=cell.colour,
            block=block,
        )
    return items


def _rule(box: Box, y_mm: float, stroke: Stroke, block: str) -> Line:
    return Line(x1_mm=box.left_mm, y1_mm=y_mm, x2_mm=box.right_mm, y2_mm=y_mm, stroke=stroke, block=block)


def lay_table(table: Table, box: Box, fonts: FontBook) -> LaidOut:
    """Lay a table into a box from its top; columns share the box's width.

    Raises
    ------
    BlockOverrun
        The columns or a cell are too wide, or the rows are too high after all that may drop were
        dropped; names block and overrun.
    MissingGlyphs
        Characters that cannot be set.
    """
    spans = _column_spans(table, box.width_mm)
    rows, dropped = _fitting(table, box, spans, fonts)
    items: list[Item] = []
    top_mm = box.top_mm
    for number, row in enumerate(rows):
        if number and table.rule is not None:
            items.append(_rule(box, top_mm, table.rule, table.block))
        if row.row.frame is not None:
            whole = replace(box, top_mm=top_mm, height_mm=row.height_mm)
            frame = whole.inset(row.row.frame.weight_mm / 2)
            items.append(Rect(box=frame, stroke=row.row.frame, block=table.block))
        for cell in row.cells:
            items += _place_cell(cell, box, top_mm + row.baseline_mm, table.block, fonts)
        top_mm += row.height_mm
    return LaidOut(items=tuple(items), height_mm=top_mm - box.top_mm, dropped=dropped)
