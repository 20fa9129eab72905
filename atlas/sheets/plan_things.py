"""What stands about the rig in plan: anchors, dangers, posts, work area; and what lies beyond the view."""

from __future__ import annotations

import shapely

from atlas.frame import PlacedDanger, PlacedShape, Point
from atlas.paper import Circle, Item, Polyline, Symbol, symbol
from atlas.plan.results import PostPlan
from atlas.plan.rig_results import AnchorPlan
from atlas.records import DangerKind
from atlas.sheets.anchors import anchor_symbol
from atlas.sheets.desk import Desk
from atlas.sheets.view import View
from atlas.units import Figure

BLOCK = "plan"
ANCHOR_MM = 3.2
DANGER_MM = 4.2
POST_MM = 2.0
_FRAME_GAP_MM = 0.3
"""Between a danger's sign and the frame of the view."""


def shape_on_page(view: View, shape: PlacedShape) -> shapely.Geometry:
    """A danger or work area on the page, cut to the frame."""
    if shape.kind == "point":
        geometry = shapely.MultiPoint([view.at(part[0]) for part in shape.parts])
    elif shape.kind == "line":
        geometry = shapely.MultiLineString([view.line(part) for part in shape.parts])
    else:
        shell, *holes = (view.line(part) for part in shape.parts)
        geometry = shapely.make_valid(shapely.Polygon(shell, holes))
    return geometry.intersection(view.window)


def kind_name(desk: Desk, kind: str, kind_text: str) -> str:
    """A danger's name in the wording, or as the survey has it."""
    if kind == DangerKind.OTHER.value:
        return kind_text.replace("_", " ")
    return desk.words(f"sheet.danger.{kind}")


def danger_name(desk: Desk, danger: PlacedDanger) -> str:
    """What a danger is called."""
    return kind_name(desk, danger.kind.value, danger.kind_text)


def anchor_point(shape: PlacedShape) -> Point:
    """One point of a shape for its sign: of a line its middle one, of a polygon inside it."""
    if shape.kind == "point":
        return shape.parts[0][0]
    if shape.kind == "line":
        middle = shapely.LineString(shape.parts[0]).interpolate(0.5, normalized=True)
    else:
        middle = shapely.make_valid(shapely.Polygon(shape.parts[0])).representative_point()
    return middle.x, middle.y


def downstream_of(shape: PlacedShape) -> float:
    """How far below the track line a shape begins; negative above it, 0 where it reaches across [m]."""
    downstream_m = [y_m for part in shape.parts for _, y_m in part]
    if min(downstream_m) <= 0.0 <= max(downstream_m):
        return 0.0
    return min(downstream_m, key=abs)


def danger_place(view: View, danger: PlacedDanger) -> Point | None:
    """Where a danger's sign stands, whole inside the frame of the page; None if it lies beyond the view."""
    visible = shape_on_page(view, danger.shape)
    if visible.is_empty:
        return None
    if danger.shape.kind == "line":
        longest = max(shapely.get_parts(visible), key=lambda part: part.length)
        point = longest.interpolate(0.5, normalized=True) if longest.geom_type == "LineString" else longest
    else:
        point = visible.representative_point()
    room = view.frame.inset(DANGER_MM / 2 + _FRAME_GAP_MM)
    return (
        min(max(float(point.x), room.left_mm), room.right_mm),
        min(max(float(point.y), room.top_mm), room.bottom_mm),
    )


def downstream_text(desk: Desk, what: str, downstream_m: float) -> str:
    """``strainer 180 ft downstream``."""
    key = "sheet.plan.downstream" if downstream_m >= 0 else "sheet.plan.upstream"
    return desk.words(key, what=what, distance=desk.first(Figure.DANGER_DISTANCE, abs(downstream_m)))


def beyond_text(desk: Desk, view: View) -> str:
    """Dangers that lie beyond the view, nearest first; posts stand in their own list."""
    beyond = [
        (downstream_of(danger.shape), danger_name(desk, danger))
        for danger in desk.plan.frame.dangers
        if danger_place(view, danger) is None
    ]
    texts = [downstream_text(desk, name, y) for y, name in sorted(beyond, key=lambda item: abs(item[0]))]
    if not texts:
        return ""
    return desk.words("sheet.plan.beyond", list=desk.words("sheet.separator").join(dict.fromkeys(texts)))


def lay_work_area(desk: Desk, view: View, area: PlacedShape) -> list[Item]:
    """The work area: paper white in the water, with a dotted edge; drawn as a point a small ring."""
    stroke = desk.strokes["work_area"]
    visible = shape_on_page(view, area)
    items: list[Item] = []
    for part in shapely.get_parts(visible):
        if part.geom_type == "Polygon":
            points = tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
            items.append(
                Polyline(
                    points=points, closed=True, stroke=stroke, fill=desk.colours["work_area"], block=BLOCK,
                    clear_of_text=True,
                )
            )  # fmt: skip
        elif part.geom_type == "Point":
            items.append(
                Circle(
                    x_mm=part.x, y_mm=part.y, radius_mm=2.4, stroke=stroke, fill=desk.colours["work_area"],
                    block=BLOCK,
                )
            )  # fmt: skip
    return items


def lay_danger(desk: Desk, view: View, danger: PlacedDanger) -> list[Item]:
    """A danger's outline, and the warning sign on it."""
    place = danger_place(view, danger)
    if place is None:
        return []
    stroke = desk.strokes["danger"]
    items: list[Item] = []
    for part in shapely.get_parts(shape_on_page(view, danger.shape)):
        if part.geom_type in ("LineString", "Polygon"):
            ring = part.exterior if part.geom_type == "Polygon" else part
            points = tuple((float(x), float(y)) for x, y in ring.coords)
            items.append(Polyline(points=points, stroke=stroke, block=BLOCK, clear_of_text=True))
    items += symbol(
        Symbol.WARNING, x_mm=place[0], y_mm=place[1], size_mm=DANGER_MM, colour=stroke.colour, block=BLOCK
    )
    return items


def lay_anchor(view: View, anchor: AnchorPlan) -> list[Item]:
    """An anchor's sign."""
    x_mm, y_mm = view.at(anchor.at)
    return list(symbol(anchor_symbol(anchor), x_mm=x_mm, y_mm=y_mm, size_mm=ANCHOR_MM, block=BLOCK))


def lay_post(desk: Desk, view: View, post: PostPlan) -> list[Item]:
    """A post's sign: a ring."""
    if not view.shows(post.at):
        return []
    x_mm, y_mm = view.at(post.at)
    return [
        Circle(
            x_mm=x_mm, y_mm=y_mm, radius_mm=POST_MM / 2, stroke=desk.strokes["bank"],
            fill=desk.colours["paper"],
            block=BLOCK,
        )
    ]  # fmt: skip
