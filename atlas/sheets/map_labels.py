"""Labels of plan and section: what each says, how much room it takes, and its drawing once placed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from atlas.paper import Box, Item, LabelWish, Point, place_labels, spans_width_mm
from atlas.sheets.desk import Desk
from atlas.sheets.lines import TAG_HEIGHT_MM, lay_tag, tag_width_mm
from atlas.sheets.pieces import Run, lay_runs, segment, spans_of

_TAG_GAP_MM = 0.9
_OVER_CAP_MM = 0.3
_UNDER_MM = 0.75
_QUARTER = 3
"""Corners of a quarter turn of a pen: enough for what lies under half a millimetre."""


@dataclass(frozen=True, slots=True)
class MapLabel:
    """A label: a line's tag (or none), then texts of their styles.

    Attributes
    ----------
    points : what it names on the page, best first
    mark_mm : radius of the sign drawn there
    """

    key: str
    points: tuple[Point, ...]
    runs: tuple[Run, ...]
    tag: str = ""
    mark_mm: float = 1.8


def grown(geometries: Sequence[shapely.Geometry], by_mm: float | Sequence[float]) -> list[shapely.Geometry]:
    """What a pen of some width leaves of lines and points: the obstacles of labels."""
    if not len(geometries):
        return []
    found: list[shapely.Geometry] = shapely.buffer(geometries, by_mm, quad_segs=_QUARTER).tolist()
    return found


def _cap_mm(desk: Desk, label: MapLabel) -> float:
    return max((desk.fonts.heights(desk.styles[style]).cap_mm for _, style in label.runs), default=0.0)


def _height_mm(desk: Desk, label: MapLabel) -> float:
    text_mm = _cap_mm(desk, label) + _OVER_CAP_MM + _UNDER_MM
    return max(text_mm, TAG_HEIGHT_MM) if label.tag else text_mm


def _tag_room_mm(desk: Desk, label: MapLabel) -> float:
    return tag_width_mm(desk, label.tag) + (_TAG_GAP_MM if label.runs else 0.0) if label.tag else 0.0


def _wish(desk: Desk, label: MapLabel) -> LabelWish:
    width_mm = _tag_room_mm(desk, label) + spans_width_mm(spans_of(desk, label.runs), desk.fonts)
    return LabelWish(
        key=label.key,
        points=label.points,
        width_mm=width_mm,
        height_mm=_height_mm(desk, label),
        mark_mm=label.mark_mm,
    )


def _lay(desk: Desk, label: MapLabel, box: Box, block: str) -> list[Item]:
    items: list[Item] = []
    left_mm = box.left_mm
    middle_mm = box.centre[1]
    if label.tag:
        width_mm = tag_width_mm(desk, label.tag)
        items += lay_tag(desk, label.tag, x_mm=left_mm + width_mm / 2, y_mm=middle_mm, block=block)
        left_mm += _tag_room_mm(desk, label)
    base_mm = middle_mm + _cap_mm(desk, label) / 2
    if not label.tag:
        base_mm = box.top_mm + _OVER_CAP_MM + _cap_mm(desk, label)
    items += lay_runs(
        desk, label.runs, x_mm=left_mm, y_mm=base_mm, width_mm=box.right_mm - left_mm, block=block
    )
    return items


def lay_map_labels(
    desk: Desk, labels: Sequence[MapLabel], obstacles: Sequence[shapely.Geometry], frame: Box, block: str
) -> list[Item]:
    """Labels placed clear of obstacles and of each other, with leaders where they had to move away.

    Raises
    ------
    BlockOverrun
        A label found no place; names it.
    """
    for label in labels:
        for text, style in label.runs:
            desk.fonts.require(text, desk.styles[style].face, block)
    wishes = [_wish(desk, label) for label in labels]
    items: list[Item] = []
    for label, placed in zip(
        labels, place_labels(wishes, obstacles=obstacles, frame=frame, block=block), strict=True
    ):
        if placed.leader is not None:
            items.append(segment(desk, *placed.leader, stroke="leader", block=block, clear_of_text=False))
        items += _lay(desk, label, placed.box, block)
    return items
