"""Tables of the derivation: things side by side with their quantities below, or the other way round."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from atlas.faults import BlockOverrun
from atlas.paper import Align, Box, Item, LaidOut
from atlas.paper.flow import Piece
from atlas.paper.measure import SLACK_MM
from atlas.workings.paper.entries import Quantity, Table, Value
from atlas.workings.paper.entry_pieces import ink_lines, text_items, under, value_ink
from atlas.workings.paper.formula import parse
from atlas.workings.paper.set_formula import figures, with_symbols
from atlas.workings.paper.style import BLOCK, Style
from atlas.workings.paper.typeset import Ink, beside, place_ink

__all__ = ["table_pieces"]

_PAD_MM = 0.6
_GAP_MM = 2.0
_VALUE_MM = 20.5
_ACROSS_TITLE_MM = 42.0
_UNIT_MM = 9.0
_WORD_MM, _NAME_SHARE, _SPREAD_MM = 30.0, 0.3, 9.0


def _formula_of(style: Style, quantity: Quantity) -> list[Ink]:
    """A quantity's symbol, and its formula where it has one."""
    types = style.types
    words = [types.symbol(quantity.symbol)]
    if quantity.formula is not None:
        formula = with_symbols(types).set(parse(quantity.formula))
        words.append(beside([types.text("="), formula], 0.42 * types.em))
    return words


def _head(style: Style, number: str, table: Table) -> Piece:
    """Title and source of a table, and the outside numbers its formulas use."""

    def lay(box: Box) -> LaidOut:
        inner = replace(box, top_mm=box.top_mm + 2 * _PAD_MM)
        left, _ = text_items(style, number, "column", inner)
        main = style.main_box(inner)
        title_box = replace(main, width_mm=main.width_mm * 0.5 if table.source else main.width_mm)
        title, title_mm = text_items(style, table.title, "strong", title_box)
        right = replace(
            main, left_mm=title_box.right_mm + _GAP_MM, width_mm=main.right_mm - title_box.right_mm - _GAP_MM
        )
        source, source_mm = (
            text_items(style, table.source, "column", right, align=Align.RIGHT) if table.source else ((), 0.0)
        )
        used_mm = max(title_mm, source_mm)
        uses, uses_mm = _uses(style, table, main.below(used_mm + 0.8))
        height_mm = used_mm + uses_mm + 3 * _PAD_MM
        rule = under(style, main, box.top_mm + height_mm)
        return LaidOut(items=(*left, *title, *source, *uses, rule), height_mm=height_mm)

    return Piece(lay, keeps_next=True)


def _uses(style: Style, table: Table, box: Box) -> tuple[Sequence[Item], float]:
    """Formulas of a table of rows, and the numbers told elsewhere that tables use."""
    types = style.types
    words = (
        []
        if table.across
        else [
            beside(_formula_of(style, quantity), 0.42 * types.em)
            for quantity in table.quantities
            if quantity.formula
        ]
    )
    words += [
        beside([types.symbol(value.symbol), types.text("="), value_ink(style, value)], 0.3 * types.em)
        for value in table.uses
    ]
    if not words:
        return (), 0.0
    spaced = [beside([word, types.text(" ")], 1.5) for word in words]
    laid = ink_lines(style, spaced, box, indent_mm=0.0)
    return laid.items, laid.height_mm + 0.8


@dataclass(frozen=True, slots=True)
class _Cell:
    """One cell: type set, or text that may break."""

    left_mm: float
    width_mm: float
    content: Ink | str
    align: Align = Align.LEFT
    look: str = "table"


def _row(style: Style, cells: Sequence[_Cell], box: Box, *, ruled: bool) -> LaidOut:
    """Cells of a row on one baseline, texts from its top."""
    heights = style.fonts.heights(style.types.plain)
    inks = [cell.content for cell in cells if isinstance(cell.content, Ink)]
    up = max([heights.cap_mm, *(ink.up for ink in inks)])
    down = max([heights.descent_mm * 0.6, *(ink.down for ink in inks)])
    items: list[Item] = []
    height_mm = up + down if inks else 0.0
    top = box.top_mm + _PAD_MM
    for cell in cells:
        left_mm = box.left_mm + cell.left_mm
        if isinstance(cell.content, Ink):
            overrun = cell.content.width - cell.width_mm
            if overrun > SLACK_MM:
                raise BlockOverrun(BLOCK, overrun, "a cell of a table")
            x_mm = left_mm + cell.align.share * (cell.width_mm - cell.content.width)
            items += place_ink(cell.content, x_mm=x_mm, y_mm=top + up, stroke=style.bar, block=BLOCK)
        elif cell.content:
            sunk = max(0.0, up - style.fonts.heights(style.look(cell.look)).ascent_mm) if inks else 0.0
            place = Box(left_mm=left_mm, top_mm=top + sunk, width_mm=cell.width_mm, height_mm=0.0)
            texts, text_mm = text_items(style, cell.content, cell.look, place, align=cell.align)
            items += texts
            height_mm = max(height_mm, sunk + text_mm)
    height_mm += 2 * _PAD_MM
    rules = [under(style, box, box.top_mm + height_mm)] if ruled else []
    return LaidOut(items=(*items, *rules), height_mm=height_mm)


def _row_piece(
    style: Style,
    cells: Sequence[_Cell],
    *,
    ruled: bool = True,
    keeps_next: bool = False,
    repeats: Piece | None = None,
) -> Piece:
    return Piece(
        lambda box: _row(style, cells, style.main_box(box), ruled=ruled),
        keeps_next=keeps_next,
        repeats=repeats,
    )


def _across(style: Style, table: Table, width_mm: float) -> list[Piece]:
    """Quantities below each other, things beside each other."""
    count = len(table.instances)
    formula_left_mm = _ACROSS_TITLE_MM + _GAP_MM
    lefts = [width_mm - (count - k) * (_VALUE_MM + _GAP_MM) + _GAP_MM for k in range(count)]
    unit_mm = lefts[0] - _UNIT_MM - _GAP_MM
    formula_mm = unit_mm - _GAP_MM - formula_left_mm
    heads = [
        _Cell(left, _VALUE_MM, instance.name, Align.RIGHT, "column")
        for left, instance in zip(lefts, table.instances, strict=True)
    ]
    head = _row_piece(style, heads, keeps_next=True)
    rows: list[Piece] = []
    for place, quantity in enumerate(table.quantities):
        ink = beside(_formula_of(style, quantity), 0.42 * style.types.em)
        title = _Cell(0.0, _ACROSS_TITLE_MM, quantity.title, look="table")
        unit = _Cell(unit_mm, _UNIT_MM, style.types.text(quantity.unit) if quantity.unit else "")
        values = [
            _Cell(left, _VALUE_MM, _content(style, quantity, instance.cells[place]), Align.RIGHT)
            for left, instance in zip(lefts, table.instances, strict=True)
        ]
        keeps = place < 1
        if ink.width <= formula_mm:
            formula = _Cell(formula_left_mm, formula_mm, ink)
            rows.append(_row_piece(style, [title, formula, unit, *values], keeps_next=keeps, repeats=head))
            continue
        wide = _Cell(formula_left_mm, width_mm - formula_left_mm, ink)
        both = [_row_piece(style, [title, wide], ruled=False), _row_piece(style, [unit, *values])]
        rows.append(replace(_stack(both), keeps_next=keeps, repeats=head))
    return [head, *rows]


def _content(style: Style, quantity: Quantity, cell: Value | str) -> Ink | str:
    """A number as type, one that follows from others heavier; a word as it is."""
    if isinstance(cell, str):
        return cell
    return style.types.text(figures(cell), style.types.strong if quantity.formula else None)


def _needed_mm(style: Style, table: Table, place: int) -> float | None:
    """Width that a quantity's column needs; None where its words are to share what is left."""
    types, quantity = style.types, table.quantities[place]
    cells = [instance.cells[place] for instance in table.instances]
    heads = [style.fonts.width_mm(word, style.look("column")) for word in quantity.title.split(" ")]
    if not quantity.symbol:
        words = [cell for cell in cells if isinstance(cell, str)]
        widest = max((style.fonts.width_mm(word, style.look("table")) for word in words), default=0.0)
        return max(widest, *heads) if widest <= _WORD_MM else None
    texts = [figures(cell) if isinstance(cell, Value) else cell for cell in cells]
    widest = max((types.text(text, types.strong).width for text in texts), default=0.0)
    return max(widest, *heads, _symbol_unit(style, quantity).width)


def _widths(style: Style, table: Table, width_mm: float) -> list[float]:
    """Widths of the name's column and of all quantities: numbers take their own, words share the rest."""
    look = style.look("table_strong")
    names = [style.fonts.width_mm(instance.name, look) for instance in table.instances]
    name_mm = min(max(names, default=0.0), _NAME_SHARE * width_mm)
    sizes = [name_mm, *(_needed_mm(style, table, place) for place in range(len(table.quantities)))]
    fixed = sum(size for size in sizes if size is not None) + _GAP_MM * (len(sizes) - 1)
    free = sum(size is None for size in sizes)
    if fixed + free * _WORD_MM / 2 > width_mm + SLACK_MM:
        raise BlockOverrun(BLOCK, fixed - width_mm, f"columns of '{table.title}'")
    share = (width_mm - fixed) / free if free else 0.0
    spread = 0.0 if free else min(_SPREAD_MM, (width_mm - fixed) / max(1, len(sizes) - 1))
    widths = [share if size is None else size for size in sizes]
    return [widths[0], *(width + spread for width in widths[1:])]


def _down(style: Style, table: Table, width_mm: float) -> list[Piece]:
    """Things below each other, quantities beside each other."""
    widths = _widths(style, table, width_mm)
    lefts = [sum(widths[:k]) + k * _GAP_MM for k in range(len(widths))]
    aligns = [Align.RIGHT if quantity.symbol else Align.LEFT for quantity in table.quantities]
    columns = list(zip(lefts[1:], widths[1:], aligns, table.quantities, strict=True))
    titles = _row_piece(
        style,
        [_Cell(left, width, quantity.title, align, "column") for left, width, align, quantity in columns],
        keeps_next=True,
    )
    symbols = [
        _Cell(left, width, _symbol_unit(style, quantity), align)
        for left, width, align, quantity in columns
        if quantity.symbol
    ]
    head = _stack([titles, *([_row_piece(style, symbols)] if symbols else [])])
    rows = []
    for number, instance in enumerate(table.instances):
        cells = [_Cell(0.0, widths[0], instance.name, look="table_strong")]
        for (left, width, align, quantity), cell in zip(columns, instance.cells, strict=True):
            cells.append(_Cell(left, width, _content(style, quantity, cell), align))
        rows.append(_row_piece(style, cells, keeps_next=number < 1, repeats=head))
    return [head, *rows]


def _symbol_unit(style: Style, quantity: Quantity) -> Ink:
    parts = [style.types.symbol(quantity.symbol)]
    return beside(
        [*parts, style.types.text(quantity.unit, style.types.muted)] if quantity.unit else parts, 1.0
    )


def _stack(pieces: Sequence[Piece]) -> Piece:
    """Pieces that always stand together, as one."""

    def lay(box: Box) -> LaidOut:
        items: list[Item] = []
        used = 0.0
        for piece in pieces:
            laid = piece.lay(box.below(used))
            items += laid.items
            used += laid.height_mm
        return LaidOut(items=tuple(items), height_mm=used)

    return Piece(lay, keeps_next=True)


def table_pieces(style: Style, number: str, table: Table) -> list[Piece]:
    """A table's head and rows; its columns' heads stand again at the top of a page that it runs on to."""
    width_mm = style.main_box(style.column).width_mm
    body = (_across if table.across else _down)(style, table, width_mm)
    return [_head(style, number, table), *body]
