"""Rigs of kind ``track-line``, the movable control point: a carriage on a line from bank to bank.

Rope and computation agree, then everything that follows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from atlas.faults import EngineeringError
from atlas.plan.agreement import Agreed, agree
from atlas.plan.anchors import anchor_plans
from atlas.plan.called import rig_cover
from atlas.plan.context import Context
from atlas.plan.gear import crew_posts
from atlas.plan.gear_facts import rigged, rigged_and_loaded
from atlas.plan.lines import line_plans
from atlas.plan.mechanics import Mechanics, capture_limit, planning_travel
from atlas.plan.profile import section_profiles
from atlas.plan.questions import Answered, answer_questions
from atlas.plan.reasons import Reasons
from atlas.plan.rig_results import AnchorPlan, RigPlan
from atlas.plan.rigs.batches import in_halves
from atlas.plan.track_results import Haul, Profile, TrackCase, TrackLineRig, TrackStage, Window
from atlas.plan.turned import Turned, turn_round
from atlas.plan.verdict import stage_results

__all__ = ["plan", "plan_movable_control_points"]


def _planning(stages: Sequence[TrackStage]) -> TrackStage:
    return next(stage for stage in stages if stage.planning)


def _with(case: TrackCase, reasons: Reasons, closest_m: float) -> TrackCase:
    """The held boat, which comes no nearer than this, before the reason that always stands."""
    if case.case != "boat-held":
        return case
    last = tuple(note for note in case.why if note.code == "let_go")
    first = tuple(note for note in case.why if note.code != "let_go")
    return replace(case, inside=False, why=(*first, reasons.closest_boat(closest_m), *last))


def _with_closest_boat(
    stages: tuple[TrackStage, ...], reasons: Reasons, closest_m: float | None
) -> tuple[TrackStage, ...]:
    """The planning row's held boat judged on how near it may come: no farther than the work reaches.

    `closest_m` None, no distance keeps the boat's clearance: then the greater one asked of the held boat
    is not kept either, and stands as the reason.
    """
    if closest_m is None or closest_m <= reasons.context.frame.reach_down_m:
        return stages
    return tuple(
        replace(stage, cases=tuple(_with(case, reasons, closest_m) for case in stage.cases))
        if stage.planning
        else stage
        for stage in stages
    )


def _window(mechanics: Mechanics) -> Window | None:
    ends = mechanics.window
    if not ends.is_open or ends.low_n is None or ends.high_n is None:
        return None
    return Window(
        low_n=ends.low_n,
        high_n=ends.high_n,
        high_governed_by=ends.governed_by,
        low_governed_by="clearance",
    )


def _haul_travel_m(mechanics: Mechanics) -> float:
    """Rope the haul takes in at the near anchor: from hanging slack to set, and what seating gives back.

    From a line laid bank to bank with a sag of a twentieth of the span (common practice, no source:
    hand-tight over water), 8/3 f^2 of the span longer than its chord (parabola), to the most set.
    """
    setup, bounds = mechanics.site.setup, mechanics.site.bounds
    slack_m = 8.0 / 3.0 * 0.05**2 * setup.span_m
    stretch_m = setup.span_m * mechanics.haul.most_n / bounds.low_n
    return float(slack_m + stretch_m + bounds.seating_m)


def _wrapped(context: Context) -> str | None:
    """The anchor round which the track line itself is wrapped."""
    return context.frame.track_far_tag if context.rig.far_end == "wraps" else None


def _rigged(context: Context) -> Context:
    """With what is rigged counted: track ends and stations."""
    stations = context.stations
    placed = (stations.ferry_near, stations.ferry_far, stations.up_down)
    tags = [context.frame.track_near_tag, context.frame.track_far_tag, *(one.tag for one in placed)]
    return rigged(context, tags, wrapped=_wrapped(context))


def _loaded(context: Context, planning: TrackStage, anchors: Sequence[AnchorPlan], haul: str) -> Context:
    """And with what the loads at the planning stage ask of hardware."""
    judged, limits = [case for case in planning.cases if case.judged], context.policy.limits
    hauled_n = max(case.up_down_haul_n for case in judged)
    tended_n = max(max(case.ferry_near_n, case.ferry_far_n, case.up_down_hold_n) for case in judged)
    asked_n = {
        "track": limits.factor_track * max(case.tension_n for case in judged),
        "tended": limits.factor_lines * max(tended_n, hauled_n),
        # a pulley bears both sides of its line
        "pulley": limits.factor_lines * 2.0 * hauled_n,
    }
    return rigged_and_loaded(context, anchors, asked_n, wrapped=_wrapped(context), haul=haul)


def _rig_plan(
    context: Context,
    agreed: Agreed,
    stages: tuple[TrackStage, ...],
    turned: Turned,
    profile: Profile,
    answered: Answered,
) -> TrackLineRig:
    mechanics = agreed.mechanics
    stages = _with_closest_boat(stages, Reasons(context, mechanics), turned.closest_boat_m)
    capture, capture_n = capture_limit(context)
    levered = (mechanics.leverage_from_m, mechanics.leverage_to_m)
    ((from_m, to_m),) = planning_travel([context], [levered])
    haul = mechanics.haul
    anchors = anchor_plans(context, _planning(stages))
    brought = rig_cover(_loaded(context, _planning(stages), anchors, haul.system), agreed.covers)
    return TrackLineRig(
        rig=context.rig.name,
        chosen=False,
        lines=line_plans(agreed.lengths, agreed.covers),
        rope=mechanics.rope,
        pretension_n=haul.least_n,
        window=_window(mechanics),
        window_opens=turned.opens,
        least_factor=context.policy.limits.factor_track,
        haul=Haul(
            system=haul.system,
            people=haul.people,
            least_n=haul.least_n,
            most_n=haul.most_n,
            travel_m=_haul_travel_m(mechanics),
            fits=haul.fits,
        ),
        closest_boat_m=turned.closest_boat_m,
        travel_from_m=from_m,
        travel_to_m=to_m,
        seating_m=mechanics.site.bounds.seating_m,
        capture=capture,
        capture_limit_n=capture_n,
        stages=stages,
        limit=turned.limit,
        anchors=anchors,
        gear=brought.gear,
        crew=crew_posts(context),
        cover=brought.cover,
        profile=profile,
        leverage_m=levered if mechanics.has_leverage else None,
        limit_bows=turned.limit_bows,
        tie_heights=turned.tie_heights,
        window_closes=turned.closes,
        answers=answered.crew,
        track_answers=answered.track,
        untold=answered.untold,
    )


def plan_movable_control_points(contexts: Sequence[Context]) -> list[TrackLineRig]:
    """Lines, loads, limits, gear and crew of the rig at every site.

    Raises
    ------
    OutOfRange, NoSolution
        A site cannot be computed; the text says why.
    """
    contexts = [_rigged(context) for context in contexts]
    agreed = agree(contexts)
    mechanics = [one.mechanics for one in agreed]
    stages = stage_results(contexts, mechanics)
    planning = [_planning(rows) for rows in stages]
    turned = turn_round(contexts, mechanics, stages)
    profiles = section_profiles(contexts, mechanics, planning)
    answered = answer_questions(contexts, agreed, turned)
    columns = zip(contexts, agreed, stages, turned, profiles, answered, strict=True)
    return [_rig_plan(*each) for each in columns]


def plan(contexts: Sequence[Context]) -> list[RigPlan | EngineeringError]:
    """Rigs of kind ``track-line``: for each context the rig, or why it cannot be computed."""
    found: list[RigPlan | EngineeringError] = []
    for _, alike in groupby(contexts, key=lambda context: context.rig.name):
        found += in_halves(plan_movable_control_points, list(alike))
    return found
