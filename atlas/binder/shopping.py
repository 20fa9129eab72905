"""The county's shopping list: what nobody has, and what each agency would buy to be complete at its sites."""

from __future__ import annotations

from atlas.binder.agency_pages import purchase_pieces
from atlas.binder.standing import CountyStanding
from atlas.binder.standing_text import bought_text, plain_table
from atlas.paper import Cell
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph
from atlas.paper.press import BoundPage, Press, settable

__all__ = ["shopping_pages"]

BLOCK = "shopping"


def _each(press: Press, standing: CountyStanding) -> list[Piece]:
    """Of each agency that is first due anywhere the purchase that completes all its sites."""
    words = press.words
    rows = [
        (
            Cell(text=settable(agency.code, press, "strong"), style=press.looks.styles["strong"]),
            words("binder.purchase.of", count=str(len(found[0].complete)), sites=str(len(sites))),
            bought_text(press, found[-1]),
        )
        for agency in standing.agencies
        for sites, found in [standing.own[agency.code]]
        if found
    ]
    names = [words(f"binder.shopping.{name}") for name in ("agency", "now", "buy")]
    return plain_table(press, names, rows, widths_mm=(20.0, 26.0, None), block=BLOCK)


def shopping_pages(press: Press, standing: CountyStanding) -> tuple[BoundPage, ...]:
    """The list, on as many pages as it takes; none without a site."""
    if not standing.sites:
        return ()
    words = press.words
    pieces = [
        heading(press, words("binder.shopping.together"), block=BLOCK),
        *purchase_pieces(press, standing.together, standing.sites),
        gap(5.0),
        heading(press, words("binder.shopping.each"), block=BLOCK),
        *_each(press, standing),
        gap(1.5),
        paragraph(press, words("binder.purchase.model"), "small", block=BLOCK),
    ]
    return flow(
        press,
        pieces,
        title=words("binder.shopping.title"),
        label=words("binder.shopping.label"),
        destination="shopping list",
        block=BLOCK,
    )
