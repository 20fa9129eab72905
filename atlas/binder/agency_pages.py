"""A page for each agency: its sites, what it lacks there, where it is called, and what it would buy."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.binder.matrix import with_whom
from atlas.binder.standing import CountyStanding, SiteStanding
from atlas.binder.standing_text import bought_text, plain_table, short_long_text
from atlas.cover import Purchase
from atlas.paper import Cell
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph
from atlas.paper.press import BoundPage, Press, settable
from atlas.records import Agency
from atlas.units import Figure

__all__ = ["agency_pages", "agency_place", "purchase_pieces"]

BLOCK = "agency"


def agency_place(code: str) -> str:
    """Name of the destination of an agency's page."""
    return f"agency {code}"


def _sites(press: Press, agency: Agency, sites: Sequence[SiteStanding]) -> list[Piece]:
    words = press.words
    rows = [
        (
            Cell(text=site.code, style=press.looks.styles["strong"]),
            settable(short_long_text(press, site.shorts[agency.code]), press, "table"),
            settable(with_whom(press, site), press, "table"),
        )
        for site in sites
    ]
    names = [words(f"binder.agency.{name}") for name in ("site", "lacks", "with")]
    table = plain_table(press, names, rows, widths_mm=(17.0, None, 52.0), block=BLOCK)
    return table or [paragraph(press, words("binder.agency.no_site"), "body", block=BLOCK)]


def _called_at(press: Press, standing: CountyStanding, code: str) -> list[Piece]:
    """Sites it is called to besides its own."""
    sites = [site.code for site in standing.sites if code in [one.agency for one in site.cover.next_agencies]]
    told = ", ".join(sites) or press.words("binder.agency.no_site")
    return [paragraph(press, told, "body", block=BLOCK)]


def purchase_pieces(press: Press, found: Sequence[Purchase], sites: Sequence[SiteStanding]) -> list[Piece]:
    """Purchases from none to the one that completes every site: articles, sites, what, which sites more."""
    words, strong = press.words, press.looks.styles["strong"]
    rows: list[tuple[str | Cell, ...]] = []
    before: frozenset[int] = frozenset()
    for purchase in found:
        more = [sites[number].code for number in purchase.complete if number not in before]
        before = frozenset(purchase.complete)
        complete = words("binder.purchase.of", count=str(len(purchase.complete)), sites=str(len(sites)))
        rows.append(
            (
                press.first(Figure.COUNT, purchase.articles),
                Cell(text=complete, style=strong),
                bought_text(press, purchase),
                ", ".join(more),
            )
        )
    names = [words(f"binder.purchase.{name}") for name in ("articles", "complete", "buy", "more")]
    return plain_table(press, names, rows, widths_mm=(15.0, 22.0, None, 40.0), block=BLOCK)


def _page(press: Press, standing: CountyStanding, agency: Agency) -> tuple[BoundPage, ...]:
    words = press.words
    sites, found = standing.own[agency.code]
    pieces = [
        paragraph(press, settable(agency.name, press, "meta_strong"), "meta_strong", block=BLOCK),
        gap(4.0),
        heading(press, words("binder.agency.first_due"), block=BLOCK),
        *_sites(press, agency, sites),
        gap(5.0),
        heading(press, words("binder.agency.called"), block=BLOCK),
        *_called_at(press, standing, agency.code),
    ]
    if found:
        pieces += [
            gap(5.0),
            heading(press, words("binder.purchase.title"), block=BLOCK),
            *purchase_pieces(press, found, sites),
            gap(1.5),
            paragraph(press, words("binder.purchase.model"), "small", block=BLOCK),
        ]
    code = settable(agency.code, press, "name")
    return flow(
        press,
        pieces,
        title=words("binder.agency.page", code=code),
        label=words("binder.agency.label", code=code),
        destination=agency_place(agency.code),
        block=BLOCK,
    )


def agency_pages(press: Press, standing: CountyStanding) -> tuple[BoundPage, ...]:
    """A page, or as many as it takes, for every agency; none without a site."""
    if not standing.sites:
        return ()
    return tuple(page for agency in standing.agencies for page in _page(press, standing, agency))
