"""One rig of a site as data."""

from __future__ import annotations

from atlas.plan import AnchorPlan, CaseResult, Limit, LinePlan, RigPlan, StageResult, Take
from atlas.workings.cover_object import cover_object
from atlas.workings.crew_object import answers_object
from atlas.workings.notes import Table, note_object
from atlas.workings.tether_object import case_on_tether, rig_on_tether
from atlas.workings.track_object import case_on_track, rig_on_track

__all__ = ["rig_object"]


def _take(take: Take) -> Table:
    return {
        "agency": take.agency,
        "rope": take.rope,
        "length_m": take.length_m,
        "diameter_m": take.diameter_m,
    }


def _line(line: LinePlan) -> Table:
    return {
        "line": line.line,
        "needed_m": line.needed_m,
        "floor_m": line.floor_m,
        "parts": [{"part": part.part, "length_m": part.length_m} for part in line.parts],
        "take": [_take(take) for take in line.take],
        "short_m": line.short_m,
        "nearest": None if line.nearest is None else _take(line.nearest),
    }


def _case(case: CaseResult) -> Table:
    """A load case, keys in the order of the contract, added ones after."""
    track = case_on_track(case)
    return {
        "case": case.case,
        "drag_n": case.drag_n,
        "tension_n": case.tension_n,
        **{key: track[key] for key in ("tension_at", "clearance_m", "clearance_at", "bow_m")},
        "factor": case.factor,
        **{key: track[key] for key in ("ferry_near_n", "ferry_far_n", "up_down_hold_n", "up_down_haul_n")},
        "inside": case.inside,
        "why": [note_object(note) for note in case.why],
        "judged": case.judged,
        "clearance_needed_m": track["clearance_needed_m"],
        "factor_part": case.factor_part,
        **{key: track[key] for key in ("clearance_part", "lowest_line", "bow_at")},
        **case_on_tether(case),
    }


def _stage(stage: StageResult[CaseResult]) -> Table:
    return {
        "name": stage.name,
        "planning": stage.planning,
        "stage_m": stage.stage_m,
        "discharge_m3_s": stage.discharge_m3_s,
        "surface_speed_m_s": stage.surface_speed_m_s,
        "design_speed_m_s": stage.design_speed_m_s,
        "width_m": stage.width_m,
        "beyond_survey": stage.beyond_survey,
        "cases": [_case(case) for case in stage.cases],
        "modelled": stage.modelled,
        "rise_m": stage.rise_m,
        "assumed": list(stage.assumed),
        "inside": stage.inside,
        "setback_near_m": stage.near_setback_m,
        "setback_far_m": stage.far_setback_m,
        "drowned": list(stage.drowned),
    }


def _limit(limit: Limit | None) -> Table | None:
    if limit is None:
        return None
    return {
        "surface_speed_m_s": limit.surface_speed_m_s,
        "stage_m": limit.stage_m,
        "governed_by": limit.governed_by,
        "float_distance_m": limit.float_distance_m,
        "float_seconds": limit.float_seconds,
        "rise_m": limit.rise_m,
        "stage_speed_m_s": limit.stage_speed_m_s,
        "stage_width_m": limit.stage_width_m,
        "stage_governed_by": limit.stage_governed_by,
        "held_speed_m_s": limit.held_speed_m_s,
        "held_governed_by": limit.held_governed_by,
    }


def _anchor(anchor: AnchorPlan) -> Table:
    return {
        "tag": anchor.tag,
        "bank": anchor.bank,
        "uses": list(anchor.uses),
        "surveyed": anchor.surveyed,
        "place": list(anchor.place),
        "at_m": list(anchor.at),
        "kind": anchor.kind,
        "height_m": anchor.height_m,
        "height_planning_m": anchor.height_planning_m,
        "load_n": anchor.load_n,
        "needed_n": anchor.needed_n,
        "rating_n": anchor.rating_n,
        "rating_assumed": anchor.rating_assumed,
        "ratio": anchor.ratio,
        "do_not_use": anchor.do_not_use,
        "drowned": anchor.drowned,
        "why": [note_object(note) for note in anchor.why],
    }


_ON_TRACK = ("rope", "pretension_n", "pretension_window_n")
"""Keys of the contract that only a rig with a track line has, before `least_factor`."""
_MORE_ON_TRACK = (
    "window_governed_by", "window_opens", "limit_bows", "tie_heights", "window_closes", "travel_m",
    "seating_m", "capture", "leverage_m",
)  # fmt: skip


def rig_object(rig: RigPlan) -> Table:
    """One rig, keys in the order of the contract, added ones after; null what this rig does not have."""
    track = rig_on_track(rig)
    return {
        "rig": rig.rig,
        "chosen": rig.chosen,
        "lines": [_line(line) for line in rig.lines],
        **{key: track[key] for key in _ON_TRACK},
        "least_factor": rig.least_factor,
        "haul": track["haul"],
        "closest_boat_m": track["closest_boat_m"],
        "stages": [_stage(stage) for stage in rig.stages],
        "limit": _limit(rig.limit),
        "gear": [
            {
                "item": need.item,
                "needed": need.needed,
                "held": need.held,
                "short": need.short,
                "rating_n": need.rating_n,
            }
            for need in rig.gear
        ],
        "crew": [{"post": post.post, "people": post.people, "least": post.least} for post in rig.crew],
        "cover": cover_object(rig.cover),
        **{key: track[key] for key in _MORE_ON_TRACK},
        "anchors": [_anchor(anchor) for anchor in rig.anchors],
        "answers": answers_object(rig),
        "untold": rig.untold,
        "inside": rig.inside,
        "why": [note_object(note) for note in rig.reasons],
        "tether": rig_on_tether(rig),
    }
