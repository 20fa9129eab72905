"""The river in plan: water between its edges, banks, and which way it flows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, radians, sin

import shapely

from atlas.frame import Point, SiteFrame
from atlas.paper import Area, Item, Polyline, arrow_head
from atlas.records import Bank
from atlas.sheets.desk import Desk
from atlas.sheets.pieces import segment
from atlas.sheets.view import View

BLOCK = "plan"
_FAR_M = 1000.0
"""Beyond any page."""
_ARROW_MM = 11.0
_HEAD_MM = (3.2, 2.4)
_ARROW_CLEAR_MM = 2.2
_ARROW_DOWN = (0.1, 0.5, 0.9)
"""Where arrows are tried, of the frame's height."""
_ARROW_ACROSS = (0.5, 0.3, 0.7, 0.18, 0.82)
"""Where they are tried from edge to edge, best first."""


@dataclass(frozen=True, slots=True)
class River:
    """The river on the page [mm].

    Attributes
    ----------
    water : between the edges, as far as the frame shows
    surveyed, guessed : bank lines that were drawn on the survey, and their straight continuation
    """

    water: shapely.Geometry
    surveyed: tuple[shapely.Geometry, ...]
    guessed: tuple[shapely.Geometry, ...]

    @property
    def banks(self) -> list[shapely.Geometry]:
        """Bank lines that the frame shows."""
        return [line for line in (*self.surveyed, *self.guessed) if not line.is_empty]


def flow_direction(site: SiteFrame) -> Point:
    """Unit vector of the flow in the site's frame."""
    turn = radians(site.skew_deg)
    return sin(turn), cos(turn)


def _edge(site: SiteFrame, bank: Bank) -> list[Point]:
    """A bank's drawn edge from up the river to down; one point where none was drawn."""
    lines = [list(points) for side, points in site.edges if side is bank]
    if not lines:
        return [(site.near_edge_x_m if bank is Bank.NEAR else site.far_edge_x_m, 0.0)]
    along = flow_direction(site)

    def downstream(point: Point) -> float:
        return point[0] * along[0] + point[1] * along[1]

    turned = [line if downstream(line[0]) <= downstream(line[-1]) else line[::-1] for line in lines]
    return [point for line in sorted(turned, key=lambda line: downstream(line[0])) for point in line]


def _ends(site: SiteFrame, edge: list[Point]) -> tuple[Point, Point]:
    """Far up and far down the river from an edge's ends, along the flow."""
    x, y = flow_direction(site)
    return (
        (edge[0][0] - _FAR_M * x, edge[0][1] - _FAR_M * y),
        (edge[-1][0] + _FAR_M * x, edge[-1][1] + _FAR_M * y),
    )


def river_on_page(site: SiteFrame, view: View) -> River:
    """Water and banks, cut to the frame."""
    window = view.window
    whole, surveyed, guessed = [], [], []
    for bank in Bank:
        edge = _edge(site, bank)
        up, down = _ends(site, edge)
        whole.append([up, *edge, down])
        if len(edge) > 1:
            surveyed.append(shapely.LineString(view.line(edge)).intersection(window))
        guessed += [
            shapely.LineString(view.line(part)).intersection(window)
            for part in ((up, edge[0]), (edge[-1], down))
        ]
    near, far = whole
    water = shapely.make_valid(shapely.Polygon(view.line([*near, *reversed(far)])))
    return River(water.intersection(window), tuple(surveyed), tuple(guessed))


def without(river: River, panels: Sequence[shapely.Geometry]) -> River:
    """The river with panels left out of it, for what stands in the frame's corners."""
    for panel in panels:
        river = River(
            river.water.difference(panel),
            tuple(line.difference(panel) for line in river.surveyed),
            tuple(line.difference(panel) for line in river.guessed),
        )
    return river


def _paths(geometry: shapely.Geometry) -> list[tuple[Point, ...]]:
    """Every line of a geometry as points."""
    parts = [part for part in shapely.get_parts(geometry) if part.geom_type == "LineString"]
    return [tuple((float(x), float(y)) for x, y in part.coords) for part in parts if part.length > 0]


def lay_water(desk: Desk, river: River) -> list[Item]:
    """Tinted water and its banks."""
    items: list[Item] = []
    for part in shapely.get_parts(river.water):
        if part.geom_type == "Polygon":
            rings = [part.exterior, *part.interiors]
            points = tuple(tuple((float(x), float(y)) for x, y in ring.coords) for ring in rings)
            items.append(Area(rings=points, fill=desk.colours["water"], block=BLOCK))
    for lines, stroke in ((river.guessed, "bank_guessed"), (river.surveyed, "bank")):
        items += [
            Polyline(points=path, stroke=desk.strokes[stroke], block=BLOCK, clear_of_text=True)
            for line in lines
            for path in _paths(line)
        ]
    return items


def _arrow(middle: Point, along: Point) -> shapely.LineString:
    half_mm = _ARROW_MM / 2
    return shapely.LineString(
        [
            (middle[0] - half_mm * along[0], middle[1] - half_mm * along[1]),
            (middle[0] + half_mm * along[0], middle[1] + half_mm * along[1]),
        ]
    )


def place_arrows(
    site: SiteFrame, view: View, river: River, busy: Sequence[shapely.Geometry]
) -> list[shapely.LineString]:
    """Flow arrows in clear water: one up the river, one about the line, one down, where there is room."""
    x, y = view.turned(flow_direction(site))
    along = (x / hypot(x, y), y / hypot(x, y))
    inner = river.water.buffer(-_ARROW_CLEAR_MM, quad_segs=2)
    shapely.prepare(inner)
    in_the_way = shapely.STRtree(busy)
    frame = view.frame
    arrows = []
    for down in _ARROW_DOWN:
        level_mm = frame.top_mm + down * (frame.height_mm - _ARROW_MM - 3) + _ARROW_MM / 2 + 1.5
        across = shapely.LineString([(frame.left_mm, level_mm), (frame.right_mm, level_mm)]).intersection(
            inner
        )
        if across.is_empty:
            continue
        left_mm, _, right_mm, _ = across.bounds
        for share in _ARROW_ACROSS:
            arrow = _arrow((left_mm + share * (right_mm - left_mm), level_mm), along)
            near = in_the_way.query(arrow, predicate="dwithin", distance=_ARROW_CLEAR_MM)
            if not len(near) and inner.contains(arrow):
                arrows.append(arrow)
                break
    return arrows


def lay_arrows(desk: Desk, arrows: list[shapely.LineString], toward_deg: float) -> list[Item]:
    """Flow arrows as strokes with heads."""
    items: list[Item] = []
    for arrow in arrows:
        start, tip = arrow.coords
        items.append(segment(desk, start, tip, stroke="flow", block=BLOCK))
        items.append(
            arrow_head(
                tip=tip, toward_deg=toward_deg, length_mm=_HEAD_MM[0], width_mm=_HEAD_MM[1],
                colour=desk.strokes["flow"].colour, block=BLOCK,
            )
        )  # fmt: skip
    return items
