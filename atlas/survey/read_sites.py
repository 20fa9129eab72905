"""A county's survey files to checked sites, with every fault of every file told at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from atlas.faults import Fault, Severity
from atlas.records import County, Site
from atlas.survey.across import check_across
from atlas.survey.geojson import read_geojson
from atlas.survey.known import Known
from atlas.survey.raw import RawFeature, RawSurvey, site_code
from atlas.survey.report import Report
from atlas.survey.site_draft import Draft, check_frame, read_draft
from atlas.survey.tabular import read_tabular
from atlas.units import shown_raw

__all__ = ["BrokenSite", "SurveyResult", "read_sites", "read_survey"]

_JSON_SUFFIXES: Final = frozenset({".geojson", ".json"})


@dataclass(frozen=True, slots=True)
class BrokenSite:
    """A site that cannot be used; its faults are printed where its page would be.

    Attributes
    ----------
    code : the site's
    name : where it could be read
    reach : code of the reach its code begins with, where the county has it
    faults : all that were found with it, and those of its file that concern every site in it
    """

    code: str
    name: str | None
    reach: str | None
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class SurveyResult:
    """Everything read from a county's surveys.

    Attributes
    ----------
    sites : whole and checked, by code
    broken : by code
    faults : of every file, warnings included, in the order of the files
    """

    sites: tuple[Site, ...]
    broken: tuple[BrokenSite, ...]
    faults: tuple[Fault, ...]

    @property
    def codes(self) -> tuple[str, ...]:
        """Codes of all sites that any file names, whole or broken, in order."""
        return tuple(sorted([site.code for site in self.sites] + [site.code for site in self.broken]))


def read_survey(path: Path, *, shown_as: str) -> RawSurvey:
    """Read one survey file as it is; GeoJSON by its suffix, everything else as a vector file.

    Parameters
    ----------
    path : the file
    shown_as : its path as the user knows it, for messages
    """
    if path.suffix.lower() in _JSON_SUFFIXES:
        return read_geojson(path, shown_as=shown_as)
    return read_tabular(path, shown_as=shown_as)


def read_sites(
    paths: Sequence[Path],
    *,
    county: County,
    agency_codes: frozenset[str] | None,
    as_of: date,
    shown: Callable[[Path], str] = str,
) -> SurveyResult:
    """Read all survey files of a county and check them, each for itself and together.

    Parameters
    ----------
    paths : survey files
    county : its reaches are those a site may lie on
    agency_codes : agencies that a site may name; None leaves that unchecked
    as_of : no survey and no flow note may be later
    shown : a path as the user knows it

    Returns
    -------
    SurveyResult
        One bad site never keeps another from being read. Nothing is raised for what stands in a file.
    """
    known = Known(county, agency_codes)
    drafts: list[tuple[Draft, Report]] = []
    files: list[Report] = []
    for path in paths:
        survey = read_survey(path, shown_as=shown(path))
        report = Report(survey.file, as_of=as_of, faults=list(survey.faults))
        files.append(report)
        drafts += _drafts(survey, report, known)
    check_across(drafts)
    for draft, report in drafts:
        check_frame(draft, report)
    return _result(drafts, files, known)


def _drafts(survey: RawSurvey, report: Report, known: Known) -> Iterable[tuple[Draft, Report]]:
    """Each site of a file, read as far as it goes."""
    sites: dict[str, list[RawFeature]] = {}
    for feature in survey.features:
        code = site_code(feature.properties.get("site"))
        if code is None:
            _tell_site_code(feature, report)
        else:
            sites.setdefault(code, []).append(feature)
    for code, features in sites.items():
        here = report.at(site=code)
        yield read_draft(code, features, here, known, placed=survey.placed), here


def _tell_site_code(feature: RawFeature, report: Report) -> None:
    raw = feature.properties.get("site")
    here = report.at(feature=feature.number, field="site")
    allowed = "one to four capital letters, a hyphen, one to five digits, like OT-03"
    todo = "write the code of the site that the feature belongs to"
    if raw is None:
        here.error("site_missing", "the feature names no site", allowed=allowed, todo=todo)
    else:
        here.error(
            "site_code_malformed", "this is no site code", got=shown_raw(raw), allowed=allowed, todo=todo
        )


def _concerns(fault: Fault, draft: Draft) -> bool:
    """Whether a fault is of this site, or of its whole file."""
    whole_file = fault.site is None and fault.feature is None
    return fault.file == draft.file and (whole_file or fault.site == draft.code)


def _by_site(faults: Sequence[Fault]) -> list[Fault]:
    """The faults of one file: of the file and of features of no site, then site by site as they come."""
    order: dict[str | None, int] = {None: 0}
    for fault in faults:
        order.setdefault(fault.site, len(order))
    return sorted(faults, key=lambda fault: order[fault.site])


def _result(drafts: Sequence[tuple[Draft, Report]], files: Sequence[Report], known: Known) -> SurveyResult:
    faults = tuple(fault for report in files for fault in _by_site(report.faults))
    of_code: dict[str, list[Draft]] = {}
    for draft, _ in drafts:
        of_code.setdefault(draft.code, []).append(draft)
    sites, broken = [], []
    for code, same in sorted(of_code.items()):
        found = tuple(fault for fault in faults if any(_concerns(fault, draft) for draft in same))
        site = same[0].site()
        if site is not None and all(fault.severity is Severity.WARNING for fault in found):
            sites.append(site)
            continue
        name = next((draft.name for draft in same if draft.name), None)
        reach = known.reach_of_site(code)
        broken.append(BrokenSite(code, name, reach.code if reach else None, found))
    return SurveyResult(tuple(sites), tuple(broken), faults)
