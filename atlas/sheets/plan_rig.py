"""The rig in plan: where each line runs, carriage and boat."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.frame import Point, SiteFrame
from atlas.paper import Circle, Item, Polyline
from atlas.paper.looks import Looks
from atlas.plan.rig_results import AnchorPlan
from atlas.plan.track_results import TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.plan_water import flow_direction
from atlas.sheets.view import View

BLOCK = "plan"
_CARRIAGE_MM = 1.3
BOAT_LENGTH_M, _BOAT_WIDTH_M = 4.0, 1.8
_BOAT_LEAST_MM = 4.0
_BOW_SHARE = 0.4
"""Least share of the way down at which the bow is drawn."""
_LEAST_DOWN = 0.2
"""Of a skewed flow, so that no boat is drawn off the page."""
_BOAT_SHAPE: tuple[Point, ...] = ((0.0, 0.0), (0.35, 0.5), (1.0, 0.42), (1.0, -0.42), (0.35, -0.5))
"""Hull from its bow, lengths along and shares of the width across."""


@dataclass(frozen=True, slots=True)
class RigInPlan:
    """Where the rig lies in the site's frame [m].

    Attributes
    ----------
    lines : stroke and path by line of the rig; ``empty`` is the track line without the carriage
    carriage : None of a rig without one
    boat : its bow; `along` the flow it lies down
    """

    lines: tuple[tuple[str, str, tuple[Point, ...]], ...]
    carriage: Point | None
    boat: Point
    along: Point


def station(rig: TrackLineRig, bank: str, use: str) -> AnchorPlan | None:
    """The station of a use on a bank: the loaded one before others, never one that is out."""
    there = [
        anchor
        for anchor in rig.anchors
        if anchor.bank == bank and use in anchor.uses and not anchor.do_not_use and not anchor.drowned
    ]
    loaded = [anchor for anchor in there if anchor.load_n is not None]
    return next(iter(loaded or there), None)


def boat_bow(site: SiteFrame, carriage: Point, along: Point) -> Point:
    """The boat's bow down the flow from the carriage; its stern at the reach-down where that leaves room."""
    whole_m = max(site.reach_down_m - carriage[1], BOAT_LENGTH_M) / max(along[1], _LEAST_DOWN)
    down_m = max(whole_m - BOAT_LENGTH_M, whole_m * _BOW_SHARE)
    return carriage[0] + along[0] * down_m, carriage[1] + along[1] * down_m


def boat_stern(site: SiteFrame, rig: TrackLineRig) -> Point:
    """How far the drawn boat reaches, for what a view must show."""
    bow = rig_in_plan(site, rig).boat
    along = flow_direction(site)
    return bow[0] + along[0] * BOAT_LENGTH_M, bow[1] + along[1] * BOAT_LENGTH_M


def rig_in_plan(site: SiteFrame, rig: TrackLineRig) -> RigInPlan:
    """Every line of the rig with the carriage at its greatest bow, the boat down the flow from it."""
    profile = rig.profile
    bow = tuple(zip(profile.bow_x_m, profile.bow_y_m, strict=True))
    carriage = max(bow, key=lambda point: point[1])
    along = flow_direction(site)
    boat = boat_bow(site, carriage, along)
    lines = [
        ("empty", "track_empty", ((0.0, 0.0), (site.span_m, 0.0))),
        ("track", "track_loaded", bow),
    ]
    for line, stroke, bank, use in (
        ("ferry-near", "ferry_near", "near", "ferry"),
        ("ferry-far", "ferry_far", "far", "ferry"),
        ("up-down", "up_down", "near", "up_down"),
    ):
        at = station(rig, bank, use)
        if at is not None:
            path = (at.at, carriage, boat) if line == "up-down" else (at.at, carriage)
            lines.append((line, stroke, path))
    return RigInPlan(tuple(lines), carriage, boat, along)


def boat_alone(site: SiteFrame) -> RigInPlan:
    """The boat in the middle of the water at the reach-down, without any line."""
    middle_m = (site.near_edge_x_m + site.far_edge_x_m) / 2
    return RigInPlan((), None, (middle_m, site.reach_down_m), flow_direction(site))


def rig_points(frame: SiteFrame, rig: TrackLineRig) -> list[Point]:
    """What a plan must show: tie points, stations, water's edges, bow, work area."""
    points: list[Point] = [
        (0.0, 0.0),
        (frame.span_m, 0.0),
        (frame.near_edge_x_m, 0.0),
        (frame.far_edge_x_m, 0.0),
    ]
    points += [anchor.at for anchor in rig.anchors]
    points += zip(rig.profile.bow_x_m, rig.profile.bow_y_m, strict=True)
    points += [point for area in frame.work_areas for part in area.parts for point in part]
    points.append(boat_stern(frame, rig))
    return points


def boat_outline(view: View, rig: RigInPlan) -> tuple[Point, ...]:
    """The boat on the page, its bow up the river; drawn larger than scale where it would be a dot."""
    grow = max(1.0, _BOAT_LEAST_MM / (BOAT_LENGTH_M * view.mm_per_m))
    length_mm, width_mm = (grow * size * view.mm_per_m for size in (BOAT_LENGTH_M, _BOAT_WIDTH_M))
    bow = view.at(rig.boat)
    x, y = view.turned(rig.along)
    return tuple(
        (
            bow[0] + back * length_mm * x - out * width_mm * y,
            bow[1] + back * length_mm * y + out * width_mm * x,
        )
        for back, out in _BOAT_SHAPE
    )


def carriage_sign(looks: Desk | Looks, *, x_mm: float, y_mm: float, block: str) -> list[Item]:
    """The carriage in plan: a heavy ring."""
    ink, paper, edge = looks.colours["ink"], looks.colours["paper"], looks.strokes["ferry_near"]
    return [
        Circle(x_mm=x_mm, y_mm=y_mm, radius_mm=_CARRIAGE_MM, stroke=edge, fill=ink, block=block),
        Circle(x_mm=x_mm, y_mm=y_mm, radius_mm=_CARRIAGE_MM * 0.42, fill=paper, block=block),
    ]


def lay_rig(desk: Desk, view: View, rig: RigInPlan) -> list[Item]:
    """Lines by their strokes, the heaviest last, then carriage and boat."""
    edge, paper = desk.strokes["ferry_near"], desk.colours["paper"]
    items: list[Item] = [
        Polyline(points=view.line(path), stroke=desk.strokes[stroke], block=BLOCK, clear_of_text=True)
        for name, stroke, path in sorted(rig.lines, key=lambda line: line[0] == "track")
    ]
    items.append(
        Polyline(
            points=boat_outline(view, rig), closed=True, stroke=edge, fill=paper, block=BLOCK,
        )
    )  # fmt: skip
    if rig.carriage is None:
        return items
    x_mm, y_mm = view.at(rig.carriage)
    return [*items, *carriage_sign(desk, x_mm=x_mm, y_mm=y_mm, block=BLOCK)]
