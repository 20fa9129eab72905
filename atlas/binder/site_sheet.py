"""A site with its page, and what the pages around the sheets say of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from atlas.faults import Fault
from atlas.paper import Attachment, Box, Destination, Link, Page, Rect, attach, page_hash
from atlas.plan import CoverPlan, LimitUsed, SitePlan
from atlas.records import LonLat
from atlas.sheets.foot import EDITION_BLOCK
from atlas.sheets.stop import is_outside
from atlas.survey import site_geojson
from atlas.workings.gauge_facts import GaugeFacts, gauge_facts

__all__ = ["NotPrinted", "SheetFacts", "SiteSheet", "facts_of"]

_TAB_BLOCK = "tab"


@dataclass(frozen=True, slots=True)
class SheetFacts:
    """What is said of a printed site elsewhere than on its sheet.

    Attributes
    ----------
    place : of its access
    edition : the one in which the sheet last changed, as it stands on it
    stage_m : of the planning row
    limit_speed_m_s : None where there is no limit
    gauge : None for a site without one
    cover, comers : who is called; and who could come, with minutes, the first due first
    digest : hash of the page without its edition
    tabs : boxes of the thumb tab
    links, destinations : of the laid-out page
    """

    code: str
    name: str
    place: LonLat
    reach: str
    agency: str
    surveyed: date
    valid_until: date
    edition: str
    digest: str
    outside: bool
    permission: str | None
    stage_m: float | None
    limit_speed_m_s: float | None
    limits_used: tuple[LimitUsed, ...]
    gauge: GaugeFacts | None
    cover: CoverPlan
    comers: tuple[tuple[str, float], ...]
    tabs: tuple[Box, ...]
    links: tuple[Link, ...]
    destinations: tuple[Destination, ...]


def _as_told(facts: GaugeFacts | None) -> GaugeFacts | None:
    """Without the measurements and fits, which no page around the sheets tells of."""
    if facts is None:
        return None
    return replace(facts, river=None, stages=None, record=replace(facts.record, measurements=(), daily=None))


def facts_of(plan: SitePlan, page: Page) -> SheetFacts:
    """The facts of a sheet that was just laid out."""
    access, rig = plan.site.access, plan.chosen
    tabs = tuple(item.box for item in page.items if isinstance(item, Rect) and item.block == _TAB_BLOCK)
    return SheetFacts(
        code=plan.site.code,
        name=access.name,
        place=access.place,
        reach=plan.reach.code,
        agency=plan.agency.code,
        surveyed=access.surveyed,
        valid_until=plan.valid_until,
        edition=plan.edition,
        digest=page_hash(page, without=(EDITION_BLOCK,)),
        outside=is_outside(rig),
        permission=access.permission,
        stage_m=rig.planning.stage_m,
        limit_speed_m_s=None if rig.limit is None else rig.limit.surface_speed_m_s,
        limits_used=plan.limits_used,
        gauge=_as_told(gauge_facts(plan)),
        cover=plan.cover,
        comers=tuple((comer.agency.code, comer.minutes) for comer in plan.comers),
        tabs=tabs,
        links=page.links,
        destinations=page.destinations,
    )


@dataclass(frozen=True)
class SiteSheet:
    """A site with its page."""

    plan: SitePlan
    page: Page
    pdf: bytes
    workings: bytes

    @cached_property
    def facts(self) -> SheetFacts:
        """What other pages say of it."""
        return facts_of(self.plan, self.page)

    @property
    def code(self) -> str:
        """The site's."""
        return self.plan.site.code

    @property
    def filed(self) -> bytes:
        """The sheet as a file of its own: with the survey and the workings it was made from inside."""
        survey = Attachment(
            name=f"{self.code}-survey.geojson",
            description=f"{self.code}: survey as read, GeoJSON, SI",
            media_type="application/geo+json",
            content=site_geojson(self.plan.site),
        )
        workings = Attachment(
            name=f"{self.code}-workings.json",
            description=f"{self.code}: workings, JSON, SI",
            media_type="application/json",
            content=self.workings,
        )
        return attach(self.pdf, (survey, workings))


@dataclass(frozen=True, slots=True)
class NotPrinted:
    """A site without its page, and why.

    Attributes
    ----------
    name, reach : where they could be read
    defect : the traceback, where the program itself failed on the site
    place : where the survey puts it, so that the maps show what has no sheet
    """

    code: str
    name: str | None
    reach: str | None
    faults: tuple[Fault, ...]
    defect: str | None = None
    place: LonLat | None = None
