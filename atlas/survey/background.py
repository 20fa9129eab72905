"""Background layers of the maps: GeoJSON, GeoPackage, TopoJSON to lines in WGS 84.

They are for the eye only, so a layer that cannot be read costs the maps that layer and nothing else:
each is told as a fault, and the rest is read.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import shapely

from atlas.faults import Fault
from atlas.records import Background, Layer, LayerFeature, LonLat
from atlas.survey.background_table import TableProblem, read_table_rows
from atlas.survey.clean import clean_line
from atlas.survey.json_text import JsonProblem, parse_json
from atlas.survey.report import Report
from atlas.survey.source import file_is_there, read_text
from atlas.units import shown_raw

__all__ = ["BackgroundResult", "read_backgrounds"]

_JSON_SUFFIXES: Final = frozenset({".geojson", ".json", ".topojson"})
_NAMES: Final = ("name", "gnis_name", "river")
_ORDERS: Final = ("order", "stream_order", "streamorde", "strahler")
"""Columns that give a name or a rank, small letters; common practice of public river layers, no source."""
_LONGEST_NAME: Final = 40
_AGAIN: Final = "export the layer again"

Row = tuple[Mapping[str, object], object]
"""Properties, and a shapely geometry, or what stood in the place of one."""


@dataclass(frozen=True, slots=True)
class BackgroundResult:
    """The layers that could be read, in the order of county.toml, and everything wrong with the files."""

    layers: tuple[Layer, ...]
    faults: tuple[Fault, ...]


def _lines(geometry: shapely.Geometry) -> tuple[list[shapely.Geometry], bool]:
    """The lines of a geometry and whether they are rings; points are left out."""
    lines: list[shapely.Geometry] = []
    closed = False
    for part in shapely.get_parts(geometry).tolist():
        if part.is_empty:
            continue
        if part.geom_type == "Polygon":
            lines += [part.exterior, *part.interiors]
            closed = True
        elif part.geom_type in {"LineString", "LinearRing"}:
            lines.append(part)
        elif part.geom_type == "GeometryCollection" or part.geom_type.startswith("Multi"):
            inner, inner_closed = _lines(part)
            lines += inner
            closed = closed or inner_closed
    return lines, closed


def _places(line: shapely.Geometry) -> tuple[LonLat, ...]:
    return tuple((lon, lat) for lon, lat in shapely.get_coordinates(line).tolist())


def _on_the_globe(places: Iterable[LonLat]) -> bool:
    """Comparisons with NaN are false, and infinity is not under the limit."""
    return all(abs(lon) <= 180.0 and abs(lat) <= 90.0 for lon, lat in places)


def _text(properties: Mapping[str, object], wanted: Sequence[str]) -> str | None:
    for key in wanted:
        value = properties.get(key)
        if isinstance(value, str) and (text := clean_line(value[: 4 * _LONGEST_NAME]).text):
            return text if len(text) <= _LONGEST_NAME else None
    return None


def _order(properties: Mapping[str, object]) -> float | None:
    for key in _ORDERS:
        value = properties.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
            return float(value)
    return None


def _feature(row: Row) -> LayerFeature | str:
    """One feature, or why there is none."""
    raw, geometry = row
    if not isinstance(geometry, shapely.Geometry):
        return "no geometry"
    lines, closed = _lines(geometry)
    parts = tuple(places for line in lines if len(places := _places(line)) > 1)
    if not parts:
        return "no line and no area"
    if not all(map(_on_the_globe, parts)):
        return "a place that is no longitude and latitude"
    properties = {str(key).lower(): value for key, value in raw.items()}
    return LayerFeature(parts, closed, _text(properties, _NAMES), _order(properties))


def _shape_of(raw: object) -> object:
    """A GeoJSON geometry as shapely's; anything else comes back as it is."""
    if not isinstance(raw, dict):
        return raw
    try:
        return shapely.from_geojson(json.dumps(raw))
    except (shapely.errors.GEOSException, ValueError):
        return raw


def _collection_rows(collection: Mapping[str, object], report: Report) -> list[Row] | None:
    features = collection.get("features") if collection.get("type") == "FeatureCollection" else None
    if not isinstance(features, list):
        report.fail(
            "not_a_feature_collection",
            "this is JSON, but no layer",
            got=shown_raw(collection.get("type")),
            allowed='an object with "type": "FeatureCollection", or a TopoJSON topology',
            todo=_AGAIN,
        )
        return None
    rows: list[Row] = []
    for feature in features:
        whole = feature if isinstance(feature, dict) else {}
        properties = whole.get("properties")
        rows.append((properties if isinstance(properties, dict) else {}, _shape_of(whole.get("geometry"))))
    return rows


def _table_rows(path: Path, report: Report) -> list[Row] | None:
    found = read_table_rows(path)
    if isinstance(found, TableProblem):
        report.fail(
            found.code, found.what, got=found.got, allowed="GeoJSON, GeoPackage, TopoJSON", todo=_AGAIN
        )
        return None
    return list(found)


def _json_rows(path: Path, report: Report) -> list[Row] | None:
    text = read_text(path, report, kind="layer")
    if text is None:
        return None
    value = parse_json(text)
    if isinstance(value, JsonProblem):
        report.fail(value.code, value.what, got=value.got, todo=_AGAIN)
        return None
    if not isinstance(value, dict):
        return _collection_rows({"type": value}, report)
    if value.get("type") == "Topology":
        return _table_rows(path, report)
    return _collection_rows(value, report)


def _rows(path: Path, report: Report) -> list[Row] | None:
    if path.suffix.lower() in _JSON_SUFFIXES:
        return _json_rows(path, report)
    return _table_rows(path, report) if file_is_there(path, report, kind="layer") else None


def _left_out(refused: Sequence[tuple[int, str]], report: Report) -> None:
    """One fault for all features of a layer that cannot be drawn: a broken export has thousands."""
    if not refused:
        return
    number, why = refused[0]
    count = len(refused)
    more = "" if count == 1 else f" and {count - 1} more"
    report.at(feature=number).warn(
        "feature_not_drawn",
        f"this feature{more} cannot be drawn: left out",
        got=why,
        allowed="lines and areas in longitude and latitude",
        todo="mend the layer, or leave it so",
    )


def _read_layer(folder: Path, entry: Background) -> tuple[Layer | None, list[Fault]]:
    path = folder / entry.file
    report = Report(str(path))
    rows = _rows(path, report)
    if rows is None:
        return None, report.faults
    refused: list[tuple[int, str]] = []
    features: list[LayerFeature] = []
    for number, row in enumerate(rows, start=1):
        feature = _feature(row)
        if isinstance(feature, str):
            refused.append((number, feature))
        else:
            features.append(feature)
    if not features:
        report.fail(
            "layer_empty",
            "the layer holds nothing that can be drawn",
            got=f"{len(rows)} features{f', the first with {refused[0][1]}' if refused else ''}",
            allowed="lines and areas in longitude and latitude",
            todo=_AGAIN,
        )
        return None, report.faults
    _left_out(refused, report)
    return Layer(entry.name, entry.kind, tuple(features)), report.faults


def _read_all(folder: Path, entries: Iterable[Background]) -> Iterator[tuple[Layer | None, list[Fault]]]:
    for entry in entries:
        yield _read_layer(folder, entry)


def read_backgrounds(folder: Path, entries: Sequence[Background]) -> BackgroundResult:
    """Read the background layers of a county.

    Parameters
    ----------
    folder : the county's; files are named from it
    entries : as county.toml lists them

    Returns
    -------
    BackgroundResult
        Layers in WGS 84 longitude and latitude; a GeoPackage in another reference system is brought
        there, a file that names none is taken as such. A layer that cannot be read is a fault of its
        file and left out; features that cannot be drawn are one warning a layer.
    """
    layers: list[Layer] = []
    faults: list[Fault] = []
    for layer, told in _read_all(folder, entries):
        faults += told
        if layer is not None:
            layers.append(layer)
    return BackgroundResult(tuple(layers), tuple(faults))
