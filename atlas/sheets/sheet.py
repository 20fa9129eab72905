"""A site's plan to one laid-out page, and to PDF."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from atlas.faults import BlockOverrun
from atlas.paper import Item, Page, PrintRules, Text, check_page, draw, edges_of, grey_page
from atlas.paper.looks import fonts_of, printable
from atlas.plan.results import SitePlan
from atlas.settings import Words
from atlas.settings.page import PageTemplate
from atlas.sheets.access import lay_access
from atlas.sheets.anchors import lay_anchors
from atlas.sheets.cautions import lay_cautions
from atlas.sheets.contingencies import lay_contingencies
from atlas.sheets.desk import Desk, desk_for
from atlas.sheets.foot import lay_foot
from atlas.sheets.gear import lay_gear
from atlas.sheets.head import lay_head, lay_tab
from atlas.sheets.levels import lay_levels
from atlas.sheets.lines import lay_lines
from atlas.sheets.plan_view import lay_plan
from atlas.sheets.posts import lay_posts
from atlas.sheets.rig_block import lay_rig_block, lay_rig_section
from atlas.sheets.rigs import lay_rigs
from atlas.sheets.stop import lay_stop

_SIDE_BEARING_MM = 0.5
"""A large letter's box may begin this much beside where its ink does."""


def require_inside(desk: Desk, name: str, items: Sequence[Item]) -> None:
    """Raise `BlockOverrun` if a text of a block reaches out of the block's box."""
    texts = [item for item in items if isinstance(item, Text)]
    if not texts:
        return
    box, edges = desk.box(getattr(desk.template.block, name)), edges_of(texts, desk.fonts)
    low, high = np.array(box.diagonal)
    over_mm = np.hstack([low - edges[:, :2], edges[:, 2:] - high]).max(axis=1)
    worst = int(over_mm.argmax())
    if not over_mm[worst] <= _SIDE_BEARING_MM:
        raise BlockOverrun(name, float(over_mm[worst]), f"'{texts[worst].text[:60]}'")


def _items(desk: Desk) -> tuple[Item, ...]:
    """Every block in the order of the template, each held to its box; then the tab."""
    plan_items, view = lay_plan(desk)
    blocks: dict[str, list[Item]] = {
        "head": lay_head(desk),
        "stop": lay_stop(desk),
        "access": lay_access(desk),
        "plan": plan_items,
        "section": lay_rig_section(desk, view),
        "lines": lay_lines(desk),
        "track": lay_rig_block(desk),
        "rigs": lay_rigs(desk),
        "levels": lay_levels(desk),
        "anchors": lay_anchors(desk),
        "posts": lay_posts(desk),
        "gear": lay_gear(desk),
        "contingencies": lay_contingencies(desk),
        "cautions": lay_cautions(desk),
        "foot": lay_foot(desk),
    }
    for name, items in blocks.items():
        require_inside(desk, name, items)
    return (*(item for items in blocks.values() for item in items), *lay_tab(desk))


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
