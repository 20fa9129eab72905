"""One rig of a site as data."""

from __future__ import annotations

from atlas.plan import (
    AnchorPlan,
    Limit,
    LimitBow,
    LinePlan,
    LoadPlace,
    Note,
    TieHeights,
    TrackCase,
    TrackLineRig,
    TrackStage,
    WindowCloses,
)
from atlas.workings.crew_object import answers_object

__all__ = ["rig_object"]

Table = dict[str, object]


def _note(note: Note) -> Table:
    said: Table = {"code": note.code, "text": note.text}
    return said if note.about is None else {**said, "about": note.about}


def _line(line: LinePlan) -> Table:
    return {
        "line": line.line,
        "needed_m": line.needed_m,
        "floor_m": line.floor_m,
        "parts": [{"part": part.part, "length_m": part.length_m} for part in line.parts],
        "take": [
            {
                "agency": take.agency,
                "rope": take.rope,
                "length_m": take.length_m,
                "diameter_m": take.diameter_m,
            }
            for take in line.take
        ],
        "short_m": line.short_m,
    }


def _rope(rig: TrackLineRig) -> Table:
    rope = rig.rope
    return {
        "strength_n": rope.strength_n,
        "weight_n_m": rope.weight_n_m,
        "stiffness_n": rope.stiffness_n,
        "stiffness_low_n": rope.stiffness_low_n,
        "stiffness_high_n": rope.stiffness_high_n,
        "kept": rope.kept,
        "name": rope.name,
        "agency": rope.agency,
        "diameter_m": rope.diameter_m,
    }


def _place(place: LoadPlace) -> Table:
    """With these, `atlas.rigging.TrackLine` gives the value beside it back."""
    return {
        "at_m": place.at_m,
        "load_n": [place.along_n, place.downstream_n, place.up_n],
        "pretension_n": place.pretension_n,
        "stiffness_n": place.stiffness_n,
        "seating_m": place.seating_m,
    }


def _case(case: TrackCase) -> Table:
    return {
        "case": case.case,
        "drag_n": case.drag_n,
        "tension_n": case.tension_n,
        "tension_at": _place(case.tension_at),
        "clearance_m": case.clearance_m,
        "clearance_at": _place(case.clearance_at),
        "bow_m": case.bow_m,
        "factor": case.factor,
        "ferry_near_n": case.ferry_near_n,
        "ferry_far_n": case.ferry_far_n,
        "up_down_hold_n": case.up_down_hold_n,
        "up_down_haul_n": case.up_down_haul_n,
        "inside": case.inside,
        "why": [_note(note) for note in case.why],
        "judged": case.judged,
        "clearance_needed_m": case.clearance_needed_m,
        "factor_part": case.factor_part,
    }


def _stage(stage: TrackStage) -> Table:
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


def _bow(bow: LimitBow) -> Table:
    return {
        "at_m": bow.at_m,
        "bow_m": bow.bow_m,
        "tension_n": bow.tension_n,
        "governed_by": bow.governed_by,
        "bow_at": _place(bow.place),
    }


def _ties(ties: TieHeights | None) -> Table | None:
    if ties is None:
        return None
    return {"near_m": ties.near_m, "far_m": ties.far_m, "raised_m": ties.raised_m}


def _closes(closes: WindowCloses | None) -> Table | None:
    if closes is None:
        return None
    return {
        "rise_m": closes.rise_m,
        "stage_m": closes.stage_m,
        "design_speed_m_s": closes.design_speed_m_s,
        "width_m": closes.width_m,
        "set_n": closes.set_n,
        "governed_by": closes.governed_by,
    }


def _turned(rig: TrackLineRig) -> Table:
    """What the forward model was turned round for, beside window and limit."""
    return {
        "limit_bows": [_bow(bow) for bow in rig.limit_bows],
        "tie_heights": _ties(rig.tie_heights),
        "window_closes": _closes(rig.window_closes),
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
        "why": [_note(note) for note in anchor.why],
    }


def _window(rig: TrackLineRig) -> list[float] | None:
    return None if rig.window is None else [rig.window.low_n, rig.window.high_n]


def _about_window(rig: TrackLineRig) -> Table:
    """What holds the window's two ends, and what would open an empty one."""
    window, opens = rig.window, rig.window_opens
    ends = None if window is None else {"from": window.low_governed_by, "to": window.high_governed_by}
    return {"window_governed_by": ends, "window_opens": None if opens is None else _note(opens)}


def rig_object(rig: TrackLineRig) -> Table:
    """One rig, keys in the order of the contract, added ones after."""
    haul = rig.haul
    return {
        "rig": rig.rig,
        "chosen": rig.chosen,
        "lines": [_line(line) for line in rig.lines],
        "rope": _rope(rig),
        "pretension_n": rig.pretension_n,
        "pretension_window_n": _window(rig),
        "least_factor": rig.least_factor,
        "haul": {
            "system": haul.system,
            "people": haul.people,
            "least_n": haul.least_n,
            "most_n": haul.most_n,
            "travel_m": haul.travel_m,
            "fits": haul.fits,
        },
        "closest_boat_m": rig.closest_boat_m,
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
        **_about_window(rig),
        **_turned(rig),
        "travel_m": [rig.travel_from_m, rig.travel_to_m],
        "leverage_m": None if rig.leverage_m is None else list(rig.leverage_m),
        "seating_m": rig.seating_m,
        "capture": {"device": rig.capture, "limit_n": rig.capture_limit_n},
        "anchors": [_anchor(anchor) for anchor in rig.anchors],
        "answers": answers_object(rig),
        "untold": rig.untold,
    }
