"""The derivation on pages: head, foot, and the pieces poured between them; drawn, checked, put together."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.faults import NoSolution, PageCheckFailed
from atlas.paper import (
    Align,
    Destination,
    Entry,
    Item,
    Leaf,
    Line,
    Page,
    PrintRules,
    Span,
    assemble,
    check_page,
    draw,
    place_line,
)
from atlas.paper.flow import Piece, pour
from atlas.paper.looks import printable
from atlas.plan import SitePlan, TetherRig, TrackLineRig
from atlas.settings import Settings
from atlas.settings.page import PageTemplate
from atlas.workings.paper.cover import lay_cover
from atlas.workings.paper.cover_results import results_of, tether_results_of
from atlas.workings.paper.derive import Derivation, derive, derive_tether
from atlas.workings.paper.drawing_pieces import force_pieces, graph_pieces
from atlas.workings.paper.entries import Chapter, Check, Given, Remark, Step, Table
from atlas.workings.paper.entry_pieces import check_piece, heading, line_piece, remark_piece
from atlas.workings.paper.recompute import faults_of
from atlas.workings.paper.style import BLOCK, Style, style_of
from atlas.workings.paper.table_pieces import table_pieces

__all__ = ["workings_pages", "workings_pdf"]


def _chapter_pieces(style: Style, number: int, chapter: Chapter) -> list[Piece]:
    pieces = [heading(style, str(number), chapter.title)]
    for place, entry in enumerate(chapter.entries, 1):
        label = f"{number}.{place}"
        match entry:
            case Given() | Step():
                pieces.append(line_piece(style, label, entry))
            case Check():
                pieces.append(check_piece(style, label, entry))
            case Table():
                pieces += table_pieces(style, label, entry)
            case Remark():
                pieces.append(remark_piece(style, entry))
    return pieces


def _line(
    style: Style, text: str, look: str, *, x_mm: float, y_mm: float, align: Align = Align.LEFT
) -> tuple[Item, ...]:
    spans = (Span(text, style.look(look)),)
    return place_line(spans, x_mm=x_mm, y_mm=y_mm, fonts=style.fonts, block=BLOCK, align=align)


def _frame(style: Style, plan: SitePlan, *, number: int, count: int) -> list[Item]:
    """Head and foot of a page."""
    column, words = style.column, style.words
    top_mm, foot_mm = column.top_mm - 4.0, column.bottom_mm + 5.4
    invented = words("sheet.head.invented") if plan.county.invented else ""
    items: list[Item] = []
    head = words("derivation.page.head", code=plan.site.code, name=plan.site.access.name)
    items += _line(style, head, "strong", x_mm=column.left_mm, y_mm=top_mm)
    if invented:
        items += _line(style, invented, "strong", x_mm=column.right_mm, y_mm=top_mm, align=Align.RIGHT)
    foot = words(
        "derivation.page.foot", edition=plan.edition, as_of=plan.as_of.isoformat(), county=plan.county.name
    )
    items += _line(style, foot, "column", x_mm=column.left_mm, y_mm=foot_mm)
    place = words("derivation.page.number", number=str(number), count=str(count))
    items += _line(style, place, "column", x_mm=column.right_mm, y_mm=foot_mm, align=Align.RIGHT)
    for y_mm in (top_mm + 1.6, foot_mm - 3.6):
        items.append(
            Line(
                x1_mm=column.left_mm, y1_mm=y_mm, x2_mm=column.right_mm, y2_mm=y_mm,
                stroke=style.looks.strokes["rule"], block=BLOCK,
            )
        )  # fmt: skip
    return items


def _pieces(style: Style, derivation: Derivation) -> list[Piece]:
    """Chapters in their order, the forces drawn after the state they belong to, the graphs last."""
    pieces: list[Piece] = []
    number = 0
    for chapter in derivation.chapters:
        number += 1
        pieces += _chapter_pieces(style, number, chapter)
        if chapter.code == "tension":
            number += 1
            pieces += force_pieces(style, derivation, str(number))
    return [*pieces, *graph_pieces(style, derivation, str(number + 1))]


def _contents(poured: Sequence[Sequence[Item]]) -> list[tuple[str, str, int]]:
    """Number, title and page of every chapter; the cover is page 1."""
    return [
        (item.name.partition(" ")[0], item.name.partition(" ")[2], page)
        for page, items in enumerate(poured, 2)
        for item in items
        if isinstance(item, Destination)
    ]


def _require_closing(plan: SitePlan, chapters: Sequence[Chapter]) -> None:
    """Refuse to print a derivation that cannot be followed by hand."""
    faults = tuple(faults_of(chapters))
    if faults:
        told = "\n".join(faults)
        raise PageCheckFailed(
            f"{plan.site.code}: the derivation does not follow from its printed numbers\n{told}"
        )


def _told(style: Style, plan: SitePlan, settings: Settings) -> tuple[list[Piece], list[tuple[str, str]]]:
    """The pieces of the chosen rig's derivation, and what came out.

    Raises
    ------
    NoSolution
        A rig of a kind that has no derivation on paper.
    """
    rig = plan.chosen
    if isinstance(rig, TrackLineRig):
        derivation = derive(plan, settings)
        _require_closing(plan, derivation.chapters)
        return _pieces(style, derivation), results_of(derivation, settings.words)
    if isinstance(rig, TetherRig):
        chapters = derive_tether(plan, rig, settings)
        _require_closing(plan, chapters)
        pieces = [
            piece
            for number, chapter in enumerate(chapters, 1)
            for piece in _chapter_pieces(style, number, chapter)
        ]
        return pieces, tether_results_of(plan, rig, settings.words)
    raise NoSolution(f"rig {rig.rig}: its kind has no derivation on paper")


def workings_pages(plan: SitePlan, settings: Settings, template: PageTemplate) -> tuple[Page, ...]:
    """The derivation of a site's chosen rig, laid out.

    Raises
    ------
    PageCheckFailed
        A line does not follow from its printed numbers.
    BlockOverrun, MissingGlyphs
        A piece that cannot be set.
    OutOfRange, NoSolution
        From the track line.
    """
    style = style_of(template, settings.words)
    pieces, results = _told(style, plan, settings)
    poured = pour(pieces, style.column, BLOCK)
    whole = [lay_cover(style, plan, results, _contents(poured)), *poured]
    title = settings.words(
        "derivation.title", code=plan.site.code, name=plan.site.access.name, edition=plan.edition
    )
    return tuple(
        Page(
            width_mm=template.page.width_mm,
            height_mm=template.page.height_mm,
            printable=printable(template),
            items=(*_frame(style, plan, number=number, count=len(whole)), *items),
            title=title,
            lang=settings.words("sheet.lang"),
        )
        for number, items in enumerate(whole, 1)
    )


def workings_pdf(plan: SitePlan, settings: Settings, template: PageTemplate) -> bytes:
    """The derivation of a site's chosen rig as PDF: every page held against the rules of print.

    Raises
    ------
    PageCheckFailed
        A line does not follow from its printed numbers, or a page breaks a rule of print.
    BlockOverrun, MissingGlyphs, OutOfRange, NoSolution
        As `workings_pages`.
    """
    pages = workings_pages(plan, settings, template)
    fonts = style_of(template, settings.words).fonts
    rules = PrintRules(least_size_pt=template.least.text_pt)
    leaves = []
    for number, page in enumerate(pages, 1):
        pdf = draw([page], fonts)
        check_page(pdf, page, fonts, rules)
        leaves.append(Leaf.of(page, pdf=pdf, label=str(number)))
    outline = [
        Entry(title=place.name, destination=place.name) for page in pages for place in page.destinations
    ]
    return assemble(leaves, outline=outline, title=pages[0].title, lang=pages[0].lang)
