"""Dangers and cautions by signal word, most serious first: a paragraph for each word."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby

from atlas.faults import BlockOverrun
from atlas.paper import Align, Box, Item, Rect, Span, Text, TextLine, lines_height_mm, place_lines, wrap_spans
from atlas.plan.results import Caution
from atlas.sheets.desk import Desk
from atlas.sheets.dropping import drop_order, drop_rank
from atlas.sheets.pieces import rule

BLOCK = "cautions"
_SIGNAL_MM = 15.0
_SIGNAL_HEIGHT_MM = 3.1
_TOP_MM = 1.0
_GROUP_GAP_MM = 0.7
_WHITE_ON = ("DANGER", "NOTICE")
_COLOURS = {"DANGER": "danger", "WARNING": "warning", "CAUTION": "caution", "NOTICE": "notice"}
_STYLES = {"DANGER": "strong"}
_ITEM_GAP = "  •\N{NO-BREAK SPACE}"

Group = tuple[str, tuple[TextLine, ...]]
"""A signal word and the lines of its cautions."""


def kept_cautions(desk: Desk, dropped: int) -> tuple[Caution, ...]:
    """The cautions that stay when so many are left out, in the template's order."""
    cautions = desk.plan.cautions
    drop = desk.template.block.cautions.drop
    order = drop_order([drop_rank((caution.code, caution.signal), drop) for caution in cautions])
    gone = set(order[:dropped])
    return tuple(caution for number, caution in enumerate(cautions) if number not in gone)


def _droppable(desk: Desk) -> int:
    drop = desk.template.block.cautions.drop
    return sum(drop_rank((caution.code, caution.signal), drop) is not None for caution in desk.plan.cautions)


def _groups(desk: Desk, cautions: tuple[Caution, ...], more: str, width_mm: float) -> list[Group]:
    """Cautions of one signal word as one paragraph; what was left out is told at the end of the last."""
    groups = []
    by_signal = [
        (signal, list(group)) for signal, group in groupby(cautions, key=lambda caution: caution.signal)
    ]
    for number, (signal, group) in enumerate(by_signal):
        texts = [caution.text for caution in group]
        if more and number == len(by_signal) - 1:
            texts.append(more)
        style = desk.styles[_STYLES.get(signal, "small")]
        paragraph = Span(_ITEM_GAP.join(texts), style)
        desk.fonts.require(paragraph.text, style.face, BLOCK)
        groups.append((signal, wrap_spans((paragraph,), width_mm, desk.fonts)))
    return groups


def _height_mm(desk: Desk, groups: list[Group]) -> float:
    heights = (max(_SIGNAL_HEIGHT_MM, lines_height_mm(lines, desk.fonts)) for _, lines in groups)
    return _TOP_MM + sum(heights) + _GROUP_GAP_MM * max(0, len(groups) - 1)


def _fitting(desk: Desk, box: Box) -> list[Group]:
    """Paragraphs that fit, with as few cautions left out as that takes."""
    overrun_mm = 0.0
    droppable = _droppable(desk)
    for dropped in range(droppable + 1):
        more = desk.words("sheet.more", count=dropped) if dropped else ""
        groups = _groups(desk, kept_cautions(desk, dropped), more, box.width_mm - _SIGNAL_MM)
        overrun_mm = _height_mm(desk, groups) - box.height_mm
        if overrun_mm <= 0:
            return groups
    count = len(desk.plan.cautions)
    raise BlockOverrun(BLOCK, overrun_mm, f"{count} cautions, {droppable} of them dropped")


def _lay_signal(desk: Desk, signal: str, *, left_mm: float, base_mm: float) -> list[Item]:
    """The signal word on its colour: the word tells, the colour only helps."""
    style = desk.styles["signal"]
    if signal in _WHITE_ON:
        style = replace(style, colour=desk.colours["paper"])
    cap_mm = desk.fonts.heights(style).cap_mm
    box = Box(
        left_mm=left_mm,
        top_mm=base_mm - cap_mm / 2 - _SIGNAL_HEIGHT_MM / 2,
        width_mm=_SIGNAL_MM - 1.8,
        height_mm=_SIGNAL_HEIGHT_MM,
    )
    text = Text(x_mm=box.centre[0], y_mm=base_mm, text=signal, style=style, align=Align.CENTRE, block=BLOCK)
    return [Rect(box=box, fill=desk.colours[_COLOURS[signal]], block=BLOCK), text]


def lay_cautions(desk: Desk) -> list[Item]:
    """The block of dangers and cautions."""
    box = desk.box(desk.template.block.cautions)
    items: list[Item] = [rule(desk, box, box.top_mm, block=BLOCK)]
    top_mm = box.top_mm + _TOP_MM
    for signal, lines in _fitting(desk, box):
        height_mm = max(_SIGNAL_HEIGHT_MM, lines_height_mm(lines, desk.fonts))
        place = Box(
            left_mm=box.left_mm + _SIGNAL_MM,
            top_mm=top_mm,
            width_mm=box.width_mm - _SIGNAL_MM,
            height_mm=height_mm,
        )
        base_mm = top_mm + desk.fonts.heights(lines[0][0].style).ascent_mm
        items += _lay_signal(desk, signal, left_mm=box.left_mm, base_mm=base_mm)
        items += place_lines(lines, place, desk.fonts, block=BLOCK)
        top_mm += height_mm + _GROUP_GAP_MM
    return items
