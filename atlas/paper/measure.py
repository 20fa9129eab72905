"""Text into lines of a width, and whether it fits. Nothing is ever cut or shrunk to fit."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from atlas.faults import BlockOverrun
from atlas.paper.boxes import Align, Box, Text, TextStyle

if TYPE_CHECKING:
    from collections.abc import Sequence

    from atlas.paper.fonts import FontBook

__all__ = ["SLACK_MM", "fit_one_line", "lay_text", "lines_height_mm", "place_lines", "wrap"]

SLACK_MM = 0.01
"""Sums of widths are compared to this; far below what a printer can place."""


def _pieces(word: str, style: TextStyle, width_mm: float, fonts: FontBook) -> list[str]:
    """A word in pieces that each fit the width, one character at the least."""
    pieces: list[str] = []
    piece = ""
    for character in word:
        if piece and fonts.width_mm(piece + character, style) > width_mm + SLACK_MM:
            pieces.append(piece)
            piece = character
        else:
            piece += character
    return [*pieces, piece]


def _wrap_paragraph(text: str, style: TextStyle, width_mm: float, fonts: FontBook) -> list[str]:
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        if not word:  # a run of spaces is one space
            continue
        longer = f"{line} {word}" if line else word
        if fonts.width_mm(longer, style) <= width_mm + SLACK_MM:
            line = longer
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, style, width_mm, fonts)
        lines.extend(full)
    return [*lines, line]


def wrap(text: str, style: TextStyle, width_mm: float, fonts: FontBook) -> tuple[str, ...]:
    """Lines of a text, each filled greedily up to a width.

    Parameters
    ----------
    text : words between spaces; a line feed begins a new line; a no-break space never breaks
    width_mm : greatest width of a line [mm]

    Returns
    -------
    tuple of str
        At least one line. All characters but the spaces at breaks are there, in their order. A word
        wider than the width is broken; a single character wider than it stands alone and is too wide.
    """
    composed = unicodedata.normalize("NFC", text)
    return tuple(
        line
        for paragraph in composed.split("\n")
        for line in _wrap_paragraph(paragraph, style, width_mm, fonts)
    )


def lines_height_mm(count: int, style: TextStyle, fonts: FontBook) -> float:
    """Height of so many lines, from the ascent of the first to the descent of the last [mm]."""
    heights = fonts.heights(style)
    return heights.ascent_mm + max(0, count - 1) * heights.line_mm + heights.descent_mm


def fit_one_line(text: str, style: TextStyle, width_mm: float, fonts: FontBook, block: str) -> str:
    """The text itself, known to fit the width on one line.

    Raises
    ------
    BlockOverrun
        It is wider; names the block and by how much.
    MissingGlyphs
        Characters that cannot be set.
    """
    fonts.require(text, style.face, block)
    overrun_mm = fonts.width_mm(text, style) - width_mm
    if overrun_mm > SLACK_MM:
        raise BlockOverrun(block, overrun_mm, f"one line of {width_mm:.1f} mm: '{text}'")
    return text


def _line_x_mm(box: Box, align: Align) -> float:
    match align:
        case Align.LEFT:
            return box.left_mm
        case Align.CENTRE:
            return box.centre[0]
        case Align.RIGHT:
            return box.right_mm


def place_lines(
    lines: Sequence[str],
    style: TextStyle,
    box: Box,
    fonts: FontBook,
    *,
    block: str,
    align: Align = Align.LEFT,
) -> tuple[Text, ...]:
    """Lines under each other from the top of a box, as they are; nothing is checked here."""
    heights = fonts.heights(style)
    first_mm = box.top_mm + heights.ascent_mm
    return tuple(
        Text(
            x_mm=_line_x_mm(box, align),
            y_mm=first_mm + number * heights.line_mm,
            text=line,
            style=style,
            align=align,
            block=block,
        )
        for number, line in enumerate(lines)
        if line
    )


def lay_text(
    text: str, style: TextStyle, box: Box, fonts: FontBook, *, block: str, align: Align = Align.LEFT
) -> tuple[Text, ...]:
    """A paragraph wrapped into a box from its top.

    Raises
    ------
    BlockOverrun
        It is higher than the box, or a single character is wider.
    MissingGlyphs
        Characters that cannot be set.
    """
    fonts.require(text.replace("\n", " "), style.face, block)
    lines = wrap(text, style, box.width_mm, fonts)
    overrun_mm = max(
        lines_height_mm(len(lines), style, fonts) - box.height_mm,
        max(fonts.width_mm(line, style) for line in lines) - box.width_mm,
    )
    if overrun_mm > SLACK_MM:
        raise BlockOverrun(block, overrun_mm, f"{len(lines)} lines: '{text[:60]}'")
    return place_lines(lines, style, box, fonts, block=block, align=align)
