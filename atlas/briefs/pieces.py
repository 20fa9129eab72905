"""Pieces that every page of a briefing is put together from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from atlas.paper import (
    Align,
    Box,
    Cell,
    Column,
    Item,
    LaidOut,
    Rect,
    Row,
    Span,
    lines_height_mm,
    wrap_spans,
)
from atlas.paper.flow import Piece, gap
from atlas.paper.pieces import heading, paragraph, table_row
from atlas.paper.press import Press, settable

__all__ = ["BLOCK", "chapter", "rows_of", "text_of", "verdict_piece", "writing_rows"]

BLOCK = "brief"
_GAP_MM = 2.6
_WRITE_MM = 1.75
"""Over and under the words of a row that is written in."""
_FRAME_MM = 12.0
_FRAME_PAD_MM = 3.2


def text_of(press: Press, text: str, style: str = "table") -> str:
    """A text from a file, or how one that is not there is printed."""
    return settable(text, press, style) if text else press.words("sheet.unknown")


def chapter(press: Press, key: str, pieces: Sequence[Piece]) -> list[Piece]:
    """A heading with what stands under it; nothing where nothing does."""
    if not pieces:
        return []
    return [gap(_GAP_MM), heading(press, press.words(f"brief.{key}"), block=BLOCK, style="strong"), *pieces]


def _columns(press: Press, widths_mm: Sequence[float | None], right: frozenset[int]) -> tuple[Column, ...]:
    style = press.looks.styles["table"]
    return tuple(
        Column(
            style=style,
            width_mm=width_mm,
            wraps=number not in right,
            align=Align.RIGHT if number in right else Align.LEFT,
        )
        for number, width_mm in enumerate(widths_mm)
    )


def rows_of(
    press: Press,
    table: str,
    names: Sequence[str],
    rows: Sequence[Sequence[str | Cell]],
    *,
    widths_mm: Sequence[float | None],
    right: Sequence[int] = (),
    pad_mm: float = 0.35,
) -> list[Piece]:
    """A table: its column names (keys under the table's in the wording) and its rows; nothing without rows.

    Parameters
    ----------
    right : numbers of columns that are set to the right, in one line
    """
    if not rows:
        return []
    columns = _columns(press, widths_mm, frozenset(right))
    style = press.looks.styles["column"]
    cells = tuple(
        Cell(text=press.words(f"brief.{table}.{name}") if name else "", style=style) for name in names
    )
    head = table_row(press, columns, Row(cells=cells), block=BLOCK, keeps_next=True, pad_mm=pad_mm)
    body = [
        table_row(press, columns, Row(cells=tuple(row)), block=BLOCK, repeats=head, pad_mm=pad_mm)
        for row in rows
    ]
    return [head, *body]


def writing_rows(
    press: Press,
    table: str,
    names: Sequence[str],
    rows: Sequence[Sequence[str | Cell]],
    *,
    widths_mm: Sequence[float | None],
) -> list[Piece]:
    """A table with empty cells high enough to be written in with a wet glove."""
    return rows_of(press, table, names, rows, widths_mm=widths_mm, pad_mm=_WRITE_MM)


def verdict_piece(press: Press, *, inside: bool, level: str, why: str) -> Piece:
    """INSIDE or OUTSIDE PLAN at a level; outside in a heavy frame with its reason."""
    word = press.words("brief.inside" if inside else "sheet.stop.outside")
    told = level if inside or not why else press.words("brief.level_and_why", level=level, why=why)

    def lay(box: Box) -> LaidOut:
        frame = replace(box, height_mm=_FRAME_MM)
        items: list[Item] = []
        if not inside:
            stroke = press.looks.strokes["outside_frame"]
            edge = frame.inset(stroke.weight_mm / 2)
            items.append(Rect(box=edge, stroke=stroke, block=BLOCK, clear_of_text=True))
        left_mm = box.left_mm + (0.0 if inside else _FRAME_PAD_MM)
        items += press.line(word, "name", x_mm=left_mm, y_mm=box.top_mm + 8.0, block=BLOCK)
        word_mm = press.looks.fonts.width_mm(word, press.looks.styles["name"])
        beside_mm = left_mm + word_mm + _FRAME_PAD_MM
        width_mm = frame.right_mm - _FRAME_PAD_MM - beside_mm
        lines = wrap_spans((Span(told, press.looks.styles["strong"]),), width_mm, press.looks.fonts)
        height_mm = lines_height_mm(lines, press.looks.fonts)
        top_mm = box.top_mm + (_FRAME_MM - height_mm) / 2
        room = Box(left_mm=beside_mm, top_mm=top_mm, width_mm=width_mm, height_mm=height_mm)
        items += press.text(told, "strong", room, block=BLOCK)
        return LaidOut(items=tuple(items), height_mm=_FRAME_MM, dropped=0)

    return Piece(lay)


def said(press: Press, key: str, style: str = "small", **places: str) -> Piece:
    """A paragraph of the wording."""
    return paragraph(press, press.words(key, **places), style, block=BLOCK)
