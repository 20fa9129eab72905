"""The track line of one rope at one site: travel, limits, window and haul at the planning stage."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians
from typing import get_args

import numpy as np
from numpy.typing import NDArray

from atlas.faults import NoSolution
from atlas.plan.anchor_rating import rated_hold_n
from atlas.plan.context import Context
from atlas.plan.results import TrackRope
from atlas.rigging.carriage import CarriageSetup
from atlas.rigging.envelope import places_between
from atlas.rigging.ferry import leverage
from atlas.rigging.haul import HaulChoice, choose_haul
from atlas.rigging.limits import ForceLimit, clearance_needed_m, least_rule, set_tension_rules
from atlas.rigging.loads import carriage_state
from atlas.rigging.shown import AT_SHARE, LOAD_N
from atlas.rigging.window import PlanningWater, RopeBounds, WindowEnds, pretension_window
from atlas.settings.lists import CaptureClass
from atlas.water import StageRow

__all__ = [
    "PLACES",
    "Mechanics",
    "capped_drag",
    "capture_limit",
    "drag_most_n",
    "edges_at",
    "planning_water",
    "solve_mechanics",
    "travel_at",
]

Floats = NDArray[np.float64]

PLACES = 17
_SHOWN_LOAD_SHARE = 0.6


@dataclass(frozen=True, slots=True)
class Mechanics:
    """What follows from one rope.

    Attributes
    ----------
    limits : force limits on the loaded line
    rules : greatest set tensions, as (code, most [N])
    leverage_from_m, leverage_to_m : between which both ferry lines keep their leverage
    """

    rope: TrackRope
    setup: CarriageSetup
    bounds: RopeBounds
    limits: tuple[ForceLimit, ...]
    rules: tuple[tuple[str, float], ...]
    leverage_from_m: float
    leverage_to_m: float
    window: WindowEnds
    haul: HaulChoice

    @property
    def has_leverage(self) -> bool:
        """Whether the ferry lines move the carriage anywhere."""
        return self.leverage_from_m < self.leverage_to_m


def capture_limit(context: Context) -> tuple[str, float | None]:
    """What the progress capture may hold: (gear item of the device, limit [N] or None when tied off).

    The strongest class of device in the first-due cache; of several in it the weakest counts.
    """
    capture, items = context.policy.capture, context.gear.items
    tied_off = context.site.access.tied_off
    for kind in get_args(CaptureClass):
        class_n: float = getattr(capture, kind)
        held = [
            (stock.rating_n or class_n, stock.item)
            for stock in context.agency.gear
            if stock.count > 0 and stock.item in items and items[stock.item].capture == kind
        ]
        if held:
            limit_n, item = min(held)
            return item, None if tied_off else limit_n
    return "progress_capture", None if tied_off else capture.default


def _setup(context: Context, rope: TrackRope) -> CarriageSetup:
    loads = context.policy.loads
    frame = context.frame
    return CarriageSetup(
        span_m=frame.span_m,
        rise_m=frame.rise_m,
        near_tie_height_m=frame.near_tie_height_m,
        reach_m=frame.reach_down_m / cos(radians(frame.skew_deg)),
        weight_n_m=rope.weight_n_m,
        carriage_weight_n=loads.carriage_weight,
        ring_below_line_m=loads.ring_below_line,
        bow_ring_m=loads.bow_ring_above_water,
        strand_least_m=loads.strand_distance_least,
    )


def _force_limits(context: Context, rope: TrackRope) -> tuple[ForceLimit, ...]:
    policy = context.policy
    factor = policy.limits.factor_track
    limits = [ForceLimit("factor", "rope", rope.strength_n * rope.kept, factor)]
    limits += [
        ForceLimit("factor", part.name, part.rating_kn * 1e3, factor, resultant=part.stands == "resultant")
        for part in context.rig.part
        if not (part.device_only and context.site.access.tied_off)
    ]
    _, capture_n = capture_limit(context)
    if capture_n is not None:
        limits.append(ForceLimit("capture", "progress_capture", capture_n, 1.0))
    for tag in (context.frame.track_near_tag, context.frame.track_far_tag):
        hold = rated_hold_n(context, tag)
        if hold is not None:
            limits.append(ForceLimit("anchor_track", tag, hold.hold_n, policy.limits.anchor_ratio))
    return tuple(limits)


def _rules(context: Context, rope: TrackRope) -> tuple[tuple[str, float], ...]:
    limits = context.policy.limits
    return set_tension_rules(
        diameter_m=rope.diameter_m,
        strength_n=rope.strength_n,
        rule_of_12=limits.rule_of_12,
        rule_of_18=limits.rule_of_18,
        rule_of_18_from_m=limits.rule_of_18_from,
        pull_per_person_n=limits.pull_per_person,
        fraction_of_strength=limits.set_fraction_of_strength,
    )


def edges_at(context: Context, row: StageRow) -> tuple[float, float]:
    """Water's edges along the track line at a stage [m]: what the width gains, each bank gives half of."""
    frame = context.frame
    grown_m = (row.width_m - frame.width_m) / 2.0
    return (
        max(frame.near_edge_x_m - grown_m, AT_SHARE.low * frame.span_m),
        min(frame.far_edge_x_m + grown_m, AT_SHARE.high * frame.span_m),
    )


def travel_at(context: Context, mechanics: Mechanics, row: StageRow) -> tuple[float, float]:
    """Where the carriage works at a stage: over the water, and where both ferry lines have leverage."""
    return _meet(edges_at(context, row), (mechanics.leverage_from_m, mechanics.leverage_to_m))


def _meet(edges: tuple[float, float], levered: tuple[float, float]) -> tuple[float, float]:
    """Overlap of two ranges; the water alone where there is none."""
    from_m, to_m = max(edges[0], levered[0]), min(edges[1], levered[1])
    return (from_m, to_m) if from_m < to_m else edges


def _leverage_range(
    context: Context, setup: CarriageSetup, *, stiffness_n: float, pretension_n: float
) -> tuple[float, float]:
    """Range of places where both ferry lines keep the policy's least leverage, planning case hanging."""
    loads = context.policy.loads
    row = context.planning
    case = context.planning_case
    at_m = places_between(from_m=AT_SHARE.low * setup.span_m, to_m=AT_SHARE.high * setup.span_m, count=97)
    drag = capped_drag(drag_per_speed2=case.drag_per_speed2, speed_m_s=row.design_speed_m_s)
    state = carriage_state(
        setup,
        at_m=at_m,
        drag_n=drag,
        water_rise_m=row.rise_m,
        pretension_n=pretension_n,
        stiffness_n=stiffness_n,
        seating_m=loads.seating,
    )
    near, far, _ = context.station_points()
    place = {
        "x_m": at_m,
        "y_m": state.track.downstream_m,
        "z_m": setup.near_tie_height_m + state.track.height_m,
    }
    works = np.minimum(leverage(near, **place), leverage(far, **place)) >= loads.leverage_least
    if not works.any():
        return setup.span_m, 0.0
    return float(at_m[works][0]), float(at_m[works][-1])


def drag_most_n() -> float:
    """Greatest drag [N] put on the line: room is left under the range shown for the strands' pull-down."""
    return _SHOWN_LOAD_SHARE * LOAD_N.high


def capped_drag(*, drag_per_speed2: float, speed_m_s: float) -> float:
    """Drag [N], not past the loads in which the answer was shown; the verdict says where it was cut."""
    return min(drag_per_speed2 * speed_m_s**2, drag_most_n())


def planning_water(context: Context, *, places_m: Floats) -> PlanningWater:
    """The judged cases at the planning stage."""
    row = context.planning
    return PlanningWater(
        drag_n=np.array(
            [
                capped_drag(drag_per_speed2=case.drag_per_speed2, speed_m_s=row.design_speed_m_s)
                for case in context.cases
                if case.judged
            ]
        ),
        water_rise_m=row.rise_m,
        clearance_needed_m=float(
            clearance_needed_m(base_m=context.clearance_base_m, speed_m_s=row.design_speed_m_s)
        ),
        places_m=places_m,
    )


def solve_mechanics(context: Context, rope: TrackRope) -> Mechanics:
    """Travel, window and haul of a rope.

    Raises
    ------
    NoSolution
        The water at the planning stage is narrower than the range the carriage is computed in.
    OutOfRange
        The site or the rope is outside the range in which the track line's answer was shown.
    """
    policy = context.policy
    setup = _setup(context, rope)
    bounds = RopeBounds(
        stiffness_n=rope.stiffness_n,
        low_n=rope.stiffness_low_n,
        high_n=rope.stiffness_high_n,
        seating_m=policy.loads.seating,
    )
    rules = _rules(context, rope)
    limits = _force_limits(context, rope)
    rule_most_n = least_rule(rules)[1]
    levered = _leverage_range(context, setup, stiffness_n=rope.stiffness_n, pretension_n=rule_most_n / 2.0)
    from_m, to_m = _meet(edges_at(context, context.planning), levered)
    if not from_m < to_m:
        raise NoSolution("track line: no water between its ends at the planning stage")
    water = planning_water(context, places_m=places_between(from_m=from_m, to_m=to_m, count=PLACES))
    window = pretension_window(setup, limits, water, bounds, rules=rules)
    window_n = (
        (window.low_n, window.high_n)
        if window.is_open and window.low_n is not None and window.high_n is not None
        else None
    )
    haul = choose_haul(
        context.rig.hauls,
        window_n=window_n,
        rule_most_n=rule_most_n,
        people_most=context.rig.people_on_haul,
        pull_per_person_n=policy.limits.pull_per_person,
        pulley_efficiency=policy.haul.pulley_efficiency,
    )
    return Mechanics(
        rope=rope,
        setup=setup,
        bounds=bounds,
        limits=limits,
        rules=rules,
        leverage_from_m=levered[0],
        leverage_to_m=levered[1],
        window=window,
        haul=haul,
    )
