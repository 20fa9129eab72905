"""Maps of the county and of each reach: sites by verdict over the background layers, north up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from atlas.binder.contents import Chapter
from atlas.binder.map_frame import MapView, fit_map, graticule
from atlas.binder.map_key import GUTTER_MM, key_entries, key_height_mm, lay_graticule, lay_key
from atlas.binder.map_layers import DrawnLayers, drawn_layers
from atlas.binder.map_sites import BLOCK, MapSite, Verdict, draw_numbers, draw_sites, map_site, sign_of
from atlas.binder.map_tiles import SITES_MOST, split_sites
from atlas.faults import BlockOverrun
from atlas.paper import Box, Item, LaidOut, Link, Rect
from atlas.paper.pieces import Piece, flow, gap, paragraph
from atlas.paper.press import BoundPage, Press, settable
from atlas.records import Agency, Layer, LonLat

__all__ = ["Atlas", "county_maps", "map_place", "reach_maps"]

_COUNTY_SHARE, _REACH_SHARE = 0.5, 0.8
"""How small the scale may become, of that of the sites alone, to show stations and the boundary."""
_TILE_PAD_MM = 2.5
_LEAST_RING = 4
"""Places of a closed ring, the first said again (RFC 7946, 3.1.6)."""


@dataclass(frozen=True, slots=True)
class Atlas:
    """What all maps of a binder are drawn from."""

    book: tuple[Chapter, ...]
    agencies: tuple[Agency, ...]
    layers: tuple[Layer, ...]

    def sites(self) -> list[MapSite]:
        """Every site whose place is known."""
        return [site for chapter in self.book for site in _placed(chapter)]


@dataclass(frozen=True, slots=True)
class _Map:
    """One map to be made: whose sites, which are labelled and which only shown, and how it is called."""

    sites: tuple[MapSite, ...]
    others: tuple[MapSite, ...]
    title: str
    label: str
    destination: str
    notes: tuple[str, ...]
    share: float


def _placed(chapter: Chapter) -> list[MapSite]:
    return [site for made in chapter.sites if (site := map_site(made)) is not None]


def map_place(reach: str | None = None) -> str:
    """Name of the destination of the county's map, or of a reach's."""
    return "map" if reach is None else f"map {reach}"


def _holds_a_site(ring: Sequence[LonLat], sites: Sequence[MapSite]) -> bool:
    """Whether a site lies inside a ring; one that crosses itself is asked all the same."""
    if len(ring) < _LEAST_RING:
        return False
    longitudes, latitudes = zip(*(site.place for site in sites), strict=True)
    return bool(shapely.contains_xy(shapely.Polygon(ring), longitudes, latitudes).any())


def _boundary(layers: Sequence[Layer], sites: Sequence[MapSite]) -> list[LonLat]:
    """Places of the outlines that hold a site: the county's own among its neighbours'."""
    return [
        place
        for layer in layers
        if layer.kind == "boundary"
        for feature in layer.features
        if feature.closed
        for ring in feature.parts
        if _holds_a_site(ring, sites)
        for place in ring
    ]


def _notes(press: Press, atlas: Atlas, lost: Sequence[str]) -> tuple[str, ...]:
    words = press.words
    join = words("binder.map.join").join
    notes = [words("binder.map.note")]
    read = {layer.name for layer in atlas.layers}
    missing = [entry.name for entry in press.county.backgrounds if entry.name not in read]
    if missing:
        names = settable(join(missing), press, "note")
        notes.append(words("binder.map.layers_missing", names=names))
    if lost:
        notes.append(words("binder.map.places_missing", codes=join(lost)))
    return tuple(notes)


def _frame(press: Press, key_mm: float) -> Box:
    """The map's frame: the column without the figures of the graticule and the key."""
    column = press.column
    return Box(
        left_mm=column.left_mm + GUTTER_MM,
        top_mm=column.top_mm + GUTTER_MM,
        width_mm=column.width_mm - GUTTER_MM,
        height_mm=column.height_mm - GUTTER_MM - key_mm,
    )


def _view(atlas: Atlas, one: _Map, frame: Box) -> MapView:
    core = [site.place for site in one.sites]
    stations = [[agency.station] for agency in atlas.agencies if agency.station is not None]
    return fit_map(core, [*stations, _boundary(atlas.layers, one.sites)], frame, least_share=one.share)


def _laid_view(
    press: Press, atlas: Atlas, one: _Map
) -> tuple[MapView, DrawnLayers, tuple[MapSite, ...], list[Item]]:
    """The view of a map, what is seen in it, and its key; the key's height depends on what is seen."""
    key_mm = key_height_mm(press, (), one.notes)
    while True:
        view = _view(atlas, one, _frame(press, key_mm))
        layers = drawn_layers(press, view, atlas.layers)
        visible = view.seen([site.place for site in one.others])
        others = tuple(site for site, inside in zip(one.others, visible, strict=True) if inside)
        seen = any(agency.station is not None and view.shows(agency.station) for agency in atlas.agencies)
        verdicts = {site.verdict for site in one.sites}
        entries = key_entries(press, tuple(verdicts), layers.shown, stations=seen, others=bool(others))
        needed_mm = key_height_mm(press, entries, one.notes)
        if needed_mm <= key_mm:
            column = press.column
            key = lay_key(press, view, entries, one.notes, column.below(column.height_mm - key_mm))
            return view, layers, others, key
        key_mm = needed_mm


def _page(press: Press, one: _Map, view: MapView, layers: DrawnLayers, upper: Sequence[Item]) -> BoundPage:
    lines, minutes = graticule(view)
    under, over = lay_graticule(press, view, lines, minutes)
    items = (*under, *layers.items, *over, *upper)
    return press.page(items, title=one.title, label=one.label, destination=one.destination)


def _single(press: Press, atlas: Atlas, one: _Map) -> BoundPage:
    """A map on which every site has its label.

    Raises
    ------
    BlockOverrun
        A label finds no place.
    """
    view, layers, others, key = _laid_view(press, atlas, one)
    drawn = draw_sites(
        press,
        view,
        one.sites,
        others=others,
        agencies=atlas.agencies,
        layers=layers,
    )
    return _page(press, one, view, layers, [*drawn, *key])


def _tile_box(view: MapView, tile: _Map) -> Box:
    """The outline of a tile's sites on the index, inside its frame."""
    at = view.at([site.place for site in tile.sites])
    (left, top), (right, bottom) = at.min(axis=0).tolist(), at.max(axis=0).tolist()
    return Box(left_mm=left, top_mm=top, width_mm=right - left, height_mm=bottom - top).inset(-_TILE_PAD_MM)


def _tile_frames(press: Press, view: MapView, tiles: Sequence[_Map]) -> list[Item]:
    """The tiles on the index: outlines that lead to them, and their numbers."""
    boxes = [_tile_box(view, tile) for tile in tiles]
    stroke = press.looks.strokes["map_tile"]
    items: list[Item] = [Rect(box=box, stroke=stroke, block=BLOCK) for box in boxes]
    items += [
        Link(box=box, destination=tile.destination, block=BLOCK)
        for box, tile in zip(boxes, tiles, strict=True)
    ]
    numbers = [
        (press.words("binder.map.tile", number=number), box, tile.destination)
        for number, (box, tile) in enumerate(zip(boxes, tiles, strict=True), start=1)
    ]
    return [*items, *draw_numbers(press, view, numbers)]


def _index(press: Press, atlas: Atlas, one: _Map, tiles: Sequence[_Map]) -> list[BoundPage]:
    """All sites without labels, the tiles round them; then which site is on which tile."""
    view, layers, _, key = _laid_view(press, atlas, one)
    signs: list[Item] = []
    for site in sorted(one.sites, key=lambda site: site.verdict is not Verdict.INSIDE):
        signs += sign_of(press, site.verdict, view.point(site.place))
    signs += _tile_frames(press, view, tiles)
    map_page = _page(press, one, view, layers, [*signs, *key])
    return [map_page, *_list(press, one, tiles)]


def _list(press: Press, one: _Map, tiles: Sequence[_Map]) -> tuple[BoundPage, ...]:
    words = press.words
    pieces = [paragraph(press, words("binder.map.index_note"), "meta", block=BLOCK)]
    for tile in tiles:
        codes = words("binder.map.join").join(sorted(site.code for site in tile.sites))
        told = words("binder.map.tile_sites", label=tile.label, codes=codes)
        pieces += [gap(2.0), _leading(paragraph(press, told, "body", block=BLOCK), tile.destination)]
    return flow(
        press,
        pieces,
        title=words("binder.map.index_title", title=one.title),
        label=words("binder.map.index_label", label=one.label),
        destination=f"{one.destination} index",
        block=BLOCK,
    )


def _leading(piece: Piece, destination: str) -> Piece:
    """A piece that leads to a destination."""

    def lay(box: Box) -> LaidOut:
        laid = piece.lay(box)
        link = Link(box=replace(box, height_mm=laid.height_mm), destination=destination, block=BLOCK)
        return replace(laid, items=(*laid.items, link))

    return Piece(lay)


def _tile(press: Press, one: _Map, sites: tuple[MapSite, ...], number: int) -> _Map:
    """A part of a map; it shows the other sites where it sees them."""
    own = {site.code for site in sites}
    words = press.words
    return replace(
        one,
        sites=sites,
        others=(*(site for site in one.sites if site.code not in own), *one.others),
        title=words("binder.map.tile_label", label=one.title, number=number),
        label=words("binder.map.tile_label", label=one.label, number=number),
        destination=f"{one.destination} {number}",
        notes=one.notes[:1],
        share=_REACH_SHARE,
    )


def _if_room(press: Press, atlas: Atlas, one: _Map) -> BoundPage | None:
    """A map, or None where its sites cannot all be named on it; one alone always can."""
    try:
        return _single(press, atlas, one)
    except BlockOverrun:
        if len(one.sites) == 1:
            raise
        return None


def _parts(press: Press, atlas: Atlas, one: _Map) -> tuple[list[_Map], list[BoundPage]]:
    """The sites of a map on maps that each have room for theirs."""
    waiting = list(reversed(split_sites(one.sites, SITES_MOST)))
    tiles: list[_Map] = []
    pages: list[BoundPage] = []
    while waiting:
        group = waiting.pop()
        tile = _tile(press, one, group, len(tiles) + 1)
        page = _if_room(press, atlas, tile)
        if page is None:
            waiting += reversed(split_sites(group, (len(group) + 1) // 2))
        else:
            tiles.append(tile)
            pages.append(page)
    return tiles, pages


def _pages(press: Press, atlas: Atlas, one: _Map) -> list[BoundPage]:
    """A map; where it cannot name all its sites, an index and maps of its parts."""
    page = _if_room(press, atlas, one) if len(one.sites) <= SITES_MOST else None
    if page is not None:
        return [page]
    tiles, pages = _parts(press, atlas, one)
    return [*_index(press, atlas, one, tiles), *pages]


def county_maps(press: Press, atlas: Atlas) -> tuple[BoundPage, ...]:
    """The map of all sites; none where no place is known."""
    sites = atlas.sites()
    if not sites:
        return ()
    lost = [made.code for chapter in atlas.book for made in chapter.sites if map_site(made) is None]
    words = press.words
    one = _Map(
        sites=tuple(sites),
        others=(),
        title=words("binder.map.title"),
        label=words("binder.map.label"),
        destination=map_place(),
        notes=_notes(press, atlas, lost),
        share=_COUNTY_SHARE,
    )
    return tuple(_pages(press, atlas, one))


def reach_maps(press: Press, atlas: Atlas, chapter: Chapter) -> tuple[BoundPage, ...]:
    """The map of one reach's sites; none for sites of no reach, or where no place is known."""
    sites = _placed(chapter)
    reach = chapter.reach
    if reach is None or not sites:
        return ()
    codes = {site.code for site in sites}
    words = press.words
    one = _Map(
        sites=tuple(sites),
        others=tuple(site for site in atlas.sites() if site.code not in codes),
        title=words("binder.map.reach_title", code=reach.code, name=settable(reach.name, press, "name")),
        label=words("binder.map.reach_label", code=reach.code),
        destination=map_place(reach.code),
        notes=_notes(press, atlas, [made.code for made in chapter.sites if map_site(made) is None]),
        share=_REACH_SHARE,
    )
    return tuple(_pages(press, atlas, one))
