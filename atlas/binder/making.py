"""A county's sites made in batches: plan, sheet and workings of each, or the faults in its place.

The unit of work is `make_batch`, a pure function of plain data, so any `concurrent.futures.Executor` may
run it: here, in other processes, on other machines. A batch is some sites of one reach, chosen by their
codes alone: sites are computed together, and a figure's last bit may hang on its neighbours.
"""

from __future__ import annotations

import traceback
from collections import deque
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import groupby
from types import MappingProxyType

from atlas.binder.kept import keep_sheet
from atlas.binder.site_sheet import NotPrinted, SiteSheet
from atlas.faults import AtlasError, Fault, InputFaults, Severity
from atlas.plan import SitePlan, plan_sites
from atlas.records import Agency, County, Site
from atlas.settings import Settings
from atlas.settings.page import PageTemplate
from atlas.sheets.sheet import layout, page_pdf
from atlas.workings import workings_json

__all__ = ["Batch", "Earlier", "Made", "Workshop", "batches_of", "make_batch", "make_site", "make_sites"]

Made = SiteSheet | NotPrinted
"""What became of a site."""


@dataclass(frozen=True, slots=True)
class Workshop:
    """What every site of a county is made with."""

    county: County
    agencies: tuple[Agency, ...]
    settings: Settings
    template: PageTemplate
    as_of: date
    without: tuple[str, ...] = ()
    """Codes of agencies that are committed elsewhere."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """A sheet of an earlier edition: its hash, and the edition in which it last changed."""

    digest: str
    edition: str


NONE_EARLIER: Mapping[str, Earlier] = MappingProxyType({})
"""There is no earlier edition."""
MOST_TOGETHER = 24
"""Sites of a batch: more are computed a fifth quicker, and all again when one of them changes."""


@dataclass(frozen=True, slots=True)
class Batch:
    """Sites made together.

    Attributes
    ----------
    earlier : sheets of an earlier edition by site; one that reads the same keeps that edition's name
    """

    sites: tuple[Site, ...]
    earlier: Mapping[str, Earlier] = field(default_factory=dict)


def _fault(site: Site, code: str, what: str, todo: str) -> Fault:
    return Fault(code=code, severity=Severity.ERROR, what=what, file=site.file, site=site.code, todo=todo)


def _one_line(cause: Exception) -> str:
    return "; ".join(str(cause).splitlines())


def _lost(site: Site, faults: tuple[Fault, ...], defect: str | None = None) -> NotPrinted:
    access = site.access
    return NotPrinted(site.code, access.name, access.reach, faults, defect, access.place)


def _not_made(site: Site, cause: AtlasError) -> NotPrinted:
    """A site that something of its own, or of the limits it is held against, keeps from print."""
    if isinstance(cause, InputFaults):
        return _lost(site, cause.faults)
    todo = "look at the site's survey, or at the limits and templates it is made with"
    return _lost(site, (_fault(site, "site_not_made", _one_line(cause), todo),))


def _defect(site: Site, cause: Exception) -> NotPrinted:
    what = f"the program failed on this site: {type(cause).__name__}: {_one_line(cause)}"
    told = "".join(traceback.format_exception(cause))
    return _lost(site, (_fault(site, "defect", what, "report it with the log"),), told)


def _printed(plan: SitePlan, shop: Workshop, earlier: Earlier | None) -> SiteSheet:
    """A computed site's sheet, with the name of the edition in which it last changed."""
    words = shop.settings.words
    workings = workings_json(plan)
    sheet = SiteSheet(plan, layout(plan, shop.template, words), b"", workings)
    if earlier is not None and earlier.edition != plan.edition and earlier.digest == sheet.facts.digest:
        plan = replace(plan, edition=earlier.edition)
        sheet = SiteSheet(plan, layout(plan, shop.template, words), b"", workings)
    return replace(sheet, pdf=page_pdf(sheet.page, shop.template))


def _plans(sites: Sequence[Site], shop: Workshop) -> list[SitePlan | AtlasError | NotPrinted]:
    """Plans of a batch; where the program itself fails on it, of its sites one by one."""
    try:
        plans = plan_sites(
            sites,
            county=shop.county,
            agencies=shop.agencies,
            settings=shop.settings,
            as_of=shop.as_of,
            without=shop.without,
        )
        return list(plans)
    except AtlasError as cause:
        failed: Exception = cause
    except Exception as cause:  # noqa: BLE001 -- a defect of ours at one site must not cost the others their sheets; it is reported with its traceback
        failed = cause
    if len(sites) == 1:
        (site,) = sites
        return [_not_made(site, failed) if isinstance(failed, AtlasError) else _defect(site, failed)]
    return [plan for site in sites for plan in _plans([site], shop)]


def _made(site: Site, plan: SitePlan | AtlasError | NotPrinted, shop: Workshop, batch: Batch) -> Made:
    if isinstance(plan, NotPrinted):
        return plan
    if isinstance(plan, AtlasError):
        return _not_made(site, plan)
    try:
        return _printed(plan, shop, batch.earlier.get(site.code))
    except AtlasError as cause:
        return _not_made(site, cause)
    except Exception as cause:  # noqa: BLE001 -- as above
        return _defect(site, cause)


def _batch(batch: Batch, shop: Workshop) -> Iterator[Made]:
    plans = _plans(batch.sites, shop)
    for site, plan in zip(batch.sites, plans, strict=True):
        yield _made(site, plan, shop, batch)


def make_batch(batch: Batch, shop: Workshop) -> tuple[Made, ...]:
    """Plan, sheet and workings of some sites, in their order; never raises for what is amiss with one.

    Sheets are given as bytes, which cost little to hand from one process to another.
    """
    return tuple(keep_sheet(made) if isinstance(made, SiteSheet) else made for made in _batch(batch, shop))


def make_site(site: Site, shop: Workshop) -> Made:
    """One site by itself, with its plan and page as they were made."""
    (made,) = _batch(Batch((site,)), shop)
    return made


def batches_of(sites: Sequence[Site], earlier: Mapping[str, Earlier] = NONE_EARLIER) -> tuple[Batch, ...]:
    """Sites in batches: reach by reach, by their codes; the same for the same codes in any order."""

    def reach_of(site: Site) -> str:
        return site.access.reach

    found = []
    in_order = sorted(sites, key=lambda site: (reach_of(site), site.code))
    for _, group in groupby(in_order, key=reach_of):
        own = tuple(group)
        for begin in range(0, len(own), MOST_TOGETHER):
            some = own[begin : begin + MOST_TOGETHER]
            known = {site.code: earlier[site.code] for site in some if site.code in earlier}
            found.append(Batch(some, known))
    return tuple(found)


def make_sites(
    batches: Sequence[Batch],
    shop: Workshop,
    *,
    executor: Executor | None = None,
    on_made: Callable[[str], None] = lambda _: None,
) -> Iterator[tuple[Made, ...]]:
    """Every batch, in order, as `make_batch` gives it.

    Parameters
    ----------
    executor : runs the batches; None makes them here
    on_made : told each site's code when it is done
    """
    if executor is None:
        for batch in batches:
            yield _told(make_batch(batch, shop), on_made)
        return
    jobs: deque[Future[tuple[Made, ...]]] = deque(executor.submit(make_batch, one, shop) for one in batches)
    while jobs:  # each result is let go before the next is waited for
        yield _told(jobs.popleft().result(), on_made)


def _told(made: tuple[Made, ...], on_made: Callable[[str], None]) -> tuple[Made, ...]:
    for site in made:
        on_made(site.code)
    return made
