"""A site's plan to one laid-out page, and to PDF."""

from __future__ import annotations

from atlas.paper import Box, Item, Page, PrintRules, check_page, draw, grey_page, printable_box
from atlas.plan.results import SitePlan
from atlas.settings import Words
from atlas.settings.page import PageTemplate
from atlas.sheets.access import lay_access
from atlas.sheets.anchors import lay_anchors
from atlas.sheets.cautions import lay_cautions
from atlas.sheets.contingencies import lay_contingencies
from atlas.sheets.desk import Desk, desk_for, fonts_of
from atlas.sheets.foot import lay_foot
from atlas.sheets.gear import lay_gear
from atlas.sheets.head import lay_head, lay_tab
from atlas.sheets.levels import lay_levels
from atlas.sheets.lines import lay_lines
from atlas.sheets.plan_view import lay_plan
from atlas.sheets.posts import lay_posts
from atlas.sheets.section import lay_section
from atlas.sheets.stop import lay_stop
from atlas.sheets.track import lay_track


def printable(template: PageTemplate) -> Box:
    """Where ink may lie: as much nearer to every edge than content as a margin is to `nearest_mm`."""
    page = template.page
    return printable_box(
        width_mm=page.width_mm,
        height_mm=page.height_mm,
        edge_mm=page.nearest_mm,
        punch_mm=page.punch_mm - (page.edge_mm - page.nearest_mm),
        punch_right=page.punch_edge == "right",
    )


def _items(desk: Desk) -> tuple[Item, ...]:
    plan_items, view = lay_plan(desk)
    blocks = (
        lay_head(desk),
        lay_tab(desk),
        lay_stop(desk),
        lay_access(desk),
        plan_items,
        lay_section(desk, view),
        lay_lines(desk),
        lay_track(desk),
        lay_levels(desk),
        lay_anchors(desk),
        lay_posts(desk),
        lay_gear(desk),
        lay_contingencies(desk),
        lay_cautions(desk),
        lay_foot(desk),
    )
    return tuple(item for block in blocks for item in block)


def layout(plan: SitePlan, template: PageTemplate, words: Words) -> Page:
    """One site's sheet as a page of boxes.

    Raises
    ------
    BlockOverrun
        A block is larger than its box after every row that may drop was dropped.
    MissingGlyphs
        Characters that the template's fonts cannot set.
    """
    desk = desk_for(plan, template, words)
    title = words("sheet.title", code=plan.site.code, name=plan.site.access.name, edition=plan.edition)
    return Page(
        width_mm=template.page.width_mm,
        height_mm=template.page.height_mm,
        printable=printable(template),
        items=_items(desk),
        title=title,
        lang=words("sheet.lang"),
    )


def page_pdf(page: Page, template: PageTemplate) -> bytes:
    """A sheet's page as PDF of one page, drawn and held against the rules of print.

    Raises
    ------
    PageCheckFailed
        The page breaks a rule of print.
    """
    fonts = fonts_of(template.fonts)
    pdf = draw([page], fonts)
    check_page(pdf, page, fonts, PrintRules(least_size_pt=template.least.text_pt))
    return pdf


def sheet_pdf(plan: SitePlan, template: PageTemplate, words: Words, *, in_grey: bool = False) -> bytes:
    """One site's sheet as PDF.

    Parameters
    ----------
    in_grey : for a black-and-white printer

    Raises
    ------
    BlockOverrun, MissingGlyphs, PageCheckFailed
        As `layout` and `page_pdf`.
    """
    page = layout(plan, template, words)
    return page_pdf(grey_page(page) if in_grey else page, template)
