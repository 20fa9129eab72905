"""A checked site written as a survey again: GeoJSON (RFC 7946), every quantity in SI."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from atlas.survey.properties import Condition, LockOff, Role, Water
from atlas.survey.source import SCHEMA

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from atlas.records import Access, Anchor, FlowNote, LonLat, LowHeadDam, Shape, Site

__all__ = ["site_geojson"]

_MULTI = {"point": "MultiPoint", "line": "MultiLineString"}
_SINGLE = {"point": "Point", "line": "LineString"}


def _said(values: Mapping[str, object]) -> dict[str, object]:
    """What has a value: a key without one says nothing."""
    return {key: value for key, value in values.items() if value not in (None, [], "")}


def _point(place: LonLat) -> dict[str, object]:
    return {"type": "Point", "coordinates": list(place)}


def _geometry(shape: Shape) -> dict[str, object]:
    parts = [[list(place) for place in part] for part in shape.parts]
    if shape.kind == "polygon":
        return {"type": "Polygon", "coordinates": parts}
    coordinates = [part[0] for part in parts] if shape.kind == "point" else parts
    if len(coordinates) == 1:
        return {"type": _SINGLE[shape.kind], "coordinates": coordinates[0]}
    return {"type": _MULTI[shape.kind], "coordinates": coordinates}


def _dam(dam: LowHeadDam | None) -> dict[str, object] | None:
    return (
        None if dam is None else _said({"name": dam.name, "phone": dam.phone, "travel_min": dam.travel_min})
    )


def _flow_note(note: FlowNote) -> dict[str, object]:
    return _said(
        {
            "date": None if note.date is None else note.date.isoformat(),
            "stage": None if note.stage_assumed else note.stage_m,
            "discharge": note.discharge_m3_s,
            "width": note.width_m,
            "surface_speed": note.surface_speed_m_s,
            "mean_speed": note.mean_speed_m_s,
            "mean_kind": note.mean_kind,
            "depth": note.depth_m,
            "note": note.note,
        }
    )


def _access(access: Access) -> dict[str, object]:
    return _said(
        {
            "name": access.name,
            "reach": access.reach,
            "agency": access.agency,
            "surveyed": access.surveyed.isoformat(),
            "river": access.river,
            "near_bank": access.near_bank,
            "flow_toward": access.flow_toward_deg,
            "width": access.width_m,
            "reach_down": access.reach_down_m,
            "stage": access.stage_m,
            "planning_stage": access.planning_stage_m,
            "gauge": access.gauge,
            "rig": access.rig,
            "lock_off": LockOff.TIED_OFF if access.tied_off else LockOff.DEVICE,
            "road": access.road,
            "far_access": access.far_access,
            "far_minutes": access.far_minutes,
            "near_run": access.near_run_m,
            "launch_method": access.launch_method,
            "dam": _dam(access.dam),
            "radio": access.radio,
            "medical": access.medical,
            "permission": access.permission,
            "water": Water.COLD if access.cold_water else None,
            "dangers": list(access.dangers),
            "notes": access.notes,
            "flow_notes": [_flow_note(note) for note in access.flow_notes],
        }
    )


def _anchor(anchor: Anchor) -> dict[str, object]:
    return _said(
        {
            "bank": anchor.bank,
            "use": ",".join(sorted(anchor.uses)),
            "tag": anchor.tag,
            "kind": anchor.kind,
            "diameter": anchor.diameter_m,
            "height": None if anchor.height_assumed else anchor.height_m,
            "rating": anchor.rating_n,
            "condition": Condition.DO_NOT_USE if anchor.do_not_use else None,
            "note": anchor.note,
        }
    )


def _features(site: Site) -> Iterator[tuple[Role, dict[str, object], dict[str, object]]]:
    yield Role.ACCESS, _access(site.access), _point(site.access.place)
    for anchor in site.anchors:
        yield Role.ANCHOR, _anchor(anchor), _point(anchor.place)
    for bank, places in site.edges:
        line: dict[str, object] = {"type": "LineString", "coordinates": [list(place) for place in places]}
        yield Role.EDGE, {"bank": bank}, line
    for area in site.work_areas:
        yield Role.WORK_AREA, {}, _geometry(area.shape)
    for danger in site.dangers:
        yield Role.DANGER, _said({"kind": danger.kind_text, "note": danger.note}), _geometry(danger.shape)
    for post in site.posts:
        yield Role.POST, _said({"post": post.kind, "note": post.note}), _point(post.place)


def site_geojson(site: Site) -> bytes:
    """A site as a survey file that reads back as the same site."""
    features = [
        {"type": "Feature", "properties": {"site": site.code, "role": role, **said}, "geometry": geometry}
        for role, said, geometry in _features(site)
    ]
    collection = {"type": "FeatureCollection", "schema": SCHEMA, "features": features}
    return (json.dumps(collection, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()
