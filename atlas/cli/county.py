"""Which county a command works on, and everything read of it, with every fault of every file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TypeVar

from atlas.caches import read_county
from atlas.cli.choose import choose_county, parse_as_of
from atlas.cli.console import say
from atlas.faults import Fault, InputFaults, UsageError, clean_text
from atlas.gauges import join_gauges, read_records, relation_faults
from atlas.records import Agency, County
from atlas.settings import Settings, load_settings
from atlas.settings.page import PageTemplate, read_page_template
from atlas.survey import SurveyResult, read_sites
from atlas.survey.background import BackgroundResult, read_backgrounds

__all__ = ["CountyInputs", "Reading", "choose_county", "parse_as_of", "read_everything"]

T = TypeVar("T")


def _today(given: date | None, county: County) -> date:
    """Today is an input: as given, else the day the county was issued, else the clock, read here alone."""
    if given is not None:
        return given
    if county.issued is not None:
        return county.issued
    today = datetime.now().astimezone().date()
    say(f"county.toml names no day of issue: computed as of today by the clock, {today.isoformat()}")
    return today


@dataclass(frozen=True, slots=True)
class CountyInputs:
    """Everything that is needed to make a county's sites."""

    folder: Path
    county: County
    agencies: tuple[Agency, ...]
    settings: Settings
    template: PageTemplate
    survey: SurveyResult
    background: BackgroundResult
    as_of: date
    without: tuple[str, ...] = ()

    def as_without(self, codes: Sequence[str]) -> CountyInputs:
        """The same with some agencies taken to be committed elsewhere.

        Raises
        ------
        UsageError
            The county has no such agency, or none but those.
        """
        known = [agency.code for agency in self.agencies]
        for code in codes:
            if code not in known:
                raise UsageError(
                    f"--without: the county has no agency {clean_text(code)}; it has {', '.join(known)}"
                )
        if not set(known) - set(codes):
            raise UsageError("--without: no agency is left that could come")
        return replace(self, without=tuple(sorted(set(codes))))

    def inside(self, fault: Fault) -> Fault:
        """A fault with its file named from the county's folder: the same on paper wherever that stands."""
        path = Path(fault.file)
        if not path.is_relative_to(self.folder):
            return fault
        return replace(fault, file=path.relative_to(self.folder).as_posix())


@dataclass(frozen=True, slots=True)
class Reading:
    """What reading gave: all faults, the sites if it came to them, the inputs where they are complete."""

    faults: tuple[Fault, ...]
    survey: SurveyResult | None = None
    inputs: CountyInputs | None = None

    def complete(self) -> CountyInputs:
        """The inputs.

        Raises
        ------
        InputFaults
            Something is missing without which nothing can be made; carries every fault.
        """
        if self.inputs is None:
            raise InputFaults(self.faults)
        return self.inputs


def _or_faults(read: Callable[[], T], faults: list[Fault]) -> T | None:
    try:
        return read()
    except InputFaults as unreadable:
        faults += unreadable.faults
        return None


def _settings(
    folder: Path, county: County | None, packaged: Settings | None, faults: list[Fault]
) -> Settings | None:
    """The county's settings with its own policy values."""
    if county is None or not county.policy_overrides:
        return packaged
    overrides = dict(county.policy_overrides)
    return packaged and _or_faults(lambda: load_settings(county=folder, overrides=overrides), faults)


def read_everything(named: Path | None, as_of: str | None) -> Reading:
    """Read a county's folder and its templates; nothing is raised for what stands in a file.

    Raises
    ------
    UsageError
        No county could be chosen, or --as-of is no date.
    """
    given = parse_as_of(as_of)
    folder = choose_county(named)
    faults: list[Fault] = []
    packaged = _or_faults(lambda: load_settings(county=folder), faults)
    items = None if packaged is None else frozenset(packaged.gear.items)
    read = read_county(folder, gear_items=items)
    faults += read.faults
    county = read.county
    settings = _settings(folder, county, packaged, faults)
    if county is None:
        return Reading(tuple(faults))
    today = _today(given, county)
    template = None
    if settings is not None:
        name = f"sheet-{county.paper}.toml"
        template = _or_faults(lambda: read_page_template(settings.template_path(name)), faults)
    codes = frozenset(agency.code for agency in read.agencies) or None
    survey = read_sites(read.survey_files, county=county, agency_codes=codes, as_of=today)
    faults += survey.faults
    records, gauge_faults = read_records(folder)
    faults += gauge_faults
    faults += relation_faults(survey.sites, survey.codes, county.gauges, str(folder / "county.toml"))
    survey = replace(survey, sites=join_gauges(survey.sites, county.gauges, records))
    background = read_backgrounds(folder, county.backgrounds)
    faults += background.faults
    if settings is None or template is None or codes is None:
        return Reading(tuple(faults), survey)
    inputs = CountyInputs(folder, county, read.agencies, settings, template, survey, background, today)
    return Reading(tuple(faults), survey, inputs)
