"""The first page: what site, what came out, what is in it, and room to sign."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from atlas.paper import Align, Box, Cell, Column, Item, Line, Rect, Row, Stroke, Table, Text, lay_table
from atlas.plan import SitePlan
from atlas.workings.paper.cover_results import grounds_of
from atlas.workings.paper.entry_pieces import text_items
from atlas.workings.paper.style import BLOCK, Style

__all__ = ["lay_cover"]

_GAP_MM = 6.0
_LABEL_MM = 44.0
_SIGN_ROW_MM = 9.0
_REMARK_ROWS = 3


def _table(
    style: Style, rows: Sequence[tuple[str, str]], box: Box, *, label_mm: float
) -> tuple[tuple[Item, ...], float]:
    """Labels and what stands beside them."""
    columns = (
        Column(style=style.look("label"), width_mm=label_mm),
        Column(style=style.look("body"), wraps=True),
    )
    table = Table(block=BLOCK, columns=columns, rows=tuple(Row(cells=row) for row in rows), pad_mm=0.7)
    laid = lay_table(table, box, style.fonts)
    return laid.items, laid.height_mm


def _head(style: Style, plan: SitePlan, box: Box) -> tuple[list[Item], float]:
    """Which site, and on which grounds."""
    words, access = style.words, plan.site.access
    code, code_mm = text_items(style, plan.site.code, "code", box)
    wide_mm = style.fonts.width_mm(plan.site.code, style.look("code")) + 5.0
    beside = replace(
        box, left_mm=box.left_mm + wide_mm, width_mm=box.width_mm - wide_mm, top_mm=box.top_mm + 1.0
    )
    name, name_mm = text_items(style, access.name, "name", beside)
    told = words("derivation.cover.where", river=access.river, reach=plan.reach.name, agency=plan.agency.name)
    where, where_mm = text_items(style, told, "meta", beside.below(name_mm + 0.5))
    top_mm = max(code_mm, name_mm + where_mm + 1.5) + 3.0
    rows = grounds_of(plan, words)
    table, table_mm = _table(style, rows, box.below(top_mm), label_mm=_LABEL_MM)
    return [*code, *name, *where, *table], top_mm + table_mm


def _titled(style: Style, title: str, box: Box) -> tuple[list[Item], float]:
    items, height_mm = text_items(style, title, "meta_strong", box)
    y_mm = box.top_mm + height_mm + 0.6
    rule = Line(
        x1_mm=box.left_mm,
        y1_mm=y_mm,
        x2_mm=box.right_mm,
        y2_mm=y_mm,
        stroke=style.looks.strokes["rule"],
        block=BLOCK,
    )
    return [*items, rule], height_mm + 1.4


def _contents(style: Style, contents: Sequence[tuple[str, str, int]], box: Box) -> list[Item]:
    """Chapters with their pages, in two columns."""
    look = style.look("body")
    columns = (
        Column(style=look, width_mm=7.0),
        Column(style=look, wraps=True),
        Column(style=look, width_mm=8.0, align=Align.RIGHT),
    )
    half = (len(contents) + 1) // 2
    width_mm = (box.width_mm - _GAP_MM) / 2
    items: list[Item] = []
    for number, part in enumerate((contents[:half], contents[half:])):
        rows = tuple(Row(cells=(left, title, Cell(text=str(page)))) for left, title, page in part)
        place = replace(box, left_mm=box.left_mm + number * (width_mm + _GAP_MM), width_mm=width_mm)
        items += lay_table(
            Table(block=BLOCK, columns=columns, rows=rows, pad_mm=0.45), place, style.fonts
        ).items
    return items


def _signature(style: Style, box: Box) -> list[Item]:
    """Room for a qualified person's name, licence, date, signature and remarks."""
    words, label = style.words, style.look("label")
    items: list[Item] = [Rect(box=box, stroke=Stroke(weight_mm=0.5), block=BLOCK)]
    inner = box.inset(2.5)
    told, told_mm = text_items(style, words("derivation.cover.sign"), "body", inner)
    items += told
    top_mm = inner.top_mm + told_mm + 2.0
    half_mm = (inner.width_mm - _GAP_MM) / 2
    fields = [("name", 0, 0), ("licence", 0, 1), ("signature", 1, 0), ("date", 1, 1)]
    places = [
        (words(f"derivation.cover.field.{key}"), row, inner.left_mm + column * (half_mm + _GAP_MM), half_mm)
        for key, row, column in fields
    ]
    places.append((words("derivation.cover.field.remarks"), 2, inner.left_mm, inner.width_mm))
    places += [("", 2 + extra, inner.left_mm, inner.width_mm) for extra in range(1, _REMARK_ROWS)]
    for text, row, left_mm, width_mm in places:
        y_mm = top_mm + (row + 1) * _SIGN_ROW_MM - 2.0
        items.append(
            Line(
                x1_mm=left_mm,
                y1_mm=y_mm,
                x2_mm=left_mm + width_mm,
                y2_mm=y_mm,
                stroke=Stroke(weight_mm=0.25),
                block=BLOCK,
            )
        )
        if text:
            items.append(
                Text(x_mm=left_mm, y_mm=y_mm - _SIGN_ROW_MM + 4.4, text=text, style=label, block=BLOCK)
            )
    return items


def lay_cover(
    style: Style,
    plan: SitePlan,
    results: Sequence[tuple[str, str]],
    contents: Sequence[tuple[str, str, int]],
) -> tuple[Item, ...]:
    """The first page.

    Parameters
    ----------
    results : labels and what came out
    contents : number, title and page of each chapter
    """
    words, column = style.words, style.column
    items, used_mm = _head(style, plan, column)
    title, title_mm = _titled(style, words("derivation.cover.results"), column.below(used_mm + 4.0))
    items += title
    used_mm += 4.0 + title_mm
    table, table_mm = _table(style, results, column.below(used_mm), label_mm=_LABEL_MM)
    items += table
    used_mm += table_mm
    title, title_mm = _titled(style, words("derivation.cover.contents"), column.below(used_mm + 4.0))
    items += title
    used_mm += 4.0 + title_mm
    items += _contents(style, contents, column.below(used_mm))
    sign_mm = 12.0 + (2 + _REMARK_ROWS) * _SIGN_ROW_MM + 3.0
    sign = Box(
        left_mm=column.left_mm, top_mm=column.bottom_mm - sign_mm, width_mm=column.width_mm, height_mm=sign_mm
    )
    note = words("derivation.cover.note")
    note_box = replace(column, top_mm=sign.top_mm - 13.5, height_mm=12.0)
    told, _ = text_items(style, note, "note", note_box)
    statement = replace(note_box, top_mm=note_box.top_mm + 8.0)
    said, _ = text_items(style, words("sheet.foot.statement"), "strong", statement)
    return (*items, *told, *said, *_signature(style, sign))
