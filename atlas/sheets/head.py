"""Which site: code and name, river, reach, first-due agency; the thumb tab of the reach."""

from __future__ import annotations

from dataclasses import replace

from atlas.faults import BlockOverrun
from atlas.paper import (
    Align,
    Box,
    Item,
    Rect,
    Span,
    Text,
    lines_height_mm,
    place_lines,
    wrap_spans,
)
from atlas.paper.measure import require_spans
from atlas.sheets.desk import Desk
from atlas.sheets.figures import date_text, unbroken
from atlas.sheets.pieces import lay_runs, rule
from atlas.units import Figure

BLOCK = "head"
_SIDE_MM = 60.0
"""Width of the column of the first-due agency."""
_GAP_MM = 5.0
_BAR_MM = 1.1
_CODE_DOWN_MM = 3.6
_NAME_DOWN_MM = 2.2
"""From the bar to code and name."""
_BADGE_MM = 3.7
_META_BASE_MM = 1.0
_META_MM = 3.9
"""Height of the last line, and its baseline over the block's lower edge."""


def meta_line(desk: Desk) -> str:
    """River and reach."""
    plan = desk.plan
    return desk.words("sheet.separator").join((plan.site.access.river, plan.reach.name))


def meta_spans(desk: Desk) -> tuple[Span, ...]:
    """River and reach; and where it is so, in heavier type, that the survey is overdue."""
    meta = Span(meta_line(desk), desk.styles["meta"])
    if not desk.plan.overdue:
        return (meta,)
    until = date_text(desk.plan.valid_until)
    overdue = unbroken(desk.words("sheet.head.overdue", until=until))
    return (meta, Span("  ", desk.styles["meta"]), Span(overdue, desk.styles["meta_strong"]))


def first_due_line(desk: Desk) -> str:
    """That the agency is first due, or stands in for it, and its minutes from its station."""
    plan, words = desk.plan, desk.words
    own, first = plan.site.access.agency, plan.cover.called[0]
    in_place = plan.agency.code != own
    parts = [words("sheet.head.in_place", agency=own) if in_place else words("sheet.head.first_due")]
    if first.minutes is not None:
        shown = desk.first(Figure.MINUTES_TO_ARRIVE, first.minutes)
        key = "minutes_estimated" if first.estimated else "minutes_in_place" if in_place else "minutes"
        parts.append(words(f"sheet.head.{key}", minutes=shown))
    return words("sheet.separator").join(parts)


def _badge(desk: Desk, *, right_mm: float, top_mm: float) -> list[Item]:
    """The mark of an invented county: white on black, at the right end."""
    text = desk.words("sheet.head.invented")
    style = desk.styles["badge"]
    width_mm = desk.fonts.width_mm(text, style) + 3.0
    box = Box(left_mm=right_mm - width_mm, top_mm=top_mm, width_mm=width_mm, height_mm=_BADGE_MM)
    cap_mm = desk.fonts.heights(style).cap_mm
    return [
        Rect(box=box, fill=desk.colours["ink"], block=BLOCK),
        Text(
            x_mm=box.centre[0], y_mm=box.centre[1] + cap_mm / 2, text=text, style=style,
            align=Align.CENTRE, block=BLOCK,
        ),
    ]  # fmt: skip


def _first_due(desk: Desk, box: Box) -> list[Item]:
    """Who comes first, at the right end: the name on one line, or on two smaller ones, over its minutes."""
    name = desk.plan.agency.name
    style = "meta_strong" if desk.width_mm(name, "meta_strong") <= _SIDE_MM else "strong"
    left_mm = box.right_mm - _SIDE_MM
    lines = wrap_spans((Span(name, desk.styles[style]),), _SIDE_MM, desk.fonts)
    height_mm = lines_height_mm(lines, desk.fonts)
    over_mm = height_mm - (box.height_mm - _BAR_MM - _BADGE_MM - _META_MM)
    if over_mm > 0:
        raise BlockOverrun(BLOCK, over_mm, f"{len(lines)} lines of the agency's name: '{name[:60]}'")
    desk.fonts.require(name, desk.styles[style].face, BLOCK)
    place = replace(box, left_mm=left_mm, width_mm=_SIDE_MM, top_mm=box.bottom_mm - _META_MM - height_mm)
    items: list[Item] = list(place_lines(lines, place, desk.fonts, block=BLOCK, align=Align.RIGHT))
    items += lay_runs(
        desk, [(first_due_line(desk), "meta")], x_mm=left_mm, y_mm=box.bottom_mm - _META_BASE_MM,
        width_mm=_SIDE_MM, block=BLOCK, align=Align.RIGHT,
    )  # fmt: skip
    return items


def _lay_name(desk: Desk, room: Box) -> list[Item]:
    """Name over river and reach; a long name in the smaller of its styles.

    Raises
    ------
    BlockOverrun
        Both together are higher than the block in any style.
    """
    name = desk.plan.site.access.name
    meta = meta_spans(desk)
    for style in ("name", "name_long", "meta_strong"):
        title = (Span(name, desk.styles[style]),)
        require_spans((*title, *meta), desk.fonts, BLOCK)
        upper = wrap_spans(title, room.width_mm, desk.fonts)
        lower = wrap_spans(meta, room.width_mm, desk.fonts)
        lower_mm = lines_height_mm(lower, desk.fonts)
        spare_mm = room.height_mm - lines_height_mm(upper, desk.fonts) - lower_mm
        if spare_mm >= 0:
            top = replace(room, top_mm=room.top_mm + min(spare_mm / 2, _NAME_DOWN_MM))
            foot = replace(room, top_mm=room.bottom_mm - lower_mm)
            return [
                *place_lines(upper, top, desk.fonts, block=BLOCK),
                *place_lines(lower, foot, desk.fonts, block=BLOCK),
            ]
    raise BlockOverrun(BLOCK, -spare_mm, f"name and river: '{name[:60]}'")


def lay_head(desk: Desk) -> list[Item]:
    """The head of the sheet."""
    box = desk.box(desk.template.block.head)
    plan = desk.plan
    cap_mm = desk.fonts.heights(desk.styles["code"]).cap_mm
    items: list[Item] = [rule(desk, box, box.top_mm + _BAR_MM / 2, stroke="bar", block=BLOCK)]
    items += lay_runs(
        desk, [(plan.site.code, "code")], x_mm=box.left_mm - 0.4, y_mm=box.top_mm + _CODE_DOWN_MM + cap_mm,
        width_mm=box.width_mm, block=BLOCK,
    )  # fmt: skip
    left_mm = box.left_mm + desk.width_mm(plan.site.code, "code") + _GAP_MM
    room = Box(
        left_mm=left_mm,
        top_mm=box.top_mm + _BAR_MM,
        width_mm=box.right_mm - _SIDE_MM - 3.0 - left_mm,
        height_mm=box.height_mm - _BAR_MM - 0.4,
    )
    items += _lay_name(desk, room)
    if plan.county.invented:
        items += _badge(desk, right_mm=box.right_mm, top_mm=box.top_mm + _BAR_MM)
    return [*items, *_first_due(desk, box)]


def lay_tab(desk: Desk) -> list[Item]:
    """The thumb tab: one place down the outer edge for each reach of the county."""
    template, plan = desk.template, desk.plan
    codes = [reach.code for reach in plan.county.reaches]
    place = codes.index(plan.reach.code) % template.tab_places
    step_mm = template.tab.height_mm + template.tab.gap_mm
    box = Box(
        left_mm=template.tab_left_mm,
        top_mm=template.page.edge_mm + place * step_mm,
        width_mm=template.tab.width_mm,
        height_mm=template.tab.height_mm,
    )
    style = desk.styles["tab"]
    cap_mm = desk.fonts.heights(style).cap_mm
    text = Text(
        x_mm=box.centre[0] + cap_mm / 2, y_mm=box.centre[1], text=plan.reach.code, style=style,
        align=Align.CENTRE, angle_deg=90.0, block="tab",
    )  # fmt: skip
    return [Rect(box=box, fill=desk.colours["ink"], block="tab"), text]
