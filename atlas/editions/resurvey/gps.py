"""Tie points and edges from a handheld GPS: GPX 1.1 and KML 2.3, read without any external entity.

A waypoint is known by its name: ``OT-03 near track``; a track by ``OT-03 near edge``.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

import pyproj

from atlas.editions.resurvey.reader import Change
from atlas.editions.resurvey.survey_files import RawSite
from atlas.faults import Fault, InputFaults, Severity, clean_text
from atlas.survey.raw import SITE_CODE, RawFeature

__all__ = ["TRACKS", "read_track"]

TRACKS = (".gpx", ".kml")
_LARGEST_BYTES = 32 * 1024 * 1024
_DEEPEST = 64
_NAME = re.compile(rf"\s*({SITE_CODE})\s+(near|far)\s+(track|ferry|up[-_ ]?down|edge)\s*", re.IGNORECASE)
_EXPECTED = "a name like OT-03 near track (near or far; track, ferry, up-down or edge)"
_GEOD = pyproj.Geod(ellps="WGS84")

LonLat = tuple[float, float]


@dataclass(slots=True)
class _Node:
    """An element with its own text and children, its namespace left out."""

    name: str
    attributes: Mapping[str, str]
    text: str = ""
    children: list[_Node] = field(default_factory=list)

    def child(self, name: str) -> _Node | None:
        return next((one for one in self.children if one.name == name), None)

    def all(self, name: str) -> Iterator[_Node]:
        for one in self.children:
            if one.name == name:
                yield one
            yield from one.all(name)


@dataclass(frozen=True, slots=True)
class _Named:
    """A place or a line with a name."""

    name: str
    places: tuple[LonLat, ...]
    is_line: bool


class _DoctypeFound(Exception):
    """A file of places has no need of a document type, which is where entities are declared."""


def _refuse(path: Path, code: str, what: str, todo: str = "export it again") -> InputFaults:
    return InputFaults([Fault(code, Severity.FILE, what, str(path), todo=todo)])


def _parse(content: bytes) -> _Node:
    """The tree of an XML text.

    Raises
    ------
    _DoctypeFound, ExpatError, RecursionError
        It declares a document type, is no XML, or is nested too deep.
    """
    parser = expat.ParserCreate(namespace_separator=" ")
    root = _Node("", {})
    open_nodes = [root]

    def begin(name: str, attributes: dict[str, str]) -> None:
        if len(open_nodes) > _DEEPEST:
            raise RecursionError
        node = _Node(name.rpartition(" ")[2], attributes)
        open_nodes[-1].children.append(node)
        open_nodes.append(node)

    def text(data: str) -> None:
        open_nodes[-1].text += data

    def end(_: str) -> None:
        open_nodes.pop()

    def doctype(*_: object) -> None:
        raise _DoctypeFound

    parser.StartElementHandler = begin
    parser.EndElementHandler = end
    parser.CharacterDataHandler = text
    parser.StartDoctypeDeclHandler = doctype
    parser.buffer_text = True
    parser.Parse(content, True)
    return root


def _number(text: str | None) -> float:
    try:
        value = float(text or "")
    except ValueError:
        return math.nan
    return value if math.isfinite(value) else math.nan


def _gpx(root: _Node) -> Iterator[_Named]:
    def place(node: _Node) -> LonLat:
        return _number(node.attributes.get("lon")), _number(node.attributes.get("lat"))

    def name(node: _Node) -> str:
        named = node.child("name")
        return "" if named is None else named.text.strip()

    for point in root.all("wpt"):
        yield _Named(name(point), (place(point),), is_line=False)
    for kind, step in (("trk", "trkpt"), ("rte", "rtept")):
        for line in root.all(kind):
            yield _Named(name(line), tuple(place(one) for one in line.all(step)), is_line=True)


def _kml_place(text: str) -> LonLat:
    """A place of ``lon,lat[,height]``."""
    lon, _, rest = text.partition(",")
    return _number(lon), _number(rest.partition(",")[0])


def _kml(root: _Node) -> Iterator[_Named]:
    for mark in root.all("Placemark"):
        named = mark.child("name")
        name = "" if named is None else named.text.strip()
        for kind in ("Point", "LineString"):
            for shape in mark.all(kind):
                told = shape.child("coordinates")
                texts = [] if told is None else told.text.split()
                places = tuple(map(_kml_place, texts))
                yield _Named(name, places, is_line=kind == "LineString")


def _named_places(path: Path) -> list[_Named]:
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise _refuse(path, "track_too_large", "the file is too large for a track", "cut it to the sites")
        content = path.read_bytes()
    except OSError as cause:
        why = (cause.strerror or type(cause).__name__).lower()
        raise _refuse(path, "track_unreadable", f"the file cannot be read: {why}", "check the path") from None
    try:
        root = _parse(content)
    except _DoctypeFound:
        what = "the file declares a document type, which no track has"
        raise _refuse(path, "track_doctype", what) from None
    except (expat.ExpatError, RecursionError) as cause:
        what = f"this is no XML: {clean_text(str(cause)) or 'nested too deep'}"
        raise _refuse(path, "track_no_xml", what) from None
    kind = path.suffix.lower()
    return list(_gpx(root) if kind == ".gpx" else _kml(root))


def _moved_m(old: object, new: LonLat) -> float | None:
    """How far a point moved over the ground [m]."""
    if not isinstance(old, dict) or old.get("type") != "Point":
        return None
    at = old.get("coordinates")
    if not isinstance(at, list) or len(at) < 2 or not all(isinstance(one, int | float) for one in at):
        return None
    return float(_GEOD.inv(at[0], at[1], *new)[2])


def _fits(feature: RawFeature, bank: str, use: str) -> bool:
    told = feature.properties
    if told.get("bank") != bank:
        return False
    if use == "edge":
        return told.get("role") == "edge"
    uses = {word.strip() for word in str(told.get("use")).split(",")}
    return told.get("role") == "anchor" and use in uses


@dataclass(slots=True)
class _Track:
    path: Path
    sites: Mapping[str, RawSite]
    changes: list[Change]
    faults: list[Fault]

    def tell(self, code: str, what: str, name: str, *, allowed: str | None = None, todo: str) -> None:
        told = Fault(
            code, Severity.ERROR, what, str(self.path), got=clean_text(name), allowed=allowed, todo=todo
        )
        self.faults.append(told)

    def take(self, one: _Named) -> None:
        found = _NAME.fullmatch(one.name)
        if found is None:
            self.tell("track_name", "this name says of no tie point or edge", one.name, allowed=_EXPECTED,
                      todo="name it so, or take it out of the file")  # fmt: skip
            return
        code, bank, use = found[1].upper(), found[2].lower(), found[3].lower()
        use = "up_down" if use.startswith("up") else use
        if (use == "edge") != one.is_line or len(one.places) < (2 if one.is_line else 1):
            self.tell("track_shape", "an edge is a track of two points or more, a tie point one point",
                      one.name, todo="measure it again")  # fmt: skip
            return
        if not all(abs(lon) <= 180.0 and abs(lat) <= 90.0 for lon, lat in one.places):
            self.tell(
                "track_place", "its place is no longitude and latitude", one.name, todo="export it again"
            )
            return
        site = self.sites.get(code)
        if site is None:
            self.tell("track_site", "no survey has this site", one.name, todo="check the code")
            return
        self._merge(site, bank, use, one)

    def _merge(self, site: RawSite, bank: str, use: str, one: _Named) -> None:
        fitting = [feature for feature in site.features if _fits(feature, bank, use)]
        if len(fitting) > 1:
            tags = ", ".join(str(each.properties.get("tag") or f"feature {each.number}") for each in fitting)
            self.tell("track_several", f"the site has several of these: {tags}", one.name,
                      todo="move the right one in the survey")  # fmt: skip
            return
        shape = (
            {"type": "LineString", "coordinates": [list(place) for place in one.places]}
            if one.is_line
            else {"type": "Point", "coordinates": list(one.places[0])}
        )
        what = f"{bank} {use}"
        new = f"{len(one.places)} points" if one.is_line else "{1:.6f}, {0:.6f}".format(*one.places[0])
        if fitting:
            moved_m = _moved_m(fitting[0].geometry, one.places[0])
            shown = new if moved_m is None or one.is_line else f"{new}, moved {moved_m:.1f} m"
            old = _shown(fitting[0].geometry)
            self.changes.append(Change(site.code, fitting[0].number, "geometry", what, old, shown, shape))
            return
        properties = {"site": site.code, "role": "edge" if one.is_line else "anchor", "bank": bank}
        if not one.is_line:
            properties["use"] = use
        feature = {"type": "Feature", "geometry": shape, "properties": properties}
        self.changes.append(Change(site.code, None, "new", what, "-", new, feature))


def _shown(geometry: object) -> str:
    at = geometry.get("coordinates") if isinstance(geometry, dict) else None
    if not isinstance(at, list) or not at:
        return "-"
    if isinstance(at[0], list):
        return f"{len(at)} points"
    return f"{at[1]:.6f}, {at[0]:.6f}"


def read_track(path: Path, sites: Mapping[str, RawSite]) -> tuple[tuple[Change, ...], tuple[Fault, ...]]:
    """What a GPX or KML file changes of the surveys, and which of its names say of nothing.

    Raises
    ------
    InputFaults
        The file cannot be read, is no XML, or declares a document type.
    """
    track = _Track(path, sites, [], [])
    places = _named_places(path)
    for one in places:
        track.take(one)
    counts = Counter((change.site, change.what) for change in track.changes)
    for (code, what), count in sorted(counts.items()):
        if count > 1:
            told = "the same tie point or edge stands twice"
            track.tell("track_twice", told, f"{code} {what}", todo="keep one")
    if not places:
        raise _refuse(path, "track_empty", "the file holds no waypoint, route or track")
    return tuple(track.changes), tuple(track.faults)
