"""A tether in plan: bow lines from upriver to the boat amid its work area, stern lines from below."""

from __future__ import annotations

import shapely

from atlas.frame import Point, SiteFrame
from atlas.plan.tether_results import TetherRig
from atlas.sheets.plan_rig import BOAT_LENGTH_M, RigInPlan
from atlas.sheets.plan_water import flow_direction

__all__ = ["tether_in_plan", "tether_points"]

_STROKES = {
    "bow-near": "bow_near",
    "bow-far": "bow_far",
    "stern-near": "stern_near",
    "stern-far": "stern_far",
}


def _bow(rig: TetherRig) -> Point:
    """Where the boat's bow is drawn: the middle of the work area."""
    shapes = [
        shapely.Polygon(area.parts[0])
        if area.kind == "polygon"
        else shapely.MultiPoint([point for part in area.parts for point in part])
        for area in rig.work_areas
    ]
    middle = shapely.union_all(shapes).centroid
    return (float(middle.x), float(middle.y))


def _stern(bow: Point, along: Point) -> Point:
    return bow[0] + along[0] * BOAT_LENGTH_M, bow[1] + along[1] * BOAT_LENGTH_M


def tether_in_plan(site: SiteFrame, rig: TetherRig) -> RigInPlan:
    """Every line of the rig with the boat in the middle of the work area."""
    along = flow_direction(site)
    bow = _bow(rig)
    stern = _stern(bow, along)
    lines = tuple(
        (
            station.line,
            _STROKES[station.line],
            (station.at, bow if station.line.startswith("bow") else stern),
        )
        for station in rig.stations
    )
    return RigInPlan(lines, None, bow, along)


def tether_points(frame: SiteFrame, rig: TetherRig) -> list[Point]:
    """What a plan must show: stations, water's edges, work area, boat."""
    along, bow = flow_direction(frame), _bow(rig)
    points: list[Point] = [(frame.near_edge_x_m, 0.0), (frame.far_edge_x_m, 0.0)]
    points += [station.at for station in rig.stations]
    points += [point for area in rig.work_areas for part in area.parts for point in part]
    points.append(_stern(bow, along))
    points += [anchor.at for anchor in rig.anchors if anchor.load_n is not None]
    return points
