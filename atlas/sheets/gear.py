"""Gear with boxes to tick, its least rating, what the first-due cache lacks; and the crew by post."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from atlas.faults import BlockOverrun
from atlas.paper import (
    Align,
    Box,
    Cell,
    Column,
    Item,
    LaidOut,
    Row,
    Span,
    Symbol,
    Table,
    lay_table,
    lines_height_mm,
    place_lines,
    spans_width_mm,
    wrap_spans,
)
from atlas.paper.measure import SLACK_MM, require_spans
from atlas.plan.rig_results import GearNeed
from atlas.sheets.desk import Desk
from atlas.sheets.dropping import drop_order, drop_rank
from atlas.sheets.pieces import rule, titled
from atlas.units import Figure, UnitSystem, printed

BLOCK = "gear"
_COLUMN_GAP_MM, _GAP_MM = 3.0, 0.5
_COUNT_MM = 7.6
_BOX_MM = 4.2
"""A tick box before a count."""
_PAD_LEAST_MM, _PAD_MOST_MM = 0.05, 0.25
_CREW_GAP_MM = 0.8


def gear_cells(desk: Desk, need: GearNeed) -> tuple[str, str, str, str]:
    """Count, item, its least rating, what is short. Ratings in kN, as hardware is stamped."""
    rating = ""
    if need.rating_n is not None:
        rating = printed(Figure.STRENGTH_NEEDED, need.rating_n, UnitSystem.SI).first
    short = ""
    if need.short > 0:
        short = desk.words("sheet.gear.short", count=desk.first(Figure.COUNT, need.short))
    return desk.first(Figure.COUNT, need.needed), desk.words(f"gear.{need.item}"), rating, short


def crew_text(desk: Desk) -> str:
    """People by post, in one sentence."""
    words = desk.words
    items = [
        words(
            "sheet.gear.crew_item",
            people=desk.first(Figure.PEOPLE_NEEDED, crew.people),
            post=words(f"crew.{crew.post}"),
        )
        for crew in desk.plan.chosen.crew
    ]
    return words("sheet.separator").join(items)


def _row(desk: Desk, need: GearNeed, name_mm: float) -> Row:
    """A row; the name and its rating on one line of that width, on two where they are wider."""
    count, name, rating, short = gear_cells(desk, need)
    strong, unit = desk.styles["note_strong"], desk.styles["label"]
    spans = (Span(name, desk.styles["note"]), *((Span(f"  {rating}", unit),) if rating else ()))
    return Row(
        cells=(
            Cell(text=count, style=strong, symbol=Symbol.TICK_BOX),
            Cell(text=spans, wraps=spans_width_mm(spans, desk.fonts) > name_mm),
            Cell(text=short, style=strong, align=Align.RIGHT),
        )
    )


def kept_gear(desk: Desk, room_for: int) -> tuple[list[GearNeed], int]:
    """What is printed and how many rows were left out.

    What the template's order does not name goes first, the last first: a county's own items; then what it
    names, in its order; what is short after all that.
    """
    gear = desk.plan.chosen.gear
    drop = desk.template.block.gear.drop
    ranks = [drop_rank((need.item,), drop) for need in gear]
    named_last = drop_order([-1 if rank is None else rank for rank in ranks])
    order = sorted(named_last, key=lambda number: gear[number].short > 0)
    excess = len(gear) - room_for
    dropped = 0 if excess <= 0 else min(len(gear), excess + 1)  # one row tells of the rest
    gone = set(order[:dropped])
    return [need for number, need in enumerate(gear) if number not in gone], dropped


def _more_row(desk: Desk, dropped: int, kept: Sequence[GearNeed]) -> Row:
    """How many rows are left to the workings, and how many of them are short."""
    whole = desk.plan.chosen.gear
    short = sum(need.short > 0 for need in whole) - sum(need.short > 0 for need in kept)
    if not short:
        return Row(cells=(Cell(text=desk.words("sheet.more", count=dropped), style=desk.styles["label"]),))
    told = desk.words("sheet.gear.more_short", count=dropped, short=short)
    return Row(cells=(Cell(text=told, style=desk.styles["note_strong"]),))


def _row_mm(desk: Desk) -> float:
    """Least height of a row."""
    heights = desk.fonts.heights(desk.styles["note_strong"])
    return heights.ascent_mm + heights.descent_mm + 2 * _PAD_LEAST_MM


def _pad_mm(desk: Desk, room: Box, rows: int) -> float:
    """What rows keep above and below their text, so that they fill the room within reason."""
    spare_mm = room.height_mm / max(1, rows) - _row_mm(desk)
    return min(_PAD_LEAST_MM + max(0.0, spare_mm) / 2, _PAD_MOST_MM)


def _lay_crew(desk: Desk, room: Box) -> LaidOut:
    """The crew at the foot of a box: people in all, and by post."""
    total = desk.first(Figure.PEOPLE_NEEDED, sum(crew.people for crew in desk.plan.chosen.crew))
    spans = (
        Span(desk.words("sheet.gear.crew", total=total) + "  ", desk.styles["strong"]),
        Span(crew_text(desk), desk.styles["small"]),
    )
    require_spans(spans, desk.fonts, BLOCK)
    lines = wrap_spans(spans, room.width_mm, desk.fonts)
    height_mm = lines_height_mm(lines, desk.fonts) + _CREW_GAP_MM
    place = replace(room, top_mm=room.bottom_mm - height_mm + _CREW_GAP_MM)
    line = rule(desk, room, room.bottom_mm - height_mm, block=BLOCK)
    texts: tuple[Item, ...] = place_lines(lines, place, desk.fonts, block=BLOCK)
    return LaidOut(items=(line, *texts), height_mm=height_mm)


def _side_mm(desk: Desk, gear: Sequence[GearNeed]) -> tuple[float, float]:
    """Widths of the counts and of what is short, as wide as what stands there."""
    cells = [gear_cells(desk, need) for need in gear]
    counts, shorts = (
        [desk.width_mm(cell[number], "note_strong") + SLACK_MM for cell in cells] for number in (0, 3)
    )
    return max([_COUNT_MM, *(width_mm + _BOX_MM for width_mm in counts)]), max([0.0, *shorts])


def _lay_column(desk: Desk, rows: Sequence[Row], box: Box, sides_mm: tuple[float, float]) -> list[Item]:
    style = desk.styles["note"]
    count_mm, short_mm = sides_mm
    table = Table(
        block=BLOCK,
        columns=(
            Column(style=style, width_mm=count_mm),
            Column(style=style),
            Column(style=style, width_mm=short_mm, align=Align.RIGHT),
        ),
        rows=tuple(rows),
        gap_mm=_GAP_MM,
        pad_mm=_pad_mm(desk, box, len(rows)),
        rule=None,
    )
    return list(lay_table(table, box, desk.fonts).items)


def _lay_kept(desk: Desk, room: Box, depth: int) -> list[Item]:
    """As many rows as `depth` lets stand in each column.

    Raises
    ------
    BlockOverrun
        Names of two lines made them higher than the room.
    """
    columns = desk.template.block.gear.columns
    gear, dropped = kept_gear(desk, depth * columns)
    width_mm = (room.width_mm - _COLUMN_GAP_MM * (columns - 1)) / columns
    sides_mm = _side_mm(desk, gear)
    rows = [_row(desk, need, width_mm - sum(sides_mm) - 2 * _GAP_MM) for need in gear]
    if dropped:
        rows.append(_more_row(desk, dropped, gear))
    share = -(-len(rows) // columns)
    items: list[Item] = []
    for number in range(-(-len(rows) // share) if rows else 0):
        left_mm = room.left_mm + number * (width_mm + _COLUMN_GAP_MM)
        column = replace(room, left_mm=left_mm, width_mm=width_mm)
        own = rows[number * share : (number + 1) * share]
        items += _lay_column(desk, own, column, sides_mm)
    return items


def lay_gear(desk: Desk) -> list[Item]:
    """The block of gear, down one column and then the next, and the crew under it."""
    items, room = titled(
        desk, desk.box(desk.template.block.gear), desk.words("sheet.gear.title"),
        block=BLOCK, note=desk.words("sheet.gear.note"),
    )  # fmt: skip
    crew = _lay_crew(desk, room)
    items += crew.items
    room = replace(room, height_mm=room.height_mm - crew.height_mm - _CREW_GAP_MM)
    for depth in range(int(room.height_mm / _row_mm(desk) + 1e-6), 1, -1):
        try:
            return [*items, *_lay_kept(desk, room, depth)]
        except BlockOverrun:
            continue  # a name of two lines: one row fewer
    return [*items, *_lay_kept(desk, room, 1)]
