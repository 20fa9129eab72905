"""GeoJSON geometries to shapes of longitude and latitude, each checked for itself."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from atlas.records import LonLat, Shape
from atlas.survey.report import Report
from atlas.units import shown_raw

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["read_shapes"]

_NO_RIVERS_SOUTH_OF: Final = -60.0
_ORDER: Final = "longitude first, then latitude, in degrees"


@dataclass(frozen=True, slots=True)
class _Fault:
    """Why a geometry cannot be read."""

    code: str
    what: str
    got: str
    allowed: str
    todo: str


class _Broken(Exception):
    """Carries a fault up from within nested coordinates, and no further than this module."""

    def __init__(self, fault: _Fault) -> None:
        super().__init__(fault.code)
        self.fault = fault


def _malformed(got: str) -> _Broken:
    return _Broken(
        _Fault(
            "geometry_malformed",
            "the geometry cannot be read",
            got,
            "coordinates as RFC 7946 has them",
            "draw the feature again",
        )
    )


def _check_place(lon: float, lat: float) -> None:
    """Refuse what is no place on earth, and what is only one because two numbers were exchanged."""
    got = f"{lon:.8g}, {lat:.8g}"
    if not (math.isfinite(lon) and math.isfinite(lat)):
        raise _Broken(
            _Fault(
                "coordinate_not_finite",
                "a coordinate is not a finite number",
                got,
                _ORDER,
                "draw the feature again",
            )
        )
    exchanged = abs(lon) <= 90.0 and (90.0 < abs(lat) <= 180.0 or lat < _NO_RIVERS_SOUTH_OF)
    if exchanged:
        raise _Broken(
            _Fault(
                "coordinates_swapped",
                "longitude and latitude are exchanged",
                got,
                _ORDER,
                "exchange the two numbers of each coordinate",
            )
        )
    if abs(lon) > 180.0 or abs(lat) > 90.0:
        raise _Broken(
            _Fault(
                "coordinates_out_of_range",
                "this is no longitude and latitude",
                got,
                "longitude -180 to 180, latitude -90 to 90",
                "export the survey again in EPSG:4326",
            )
        )


def _number(raw: object) -> float:
    if isinstance(raw, bool) or not isinstance(raw, (int, float)):
        raise _malformed(f"{shown_raw(raw)} where a coordinate belongs")
    try:
        return float(raw)
    except OverflowError:
        return math.inf


def _position(raw: object) -> LonLat:
    """Longitude and latitude; a height beside them is not used."""
    if not isinstance(raw, (list, tuple)) or len(raw) < 2:
        raise _malformed(f"{shown_raw(raw)} where longitude and latitude belong")
    place = (_number(raw[0]), _number(raw[1]))
    _check_place(*place)
    return place


def _positions(raw: object, *, least: int) -> tuple[LonLat, ...]:
    if not isinstance(raw, (list, tuple)):
        raise _malformed(f"{shown_raw(raw)} where a list of coordinates belongs")
    places = tuple(_position(one) for one in raw)
    if len(places) < least:
        raise _malformed(f"fewer than {least} points")
    return places


def _point(raw: object) -> Shape:
    return Shape("point", ((_position(raw),),))


def _line(raw: object) -> Shape:
    places = _positions(raw, least=2)
    if len(set(places)) < 2:
        raise _malformed("a line of no length")
    return Shape("line", (places,))


def _ring(raw: object) -> tuple[LonLat, ...]:
    ring = _positions(raw, least=4)
    if ring[0] != ring[-1]:
        raise _malformed("an area whose outline is not closed")
    return ring


def _polygon(raw: object) -> Shape:
    if not isinstance(raw, (list, tuple)) or not raw:
        raise _malformed(f"{shown_raw(raw)} where outlines belong")
    shape = Shape("polygon", tuple(_ring(ring) for ring in raw))
    _check_area(shape)
    return shape


def _check_area(shape: Shape) -> None:
    import shapely  # noqa: PLC0415 - areas are few, and most files have none

    area = shapely.Polygon(shape.parts[0], shape.parts[1:])
    if not shapely.is_valid(area):
        reason = str(shapely.is_valid_reason(area)).partition("[")[0].strip().lower()
        raise _malformed(f"an area that is none: {reason}")


_SINGLE: Final[Mapping[str, Callable[[object], Shape]]] = MappingProxyType(
    {"Point": _point, "LineString": _line, "Polygon": _polygon}
)


def _coordinates(geometry: dict[str, object]) -> list[object] | tuple[object, ...]:
    raw = geometry.get("coordinates")
    if not isinstance(raw, (list, tuple)):
        raise _malformed(f"{shown_raw(raw)} where coordinates belong")
    if not raw:
        raise _Broken(
            _Fault("geometry_empty", "the geometry is empty", "no coordinates", "a drawn feature", "draw it")
        )
    return raw


def _shapes(geometry: object) -> tuple[Shape, ...]:
    """All single shapes of a geometry; a collection or multi-geometry has several."""
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if not isinstance(geometry, dict) or not isinstance(kind, str):
        raise _malformed(shown_raw(geometry))
    if kind == "GeometryCollection":
        parts = geometry.get("geometries")
        if not isinstance(parts, (list, tuple)) or not parts:
            return _shapes({"type": "Point", "coordinates": []})
        return tuple(shape for part in parts for shape in _shapes(part))
    single = _SINGLE.get(kind.removeprefix("Multi"))
    if single is None:
        raise _malformed(f"geometry type {shown_raw(kind)}")
    raw = _coordinates(geometry)
    return tuple(single(one) for one in raw) if kind.startswith("Multi") else (single(raw),)


def _tell(fault: _Fault, report: Report) -> None:
    report.error(fault.code, fault.what, got=fault.got, allowed=fault.allowed, todo=fault.todo)


def read_shapes(
    geometry: object, report: Report, *, kinds: tuple[str, ...], single: bool
) -> tuple[Shape, ...] | None:
    """The shapes of one feature, or None with the fault told.

    Parameters
    ----------
    geometry : a GeoJSON geometry, unchecked; a multi-geometry of one part counts as that part
    report : the feature's
    kinds : of `Shape.kind`, those that its role may have
    single : its role has one shape, not several
    """
    here = report.at(field="geometry")
    if geometry is None:
        here.error(
            "geometry_missing",
            "the feature has no geometry",
            got=shown_raw(geometry),
            allowed=f"a {' or '.join(kinds)}",
            todo="draw it",
        )
        return None
    try:
        shapes = _shapes(geometry)
    except _Broken as broken:
        _tell(broken.fault, here)
        return None
    except RecursionError:
        _tell(_malformed("collections within each other").fault, here)
        return None
    found = ", ".join(dict.fromkeys(shape.kind for shape in shapes))
    if any(shape.kind not in kinds for shape in shapes) or (single and len(shapes) > 1):
        many = f"{len(shapes)} of: " if len(shapes) > 1 else ""
        here.error(
            "geometry_wrong_type",
            "the wrong type of geometry for its role",
            got=f"{many}{found}",
            allowed=f"{'one ' if single else ''}{' or '.join(kinds)}",
            todo="draw it so, or correct the role",
        )
        return None
    return shapes
