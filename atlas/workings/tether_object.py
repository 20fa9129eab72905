"""What a tether answers besides, as data; null of another rig."""

from __future__ import annotations

from atlas.plan import TetheredCase, TetherRig
from atlas.workings.notes import Table

__all__ = ["case_on_tether", "rig_on_tether"]


def case_on_tether(case: object) -> Table:
    """Both bow lines at their worst, and the lift on the bow."""
    if not isinstance(case, TetheredCase):
        return {"bow_lines": None, "lift_n": None}
    return {
        "bow_lines": [
            {
                "line": load.line,
                "tension_n": load.tension_n,
                "at_m": list(load.at),
                "factor": load.factor,
                "factor_part": load.part,
            }
            for load in case.bow
        ],
        "lift_n": case.lift_n,
    }


def _stations(rig: TetherRig) -> list[Table]:
    return [
        {
            "line": station.line,
            "bank": station.bank,
            "at_m": list(station.at),
            "height_m": station.height_m,
            "tag": station.tag,
            "pull_between_deg": None
            if station.pull_from_deg is None
            else [station.pull_from_deg, station.pull_to_deg],
            "set_aside": list(station.set_aside),
        }
        for station in rig.stations
    ]


def rig_on_tether(rig: object) -> Table | None:
    """Included angle, stations and their depth, ropes, work area and what of it can be reached."""
    if not isinstance(rig, TetherRig):
        return None
    depths = rig.depths
    return {
        "angle_deg": rig.angle_deg,
        "angle_at_m": list(rig.angle_at),
        "angle_most_deg": rig.angle_most_deg,
        "depth": {
            "near_m": depths.near_m,
            "far_m": depths.far_m,
            "needed_m": depths.needed_m,
            "move_m": depths.move_m,
            "outside_m": depths.outside_m,
        },
        "stations": _stations(rig),
        "ropes": [
            {
                "line": rope.line,
                "name": rope.name,
                "agency": rope.agency,
                "strength_n": rope.strength_n,
                "kept": rope.kept,
            }
            for rope in rig.ropes
        ],
        "work_areas_m": [
            {"kind": area.kind, "parts": [[list(point) for point in part] for part in area.parts]}
            for area in rig.work_areas
        ],
        "work_area_assumed": rig.work_area_assumed,
        "reachable_m": [[list(point) for point in ring] for ring in rig.reachable],
        "reachable_share": rig.reachable_share,
        "bow_ring_m": rig.bow_ring_m,
        "boat_length_m": rig.boat_length_m,
    }
