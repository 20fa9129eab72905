"""Sites and stations on a map: signs by verdict, labels clear of each other, links to the sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import shapely

from atlas.binder.contents import site_place
from atlas.binder.map_frame import MapView
from atlas.binder.map_layers import DrawnLayers
from atlas.binder.site_sheet import NotPrinted, SiteSheet
from atlas.faults import BlockOverrun
from atlas.paper import (
    Box,
    Item,
    LabelWish,
    Line,
    Link,
    PlacedLabel,
    Point,
    Rect,
    Span,
    Symbol,
    place_labels,
    place_line,
    spans_width_mm,
    symbol,
)
from atlas.paper.press import Press, settable
from atlas.records import Agency, LonLat

__all__ = [
    "BLOCK",
    "MapSite",
    "Verdict",
    "draw_numbers",
    "draw_sites",
    "map_site",
    "other_sign",
    "sign_of",
    "station_sign",
]

BLOCK: Final = "map"
_SIGN_MM: Final = {"inside": 2.6, "outside": 3.6, "not_printed": 2.8}
_STATION_MM: Final = 2.4
_OTHER_MM: Final = 1.6
_OVER_CAP_MM, _UNDER_MM = 0.3, 0.75
_LEADER_MOST_MM: Final = 9.0
_NAME_SHARE: Final = 1.3
"""A river's name is written where so many times its length of the river is visible."""


class Verdict(StrEnum):
    """What a map says of a site."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    NOT_PRINTED = "not_printed"


_SIGNS: Final = {
    Verdict.INSIDE: Symbol.CIRCLE_FILLED,
    Verdict.OUTSIDE: Symbol.CROSSED_CIRCLE,
    Verdict.NOT_PRINTED: Symbol.DIAMOND_OPEN,
}


@dataclass(frozen=True, slots=True)
class MapSite:
    """A site as the maps show it."""

    code: str
    name: str | None
    place: LonLat
    verdict: Verdict


def map_site(made: SiteSheet | NotPrinted) -> MapSite | None:
    """A site for the maps; None where nobody knows its place."""
    if isinstance(made, NotPrinted):
        if made.place is None:
            return None
        return MapSite(made.code, made.name, made.place, Verdict.NOT_PRINTED)
    facts = made.facts
    verdict = Verdict.OUTSIDE if facts.outside else Verdict.INSIDE
    return MapSite(made.code, facts.name, facts.place, verdict)


def sign_of(press: Press, verdict: Verdict, at: Point) -> tuple[Item, ...]:
    """The sign of a site about a point."""
    size = {"size_mm": _SIGN_MM[verdict.value], "x_mm": at[0], "y_mm": at[1]}
    return symbol(_SIGNS[verdict], **size, colour=press.looks.colours["ink"], block=BLOCK)


def station_sign(press: Press, at: Point) -> tuple[Item, ...]:
    """The sign of an agency's station about a point."""
    place = {"x_mm": at[0], "y_mm": at[1], "size_mm": _STATION_MM}
    return symbol(Symbol.SQUARE_FILLED, **place, colour=press.looks.colours["ink"], block=BLOCK)


def other_sign(press: Press, at: Point) -> tuple[Item, ...]:
    """The sign of a site that has its own map elsewhere."""
    place = {"x_mm": at[0], "y_mm": at[1], "size_mm": _OTHER_MM}
    return symbol(Symbol.CIRCLE_OPEN, **place, colour=press.looks.colours["muted"], block=BLOCK)


@dataclass(frozen=True, slots=True)
class _Label:
    """A label to be placed: its text in one or more styles, and where it leads."""

    key: str
    spans: tuple[Span, ...]
    points: tuple[Point, ...]
    mark_mm: float
    destination: str | None = None


def _spans(press: Press, runs: Sequence[tuple[str, str]]) -> tuple[Span, ...]:
    return tuple(
        Span(f" {settable(text, press, style)}" if number else settable(text, press, style), styles)
        for number, (text, style) in enumerate(runs)
        for styles in (press.looks.styles[style],)
    )


def _site_label(press: Press, view: MapView, site: MapSite, *, named: bool) -> _Label:
    runs = [(site.code, "map_strong")]
    if named and site.name:
        runs.append((site.name, "map_label"))
    if site.verdict is Verdict.OUTSIDE:
        runs.append((press.words("binder.map.outside_word"), "map_strong"))
    elif site.verdict is Verdict.NOT_PRINTED:
        runs.append((press.words("binder.map.not_printed_word"), "map_label"))
    mark_mm = _SIGN_MM[site.verdict.value] / 2
    points = (view.point(site.place),)
    return _Label(f"site {site.code}", _spans(press, runs), points, mark_mm, site_place(site.code))


def _cap_mm(press: Press, label: _Label) -> float:
    return max(press.looks.fonts.heights(span.style).cap_mm for span in label.spans)


def _wish(press: Press, label: _Label) -> LabelWish:
    return LabelWish(
        key=label.key,
        points=label.points,
        width_mm=spans_width_mm(label.spans, press.looks.fonts),
        height_mm=_cap_mm(press, label) + _OVER_CAP_MM + _UNDER_MM,
        mark_mm=label.mark_mm,
    )


def _placed(press: Press, label: _Label, placed: PlacedLabel) -> tuple[list[Item], list[Item]]:
    """What lies under the signs (leader, white ground) and what lies over them (text, link)."""
    box, under = placed.box, list[Item]()
    if placed.leader is not None:
        (x1, y1), (x2, y2) = placed.leader
        stroke = press.looks.strokes["leader"]
        under.append(Line(x1_mm=x1, y1_mm=y1, x2_mm=x2, y2_mm=y2, stroke=stroke, block=BLOCK))
    under.append(Rect(box=box, fill=press.looks.colours["paper"], block=BLOCK))
    base_mm = box.top_mm + _OVER_CAP_MM + _cap_mm(press, label)
    over: list[Item] = [
        *place_line(label.spans, x_mm=box.left_mm, y_mm=base_mm, fonts=press.looks.fonts, block=BLOCK)
    ]
    if label.destination is not None:
        over.append(Link(box=box, destination=label.destination, block=BLOCK))
    return under, over


def _shape(box: Box) -> shapely.Polygon:
    return shapely.box(box.left_mm, box.top_mm, box.right_mm, box.bottom_mm)


class _Written:
    """What has been placed on a map so far; optional labels come last and go where there is room."""

    def __init__(self, press: Press, view: MapView, obstacles: Sequence[shapely.Geometry]) -> None:
        self.press, self.view = press, view
        self.taken: list[shapely.Geometry] = list(obstacles)
        self.under: list[Item] = []
        self.over: list[Item] = []
        self.longest_leader_mm = 0.0

    def _places(self, labels: Sequence[_Label]) -> tuple[PlacedLabel, ...]:
        wishes = [_wish(self.press, label) for label in labels]
        return place_labels(wishes, obstacles=self.taken, frame=self.view.frame.inset(0.8), block=BLOCK)

    def write(self, labels: Sequence[_Label]) -> None:
        """Place all of these labels, or raise `BlockOverrun` and place none."""
        self._take(labels, self._places(labels))

    def _take(self, labels: Sequence[_Label], places: Sequence[PlacedLabel]) -> None:
        for label, placed in zip(labels, places, strict=True):
            under, over = _placed(self.press, label, placed)
            self.under += under
            self.over += over
            self.taken.append(_shape(placed.box))
            if placed.leader is not None:
                leader = shapely.LineString(placed.leader)
                self.taken.append(leader)
                self.longest_leader_mm = max(self.longest_leader_mm, leader.length)

    def write_if_room(self, label: _Label) -> None:
        """Place a label that a map can do without, beside its mark or not at all."""
        try:
            places = self._places([label])
        except BlockOverrun:
            return
        if places[0].leader is None:
            self._take([label], places)


def _stations(press: Press, view: MapView, agencies: Sequence[Agency]) -> list[_Label]:
    return [
        _Label(
            f"station {agency.code}",
            _spans(press, [(agency.code, "map_label")]),
            (view.point(agency.station),),
            _STATION_MM * 0.6,
        )
        for agency in agencies
        if agency.station is not None and view.shows(agency.station)
    ]


def _attempt(
    press: Press, view: MapView, labels: Sequence[_Label], obstacles: Sequence[shapely.Geometry]
) -> _Written | None:
    """All labels clear of what is in the way, or None where there is no room."""
    written = _Written(press, view, obstacles)
    try:
        written.write(labels)
    except BlockOverrun:
        return None
    return written


def _required(
    press: Press,
    view: MapView,
    sites: Sequence[MapSite],
    stations: Sequence[_Label],
    layers: DrawnLayers,
    others: Sequence[shapely.Geometry],
) -> _Written:
    """Labels of sites and stations: with names if there is room, clear of rivers if leaders stay short.

    A long leader is harder to follow at night than a name across a line. The freest try comes first:
    where it fails, the stricter ones would too.
    """
    for named in (True, False):
        labels = [*(_site_label(press, view, site, named=named) for site in sites), *stations]
        loosest = _attempt(press, view, labels, others)
        if loosest is None:
            continue
        found = [loosest]
        for kept_off in ((*layers.rivers, *layers.edges), layers.edges):
            written = _attempt(press, view, labels, (*kept_off, *others))
            if written is not None and written.longest_leader_mm <= _LEADER_MOST_MM:
                return written
            found += [] if written is None else [written]
        return min(found, key=lambda written: written.longest_leader_mm)
    raise BlockOverrun(BLOCK, 0.0, f"no room for the labels of {len(sites)} sites on one map")


def _mark(point: Point, radius_mm: float) -> shapely.Geometry:
    return shapely.Point(point).buffer(radius_mm)


def _optional(written: _Written, others: Sequence[MapSite], layers: DrawnLayers) -> None:
    """Codes of sites of other maps, then names of rivers: only where there is room."""
    press, view = written.press, written.view
    for site in others:
        at = (view.point(site.place),)
        spans = _spans(press, [(site.code, "label")])
        written.write_if_room(_Label(site.code, spans, at, _OTHER_MM / 2, site_place(site.code)))
    written.taken += (*layers.rivers, *layers.edges)
    for name in layers.names:
        spans = _spans(press, [(name.text, "water_label")])
        if name.length_mm >= _NAME_SHARE * spans_width_mm(spans, press.looks.fonts):
            written.write_if_room(_Label(name.text, spans, name.points, 0.6))


def draw_sites(
    press: Press,
    view: MapView,
    sites: Sequence[MapSite],
    *,
    others: Sequence[MapSite],
    agencies: Sequence[Agency],
    layers: DrawnLayers,
) -> list[Item]:
    """Signs and labels of a map.

    Parameters
    ----------
    sites : all of them are labelled
    others : sites of other maps that are visible here; labelled where there is room
    layers : lines that labels keep off where they can, and names of rivers, written where there is room

    Raises
    ------
    BlockOverrun
        A site or a station finds no place for its label even without names and upon rivers.
    """
    stations = _stations(press, view, agencies)
    station_points = [label.points[0] for label in stations]
    marks = [_mark(view.point(site.place), _OTHER_MM / 2) for site in others]
    written = _required(press, view, sites, stations, layers, marks)
    written.taken += [_mark(view.point(site.place), _SIGN_MM[site.verdict.value] / 2) for site in sites]
    written.taken += [_mark(point, _STATION_MM * 0.6) for point in station_points]
    _optional(written, others, layers)
    signs: list[Item] = []
    for site in others:
        signs += other_sign(press, view.point(site.place))
    for point in station_points:
        signs += station_sign(press, point)
    # filled discs first: a crossed ring at the same place is never hidden
    for site in sorted(sites, key=lambda site: site.verdict is not Verdict.INSIDE):
        signs += sign_of(press, site.verdict, view.point(site.place))
    return [*written.under, *signs, *written.over]


def draw_numbers(press: Press, view: MapView, numbers: Sequence[tuple[str, Box, str]]) -> list[Item]:
    """Large numbers in or at frames on an index, none upon another.

    Parameters
    ----------
    numbers : what is written, the frame it belongs to, and where it leads. One that finds no room is
        left out: the list after the index has it.
    """
    written = _Written(press, view, ())
    for text, box, destination in numbers:
        corners = [(x, y) for y in (box.top_mm, box.bottom_mm) for x in (box.left_mm, box.right_mm)]
        label = _Label(text, _spans(press, [(text, "name")]), (box.centre, *corners), 0.0, destination)
        written.write_if_room(label)
    return [*written.under, *written.over]
