"""Contents by reach: each site with its first-due agency, verdict and limit speed, or its faults."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from atlas.binder.site_sheet import NotPrinted, SiteSheet
from atlas.faults import Fault, clean_text
from atlas.paper import Cell, Column, Row
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph, table_row
from atlas.paper.press import BoundPage, Press, settable
from atlas.records import Reach
from atlas.units import Figure

__all__ = ["Chapter", "chapters", "contents", "site_place"]

BLOCK = "contents"
_LONGEST = 600
_WIDTHS_MM = (19.0, None, 20.0, 22.0, 29.0, 26.0)


@dataclass(frozen=True, slots=True)
class Chapter:
    """The sites of one reach in the order of their numbers; `reach` is None for those of none."""

    reach: Reach | None
    sites: tuple[SiteSheet | NotPrinted, ...]


def site_place(code: str) -> str:
    """Name of the destination of a site's page."""
    return f"site {code}"


def _number(made: SiteSheet | NotPrinted) -> tuple[int, str]:
    digits = re.search(r"[0-9]+$", made.code)
    return (int(digits.group()) if digits else 0, made.code)


def _reach_of(made: SiteSheet | NotPrinted) -> str | None:
    return made.facts.reach if isinstance(made, SiteSheet) else made.reach


def chapters(reaches: Sequence[Reach], sites: Sequence[SiteSheet | NotPrinted]) -> tuple[Chapter, ...]:
    """Sites by reach, in the county's order; those of no reach it knows come last. None is empty."""
    known = {reach.code for reach in reaches}
    found = [
        Chapter(reach, tuple(sorted((made for made in sites if _reach_of(made) == reach.code), key=_number)))
        for reach in reaches
    ]
    lost = tuple(sorted((made for made in sites if _reach_of(made) not in known), key=_number))
    return tuple(chapter for chapter in (*found, Chapter(None, lost)) if chapter.sites)


def _columns(press: Press) -> tuple[Column, ...]:
    style = press.looks.styles["body"]
    return tuple(Column(style=style, width_mm=width, wraps=True) for width in _WIDTHS_MM)


def _head(press: Press) -> Row:
    style = press.looks.styles["column"]
    names = ("site", "name", "agency", "level", "verdict", "limit")
    return Row(cells=tuple(Cell(text=press.words(f"binder.contents.{name}"), style=style) for name in names))


def _printed_row(press: Press, made: SiteSheet) -> Row:
    words, strong = press.words, press.looks.styles["strong"]
    facts = made.facts
    outside = facts.outside
    level = words("sheet.unknown") if facts.stage_m is None else press.first(Figure.STAGE, facts.stage_m)
    verdict = words("binder.contents.outside" if outside else "binder.contents.inside")
    limit = (
        words("sheet.unknown")
        if facts.limit_speed_m_s is None
        else press.first(Figure.LIMIT_SPEED, facts.limit_speed_m_s)
    )
    return Row(
        cells=(
            Cell(text=made.code, style=strong),
            settable(facts.name, press, "body"),
            settable(facts.agency, press, "body"),
            level,
            Cell(text=verdict, style=strong) if outside else verdict,
            limit,
        )
    )


def _missing_row(press: Press, made: NotPrinted) -> Row:
    words, strong = press.words, press.looks.styles["strong"]
    name = words("sheet.unknown") if made.name is None else settable(made.name, press, "body")
    count = len(made.faults)
    key = "binder.contents.not_printed_one" if count == 1 else "binder.contents.not_printed"
    told = words(key, count=count)
    return Row(cells=(Cell(text=made.code, style=strong), name, "", "", Cell(text=told, style=strong)))


def _chapter_pieces(press: Press, chapter: Chapter) -> list[Piece]:
    words = press.words
    reach = chapter.reach
    title = (
        words("binder.contents.no_reach")
        if reach is None
        else words(
            "binder.contents.reach",
            code=reach.code,
            name=settable(reach.name, press, "meta_strong"),
            river=settable(reach.river, press, "meta_strong"),
        )
    )
    columns = _columns(press)
    head = table_row(press, columns, _head(press), block=BLOCK, keeps_next=True)
    rows = [
        table_row(
            press,
            columns,
            _printed_row(press, made) if isinstance(made, SiteSheet) else _missing_row(press, made),
            block=BLOCK,
            repeats=head,
            link=site_place(made.code),
        )
        for made in chapter.sites
    ]
    return [gap(5.0), heading(press, title, block=BLOCK), head, *rows]


def _unread_pieces(press: Press, unread: Sequence[Fault]) -> list[Piece]:
    """Files that could not be read: their sites are missing, and nothing else says so."""
    if not unread:
        return []
    texts = [settable(clean_text(str(fault), longest=_LONGEST), press, "body") for fault in unread]
    return [
        gap(5.0),
        heading(press, press.words("binder.contents.unread"), block=BLOCK),
        *(piece for text in texts for piece in (gap(1.2), paragraph(press, text, "body", block=BLOCK))),
    ]


def contents(press: Press, book: Sequence[Chapter], unread: Sequence[Fault]) -> tuple[BoundPage, ...]:
    """The contents, on as many pages as they take; files that could not be read first."""
    words = press.words
    pieces = [paragraph(press, words("binder.contents.note"), "meta", block=BLOCK)]
    pieces += _unread_pieces(press, unread)
    for chapter in book:
        pieces += _chapter_pieces(press, chapter)
    return flow(
        press,
        pieces,
        title=words("binder.contents.title"),
        label=words("binder.label.contents"),
        destination="contents",
        block=BLOCK,
    )
