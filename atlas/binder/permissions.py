"""Whose ground the sites are on, and what a county settles before anybody rigs."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.binder.contents import Chapter, site_place
from atlas.binder.site_sheet import SiteSheet
from atlas.paper import Box, Cell, Column, Item, LaidOut, Row
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph, table_row
from atlas.paper.press import BoundPage, Press, settable

__all__ = ["PLACE", "permissions"]

BLOCK = "permissions"
PLACE = "permissions"
"""Name of the destination."""
_SITE_MM, _NAME_MM, _KNOWN_MM = 18.0, 46.0, 66.0
_WRITING_MM = 8.0
"""Height of a line to write on."""
_ASKED_MM = 62.0


def _rows(press: Press, book: Sequence[Chapter]) -> list[Piece]:
    """Each printed site with what the survey says of its ground, and room for name, telephone and date."""
    styles, words = press.looks.styles, press.words
    columns = tuple(
        Column(style=styles["body"], width_mm=width, wraps=True)
        for width in (_SITE_MM, _NAME_MM, _KNOWN_MM, None)
    )
    names = ("site", "name", "known", "agreed")
    head = table_row(
        press,
        columns,
        Row(
            cells=tuple(
                Cell(text=words(f"binder.permissions.{name}"), style=styles["column"]) for name in names
            )
        ),
        block=BLOCK,
        keeps_next=True,
    )
    rows = []
    for chapter in book:
        for made in chapter.sites:
            if not isinstance(made, SiteSheet):
                continue
            known = made.facts.permission
            cells = (
                Cell(text=made.code, style=styles["strong"]),
                settable(made.facts.name, press, "body"),
                settable(known, press, "body") if known else words("sheet.unknown"),
                "",
            )
            link = site_place(made.code)
            rows.append(
                table_row(press, columns, Row(cells=cells), block=BLOCK, repeats=head, link=link, pad_mm=1.2)
            )
    return [head, *rows] if rows else []


def _writing_line(press: Press, text: str) -> Piece:
    """What is asked, and a line to write the answer on."""

    def lay(box: Box) -> LaidOut:
        base_mm = box.top_mm + _WRITING_MM - 2.2
        items: list[Item] = [*press.line(text, "body", x_mm=box.left_mm, y_mm=base_mm, block=BLOCK)]
        room = Box(
            left_mm=box.left_mm + _ASKED_MM,
            top_mm=box.top_mm,
            width_mm=box.width_mm - _ASKED_MM,
            height_mm=_WRITING_MM,
        )
        items.append(press.rule(room, base_mm + 0.8, block=BLOCK))
        return LaidOut(items=tuple(items), height_mm=_WRITING_MM)

    return Piece(lay)


def permissions(press: Press, book: Sequence[Chapter]) -> tuple[BoundPage, ...]:
    """Permissions by site, then what is settled once for the county; filled in by hand."""
    words = press.words
    settled = [_writing_line(press, text) for text in words.of("binder.settled").values()]
    pieces = [
        paragraph(press, words("binder.permissions.note"), "meta", block=BLOCK),
        gap(3.0),
        *_rows(press, book),
        gap(6.0),
        heading(press, words("binder.permissions.settled"), block=BLOCK),
        *settled,
    ]
    return flow(
        press,
        pieces,
        title=words("binder.permissions.title"),
        label=words("binder.label.permissions"),
        destination=PLACE,
        block=BLOCK,
    )
