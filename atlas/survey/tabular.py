"""GeoPackage, KML and other vector files to the same raw features as GeoJSON gives.

Such files hold flat columns of one type: dates, numbers among texts, lists and objects arrive as text,
and nothing tells null from missing. So empty cells are dropped, dates are brought to YYYY-MM-DD, nested
values are parsed from JSON text, and a bare number in a column of text counts as a number, told once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from atlas.survey.json_text import JsonProblem, parse_json
from atlas.survey.nested import NESTED
from atlas.survey.properties import TABLES, Role
from atlas.survey.raw import RawFeature, RawSurvey
from atlas.survey.report import Report
from atlas.survey.source import SCHEMA, check_schema, file_is_there, tell_other_crs
from atlas.survey.values import IsoDate, Measure
from atlas.units import shown_raw

__all__ = ["read_tabular"]

_MEASURES: Final = frozenset(
    one.name for table in TABLES.values() for one in table.properties() if isinstance(one.reader, Measure)
)
_DATES: Final = frozenset(
    one.name for table in TABLES.values() for one in table.properties() if isinstance(one.reader, IsoDate)
)
_BARE_NUMBER: Final = re.compile(r"\s*[+-]?[0-9]+(\.[0-9]*)?([eE][+-]?[0-9]+)?\s*")
_LONGEST_NUMBER: Final = 40
_DATE_PART: Final = re.compile(r"([0-9]{4})[-/]([0-9]{2})[-/]([0-9]{2})(?:[T ][0-9:.]+(?:Z|[+-][0-9:]+)?)?")
_KML_COLUMNS: Final = frozenset({
    "id", "Name", "description", "timestamp", "begin", "end", "altitudeMode", "tessellate", "extrude",
    "visibility", "drawOrder", "icon",
})  # fmt: skip
"""What the driver adds to every placemark, filled or not."""
_KML_SUFFIXES: Final = frozenset({".kml", ".kmz"})


def _plain(value: Any) -> object:  # noqa: ANN401 - whatever an array of columns holds
    """A cell as a plain Python value; None where it is empty."""
    value = value.item() if hasattr(value, "item") else value
    if isinstance(value, float) and value != value:  # noqa: PLR0124 - NaN is how a column says null
        return None
    return None if isinstance(value, str) and not value.strip() else value


def _restored(name: str, value: object, bare: list[str]) -> object:
    """A cell as it would stand in a file that can hold more than flat text."""
    if not isinstance(value, str):
        return value
    if name in NESTED:
        parsed = parse_json(value)
        return value if isinstance(parsed, JsonProblem) else parsed
    if name in _MEASURES and len(value) < _LONGEST_NUMBER and _BARE_NUMBER.fullmatch(value):
        bare.append(name)
        return float(value)
    if name == "schema" and value.strip().isdecimal() and len(value) < 10:
        return int(value)
    if name in _DATES and (match := _DATE_PART.fullmatch(value)):
        return "-".join(match.groups())
    return value


def _without_driver_columns(cells: dict[str, object]) -> dict[str, object]:
    """A placemark without what the driver adds; an access takes its name from the placemark's."""
    kept = {name: value for name, value in cells.items() if name not in _KML_COLUMNS}
    if kept.get("role") == Role.ACCESS.value and "Name" in cells:
        kept.setdefault("name", cells["Name"])
    return kept


def _layers(path: Path) -> Iterator[tuple[str, list[str], list[Any], Any]]:
    """CRS, column names, columns and geometries of each layer that has geometries."""
    import pyogrio  # noqa: PLC0415 - 0.4 s, and most counties keep GeoJSON
    import pyogrio.raw  # noqa: PLC0415

    for name, geometry_type in pyogrio.list_layers(path).tolist():
        if geometry_type is None:
            continue
        meta, _, geometries, columns = pyogrio.raw.read(path, layer=name, datetime_as_string=True)
        yield meta["crs"] or "", list(meta["fields"]), list(columns), geometries


def _geojson_of(well_known: bytes | None) -> object:
    import shapely  # noqa: PLC0415 - with the reader above

    if well_known is None:
        return None
    return dict(shapely.geometry.mapping(shapely.from_wkb(well_known)))


def _check_crs(crs: str, report: Report) -> bool:
    import pyproj  # noqa: PLC0415 - with the reader above

    if not crs:
        tell_other_crs("none named", report)
        return False
    if pyproj.CRS.from_user_input(crs).equals(pyproj.CRS.from_epsg(4326), ignore_axis_order=True):
        return True
    tell_other_crs(shown_raw(crs), report)
    return False


def _features(path: Path, report: Report) -> tuple[tuple[RawFeature, ...], bool]:
    features: list[RawFeature] = []
    bare: list[str] = []
    placed = True
    placemarks = path.suffix.lower() in _KML_SUFFIXES
    for crs, names, columns, geometries in _layers(path):
        placed = _check_crs(crs, report) and placed
        for row, geometry in enumerate(geometries):
            cells = {name: _plain(column[row]) for name, column in zip(names, columns, strict=True)}
            filled = {name: value for name, value in cells.items() if value is not None}
            if placemarks:
                filled = _without_driver_columns(filled)
            properties = {name: _restored(name, value, bare) for name, value in filled.items()}
            features.append(RawFeature(len(features) + 1, properties, _geojson_of(geometry)))
    if bare:
        report.warn(
            "numbers_as_text",
            f"{len(bare)} bare numbers in columns of text, taken as SI",
            got=", ".join(sorted(set(bare))),
            todo="write them with their unit",
        )
    return tuple(features), placed


def _take_schema(features: tuple[RawFeature, ...], report: Report) -> bool:
    """Take out the column `schema`, which stands for the member that only GeoJSON has; whether to read on."""
    named = [feature.properties.pop("schema", None) for feature in features]
    given = list(dict.fromkeys(value for value in named if value is not None))
    if not given:
        report.at(field="schema").warn(
            "schema_assumed",
            f"the file does not say which schema it follows: taken as {SCHEMA}",
            todo=f"add a column schema with {SCHEMA}",
        )
    readable = [check_schema(value, report) for value in given]
    return all(readable)


def read_tabular(path: Path, *, shown_as: str) -> RawSurvey:
    """Read one GeoPackage, KML or other vector file; its faults are in the answer, never raised.

    Parameters
    ----------
    path : the file
    shown_as : its path as the user knows it
    """
    from pyogrio.errors import DataLayerError, DataSourceError  # noqa: PLC0415 - as above

    report = Report(shown_as)
    if not file_is_there(path, report):
        return RawSurvey(shown_as, (), tuple(report.faults))
    try:
        features, placed = _features(path, report)
    except (DataSourceError, DataLayerError) as error:
        report.fail(
            "file_unreadable",
            "the file cannot be read as a vector file",
            got=str(error).replace(str(path), path.name).partition(";")[0].partition("\n")[0],
            allowed="GeoJSON, GeoPackage, KML",
            todo="export the survey again",
        )
        return RawSurvey(shown_as, (), tuple(report.faults))
    if not _take_schema(features, report):
        return RawSurvey(shown_as, (), tuple(report.faults))
    return RawSurvey(shown_as, features, tuple(report.faults), placed=placed)
