"""The survey files of a county's folder."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from atlas.caches.spot import Spot
from atlas.faults import Fault, Severity

SURVEY_ENDINGS: Final = (".geojson", ".gpkg", ".kml", ".json")
# Files of places that somebody may have meant as a survey, and that are not read.
_NOT_READ: Final = (
    ".csv", ".fgb", ".geojsonl", ".gpx", ".kmz", ".ndjson", ".shp", ".tab", ".topojson", ".zip",
)  # fmt: skip


def list_survey_files(folder: Path) -> tuple[tuple[Path, ...], list[Fault]]:
    """Files of COUNTY/surveys that are read as surveys, by name; hidden ones are left alone."""
    faults: list[Fault] = []
    surveys = folder / "surveys"
    spot = Spot(str(surveys), faults)
    if not surveys.is_dir():
        spot.refuse(
            "surveys_missing",
            "the county has no folder of surveys",
            todo="make it and put the survey files in",
            severity=Severity.FILE,
        )
        return (), faults
    named = sorted(
        (path for path in surveys.iterdir() if not path.name.startswith(".")), key=lambda path: path.name
    )
    there = [path for path in named if path.is_file()]
    for path in named:
        if path.suffix.lower() in SURVEY_ENDINGS and not path.is_file():
            Spot(str(path), faults).refuse(
                "survey_no_file",
                "named like a survey, and there is no file behind it",
                got="a link that leads nowhere" if path.is_symlink() else "a folder or something else",
                todo="put the survey file in its place, or take it away",
                severity=Severity.FILE,
            )
    found = tuple(path for path in there if path.suffix.lower() in SURVEY_ENDINGS)
    for path in there:
        if path.suffix.lower() in _NOT_READ:
            Spot(str(path), faults).refuse(
                "survey_not_read",
                "files of this kind are not read as surveys",
                got=path.suffix,
                allowed=", ".join(SURVEY_ENDINGS),
                todo="export it as GeoJSON or GeoPackage, or put it elsewhere",
                severity=Severity.WARNING,
            )
    if not found:
        spot.refuse(
            "surveys_none",
            "the folder holds no survey",
            allowed=", ".join(SURVEY_ENDINGS),
            todo="put the survey files in",
            severity=Severity.FILE,
        )
    return found, faults
