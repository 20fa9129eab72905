"""Which values were assumed and which limits decided, each with its source."""

from __future__ import annotations

from atlas.plan.anchor_rating import rated_hold_n
from atlas.plan.context import Context
from atlas.plan.results import Assumed, LimitUsed, RigPlan
from atlas.settings import Policy

__all__ = ["assumed_values", "limits_used"]

_LIMITS = (
    "limits.factor_track",
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


def limits_used(context: Context, policy: Policy, rig: RigPlan) -> tuple[LimitUsed, ...]:
    """Limits every verdict was measured against; the capture's own where the line hangs on it."""
    used = [
        LimitUsed(
            key=key,
            value=policy.value_of(key),
            unit=policy.provenance[key].unit,
            source=policy.provenance[key].source,
        )
        for key in _LIMITS
    ]
    if context.policy.limits.boats_pass_under:
        key = "limits.clearance_boats"
        source = policy.provenance[key]
        used.append(LimitUsed(key, policy.value_of(key), source.unit, source.source))
    if rig.capture_limit_n is not None:
        key = {"rope_grab_general": "general_use", "rope_grab_technical": "technical_use"}.get(
            rig.capture, "default"
        )
        source = policy.provenance[f"capture.{key}"]
        used.append(LimitUsed(f"capture.{key}", rig.capture_limit_n, source.unit, source.source))
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
    far = next(anchor for anchor in context.site.anchors if anchor.tag == context.frame.track_far_tag)
    if far.diameter_m is None:
        key = "lines.anchor_diameter_assumed"
        found.append(
            Assumed(f"anchor {far.tag} diameter", policy.value_of(key), "m", policy.provenance[key].source)
        )
    if rig.rope.agency is None:
        found.append(Assumed("track rope", None, "", policy.provenance["planning_rope.strength"].source))
    found += [
        Assumed(f"station {anchor.tag}", None, "", policy.provenance["stations.ferry_upriver_most"].source)
        for anchor in rig.anchors
        if not anchor.surveyed
    ]
    found += [
        Assumed(f"stage row {row.name}: {code}", None, "", policy.provenance["loads.width_to_depth"].source)
        for row in rig.stages
        for code in row.assumed
    ]
    return tuple(found)
