"""GeoJSON (RFC 7946) to raw features, through the plain JSON parser so that each fault can be told."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from atlas.survey.json_text import JsonProblem, duplicate_keys, parse_json
from atlas.survey.raw import RawFeature, RawSurvey, site_code
from atlas.survey.report import Report
from atlas.survey.source import SCHEMA, check_schema, read_text, tell_other_crs
from atlas.units import shown_raw

__all__ = ["read_geojson"]

_WGS84_NAMES: Final = frozenset({
    "urn:ogc:def:crs:ogc:1.3:crs84", "urn:ogc:def:crs:ogc::crs84", "ogc:crs84", "crs84",
    "epsg:4326", "urn:ogc:def:crs:epsg::4326",
})  # fmt: skip


def _collection(text: str, report: Report) -> dict[str, object] | None:
    """The FeatureCollection in a text, or None with the reason told."""
    value = parse_json(text)
    if isinstance(value, JsonProblem):
        report.fail(value.code, value.what, got=value.got, todo="export the survey again")
        return None
    if isinstance(value, dict) and value.get("type") == "FeatureCollection":
        return value
    report.fail(
        "not_a_feature_collection",
        "this is JSON, but no survey",
        got=shown_raw(value.get("type") if isinstance(value, dict) else value),
        allowed='an object with "type": "FeatureCollection"',
        todo="export the survey again as GeoJSON",
    )
    return None


def _check_crs(collection: dict[str, object], report: Report) -> bool:
    """Whether the coordinates are longitude and latitude, as far as the outdated `crs` member tells."""
    crs = collection.get("crs")
    if crs is None:
        return True
    properties = crs.get("properties") if isinstance(crs, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    if isinstance(name, str) and name.strip().lower() in _WGS84_NAMES:
        return True
    tell_other_crs(shown_raw(crs if name is None else name), report)
    return False


def _tell_duplicates(value: object, report: Report) -> None:
    for key in duplicate_keys(value):
        report.at(field=key).error(
            "duplicate_key",
            "the same key stands twice in one object",
            got=shown_raw(key),
            todo="keep one of them",
        )


def _read_feature(raw: object, number: int, report: Report) -> RawFeature | None:
    here = report.at(feature=number)
    if not isinstance(raw, dict) or raw.get("type") != "Feature":
        here.error(
            "not_a_feature",
            "this is not a feature",
            got=shown_raw(raw.get("type") if isinstance(raw, dict) else raw),
            allowed='an object with "type": "Feature"',
            todo="remove it or export the survey again",
        )
        return None
    properties = raw.get("properties")
    if not isinstance(properties, dict):
        here.at(field="properties").error(
            "properties_missing",
            "the feature has no properties",
            got=shown_raw(properties),
            allowed="an object with at least site and role",
            todo="fill in the feature's properties",
        )
        return None
    named = here.at(site=site_code(properties.get("site")))
    for part in (raw, properties, raw.get("geometry")):
        _tell_duplicates(part, named)
    return RawFeature(number, dict(properties), raw.get("geometry"))


def _features(collection: dict[str, object], report: Report) -> tuple[RawFeature, ...]:
    features = collection.get("features")
    here = report.at(field="features")
    if not isinstance(features, list):
        here.fail(
            "features_missing",
            "the file has no list of features",
            got=shown_raw(features),
            allowed="a list of features",
            todo="export the survey again",
        )
        return ()
    if not features:
        here.warn("no_features", "the file holds no feature", todo="remove it or export the survey again")
    read = (_read_feature(raw, number, report) for number, raw in enumerate(features, start=1))
    return tuple(feature for feature in read if feature is not None)


def read_geojson(path: Path, *, shown_as: str) -> RawSurvey:
    """Read one GeoJSON file; what is wrong with it is in the answer's faults, never raised.

    Parameters
    ----------
    path : the file
    shown_as : its path as the user knows it
    """
    report = Report(shown_as)
    text = read_text(path, report)
    collection = None if text is None else _collection(text, report)
    if collection is None:
        return RawSurvey(shown_as, (), tuple(report.faults))
    _tell_duplicates(collection, report)
    if "schema" not in collection:
        report.at(field="schema").error(
            "schema_missing",
            "the file does not say which schema it follows",
            allowed=f"{SCHEMA}",
            todo=f'add "schema": {SCHEMA} beside "type": "FeatureCollection"',
        )
    elif not check_schema(collection["schema"], report):
        return RawSurvey(shown_as, (), tuple(report.faults))
    placed = _check_crs(collection, report)
    return RawSurvey(shown_as, _features(collection, report), tuple(report.faults), placed=placed)
