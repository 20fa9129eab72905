"""Background layers on a map: cut to the frame, thinned to what print can show, drawn by kind."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from atlas.binder.map_frame import MapView, window_degrees
from atlas.paper import Item, Point, Polyline, Stroke
from atlas.paper.press import Press
from atlas.records import Layer, LayerFeature

__all__ = ["DrawnLayers", "LineName", "drawn_layers", "layer_stroke"]

_TOLERANCE_MM: Final = 0.07
"""Lines are thinned to this: under half of what the eye tells apart at arm's length."""
_SHORTEST_MM: Final = 0.4
_GRID_MM: Final = 0.001
_WEIGHTS: Final = 4
"""Classes of line weight between the lowest and the highest rank of a layer."""
_MAIN: Final = 0.5
"""Share of the way from the lowest to the highest rank from which labels keep off a line."""
_FEW: Final = 30
"""Features of a layer up to which labels keep off all of them."""
_NAMES_MOST: Final = 12
_NAME_POINTS: Final = (0.5, 0.35, 0.65, 0.2, 0.8)
_KINDS: Final = {"river": "map_river", "boundary": "map_boundary", "road": "map_road"}

Lines = list[shapely.LineString]


@dataclass(frozen=True, slots=True)
class LineName:
    """A name that may be written beside a line: where, best first; the line's length on the page."""

    text: str
    points: tuple[Point, ...]
    length_mm: float
    order: float


@dataclass(frozen=True, slots=True)
class DrawnLayers:
    """What the layers of a map come to.

    Attributes
    ----------
    rivers, edges : larger rivers, and other lines, as wide as they print: labels keep off where they can
    names : longest and largest first
    shown : layers of which something is visible
    """

    items: tuple[Item, ...]
    rivers: tuple[shapely.Geometry, ...]
    edges: tuple[shapely.Geometry, ...]
    names: tuple[LineName, ...]
    shown: tuple[Layer, ...]


def layer_stroke(press: Press, layer: Layer) -> Stroke:
    """How the lines of a layer look, the largest of them."""
    return press.looks.strokes[_KINDS.get(layer.kind, "map_other")]


def _visible(view: MapView, layer: Layer) -> list[tuple[LayerFeature, Lines]]:
    """Features of a layer with their lines inside the frame [mm]."""
    owners = [number for number, feature in enumerate(layer.features) for _ in feature.parts]
    parts = [np.asarray(part) for feature in layer.features for part in feature.parts]
    near = [number for number, keep in enumerate(_meet_window(view, parts)) if keep]
    if not near:
        return []
    points = view.at(np.concatenate([parts[number] for number in near]))
    index = np.repeat(np.arange(len(near)), [len(parts[number]) for number in near])
    clipped = shapely.clip_by_rect(shapely.linestrings(points, indices=index), *view.window)
    pieces, piece_of = shapely.get_parts(clipped, return_index=True)
    found: dict[int, Lines] = defaultdict(list)
    for piece, number in zip(pieces.tolist(), piece_of.tolist(), strict=True):
        if piece.geom_type == "LineString" and piece.length >= _SHORTEST_MM / 4:
            found[owners[near[number]]].append(piece)
    return [(layer.features[number], lines) for number, lines in found.items()]


def _meet_window(view: MapView, parts: Sequence[NDArray[np.float64]]) -> NDArray[np.bool_]:
    """Which lines may be visible, by their bounds in degrees: a layer of a whole state is cheap."""
    west, east, south, north = window_degrees(view)
    starts = np.cumsum([0, *(len(part) for part in parts[:-1])])
    every = np.concatenate(parts)
    longitudes, latitudes = view.east_of_origin(every[:, 0]), every[:, 1]
    low_x, high_x = np.minimum.reduceat(longitudes, starts), np.maximum.reduceat(longitudes, starts)
    low_y, high_y = np.minimum.reduceat(latitudes, starts), np.maximum.reduceat(latitudes, starts)
    return np.asarray((low_x <= east) & (high_x >= west) & (low_y <= north) & (high_y >= south))


def _shares(features: Sequence[LayerFeature]) -> list[float]:
    """How far each feature's rank is from the lowest (0) to the highest (1) there is."""
    orders = [feature.order for feature in features if feature.order is not None]
    low, high = min(orders, default=0.0), max(orders, default=0.0)
    if high == low:
        return [1.0] * len(features)
    return [0.0 if one.order is None else (one.order - low) / (high - low) for one in features]


def _stroke(press: Press, layer: Layer, share: float) -> Stroke:
    largest = layer_stroke(press, layer)
    if layer.kind != "river":
        return largest
    least_mm = press.looks.strokes["map_stream"].weight_mm
    return replace(largest, weight_mm=least_mm + share * (largest.weight_mm - least_mm))


def _joined(lines: Lines) -> Lines:
    """Lines each drawn once, joined end to end, thinned: two counties share one border."""
    # cut at the frame, two copies of one border differ in the last digits: bring them to one grid
    whole = shapely.line_merge(shapely.union_all(lines, grid_size=_GRID_MM))
    thinned = shapely.simplify(shapely.get_parts(whole), _TOLERANCE_MM, preserve_topology=False)
    kept = [line for line in thinned.tolist() if not line.is_empty and line.length >= _SHORTEST_MM]
    return sorted(kept, key=lambda line: line.coords[:])


def _drawn(
    press: Press, layer: Layer, found: Sequence[tuple[LayerFeature, Lines]]
) -> tuple[list[Item], list[shapely.Geometry]]:
    classes: dict[float, Lines] = defaultdict(list)
    for share, (_, lines) in zip(_shares([one for one, _ in found]), found, strict=True):
        classes[round(share * (_WEIGHTS - 1)) / (_WEIGHTS - 1)] += lines
    items: list[Item] = []
    main: list[shapely.Geometry] = []
    for share in sorted(classes):
        stroke = _stroke(press, layer, share)
        for line in _joined(classes[share]):
            points = tuple((x, y) for x, y in shapely.get_coordinates(line).tolist())
            items.append(Polyline(points=points, stroke=stroke, block="map"))
            if share >= _MAIN or len(found) <= _FEW:
                main.append(line.buffer(stroke.weight_mm / 2))
    return items, main


def _names(found: Sequence[tuple[LayerFeature, Lines]]) -> list[LineName]:
    by_name: dict[str, tuple[Lines, float]] = {}
    for feature, lines in found:
        if feature.name is not None and not feature.closed:
            known, order = by_name.get(feature.name, ([], 0.0))
            by_name[feature.name] = ([*known, *lines], max(order, feature.order or 0.0))
    names = []
    for text, (lines, order) in by_name.items():
        pieces = shapely.get_parts(shapely.line_merge(shapely.union_all(lines))).tolist()
        longest = max(pieces, key=lambda line: (line.length, line.coords[0]))
        points = [longest.interpolate(share, normalized=True) for share in _NAME_POINTS]
        names.append(LineName(text, tuple((at.x, at.y) for at in points), longest.length, order))
    return names


def drawn_layers(press: Press, view: MapView, layers: Sequence[Layer]) -> DrawnLayers:
    """The layers of a map, in the order of county.toml, the first at the bottom."""
    items: list[Item] = []
    rivers: list[shapely.Geometry] = []
    edges: list[shapely.Geometry] = []
    names: list[LineName] = []
    shown: list[Layer] = []
    for layer in layers:
        found = _visible(view, layer)
        if not found:
            continue
        shown.append(layer)
        own_items, own_main = _drawn(press, layer, found)
        items += own_items
        if layer.kind == "river":
            rivers += own_main
        else:
            edges += own_main
        names += _names(found)
    names.sort(key=lambda name: (-name.order, -name.length_mm, name.text))
    return DrawnLayers(tuple(items), tuple(rivers), tuple(edges), tuple(names[:_NAMES_MOST]), tuple(shown))
