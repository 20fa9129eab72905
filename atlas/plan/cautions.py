"""Facts of a site, and the cautions, warnings and assumptions they bring up."""

from __future__ import annotations

from atlas.plan.context import Context
from atlas.plan.results import Caution
from atlas.plan.rig_results import RigPlan
from atlas.plan.tether_results import TetherRig
from atlas.plan.track_results import TrackLineRig
from atlas.records import DangerKind, Site
from atlas.settings import CautionList
from atlas.units import Figure, printed

__all__ = ["cautions_of", "facts_of", "tags_height_assumed", "tags_on_scene", "tags_rating_assumed"]


def tags_on_scene(rig: RigPlan) -> list[str]:
    """Stations placed by policy."""
    return [anchor.tag for anchor in rig.anchors if not anchor.surveyed]


def tags_rating_assumed(rig: RigPlan) -> list[str]:
    """Anchors in use whose hold was assumed."""
    return [anchor.tag for anchor in rig.anchors if anchor.rating_assumed and anchor.load_n is not None]


def tags_height_assumed(site: Site) -> list[str]:
    """Anchors whose tie height was assumed."""
    return [anchor.tag for anchor in site.anchors if anchor.height_assumed]


def facts_of(context: Context, rig: RigPlan, *, overdue: bool) -> frozenset[str]:
    """Names of the facts that hold at this site; templates/cautions.toml asks for them by name."""
    access = context.site.access
    kinds = {danger.kind for danger in context.site.dangers}
    on_track = isinstance(rig, TrackLineRig)
    facts = {
        "always": True,
        "low_head_dam": DangerKind.LOW_HEAD_DAM in kinds or access.dam is not None,
        "power_line": DangerKind.POWER_LINE in kinds,
        "strainer": DangerKind.STRAINER in kinds,
        "bridge_pier": DangerKind.BRIDGE_PIER in kinds,
        "undercut": DangerKind.UNDERCUT in kinds,
        "debris": DangerKind.DEBRIS in kinds,
        "outside_plan": not rig.planning.inside,
        "track_line": on_track,
        "tether": isinstance(rig, TetherRig),
        "device_capture": isinstance(rig, TrackLineRig) and rig.capture_limit_n is not None,
        "far_bank_cut_off": access.far_minutes is not None
        and access.far_minutes * 60.0 >= context.policy.limits.far_bank_cut_off,
        "line_at_head_height": on_track and _at_head_height(context),
        "cold_water": access.cold_water,
        "soft_hitch": _on_soft_hitch(context, rig),
        "snatch": on_track and _slack_counts(rig),
        "broached": _past_limits(rig, "broached"),
        "beyond_survey": any(row.beyond_survey for row in rig.stages),
        "assumed_values": bool(tags_rating_assumed(rig) or tags_height_assumed(context.site)),
        "overdue": overdue,
        "stations_on_scene": bool(tags_on_scene(rig)),
    }
    return frozenset(name for name, holds in facts.items() if holds)


def _on_soft_hitch(context: Context, rig: RigPlan) -> bool:
    """Whether the track line hangs on a hitch that slips when it is wet."""
    if not isinstance(rig, TrackLineRig) or rig.capture_limit_n is None:
        return False
    return context.gear.items[rig.capture].capture == "soft_hitch_wet"


def _past_limits(rig: RigPlan, name: str) -> bool:
    """Whether a case passes a limit at the planning stage, beside the rule that it is let go."""
    cases = [case for case in rig.planning.cases if case.case == name]
    return any(not note.code.startswith("let_go") for case in cases for note in case.why)


def _slack_counts(rig: RigPlan) -> bool:
    """Whether some slack in the up-down line brings a case past its limit, or nobody can tell."""
    if not isinstance(rig, TrackLineRig) or rig.track_answers is None:
        return True
    return any(one.slack_m is not None for one in rig.track_answers.slack)


def _at_head_height(context: Context) -> bool:
    frame = context.frame
    least_m = min(frame.near_tie_height_m, frame.far_tie_height_m) - context.planning.rise_m
    return least_m < context.policy.limits.tie_height_head


def cautions_of(context: Context, cautions: CautionList, facts: frozenset[str]) -> tuple[Caution, ...]:
    """Cautions whose fact holds, in the template's order within each signal word, most serious first."""
    order = ["DANGER", "WARNING", "CAUTION", "NOTICE"]
    minutes = context.site.access.far_minutes
    shown = "" if minutes is None else printed(Figure.MINUTES_TO_ARRIVE, minutes, context.units).first
    found = [
        Caution(signal=rule.signal, text=context.words(f"caution.{rule.code}", minutes=shown), code=rule.code)
        for rule in cautions.caution
        if rule.when in facts
    ]
    return tuple(sorted(found, key=lambda caution: order.index(caution.signal)))
