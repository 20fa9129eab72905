"""A county's sites made one by one: plan, sheet and workings of each, or the faults in its place.

`make_site` is a pure function of plain data, so sites may be made side by side in other processes;
the results are the same and come in the same order.
"""

from __future__ import annotations

import signal
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from multiprocessing import get_context

from atlas.faults import AtlasError, Fault, InputFaults, Severity
from atlas.paper import Page
from atlas.plan import SitePlan, plan_site
from atlas.records import Agency, County, LonLat, Site
from atlas.settings import Settings
from atlas.settings.page import PageTemplate
from atlas.sheets.sheet import layout, page_pdf
from atlas.workings import workings_json

__all__ = ["NotPrinted", "SiteSheet", "Workshop", "ctrl_c_kept_from_children", "make_site", "make_sites"]


@dataclass(frozen=True, slots=True)
class Workshop:
    """What every site of a county is made with."""

    county: County
    agencies: tuple[Agency, ...]
    settings: Settings
    template: PageTemplate
    as_of: date


@dataclass(frozen=True, slots=True)
class SiteSheet:
    """A site with its page."""

    plan: SitePlan
    page: Page
    pdf: bytes
    workings: bytes

    @property
    def code(self) -> str:
        """The site's."""
        return self.plan.site.code


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


def _fault(site: Site, code: str, what: str, todo: str) -> Fault:
    return Fault(code=code, severity=Severity.ERROR, what=what, file=site.file, site=site.code, todo=todo)


def _one_line(cause: Exception) -> str:
    return "; ".join(str(cause).splitlines())


def _not_printed(site: Site, faults: tuple[Fault, ...], defect: str | None = None) -> NotPrinted:
    access = site.access
    return NotPrinted(site.code, access.name, access.reach, faults, defect, access.place)


def _make(site: Site, shop: Workshop, edition: str) -> SiteSheet:
    plan = plan_site(
        site, county=shop.county, agencies=shop.agencies, settings=shop.settings, as_of=shop.as_of
    )
    workings = workings_json(plan)
    stamped = replace(plan, edition=edition)
    page = layout(stamped, shop.template, shop.settings.words)
    return SiteSheet(plan=stamped, page=page, pdf=page_pdf(page, shop.template), workings=workings)


def make_site(site: Site, shop: Workshop, *, changed_in: str | None = None) -> SiteSheet | NotPrinted:
    """One site's plan, sheet and workings; never raises for what is amiss with one site.

    Parameters
    ----------
    changed_in : the edition in which the sheet last changed; None for this one
    """
    try:
        return _make(site, shop, changed_in or shop.county.edition)
    except InputFaults as cause:
        return _not_printed(site, cause.faults)
    except AtlasError as cause:
        todo = "look at the site's survey, or at the limits and templates it is made with"
        return _not_printed(site, (_fault(site, "site_not_made", _one_line(cause), todo),))
    except Exception as cause:  # noqa: BLE001 -- a defect of ours at one site must not cost the others their sheets; it is reported with its traceback
        what = f"the program failed on this site: {type(cause).__name__}: {_one_line(cause)}"
        fault = _fault(site, "defect", what, "report it with the log")
        return _not_printed(site, (fault,), traceback.format_exc())


_SHOP: list[Workshop] = []
"""In a worker process: the workshop, sent once."""


@contextmanager
def ctrl_c_kept_from_children() -> Iterator[None]:
    """Processes started meanwhile never get Ctrl-C, from their first instruction on; this one still does.

    A terminal sends Ctrl-C to every process of the command: a worker that got it while it was still
    importing would fill the terminal with its traceback. Does nothing where signals have no mask.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin(shop: Workshop) -> None:
    """Set a worker up; Ctrl-C is the parent's to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _SHOP[:] = [shop]


def _make_there(site: Site, changed_in: str | None) -> SiteSheet | NotPrinted:
    return make_site(site, _SHOP[0], changed_in=changed_in)


def make_sites(
    sites: Sequence[Site],
    shop: Workshop,
    *,
    changed_in: Mapping[str, str],
    workers: int = 1,
    on_made: Callable[[str], None] = lambda _: None,
) -> Iterator[SiteSheet | NotPrinted]:
    """All sites in their order, each as `make_site` gives it.

    Parameters
    ----------
    changed_in : edition in which a sheet last changed, by site; those left out changed in this one
    workers : processes; 1 makes them here
    on_made : told each site's code when it is done
    """
    if workers == 1:
        for site in sites:
            made = make_site(site, shop, changed_in=changed_in.get(site.code))
            on_made(site.code)
            yield made
        return
    pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"), initializer=_begin, initargs=(shop,))
    try:
        with ctrl_c_kept_from_children():  # the first submit starts the processes
            jobs = [pool.submit(_make_there, site, changed_in.get(site.code)) for site in sites]
        for site, job in zip(sites, jobs, strict=True):
            made = job.result()
            on_made(site.code)
            yield made
    finally:
        pool.shutdown(cancel_futures=True)
