"""Lines of the derivation laid out: number, title, formula with its numbers, result, source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from atlas.faults import BlockOverrun
from atlas.paper import Align, Box, Destination, Item, LaidOut, Line, Span, Text, place_lines, wrap_spans
from atlas.paper.flow import Piece
from atlas.paper.measure import SLACK_MM, lines_height_mm, require_spans
from atlas.workings.paper.entries import Check, Given, Relation, Remark, Step, Value
from atlas.workings.paper.formula import Node, parse
from atlas.workings.paper.set_formula import FormulaSetter, figures, sum_terms, with_numbers, with_symbols
from atlas.workings.paper.style import BLOCK, Style
from atlas.workings.paper.typeset import MINUS, Ink, beside, place_ink

__all__ = [
    "InkLines",
    "check_piece",
    "heading",
    "ink_lines",
    "line_piece",
    "remark_piece",
    "text_items",
    "under",
    "value_ink",
]

_WORD_GAP_EM = 0.42
_LINE_GAP_MM = 1.0
_PAD_MM = 0.75
_RELATIONS = {Relation.AT_LEAST: "≥", Relation.AT_MOST: "≤"}


def text_items(
    style: Style, text: str, look: str, box: Box, *, align: Align = Align.LEFT
) -> tuple[tuple[Text, ...], float]:
    """A paragraph from the top of a box, and its height [mm]."""
    spans = (Span(text, style.look(look)),)
    require_spans(spans, style.fonts, BLOCK)
    lines = wrap_spans(spans, box.width_mm, style.fonts)
    return place_lines(lines, box, style.fonts, block=BLOCK, align=align), lines_height_mm(lines, style.fonts)


def value_ink(style: Style, value: Value, *, strong: bool = False) -> Ink:
    """A number with its unit."""
    types = style.types
    look = types.strong if strong else types.plain
    number = types.text(figures(value), look)
    return (
        number if not value.unit else beside([number, types.text(value.unit, types.plain)], 0.22 * types.em)
    )


def _terms(setter: FormulaSetter, node: Node) -> list[Ink]:
    """A formula as pieces between which a line may break."""
    types = setter.types
    pieces = []
    for operator, term in sum_terms(node):
        ink = setter.inner(term, 2 if operator == "-" else 1 if operator else 0)
        sign = MINUS if operator == "-" else operator
        pieces.append(beside([types.text(sign), ink], 0.24 * types.em) if operator else ink)
    return pieces


def _after(style: Style, relation: str, pieces: Sequence[Ink]) -> list[Ink]:
    """Pieces with a relation that stays with the first of them."""
    types = style.types
    first = beside([types.text(relation), pieces[0]], _WORD_GAP_EM * types.em)
    return [first, *pieces[1:]]


def _broken(
    words: Sequence[Ink], width_mm: float, gap_mm: float, indent_mm: float
) -> list[tuple[float, list[Ink]]]:
    """Lines as (indent, words), each as long as it may be."""
    lines: list[tuple[float, list[Ink]]] = [(0.0, [])]
    used = 0.0
    for word in words:
        indent, line = lines[-1]
        if line and indent + used + gap_mm + word.width > width_mm + SLACK_MM:
            lines.append((indent_mm, []))
            used = 0.0
            indent, line = lines[-1]
        used += (gap_mm if line else 0.0) + word.width
        if indent + used > width_mm + SLACK_MM:
            raise BlockOverrun(BLOCK, indent + used - width_mm, "a part of a formula")
        line.append(word)
    return lines


@dataclass(frozen=True, slots=True)
class InkLines:
    """Lines of a formula from the top of a box: items, height, the first baseline under the top."""

    items: tuple[Item, ...]
    height_mm: float
    baseline_mm: float


def ink_lines(style: Style, words: Sequence[Ink], box: Box, *, indent_mm: float) -> InkLines:
    """Words of a formula on as many lines as they take."""
    gap = _WORD_GAP_EM * style.types.em
    heights = style.fonts.heights(style.types.plain)
    items: list[Item] = []
    top, first = box.top_mm, 0.0
    for number, (indent, line) in enumerate(_broken(words, box.width_mm, gap, indent_mm)):
        ink = beside(line, gap)
        top += _LINE_GAP_MM if number else 0.0
        up = max(ink.up, heights.cap_mm)
        first = first or up
        items += place_ink(ink, x_mm=box.left_mm + indent, y_mm=top + up, stroke=style.bar, block=BLOCK)
        top += up + max(ink.down, heights.descent_mm * 0.6)
    return InkLines(tuple(items), top - box.top_mm, first)


def _formula_words(style: Style, entry: Given | Step) -> list[Ink]:
    """Symbol, formula, numbers, result, and the result as the sheet prints it."""
    words = [style.types.symbol(entry.result.symbol)]
    if isinstance(entry, Step):
        node = parse(entry.formula)
        values = {value.symbol: value for value in entry.values}
        words += _after(style, "=", _terms(with_symbols(style.types), node))
        if len(values) > 1 or entry.formula not in values:
            words += _after(style, "=", _terms(with_numbers(style.types, values), node))
    words += _after(style, "=", [value_ink(style, entry.result, strong=True)])
    if entry.shown:
        words.append(style.types.text(f"[{entry.shown}]", style.types.muted))
    return words


@dataclass(frozen=True, slots=True)
class _Row:
    """One entry's parts before they are placed."""

    number: str
    title: str
    words: Sequence[Ink]
    source: str
    look: str = "body"


def _texts(style: Style, row: _Row, box: Box, *, baseline_mm: float) -> tuple[list[Item], float]:
    """Number, title and source, their first lines on a baseline; how far they reach under the top [mm]."""
    items: list[Item] = []
    height_mm = 0.0
    for text, look, place in (
        (row.number, "column", box),
        (row.title, row.look, style.title_box(box)),
        (row.source, "column", style.source_box(box)),
    ):
        if text:
            down_mm = baseline_mm - style.fonts.heights(style.look(look)).ascent_mm
            laid, text_mm = text_items(style, text, look, replace(place, top_mm=place.top_mm + down_mm))
            items += laid
            height_mm = max(height_mm, text_mm + down_mm)
    return items, height_mm


def _laid_row(style: Style, row: _Row, box: Box) -> LaidOut:
    """Number, title, first line of the formula and source on one baseline.

    A formula with a part too wide for its column stands under the title, across the page.
    """
    inner = replace(box, top_mm=box.top_mm + _PAD_MM)
    indent = row.words[0].width + _WORD_GAP_EM * style.types.em
    ascent_mm = max(style.fonts.heights(style.look(look)).ascent_mm for look in ("column", row.look))
    column = style.formula_box(inner)
    if max(word.width for word in row.words) + indent <= column.width_mm:
        formula = ink_lines(style, row.words, column, indent_mm=indent)
        baseline_mm = max(formula.baseline_mm, ascent_mm)
        sunk_mm = baseline_mm - formula.baseline_mm
        formula = ink_lines(style, row.words, column.below(sunk_mm), indent_mm=indent)
        texts, texts_mm = _texts(style, row, inner, baseline_mm=baseline_mm)
        height_mm = max(texts_mm, sunk_mm + formula.height_mm)
    else:
        texts, texts_mm = _texts(style, row, inner, baseline_mm=ascent_mm)
        across = style.main_box(inner).below(texts_mm + _LINE_GAP_MM)
        formula = ink_lines(style, row.words, across, indent_mm=indent)
        height_mm = texts_mm + _LINE_GAP_MM + formula.height_mm
    height_mm += 2 * _PAD_MM
    rule = under(style, style.main_box(box), box.top_mm + height_mm)
    return LaidOut(items=(*texts, *formula.items, rule), height_mm=height_mm)


def under(style: Style, box: Box, y_mm: float) -> Line:
    """A hairline across a box."""
    return Line(
        x1_mm=box.left_mm, y1_mm=y_mm, x2_mm=box.right_mm, y2_mm=y_mm, stroke=style.hairline, block=BLOCK
    )


def line_piece(style: Style, number: str, entry: Given | Step) -> Piece:
    """A given number, or a formula with its numbers and its result."""
    row = _Row(number, entry.title, _formula_words(style, entry), entry.source)
    return Piece(lambda box: _laid_row(style, row, box))


def check_piece(style: Style, number: str, check: Check) -> Piece:
    """Two numbers against each other, and the verdict."""
    types = style.types
    left = beside(
        [types.symbol(check.left.symbol), types.text("="), value_ink(style, check.left)], 0.3 * types.em
    )
    right = [types.symbol(check.right.symbol), types.text("="), value_ink(style, check.right)]
    verdict = style.words(f"derivation.verdict.{'inside' if check.holds else 'outside'}")
    words = [left, beside([types.text(_RELATIONS[check.relation]), *right], 0.3 * types.em)]
    words.append(beside([types.text("→"), types.text(verdict, types.strong)], 0.3 * types.em))
    row = _Row(number, check.title, words, check.source, look="strong")
    return Piece(lambda box: _laid_row(style, row, box))


def remark_piece(style: Style, remark: Remark) -> Piece:
    """A sentence across the page."""

    def lay(box: Box) -> LaidOut:
        inner = style.main_box(replace(box, top_mm=box.top_mm + _PAD_MM))
        items, height_mm = text_items(style, remark.text, "strong" if remark.strong else "note", inner)
        return LaidOut(items=items, height_mm=height_mm + 2 * _PAD_MM)

    return Piece(lay)


def chapter_name(number: str, title: str) -> str:
    """The name by which outline and contents know a chapter."""
    return f"{number} {title}"


def heading(style: Style, number: str, title: str) -> Piece:
    """A chapter's heading over a rule."""

    def lay(box: Box) -> LaidOut:
        top = replace(box, top_mm=box.top_mm + 3.0)
        left, _ = text_items(style, number, "meta_strong", top)
        words, height_mm = text_items(style, title, "meta_strong", style.main_box(top))
        y_mm = top.top_mm + height_mm + 0.6
        rule = Line(
            x1_mm=box.left_mm, y1_mm=y_mm, x2_mm=box.right_mm, y2_mm=y_mm,
            stroke=style.looks.strokes["rule"], block=BLOCK,
        )  # fmt: skip
        place = Destination(name=chapter_name(number, title), x_mm=box.left_mm, y_mm=box.top_mm, block=BLOCK)
        return LaidOut(items=(place, *left, *words, rule), height_mm=height_mm + 4.4)

    return Piece(lay, keeps_next=True)
