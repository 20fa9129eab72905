"""Rows of a GeoPackage, a TopoJSON or another vector file, brought to WGS 84 longitude and latitude."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely

__all__ = ["TableProblem", "read_table_rows"]

TableRow = tuple[Mapping[str, object], shapely.Geometry | None]


@dataclass(frozen=True, slots=True)
class TableProblem:
    """Why a file gives no rows."""

    code: str
    what: str
    got: str


def _layers(path: Path) -> Iterator[tuple[str, list[str], list[Any], Any]]:
    """Reference system, column names, columns and geometries of each layer that has geometries."""
    import pyogrio  # noqa: PLC0415 - 0.4 s, and most counties keep GeoJSON
    import pyogrio.raw  # noqa: PLC0415

    for name, geometry_type in pyogrio.list_layers(path).tolist():
        if geometry_type is not None:
            meta, _, geometries, columns = pyogrio.raw.read(path, layer=name, datetime_as_string=True)
            yield meta["crs"] or "", list(meta["fields"]), list(columns), geometries


def _to_wgs84(crs: str, shapes: list[shapely.Geometry | None]) -> list[shapely.Geometry | None]:
    """Shapes in longitude and latitude; a file that names no reference system is taken to hold them."""
    import pyproj  # noqa: PLC0415 - with the reader above

    wgs84 = pyproj.CRS.from_epsg(4326)
    if not crs or pyproj.CRS.from_user_input(crs).equals(wgs84, ignore_axis_order=True):
        return shapes
    turn = pyproj.Transformer.from_crs(crs, wgs84, always_xy=True)
    return [
        None if shape is None else shapely.transform(shape, turn.transform, interleaved=False)
        for shape in shapes
    ]


def _plain(value: Any) -> object:  # noqa: ANN401 - whatever an array of columns holds
    return value.item() if hasattr(value, "item") else value


def read_table_rows(path: Path) -> tuple[TableRow, ...] | TableProblem:
    """Properties and geometry of every row of every layer, or why there are none."""
    from pyogrio.errors import DataLayerError, DataSourceError  # noqa: PLC0415 - as above
    from pyproj.exceptions import ProjError  # noqa: PLC0415

    rows: list[TableRow] = []
    try:
        for crs, names, columns, well_known in _layers(path):
            shapes = _to_wgs84(crs, [None if raw is None else shapely.from_wkb(raw) for raw in well_known])
            for number, shape in enumerate(shapes):
                cells = (_plain(column[number]) for column in columns)
                rows.append((dict(zip(names, cells, strict=True)), shape))
    except (DataSourceError, DataLayerError) as error:
        told = str(error).replace(str(path), path.name).partition(";")[0].partition("\n")[0]
        return TableProblem("file_unreadable", "the file cannot be read as a vector file", told)
    except ProjError as error:
        told = str(error).partition("\n")[0]
        return TableProblem("crs_unknown", "the layer's reference system is not known", told)
    except shapely.errors.GEOSException as error:
        told = str(error).partition("\n")[0]
        return TableProblem("file_unreadable", "the layer holds a shape that cannot be read", told)
    return tuple(rows)
