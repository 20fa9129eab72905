"""Which values were assumed and which limits decided, each with its source."""

from __future__ import annotations

from atlas.plan.anchor_rating import rated_hold_n
from atlas.plan.context import Context
from atlas.plan.results import Assumed, LimitUsed
from atlas.plan.rig_results import CaseResult, RigPlan, StageResult
from atlas.plan.tether_results import TetherRig
from atlas.plan.track_results import TrackLineRig
from atlas.settings import Policy

__all__ = ["assumed_values", "limits_used"]

_STATION_RULE = {
    "ferry": "stations.ferry_upriver_most",
    "up_down": "stations.up_down_downriver",
    "bow": "tether.included_angle_most",
    "stern": "tether.stern_below",
}
_WATER_RULE = {
    "speed_from_section_mean": "loads.surface_from_section",
    "speed_from_vertical_mean": "loads.surface_from_vertical",
    "scaled_from_highest_note": "loads.one_note_margin",
    "notes_scattered": "loads.one_note_margin",
    "depth_assumed": "loads.width_to_depth",
    "from_gauge": "loads.interval_level",
    "gauge_upstream": "loads.interval_level",
    "raised_to_gauge": "loads.interval_level",
}

_TETHER_LIMITS = (
    "limits.factor_lines",
    "limits.anchor_ratio",
    "limits.anchor_station_least",
    "tether.included_angle_most",
    "tether.boat_length",
)
_TRACK_LIMITS = (
    "limits.factor_track",
    "limits.factor_lines",
    "limits.clearance",
    "limits.anchor_ratio",
    "limits.anchor_track_least",
    "limits.anchor_station_least",
    "limits.set_fraction_of_strength",
    "limits.rule_of_12",
    "limits.rule_of_18",
    "limits.pull_per_person",
    "limits.clearance_closest_boat",
)


def _used(policy: Policy, key: str, value: float | None = None) -> LimitUsed:
    entry = policy.provenance[key]
    return LimitUsed(key, policy.value_of(key) if value is None else value, entry.unit, entry.source)


def limits_used(context: Context, policy: Policy, rig: RigPlan) -> tuple[LimitUsed, ...]:
    """Limits every verdict was measured against; the capture's own where the line hangs on it."""
    if isinstance(rig, TetherRig):
        return tuple(_used(policy, key) for key in _TETHER_LIMITS)
    if not isinstance(rig, TrackLineRig):
        return ()
    used = [_used(policy, key) for key in _TRACK_LIMITS]
    if context.policy.limits.boats_pass_under:
        used.append(_used(policy, "limits.clearance_boats"))
    if rig.capture_limit_n is not None:
        key = context.gear.items[rig.capture].capture or "default"
        used.append(_used(policy, f"capture.{key}", rig.capture_limit_n))
    return tuple(used)


def assumed_values(context: Context, policy: Policy, rig: RigPlan) -> tuple[Assumed, ...]:
    """Everything taken without the survey's word: holds, heights, sizes, stations, modelled water."""
    found = []
    for anchor in context.site.anchors:
        hold = rated_hold_n(context, anchor.tag)
        if hold is not None and hold.assumed:
            source = policy.provenance[f"anchor_kinds.{anchor.kind}.of_size_squared"].source
            found.append(Assumed(f"anchor {anchor.tag} hold", hold.hold_n, "N", source))
        if anchor.height_assumed:
            found.append(
                Assumed(f"anchor {anchor.tag} height", anchor.height_m, "m", "assumed by the reader")
            )
    if isinstance(rig, TrackLineRig):
        found += _assumed_of_track(context, policy, rig)
    if isinstance(rig, TetherRig) and rig.work_area_assumed:
        found.append(Assumed("work area", None, "", "bank to bank down to the reach-down: none drawn"))
    found += [
        Assumed(f"station {anchor.tag}", None, "", policy.provenance[_STATION_RULE[anchor.uses[0]]].source)
        for anchor in rig.anchors
        if not anchor.surveyed
    ]
    found += [
        Assumed(f"stage row {_row_name(row)}: {code}", None, "", _water_source(policy, code))
        for row in rig.stages
        for code in row.assumed
    ]
    return tuple(found)


def _assumed_of_track(context: Context, policy: Policy, rig: TrackLineRig) -> list[Assumed]:
    """Size of the far anchor, and the rope where none was taken."""
    found = []
    far = next(anchor for anchor in context.site.anchors if anchor.tag == context.frame.track_far_tag)
    if far.diameter_m is None:
        key = "lines.anchor_diameter_assumed"
        found.append(
            Assumed(f"anchor {far.tag} diameter", policy.value_of(key), "m", policy.provenance[key].source)
        )
    if rig.rope.agency is None:
        found.append(Assumed("track rope", None, "", policy.provenance["planning_rope.strength"].source))
    return found


def _row_name(row: StageResult[CaseResult]) -> str:
    """A row by its stage, else by its rise over the survey day's water."""
    return f"{row.rise_m:+.2f} m" if row.stage_m is None else f"at {row.stage_m:.2f} m"


def _water_source(policy: Policy, code: str) -> str:
    """Where an assumption about the water comes from: a figure of the policy, else the survey's notes."""
    key = _WATER_RULE.get(code)
    return "from the other notes of the survey" if key is None else policy.provenance[key].source
