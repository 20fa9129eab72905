"""How every agency stands to every site of the binder: computed once for the pages that tell of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from atlas.binder.contents import Chapter
from atlas.binder.site_sheet import SiteSheet
from atlas.cover import Comer, Purchase, purchases
from atlas.plan import CoverPlan
from atlas.plan.caches import Caches
from atlas.plan.standing import Absence, Short, absences, lacks_of, shorts
from atlas.records import Agency

__all__ = ["CountyStanding", "SiteStanding", "county_standing"]


@dataclass(frozen=True, slots=True)
class SiteStanding:
    """One printed site.

    Attributes
    ----------
    first_due : code of the agency that stands first
    shorts : what each agency lacks alone, by its code
    absences : without each of those called, the one that hurts most first
    """

    code: str
    first_due: str
    cover: CoverPlan
    shorts: dict[str, Short]
    absences: tuple[Absence, ...]


@dataclass(frozen=True, slots=True)
class CountyStanding:
    """Every printed site whose job is known, in the binder's order.

    Attributes
    ----------
    own : of each agency, by its code, the sites it is first due at and the purchases for them
    together : purchases for all sites, into what all agencies have together
    """

    agencies: tuple[Agency, ...]
    sites: tuple[SiteStanding, ...]
    own: dict[str, tuple[tuple[SiteStanding, ...], tuple[Purchase, ...]]]
    together: tuple[Purchase, ...]


def _site(made: SiteSheet, caches: Caches) -> SiteStanding | None:
    facts = made.facts
    cover = facts.cover
    if cover.job is None:
        return None
    by_code = {agency.code: agency for agency in caches.stocks.agencies}
    comers = [Comer(by_code[code], minutes) for code, minutes in facts.comers if code in by_code]
    return SiteStanding(
        code=made.code,
        first_due=facts.agency,
        cover=cover,
        shorts=shorts(cover.job, caches),
        absences=absences(cover.job, comers, caches, [called.agency for called in cover.called]),
    )


def _purchases(
    sites: Sequence[SiteStanding], caches: Caches, agencies: Sequence[Agency], *, step_m: float
) -> tuple[Purchase, ...]:
    jobs = [site.cover.job for site in sites]
    return purchases([lacks_of(job, caches, agencies, step_m=step_m) for job in jobs if job is not None])


def county_standing(book: Sequence[Chapter], agencies: Sequence[Agency], *, step_m: float) -> CountyStanding:
    """Of all printed sites.

    Parameters
    ----------
    agencies : those that are not committed elsewhere
    step_m : ropes are bought in lengths of so many of these
    """
    caches = Caches.of(agencies)
    sheets = [made for chapter in book for made in chapter.sites if isinstance(made, SiteSheet)]
    sites = [site for made in sheets if (site := _site(made, caches)) is not None]
    own = {}
    for agency in agencies:
        mine = tuple(site for site in sites if site.first_due == agency.code)
        own[agency.code] = (mine, _purchases(mine, caches, [agency], step_m=step_m))
    return CountyStanding(
        tuple(agencies), tuple(sites), own, _purchases(sites, caches, agencies, step_m=step_m)
    )
