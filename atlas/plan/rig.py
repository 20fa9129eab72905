"""The movable control point at one site: rope and computation agree, then everything that follows."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from atlas.cover import Cover
from atlas.faults import NoSolution
from atlas.plan.anchors import anchor_plans
from atlas.plan.context import Context
from atlas.plan.gear import crew_posts, gear_needs
from atlas.plan.judging import Judge, tended_strengths
from atlas.plan.lines import cover_of, line_lengths, line_plans
from atlas.plan.mechanics import (
    PLACES,
    Mechanics,
    capped_drag,
    capture_limit,
    drag_most_n,
    planning_water,
    solve_mechanics,
    travel_at,
)
from atlas.plan.profile import section_profile
from atlas.plan.results import Haul, Limit, Note, RigPlan, Window
from atlas.plan.track_rope import cache_rope, planning_rope
from atlas.rigging.closest_boat import closest_boat_m
from atlas.rigging.envelope import places_between
from atlas.rigging.haul import ideal_advantage
from atlas.rigging.limit_speed import limit_speed
from atlas.rigging.lines import LineLength
from atlas.rigging.window import tie_rise_that_opens
from atlas.units import Figure, UnitSystem, printed

__all__ = ["plan_movable_control_point"]

_TURNS = 8


@dataclass(frozen=True, slots=True)
class _Agreed:
    mechanics: Mechanics
    lengths: dict[str, LineLength]
    covers: dict[str, Cover]


def _agree(context: Context) -> _Agreed:
    """Rope taken = rope computed with: lengths, cover, rope and haul to a fixed point.

    The haul built in the line may only grow from turn to turn, so that the turns end; a cover that
    goes round between two ropes is settled on the one it came from, if it still serves.
    """
    mechanics = solve_mechanics(context, planning_rope(context))
    advantage = ideal_advantage(mechanics.haul.system)
    for _ in range(_TURNS):
        lengths = line_lengths(context, mechanics, haul_advantage=advantage)
        covers = cover_of(context, lengths)
        taken = covers["track"].take
        rope = cache_rope(context, taken[0]) if taken else planning_rope(context)
        needs = ideal_advantage(mechanics.haul.system)
        if rope == mechanics.rope and needs <= advantage:
            return _Agreed(mechanics, lengths, covers)
        mechanics = solve_mechanics(context, rope)
        advantage = max(advantage, ideal_advantage(mechanics.haul.system))
    raise NoSolution("track line: the rope taken and the rope computed with do not come to agree")


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


def _what_opens(context: Context, mechanics: Mechanics) -> Note | None:
    """What would open an empty window: higher ties, if they can."""
    if mechanics.window.is_open:
        return None
    most_m = context.policy.window.tie_rise_most
    high_n = mechanics.window.high_n
    travel = travel_at(context, mechanics, context.planning)
    water = planning_water(context, places_m=places_between(from_m=travel[0], to_m=travel[1], count=PLACES))
    rise_m = (
        None
        if high_n is None
        else tie_rise_that_opens(
            mechanics.setup, water, mechanics.bounds, pretension_n=high_n, rise_most_m=most_m
        )
    )
    code = "nothing" if rise_m is None else "tie_height"
    shown = printed(Figure.TIE_HEIGHT_NEEDED, most_m if rise_m is None else rise_m, context.units).both
    return Note(code=code, text=context.words(f"opens.{code}", rise=shown))


def _limit(context: Context, mechanics: Mechanics, judge: Judge) -> Limit | None:
    """Limit speed at the planning stage's geometry; none where the rig is outside plan in still water."""
    from_m, to_m = travel_at(context, mechanics, context.planning)
    drag = context.judged_drag_per_speed2
    shown_m_s = (drag_most_n() / drag.max()) ** 0.5
    found = limit_speed(
        mechanics.setup,
        mechanics.limits,
        mechanics.bounds,
        set_n=(mechanics.haul.least_n, mechanics.haul.most_n),
        drag_per_speed2=drag,
        water_rise_m=context.planning.rise_m,
        clearance_base_m=context.clearance_base_m,
        places_m=places_between(from_m=from_m, to_m=to_m, count=PLACES),
        speed_most_m_s=min(context.policy.loads.speed_most, shown_m_s),
    )
    if found is None:
        return None
    # what the track line's limits do not know of: stations, tended lines, an anchor with several lines
    found = judge.slowest_outside(speed_most_m_s=found.speed_m_s) or found
    if found.speed_m_s <= 0.0:
        return None
    check = context.policy.float_check
    step_m = check.paces_step_si if context.units is UnitSystem.SI else check.paces_step
    distance_m = ceil(found.speed_m_s * check.seconds_least / step_m) * step_m
    return Limit(
        surface_speed_m_s=found.speed_m_s,
        stage_m=None,
        governed_by=found.governed_by,
        float_distance_m=distance_m,
        float_seconds=distance_m / found.speed_m_s,
    )


def _closest_boat(context: Context, mechanics: Mechanics) -> float | None:
    row = context.planning
    from_m, to_m = travel_at(context, mechanics, row)
    case = next(case for case in context.cases if case.name == "boat-held")
    return closest_boat_m(
        mechanics.setup,
        mechanics.bounds,
        drag_n=capped_drag(drag_per_speed2=case.drag_per_speed2, speed_m_s=row.design_speed_m_s),
        water_rise_m=row.rise_m,
        pretension_n=mechanics.haul.least_n,
        clearance_least_m=context.policy.limits.clearance_closest_boat,
        places_m=places_between(from_m=from_m, to_m=to_m, count=PLACES),
    )


def _haul_travel_m(mechanics: Mechanics) -> float:
    """Rope the haul takes in at the near anchor: from hanging slack to set, and what seating gives back.

    From a line laid bank to bank with a sag of a twentieth of the span (common practice, no source:
    hand-tight over water), 8/3 f^2 of the span longer than its chord (parabola), to the most set.
    """
    setup = mechanics.setup
    slack_m = 8.0 / 3.0 * 0.05**2 * setup.span_m
    stretch_m = setup.span_m * mechanics.haul.most_n / mechanics.bounds.low_n
    return float(slack_m + stretch_m + mechanics.bounds.seating_m)


def plan_movable_control_point(context: Context) -> RigPlan:
    """Lines, loads, limits, gear and crew of the rig.

    Raises
    ------
    OutOfRange, NoSolution
        The site cannot be computed; the text says why.
    """
    agreed = _agree(context)
    mechanics = agreed.mechanics
    judge = Judge(context, mechanics, tended_strengths(context, agreed.covers))
    closest_m = _closest_boat(context, mechanics)
    stages = judge.with_closest_boat(judge.stages(context.rows), closest_m)
    planning = next(stage for stage in stages if stage.planning)
    capture, capture_n = capture_limit(context)
    from_m, to_m = travel_at(context, mechanics, context.planning)
    haul = mechanics.haul
    return RigPlan(
        rig=context.rig.name,
        chosen=True,
        lines=line_plans(agreed.lengths, agreed.covers),
        rope=mechanics.rope,
        pretension_n=haul.least_n,
        window=_window(mechanics),
        window_opens=_what_opens(context, mechanics),
        least_factor=context.policy.limits.factor_track,
        haul=Haul(
            system=haul.system,
            people=haul.people,
            least_n=haul.least_n,
            most_n=haul.most_n,
            travel_m=_haul_travel_m(mechanics),
            fits=haul.fits,
        ),
        closest_boat_m=closest_m,
        travel_from_m=from_m,
        travel_to_m=to_m,
        seating_m=mechanics.bounds.seating_m,
        capture=capture,
        capture_limit_n=capture_n,
        stages=stages,
        limit=_limit(context, mechanics, judge),
        anchors=anchor_plans(context, planning),
        gear=gear_needs(context),
        crew=crew_posts(context),
        profile=section_profile(context, mechanics),
    )
