"""A briefing put together: its pages, held to their number, and one PDF."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from atlas.briefs.facts import BriefFacts
from atlas.briefs.orders import order_pieces
from atlas.briefs.overview import overview_pieces
from atlas.briefs.pieces import BLOCK
from atlas.briefs.site import site_name, site_pieces
from atlas.faults import BlockOverrun
from atlas.paper import Entry, Leaf, assemble
from atlas.paper.flow import Piece
from atlas.paper.looks import looks_of
from atlas.paper.pieces import flow
from atlas.paper.press import BoundPage, Press
from atlas.plan import SitePlan
from atlas.records import County
from atlas.settings import Words
from atlas.settings.page import PageTemplate
from atlas.sheets.desk import Desk, desk_for

__all__ = ["Brief", "lay_brief"]

_PAGES_A_SITE = 2


@dataclass(frozen=True, slots=True)
class Brief:
    """A briefing.

    Attributes
    ----------
    pages : overview first, then at most two a site
    """

    pages: tuple[BoundPage, ...]
    pdf: bytes


def _overview(press: Press, desks: Sequence[Desk], facts: BriefFacts) -> tuple[BoundPage, ...]:
    label = press.words("brief.label.overview")
    pages = flow(
        press,
        overview_pieces(press, desks, facts),
        title=press.words("brief.title"),
        label=label,
        destination="overview",
        block=BLOCK,
    )
    if len(pages) > 1:
        raise BlockOverrun(
            BLOCK, press.column.height_mm * (len(pages) - 1), f"{len(desks)} sites on one page"
        )
    return pages


def _flow(press: Press, desk: Desk, pieces: Sequence[Piece], *, part: str) -> tuple[BoundPage, ...]:
    code = desk.plan.site.code
    return flow(
        press,
        [*site_name(press, desk), *pieces],
        title=code,
        label=press.words(f"brief.label.{part}", code=code),
        destination=f"{part} {code}",
        block=BLOCK,
    )


def _site(press: Press, desk: Desk, facts: BriefFacts) -> tuple[BoundPage, ...]:
    """A page of the site and one of orders.

    Where that is longer, without the river's graph, in one run, or in one without posts and gear.
    """
    orders = order_pieces(press, desk, facts, short=False)
    for graph in (True, False):
        site = site_pieces(press, desk, facts, graph=graph)
        pages = (*_flow(press, desk, site, part="site"), *_flow(press, desk, orders, part="orders"))
        if len(pages) <= _PAGES_A_SITE:
            return pages
    for rest in (orders, order_pieces(press, desk, facts, short=True)):
        pages = _flow(press, desk, [*site, *rest], part="site")
        if len(pages) <= _PAGES_A_SITE:
            return pages
    over_mm = press.column.height_mm * (len(pages) - _PAGES_A_SITE)
    raise BlockOverrun(BLOCK, over_mm, f"{desk.plan.site.code} on {_PAGES_A_SITE} pages")


def lay_brief(
    plans: Sequence[SitePlan], facts: BriefFacts, *, county: County, template: PageTemplate, words: Words
) -> Brief:
    """The briefing of sites, in the order given.

    Parameters
    ----------
    plans : at least one

    Raises
    ------
    BlockOverrun
        More than one page of overview, or than two of a site.
    PageCheckFailed, MissingGlyphs
        As sheets.
    """
    press = Press(words=words, template=template, looks=looks_of(template), county=county)
    desks = [desk_for(plan, template, words) for plan in plans]
    overview = _overview(press, desks, facts)
    sites = [_site(press, desk, facts) for desk in desks]
    pages = (*overview, *(page for each in sites for page in each))
    outline = [
        Entry(title=words("brief.label.overview"), destination="overview"),
        *(
            Entry(title=f"{plan.site.code} {plan.site.access.name}", destination=f"site {plan.site.code}")
            for plan in plans
        ),
    ]
    leaves = [Leaf.of(page.page, pdf=page.pdf, label=page.label) for page in pages]
    title = words("brief.document", county=county.name, asked=facts.asked)
    pdf = assemble(leaves, outline=outline, title=title, lang=words("sheet.lang"))
    return Brief(pages, pdf)
