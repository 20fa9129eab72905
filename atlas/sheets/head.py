"""Which site: code and name, river, reach, first-due agency; the thumb tab of the reach."""

from __future__ import annotations

from atlas.paper import Align, Box, Item, Rect, Span, Text, lay_text, lines_height_mm, wrap_spans
from atlas.sheets.desk import Desk
from atlas.sheets.pieces import lay_runs, rule
from atlas.units import Figure

BLOCK = "head"
_SIDE_MM = 60.0
"""Width of the column of the first-due agency."""
_GAP_MM = 5.0
_BADGE_MM = 4.4
_META_BASE_MM = 1.0
_META_MM = 4.3
"""Height of the last line, and its baseline over the block's lower edge."""
_NAME_MM = 8.6
"""Most height of the agency's name."""


def meta_line(desk: Desk) -> str:
    """River, reach and which bank is near."""
    plan, words = desk.plan, desk.words
    side = words(f"sheet.bank.{plan.frame.near_bank.value}")
    parts = (plan.site.access.river, plan.reach.name, words("sheet.bank.near_is", side=side))
    return words("sheet.separator").join(parts)


def first_due_line(desk: Desk) -> str:
    """That the agency is first due, its minutes from its station, and its radio."""
    plan, words = desk.plan, desk.words
    minutes = next((time.minutes for time in plan.agency.minutes if time.reach == plan.reach.code), None)
    parts = [words("sheet.head.first_due")]
    if minutes is not None:
        shown = desk.first(Figure.MINUTES_TO_ARRIVE, minutes)
        parts.append(words("sheet.head.minutes", minutes=shown))
    if plan.agency.radio:
        parts.append(plan.agency.radio)
    return words("sheet.separator").join(parts)


def _badge(desk: Desk, right_mm: float, top_mm: float) -> list[Item]:
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
    """Who comes first, at the right end: the name in one line or two, over its minutes and radio."""
    name, style = desk.plan.agency.name, desk.styles["meta_strong"]
    left_mm = box.right_mm - _SIDE_MM
    lines = wrap_spans((Span(name, style),), _SIDE_MM, desk.fonts)
    height_mm = lines_height_mm(lines, desk.fonts)
    top_mm = box.bottom_mm - _META_MM - height_mm
    place = Box(left_mm=left_mm, top_mm=top_mm, width_mm=_SIDE_MM, height_mm=min(height_mm, _NAME_MM))
    items: list[Item] = list(lay_text(name, style, place, desk.fonts, block=BLOCK, align=Align.RIGHT))
    items += lay_runs(
        desk, [(first_due_line(desk), "meta")], x_mm=left_mm, y_mm=box.bottom_mm - _META_BASE_MM,
        width_mm=_SIDE_MM, block=BLOCK, align=Align.RIGHT,
    )  # fmt: skip
    return items


def lay_head(desk: Desk) -> list[Item]:
    """The head of the sheet."""
    box = desk.box(desk.template.block.head)
    plan = desk.plan
    code = desk.styles["code"]
    cap_mm = desk.fonts.heights(code).cap_mm
    base_mm = box.top_mm + 4.0 + cap_mm
    items: list[Item] = [rule(desk, box, box.top_mm + 0.55, stroke="bar", block=BLOCK)]
    items += lay_runs(
        desk, [(plan.site.code, "code")], x_mm=box.left_mm - 0.4, y_mm=base_mm, width_mm=box.width_mm, block=BLOCK
    )
    left_mm = box.left_mm + desk.width_mm(plan.site.code, "code") + _GAP_MM
    width_mm = box.right_mm - _SIDE_MM - 3.0 - left_mm
    name, style = plan.site.access.name, desk.styles["name"]
    two_lines = desk.fonts.width_mm(name, style) > width_mm
    top_mm = box.top_mm + (1.1 if two_lines else 3.2)
    place = Box(left_mm=left_mm, top_mm=top_mm, width_mm=width_mm, height_mm=12.4)
    items += lay_text(name, style, place, desk.fonts, block=BLOCK)
    items += lay_runs(
        desk, [(meta_line(desk), "meta")], x_mm=left_mm, y_mm=box.bottom_mm - _META_BASE_MM, width_mm=width_mm, block=BLOCK
    )
    if plan.county.invented:
        items += _badge(desk, box.right_mm, box.top_mm + 1.1)
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
