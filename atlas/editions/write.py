"""A whole edition to its folder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from atlas.binder import Binder, Earlier, NotPrinted
from atlas.editions.folder import RECORD, building
from atlas.editions.read import read_edition
from atlas.editions.record import BINDER_PATH, EditionFacts, edition_json, sheet_path, workings_path
from atlas.records import County

__all__ = ["Written", "earlier_sheets", "edition_name", "write_edition"]


def edition_name(county: County) -> str:
    """Name of an edition's folder."""
    return f"{county.folder}-{county.edition}"


def earlier_sheets(since: Path) -> dict[str, Earlier]:
    """The sheets of an earlier edition by site, so that those that read the same keep its name.

    Raises
    ------
    InputFaults
        There is no such edition, or it cannot be read.
    """
    sheets = read_edition(since).sheets
    return {code: Earlier(page.digest, page.changed_in) for code, page in sheets.items() if page.changed_in}


@dataclass(frozen=True, slots=True)
class Written:
    """An edition that stands. `digests` are the SHA-256 of its files, by their paths in it."""

    place: Path
    digests: Mapping[str, str]


def write_edition(
    out: Path, binder: Binder, not_printed: Sequence[NotPrinted], facts: EditionFacts
) -> Written:
    """Write binder, sheets, workings and record; all of them, or nothing and an earlier edition stays.

    Parameters
    ----------
    out : folder of all editions; made where it is not there
    not_printed : sites without a sheet

    Raises
    ------
    OutputError
        It cannot be written, or something else stands in its place.
    """
    with building(out, edition_name(facts.county)) as build:
        for made in binder.sheets:
            build.write(sheet_path(made.code), made.filed)
            build.write(workings_path(made.code), made.workings)
        build.write(BINDER_PATH, binder.pdf)
        build.write(RECORD, edition_json(binder, not_printed, facts))
    return Written(build.place, build.digests)
