"""A county's folder: the county, its agencies, the files of its surveys, and every fault."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from atlas.caches.agencies import read_agencies
from atlas.caches.county import read_county_file
from atlas.caches.survey_files import list_survey_files
from atlas.faults import Fault, Severity
from atlas.records import Agency, County


@dataclass(frozen=True, slots=True)
class CountyRead:
    """What a county's folder gave.

    Attributes
    ----------
    county : None where something that holds for the whole county is missing or at fault
    agencies : with what is in order of their caches; what is at fault is left out
    survey_files : in the order of their names
    faults : everything found, in the order of the files
    """

    county: County | None
    agencies: tuple[Agency, ...]
    survey_files: tuple[Path, ...]
    faults: tuple[Fault, ...]


def read_county(folder: Path, *, gear_items: frozenset[str] | None = None) -> CountyRead:
    """Read county.toml, caches.toml and the list of surveys; nothing is raised, every fault is told.

    Parameters
    ----------
    folder : the county's folder
    gear_items : items a cache may name; None for any
    """
    if not folder.is_dir():
        missing = Fault(
            code="county_missing",
            severity=Severity.FILE,
            what="there is no such county folder",
            file=str(folder),
            todo="name another folder, or make one with reach-atlas start",
        )
        return CountyRead(None, (), (), (missing,))
    file = read_county_file(folder)
    agencies, agency_faults = read_agencies(
        folder / "caches.toml", reaches=file.reach_codes, gear_items=gear_items
    )
    surveys, survey_faults = list_survey_files(folder)
    return CountyRead(file.county, agencies, surveys, (*file.faults, *agency_faults, *survey_faults))
