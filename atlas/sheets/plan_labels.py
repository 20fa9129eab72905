"""What is written on the plan: lines with their needed lengths, anchors, dangers, posts, work area, banks."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from atlas.paper import Align, Point, Text
from atlas.plan.rig_results import AnchorPlan
from atlas.records import Bank, NearBank
from atlas.sheets.desk import Desk
from atlas.sheets.figures import number_and_unit
from atlas.sheets.lines import tag_of
from atlas.sheets.map_labels import MapLabel
from atlas.sheets.plan_grounds import reached_share
from atlas.sheets.plan_rig import RigInPlan
from atlas.sheets.plan_things import (
    ANCHOR_MM,
    DANGER_MM,
    POST_MM,
    danger_name,
    danger_place,
    shape_on_page,
)
from atlas.sheets.plan_water import River
from atlas.sheets.posts import post_name
from atlas.sheets.view import View
from atlas.units import Figure

BLOCK = "plan"
_ALONG = (0.5, 0.35, 0.65, 0.22, 0.78)
"""Where along a line its label may stand, best first."""
_ROUND = (0.0, 0.2, 0.4, 0.6, 0.8)
"""Where round the work area its label may stand."""
_ON_LINE_MM = 0.6
_BANK_DOWN = (0.93, 0.85, 0.75, 0.6, 0.07, 0.15, 0.3, 0.45)
"""Where down the frame a bank's name may stand, best first."""
_BANK_CLEAR_MM = 1.0


def _needed(desk: Desk, line: str) -> str:
    needed_m = next((plan.needed_m for plan in desk.plan.chosen.lines if plan.line == line), None)
    return "" if needed_m is None else desk.first(Figure.NEEDED_LENGTH, needed_m)


def line_labels(desk: Desk, view: View, rig: RigInPlan, *, lengths: bool = True) -> list[MapLabel]:
    """Each line's tag and the length needed, somewhere along it; of the up-down line along its first part.

    `lengths`: False leaves them to the list of lines.
    """
    labels = []
    for name, _, path in rig.lines:
        if name == "empty":
            continue
        on_page = shapely.LineString(view.line(path[:2] if name == "up-down" else path))
        points = [on_page.interpolate(share, normalized=True) for share in _ALONG]
        needed = _needed(desk, name) if lengths else ""
        labels.append(
            MapLabel(
                key=name,
                points=tuple((point.x, point.y) for point in points),
                runs=((needed, "map_label"),) if needed else (),
                tag=tag_of(desk, name),
                mark_mm=_ON_LINE_MM,
            )
        )
    return labels


def shown_anchors(desk: Desk, view: View) -> list[AnchorPlan]:
    """Anchors that the plan shows whole: of those without a line some may stand too far off."""
    return [
        anchor
        for anchor in desk.plan.chosen.anchors
        if view.window.buffer(-ANCHOR_MM / 2).contains(shapely.Point(view.at(anchor.at)))
    ]


def anchor_labels(desk: Desk, view: View, *, sparse: bool, used_alone: bool = False) -> list[MapLabel]:
    """Each anchor's tag, and that it is not to be used; `sparse` leaves that to sign and table.

    `used_alone`: of the anchors with a line on them.
    """
    labels = []
    for anchor in shown_anchors(desk, view):
        if used_alone and anchor.load_n is None:
            continue
        runs = [(anchor.tag, "map_strong")]
        if anchor.do_not_use and not sparse:
            runs.append((desk.words("sheet.anchors.do_not_use"), "map_label"))
        labels.append(
            MapLabel(f"anchor {anchor.tag}", (view.at(anchor.at),), tuple(runs), mark_mm=ANCHOR_MM / 2)
        )
    return labels


def danger_labels(desk: Desk, view: View) -> list[MapLabel]:
    """What each danger is."""
    labels = []
    for number, danger in enumerate(desk.plan.frame.dangers):
        place = danger_place(view, danger)
        if place is not None:
            name = danger_name(desk, danger)
            labels.append(
                MapLabel(f"danger {number} {name}", (place,), ((name, "map_strong"),), mark_mm=DANGER_MM / 2)
            )
    return labels


def post_labels(desk: Desk, view: View) -> list[MapLabel]:
    """What each post is that the plan shows."""
    return [
        MapLabel(
            f"post {number} {post_name(desk, post)}",
            (view.at(post.at),),
            ((post_name(desk, post), "map_label"),),
            mark_mm=POST_MM / 2,
        )
        for number, post in enumerate(desk.plan.posts)
        if view.shows(post.at)
    ]


def _work_area_name(desk: Desk) -> str:
    """That it is the work area, and in how much of it the boat is held where that is not all."""
    share = reached_share(desk)
    if share >= 1.0:
        return desk.words("sheet.plan.work_area")
    shown = desk.first(Figure.REACHED, 100.0 * share)
    if number_and_unit(shown)[0] == "100":  # all but a hair
        return desk.words("sheet.plan.work_area")
    if number_and_unit(shown)[0] == "0":
        return desk.words("sheet.plan.work_area_missed")
    return desk.words("sheet.plan.work_area_held", share=shown)


def work_area_labels(desk: Desk, view: View) -> list[MapLabel]:
    """That it is the work area, at its edge."""
    labels = []
    for number, area in enumerate(desk.plan.frame.work_areas):
        visible = shape_on_page(view, area)
        if visible.is_empty:
            continue
        points: tuple[Point, ...]
        if visible.geom_type == "Polygon":
            ring = [visible.exterior.interpolate(share, normalized=True) for share in _ROUND]
            points = tuple((point.x, point.y) for point in ring)
        else:
            middle = visible.representative_point()
            points = ((middle.x, middle.y),)
        runs = ((_work_area_name(desk), "water_label"),)
        labels.append(MapLabel(f"work area {number}", points, runs, mark_mm=0.4))
    return labels


def _bank_point(view: View, river: River, *, left: bool, down: float, room_mm: float) -> Point | None:
    """A point on dry ground at that height, left or right of the water; None where there is no room."""
    frame = view.frame
    y_mm = frame.top_mm + down * frame.height_mm
    level = shapely.LineString([(frame.left_mm, y_mm), (frame.right_mm, y_mm)])
    wet = level.intersection(river.water)
    if wet.is_empty:
        return None
    low_mm, _, high_mm, _ = wet.bounds
    dry = (frame.left_mm, low_mm) if left else (high_mm, frame.right_mm)
    return ((dry[0] + dry[1]) / 2, y_mm) if dry[1] - dry[0] >= room_mm else None


def bank_names(
    desk: Desk, view: View, river: River, busy: Sequence[shapely.Geometry]
) -> list[tuple[Text, shapely.Polygon]]:
    """Near and far bank, and which side of the river each is, where there is ground to write on."""
    words, style = desk.words, desk.styles["water_label"]
    near = desk.plan.frame.near_bank
    far = NearBank.LEFT if near is NearBank.RIGHT else NearBank.RIGHT
    names = []
    in_the_way = shapely.STRtree(busy)
    for bank, side in ((Bank.NEAR, near), (Bank.FAR, far)):
        text = words("sheet.plan.bank", bank=words(f"sheet.bank.{bank}"), side=words(f"sheet.bank.{side}"))
        half_mm = desk.fonts.width_mm(text, style) / 2
        cap_mm = desk.fonts.heights(style).cap_mm
        for down in _BANK_DOWN:
            # looking down the page, river right is at the left
            point = _bank_point(
                view, river, left=side is NearBank.RIGHT, down=down, room_mm=2 * half_mm + 3.0
            )
            if point is None:
                continue
            x_mm, y_mm = point
            place = shapely.box(x_mm - half_mm, y_mm - cap_mm, x_mm + half_mm, y_mm + cap_mm / 3)
            if not len(in_the_way.query(place, predicate="dwithin", distance=_BANK_CLEAR_MM)):
                label = Text(x_mm=x_mm, y_mm=y_mm, text=text, style=style, align=Align.CENTRE, block=BLOCK)
                names.append((label, place))
                break
    return names
