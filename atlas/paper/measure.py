"""Text into lines of a width, and whether it fits. Nothing is ever cut or shrunk to fit."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from itertools import chain, groupby, pairwise
from typing import TYPE_CHECKING

from atlas.faults import BlockOverrun
from atlas.paper.boxes import Align, Box, Text, TextStyle
from atlas.paper.fonts import Heights

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from atlas.paper.fonts import FontBook

__all__ = [
    "SLACK_MM",
    "Span",
    "TextLine",
    "fit_one_line",
    "lay_spans",
    "lay_text",
    "lines_height_mm",
    "place_line",
    "place_lines",
    "require_spans",
    "spans_width_mm",
    "tallest",
    "wrap",
    "wrap_spans",
]

SLACK_MM = 0.01
"""Sums of widths are compared to this; far below what a printer can place."""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of text in one style; several make a line or a paragraph."""

    text: str
    style: TextStyle


TextLine = tuple[Span, ...]
"""Spans that stand side by side on one baseline, neighbours of different styles."""


def spans_width_mm(spans: Iterable[Span], fonts: FontBook) -> float:
    """Width of spans side by side."""
    return sum([fonts.width_mm(span.text, span.style) for span in spans])


def require_spans(spans: Iterable[Span], fonts: FontBook, block: str) -> None:
    """Raise `MissingGlyphs` if any span holds characters that cannot be set; line feeds may stand."""
    for span in spans:
        fonts.require(span.text.replace("\n", " "), span.style.face, block)


def _paragraphs(spans: Sequence[Span]) -> list[list[list[Span]]]:
    """Paragraphs of words of spans: a word runs on from span to span where no space parts them."""
    paragraphs: list[list[list[Span]]] = [[[]]]
    for span in spans:
        composed = unicodedata.normalize("NFC", span.text)
        for number, paragraph in enumerate(composed.split("\n")):
            if number:
                paragraphs.append([[]])
            for place, piece in enumerate(paragraph.split(" ")):
                if place:
                    paragraphs[-1].append([])
                if piece:
                    paragraphs[-1][-1].append(Span(piece, span.style))
    return [[word for word in words if word] for words in paragraphs]


def _broken(word: Sequence[Span], width_mm: float, fonts: FontBook) -> list[list[Span]]:
    """A word in pieces that each fit the width, one character at the least."""
    pieces: list[list[Span]] = [[]]
    used_mm = 0.0
    for span in word:
        for character in span.text:
            own_mm = fonts.width_mm(character, span.style)
            if pieces[-1] and used_mm + own_mm > width_mm + SLACK_MM:
                pieces.append([])
                used_mm = 0.0
            pieces[-1].append(Span(character, span.style))
            used_mm += own_mm
    return pieces


def _joined(pieces: Iterable[Span]) -> TextLine:
    """Neighbours of one style made one span."""
    return tuple(
        Span("".join(span.text for span in group), style)
        for style, group in groupby(pieces, key=lambda span: span.style)
    )


def _wrap_words(words: Sequence[Sequence[Span]], width_mm: float, fonts: FontBook) -> list[list[Span]]:
    lines: list[list[Span]] = [[]]
    used_mm = 0.0
    for word in words:
        own_mm = spans_width_mm(word, fonts)
        if lines[-1]:
            space = Span(" ", lines[-1][-1].style)
            space_mm = fonts.width_mm(space.text, space.style)
            if used_mm + space_mm + own_mm <= width_mm + SLACK_MM:
                lines[-1] += [space, *word]
                used_mm += space_mm + own_mm
                continue
            lines.append([])
        *full, lines[-1] = [list(word)] if own_mm <= width_mm else _broken(word, width_mm, fonts)
        lines[-1:-1] = full
        used_mm = spans_width_mm(lines[-1], fonts)
    return lines


def _stands_as_it_is(span: Span, width_mm: float, fonts: FontBook) -> bool:
    """Whether wrapping a text would give it back: one line that fits, single spaces between its words."""
    text = span.text
    if "\n" in text or "  " in text or text != text.strip(" ") or not unicodedata.is_normalized("NFC", text):
        return False
    return fonts.width_mm(text, span.style) <= width_mm


def wrap_spans(spans: Sequence[Span], width_mm: float, fonts: FontBook) -> tuple[TextLine, ...]:
    """Lines of a text in several styles, each filled greedily up to a width.

    Parameters
    ----------
    spans : words between spaces; a line feed begins a new line; a no-break space never breaks
    width_mm : greatest width of a line [mm]

    Returns
    -------
    tuple of lines
        At least one; an empty one holds an empty span. All characters but the spaces at breaks are
        there, in their order. A word wider than the width is broken; a single character wider than it
        stands alone and is too wide.
    """
    if len(spans) == 1 and _stands_as_it_is(spans[0], width_mm, fonts):
        return ((spans[0],),)
    return tuple(
        _joined(line) or (Span("", spans[0].style),)
        for words in _paragraphs(spans)
        for line in _wrap_words(words, width_mm, fonts)
    )


def wrap(text: str, style: TextStyle, width_mm: float, fonts: FontBook) -> tuple[str, ...]:
    """Lines of a text in one style; see `wrap_spans`."""
    return tuple(line[0].text for line in wrap_spans((Span(text, style),), width_mm, fonts))


def _ink_mm(line: TextLine, fonts: FontBook) -> tuple[float, float]:
    """How far the ink of a line reaches above and below its baseline."""
    inks = [fonts.ink_mm(span.text, span.style) for span in line]
    return max(above for above, _ in inks), max(below for _, below in inks)


def _tallest_single(span: Span, fonts: FontBook) -> Heights:
    """`tallest` of one line of one style: most of all lines are."""
    heights = fonts.heights(span.style)
    above_mm, below_mm = fonts.ink_mm(span.text, span.style)
    if above_mm <= heights.ascent_mm and below_mm <= heights.descent_mm:
        return heights
    return heights._replace(
        ascent_mm=max(heights.ascent_mm, above_mm), descent_mm=max(heights.descent_mm, below_mm)
    )


def tallest(lines: Sequence[TextLine], fonts: FontBook) -> Heights:
    """Measures that hold all the lines: those of the tallest style, and more where the ink asks for it.

    A capital with an accent stands higher than its style's ascent. So the ascent covers the first line,
    the descent the last, and the step from line to line keeps every line's ink off the next one's.
    """
    if len(lines) == 1 and len(lines[0]) == 1:
        return _tallest_single(lines[0][0], fonts)
    styles = dict.fromkeys(span.style for span in chain.from_iterable(lines))
    type_mm = Heights(*map(max, zip(*map(fonts.heights, styles), strict=True)))
    inks = [_ink_mm(line, fonts) for line in lines]
    steps_mm = [below + above for (_, below), (above, _) in pairwise(inks)]
    return Heights(
        ascent_mm=max(type_mm.ascent_mm, inks[0][0]),
        descent_mm=max(type_mm.descent_mm, inks[-1][1]),
        cap_mm=type_mm.cap_mm,
        line_mm=max([type_mm.line_mm, *steps_mm]),
    )


def lines_height_mm(lines: Sequence[TextLine], fonts: FontBook) -> float:
    """Height of lines, from the ascent of the first to the descent of the last [mm]."""
    heights = tallest(lines, fonts)
    return heights.ascent_mm + (len(lines) - 1) * heights.line_mm + heights.descent_mm


def place_line(
    line: Sequence[Span], *, x_mm: float, y_mm: float, fonts: FontBook, block: str, align: Align = Align.LEFT
) -> tuple[Text, ...]:
    """Spans side by side on one baseline; their left end, middle or right end stands at x."""
    spans = [span for span in line if span.text]
    if len(spans) == 1:
        (span,) = spans
        return (Text(x_mm=x_mm, y_mm=y_mm, text=span.text, style=span.style, align=align, block=block),)
    left_mm = x_mm - align.share * spans_width_mm(spans, fonts)
    texts = []
    for span in spans:
        texts.append(Text(x_mm=left_mm, y_mm=y_mm, text=span.text, style=span.style, block=block))
        left_mm += fonts.width_mm(span.text, span.style)
    return tuple(texts)


def place_lines(
    lines: Sequence[TextLine], box: Box, fonts: FontBook, *, block: str, align: Align = Align.LEFT
) -> tuple[Text, ...]:
    """Lines under each other from the top of a box, as they are; nothing is checked here."""
    heights = tallest(lines, fonts)
    x_mm = box.left_mm + align.share * box.width_mm
    return tuple(
        text
        for number, line in enumerate(lines)
        for text in place_line(
            line,
            x_mm=x_mm,
            y_mm=box.top_mm + heights.ascent_mm + number * heights.line_mm,
            fonts=fonts,
            block=block,
            align=align,
        )
    )


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


def lay_spans(
    spans: Sequence[Span], box: Box, fonts: FontBook, *, block: str, align: Align = Align.LEFT
) -> tuple[Text, ...]:
    """A paragraph in several styles wrapped into a box from its top.

    Raises
    ------
    BlockOverrun
        It is higher than the box, or a single character is wider.
    MissingGlyphs
        Characters that cannot be set.
    """
    require_spans(spans, fonts, block)
    lines = wrap_spans(spans, box.width_mm, fonts)
    overrun_mm = max(
        lines_height_mm(lines, fonts) - box.height_mm,
        max(spans_width_mm(line, fonts) for line in lines) - box.width_mm,
    )
    if overrun_mm > SLACK_MM:
        told = "".join(span.text for span in spans)
        raise BlockOverrun(block, overrun_mm, f"{len(lines)} lines: '{told[:60]}'")
    return place_lines(lines, box, fonts, block=block, align=align)


def lay_text(
    text: str, style: TextStyle, box: Box, fonts: FontBook, *, block: str, align: Align = Align.LEFT
) -> tuple[Text, ...]:
    """A paragraph in one style wrapped into a box from its top; see `lay_spans`."""
    return lay_spans((Span(text, style),), box, fonts, block=block, align=align)
