"""The JSON Schema of a survey, from the same tables that reading goes by.

The file that is shipped is this, written out; a test holds the two together.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from atlas.survey.nested import Dam, DamProperties, FlowNoteList, FlowNoteProperties
from atlas.survey.properties import TABLES, Role
from atlas.survey.raw import SITE_CODE
from atlas.survey.source import SCHEMA
from atlas.survey.table import Property, PropertyTable
from atlas.survey.values import Choice, ChoiceSet, IsoDate, Measure, Text, TextList
from atlas.units import Quantity, spellings_of

__all__ = ["survey_schema"]

_GEOMETRIES: Final[Mapping[Role, tuple[str, ...]]] = MappingProxyType(
    {
        Role.ACCESS: ("Point", "MultiPoint"),
        Role.ANCHOR: ("Point", "MultiPoint"),
        Role.EDGE: ("LineString", "MultiLineString"),
        Role.WORK_AREA: ("Point", "MultiPoint", "Polygon", "MultiPolygon", "GeometryCollection"),
        Role.DANGER: (
            "Point",
            "MultiPoint",
            "LineString",
            "MultiLineString",
            "Polygon",
            "MultiPolygon",
            "GeometryCollection",
        ),
        Role.POST: ("Point", "MultiPoint"),
    }
)
_NUMBER: Final = r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?"
_JSON_TEXT: Final = {"type": "string", "pattern": r"^\s*[\[{]"}

Schema = dict[str, object]


def _measure_text(quantity: Quantity) -> Schema:
    units = "|".join(re.escape(unit) for unit in spellings_of(quantity))
    return {"type": "string", "pattern": rf"^[ \t]*{_NUMBER}[ \t]*({units})[ \t]*$"}


def _measure(reader: Measure) -> Schema:
    allowed = reader.allowed
    least = {"exclusiveMinimum": 0} if allowed.positive else {"minimum": allowed.least}
    return {
        "anyOf": [
            {"type": "number", **least, "maximum": allowed.most},
            {"$ref": f"#/$defs/{reader.quantity.value}"},
        ]
    }


def _choice_set(reader: ChoiceSet) -> Schema:  # type: ignore[type-arg] # any list of words
    word = "|".join(one.value for one in reader.words)
    return {"type": "string", "pattern": rf"^\s*({word})\s*(,\s*({word})\s*)*$"}


def _value(reader: object) -> Schema:
    """What one reader accepts, null apart."""
    match reader:
        case Text():
            return {"type": "string", "maxLength": reader.longest}
        case Measure():
            return _measure(reader)
        case Choice():
            return {"enum": [word.value for word in reader.words]}
        case ChoiceSet():
            return _choice_set(reader)
        case IsoDate():
            return {"type": "string", "format": "date", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}
    return _nested(reader)


def _nested(reader: object) -> Schema:
    match reader:
        case TextList():
            plain: Schema = {"type": "array", "items": _value(reader.entry), "maxItems": reader.longest}
        case FlowNoteList():
            plain = {"type": "array", "items": {"$ref": "#/$defs/flow_note"}, "maxItems": reader.longest}
        case Dam():
            plain = {"$ref": "#/$defs/dam"}
        case _:
            raise TypeError(reader)
    return {"anyOf": [plain, _JSON_TEXT]}


def _property(one: Property[object]) -> Schema:
    value = _value(one.reader)
    return value if one.required else {"anyOf": [value, {"type": "null"}]}


def _table(table: type[PropertyTable]) -> Schema:
    properties = table.properties()
    return {
        "description": (table.__doc__ or "").strip(),
        "type": "object",
        "required": [one.name for one in properties if one.required],
        "properties": {one.name: _property(one) for one in properties},
    }


def _note() -> Schema:
    speed: list[Schema] = [
        {"required": [name], "properties": {name: {"not": {"type": "null"}}}}
        for name in (FlowNoteProperties.surface_speed.name, FlowNoteProperties.mean_speed.name)
    ]
    return {**_table(FlowNoteProperties), "anyOf": speed}


def _when(role: Role) -> Schema:
    """What follows from a feature's role."""
    return {
        "if": {"properties": {"properties": {"properties": {"role": {"const": role.value}}}}},
        "then": {
            "properties": {
                "properties": {"$ref": f"#/$defs/{role.value}"},
                "geometry": {"properties": {"type": {"enum": list(_GEOMETRIES[role])}}},
            }
        },
    }


def _feature() -> Schema:
    return {
        "type": "object",
        "required": ["type", "geometry", "properties"],
        "properties": {
            "type": {"const": "Feature"},
            "geometry": {"type": "object", "required": ["type"]},
            "properties": {
                "type": "object",
                "required": ["site", "role"],
                "properties": {
                    "site": {"type": "string", "pattern": f"^{SITE_CODE}$"},
                    "role": {"enum": [role.value for role in Role]},
                },
            },
        },
        "allOf": [_when(role) for role in Role],
    }


def survey_schema() -> Schema:
    """The whole schema, draft 2020-12, for surveys as GeoJSON."""
    quantities: dict[str, Schema] = {quantity.value: _measure_text(quantity) for quantity in Quantity}
    roles: dict[str, Schema] = {role.value: _table(table) for role, table in TABLES.items()}
    nested: dict[str, Schema] = {"flow_note": _note(), "dam": _table(DamProperties)}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Survey of river access points",
        "description": "GeoJSON (RFC 7946) in longitude and latitude, WGS 84. A bare number is in m, m/s, "
        "m3/s, N, minutes or degrees; text is a number with its unit.",
        "type": "object",
        "required": ["type", "schema", "features"],
        "properties": {
            "type": {"const": "FeatureCollection"},
            "schema": {"const": SCHEMA},
            "features": {"type": "array", "items": {"$ref": "#/$defs/feature"}},
        },
        "$defs": {"feature": _feature(), **roles, **nested, **quantities},
    }
