"""The track lines of sites: travel, limits, window and haul at the planning stage, all sites at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians
from typing import get_args

import numpy as np

from atlas.faults import NoSolution
from atlas.frame import Station
from atlas.plan.anchor_rating import rated_hold_n
from atlas.plan.context import Context
from atlas.plan.track_results import TrackRope
from atlas.rigging.asked import Asked
from atlas.rigging.fixtures import Stand
from atlas.rigging.haul import HaulChoice, choose_haul
from atlas.rigging.leverage import leverage_range
from atlas.rigging.limits import ForceLimit, least_rule, set_tension_rules
from atlas.rigging.rigged import Rigged, RopeBounds, Site
from atlas.rigging.setups import CarriageSetup
from atlas.rigging.shores import Shores
from atlas.rigging.shown import FloatArray
from atlas.rigging.water_cases import WaterCases
from atlas.rigging.window import WindowEnds, pretension_windows
from atlas.rigging.worlds import ALONE, BOTH, Worlds
from atlas.settings.lists import CaptureClass

__all__ = [
    "Mechanics",
    "capture_limit",
    "drag_most_n",
    "judged_cases",
    "planning_travel",
    "planning_worlds",
    "shores_of",
    "solve_mechanics",
    "water_cases",
]

_DRAG_MOST_N = 9e3
"""A greater drag is not put on the line: with strands and ferry lines it would leave the range shown."""
_TURNS = 3


@dataclass(frozen=True, slots=True)
class Mechanics:
    """What follows from one rope at one site.

    Attributes
    ----------
    site : setup, stiffness bounds, force limits and rules on set tension
    leverage_from_m, leverage_to_m : between which both ferry lines keep their leverage
    """

    rope: TrackRope
    site: Site
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
    frame, stations = context.frame, context.stations
    near, far, up_down = context.station_points()
    near_tag, far_tag = frame.track_near_tag, frame.track_far_tag

    def share(one: Station, tag: str | None) -> bool:
        return one.tag is not None and one.tag == tag

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
        ferry_near=near,
        ferry_far=far,
        up_down=up_down,
        skew_deg=frame.skew_deg,
        bow_strands=context.rig.bow_strands,
        pulley_efficiency=context.policy.haul.pulley_efficiency,
        ferry_weight_n_m=loads.ferry_weight,
        ferry_near_on_tie=share(stations.ferry_near, near_tag),
        ferry_far_on_tie=share(stations.ferry_far, far_tag),
        up_down_on_tie=share(stations.up_down, near_tag),
        up_down_on_ferry=share(stations.up_down, stations.ferry_near.tag),
    )


def _anchor_limits(context: Context) -> list[ForceLimit]:
    """Surveyed, rated anchors: the ratio of their hold to the pull of all lines on them."""
    frame, stations = context.frame, context.stations
    ratio = context.policy.limits.anchor_ratio
    found = []
    for tag, stands in ((frame.track_near_tag, Stand.NEAR_TIE), (frame.track_far_tag, Stand.FAR_TIE)):
        hold = rated_hold_n(context, tag)
        if hold is not None:
            found.append(ForceLimit("anchor_track", tag, hold.hold_n, ratio, stands))
    for station, stands in (
        (stations.ferry_near, Stand.FERRY_NEAR_STATION),
        (stations.ferry_far, Stand.FERRY_FAR_STATION),
        (stations.up_down, Stand.UP_DOWN_STATION),
    ):
        hold = None if station.tag is None else rated_hold_n(context, station.tag)
        if station.tag is not None and hold is not None:
            found.append(ForceLimit("anchor_station", station.tag, hold.hold_n, ratio, stands))
    return found


def _force_limits(context: Context, rope: TrackRope) -> tuple[ForceLimit, ...]:
    policy = context.policy
    factor = policy.limits.factor_track
    limits = [ForceLimit("factor", "rope", rope.strength_n * rope.kept, factor)]
    limits += [
        ForceLimit(
            "factor",
            part.name,
            part.rating_kn * 1e3,
            factor,
            Stand.RESULTANT if part.stands == "resultant" else Stand.TENSION,
        )
        for part in context.rig.part
        if not (part.device_only and context.site.access.tied_off)
    ]
    _, capture_n = capture_limit(context)
    if capture_n is not None:
        limits.append(ForceLimit("capture", "progress_capture", capture_n, 1.0))
    return (*limits, *_anchor_limits(context))


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


def _site(context: Context, rope: TrackRope) -> Site:
    bounds = RopeBounds(
        stiffness_n=rope.stiffness_n,
        low_n=rope.stiffness_low_n,
        high_n=rope.stiffness_high_n,
        seating_m=context.policy.loads.seating,
    )
    return Site(_setup(context, rope), bounds, _force_limits(context, rope), _rules(context, rope))


def shores_of(contexts: Sequence[Context], levered: Sequence[tuple[float, float]] | None = None) -> Shores:
    """The shores of sites; `levered` are the places between which ferry lines have leverage."""
    frames = [context.frame for context in contexts]
    from_m, to_m = np.array(levered if levered is not None else [(-np.inf, np.inf)] * len(frames)).T
    return Shores(
        near_edge_m=np.array([frame.near_edge_x_m for frame in frames]),
        far_edge_m=np.array([frame.far_edge_x_m for frame in frames]),
        width_m=np.array([frame.width_m for frame in frames]),
        span_m=np.array([frame.span_m for frame in frames]),
        levered_from_m=from_m,
        levered_to_m=to_m,
    )


def planning_travel(
    contexts: Sequence[Context], levered: Sequence[tuple[float, float]]
) -> list[tuple[float, float]]:
    """The carriage's travel at each site's planning stage [m]."""
    width_m = np.array([context.planning.width_m for context in contexts])
    travel = shores_of(contexts, levered).travel(np.arange(len(contexts)), width_m)
    return list(zip(*(end.tolist() for end in travel), strict=True))


def drag_most_n() -> float:
    """Greatest drag [N] put on the line; the verdict says where it was cut."""
    return _DRAG_MOST_N


def water_cases(contexts: Sequence[Context]) -> WaterCases:
    """All cases of each site's rig, judged first."""
    return WaterCases(
        drag_per_speed2=np.array([[case.drag_per_speed2 for case in context.cases] for context in contexts]),
        hauled=np.array([[case.hauled for case in context.cases] for context in contexts]),
        clearance_base_m=np.array([context.clearance_base_m for context in contexts]),
        drag_most_n=_DRAG_MOST_N,
    )


def judged_cases(contexts: Sequence[Context]) -> WaterCases:
    """The judged cases of each site's rig."""
    judged = len(contexts[0].rig.judged_cases)
    return water_cases(contexts).cases(list(range(judged)))


def planning_worlds(
    contexts: Sequence[Context],
    cases: WaterCases,
    travel: Sequence[tuple[float, float]],
    *,
    set_n: Sequence[tuple[float, float]],
    tended: Sequence[bool],
) -> Worlds:
    """The cases at each site's planning stage, over its travel, with what its haul sets."""
    rows = [context.planning for context in contexts]
    least_n, most_n = np.array(set_n).T
    from_m, to_m = np.array(travel).T
    every = np.arange(len(rows))
    edges_m = shores_of(contexts).water(every, np.array([row.width_m for row in rows]))
    return cases.worlds(
        every,
        speed_m_s=np.array([row.design_speed_m_s for row in rows]),
        water_rise_m=np.array([row.rise_m for row in rows]),
        set_least_n=least_n,
        set_most_n=most_n,
        from_m=from_m,
        to_m=to_m,
        tended=np.array(tended),
    ).between(*edges_m)


def _leverage_ranges(contexts: Sequence[Context], rigged: Rigged, set_n: FloatArray) -> FloatArray:
    """Where both ferry lines keep the policy's least leverage, planning case hanging; shape (2, sites) [m].

    Drag alone on the softest rope, seated: so the line is drawn farthest downstream.
    """
    rows = [context.planning for context in contexts]
    drag = [
        context.planning_case.drag_per_speed2 * row.design_speed_m_s**2
        for context, row in zip(contexts, rows, strict=True)
    ]
    asked = Asked.of(
        site=np.arange(len(rows)),
        whole=False,
        drag_n=np.minimum(drag, _DRAG_MOST_N),
        water_rise_m=[row.rise_m for row in rows],
        clearance_m=0.0,
        set_n=set_n,
        stiffness_n=rigged.ropes.low_n,
        seating_m=rigged.ropes.seating_m,
    )
    least = np.array([context.policy.loads.leverage_least for context in contexts])
    return np.stack(leverage_range(rigged.table, asked, least=least))


def _haul(context: Context, site: Site, window: WindowEnds) -> HaulChoice:
    window_n = (
        (window.low_n, window.high_n)
        if window.is_open and window.low_n is not None and window.high_n is not None
        else None
    )
    return choose_haul(
        context.rig.hauls,
        window_n=window_n,
        rule_most_n=least_rule(site.rules)[1],
        people_most=context.rig.people_on_haul,
        pull_per_person_n=context.policy.limits.pull_per_person,
        pulley_efficiency=context.policy.haul.pulley_efficiency,
    )


@dataclass(frozen=True, slots=True)
class _Turn:
    """What one turn comes to at one site."""

    levered: tuple[float, float]
    window: WindowEnds
    haul: HaulChoice


def _turn(
    contexts: Sequence[Context], sites: Sequence[Site], set_n: Sequence[float], *, first: bool
) -> list[_Turn]:
    """Travel with a set tension, the window over it, and the haul that suits it; drag alone at first."""
    rigged = Rigged.of(sites)
    levered = _leverage_ranges(contexts, rigged, np.array(set_n))
    travel = planning_travel(contexts, list(zip(*levered.tolist(), strict=True)))
    if not all(from_m < to_m for from_m, to_m in travel):
        raise NoSolution("track line: no water between its ends at the planning stage")
    worlds = planning_worlds(
        contexts,
        judged_cases(contexts),
        travel,
        set_n=[(0.0, 0.0)] * len(sites),
        tended=(levered[0] < levered[1]).tolist(),
    )
    windows = pretension_windows(rigged, worlds, whole=ALONE if first else BOTH)
    hauls = [_haul(*each) for each in zip(contexts, sites, windows, strict=True)]
    ranges = zip(*levered.tolist(), strict=True)
    return [_Turn(*each) for each in zip(ranges, windows, hauls, strict=True)]


def solve_mechanics(contexts: Sequence[Context], ropes: Sequence[TrackRope]) -> list[Mechanics]:
    """Travel, window and haul of one rope at each site.

    The travel is that of the haul's least tension. A first haul is found with half of what the rules allow
    and drag alone; then travel, window and haul again until the haul is the one the travel is of.

    Raises
    ------
    NoSolution
        The water at a planning stage is narrower than the range the carriage is computed in.
    OutOfRange
        A site or rope is outside the range in which the track line's answer was shown.
    """
    sites = [_site(context, rope) for context, rope in zip(contexts, ropes, strict=True)]
    half = [0.5 * least_rule(site.rules)[1] for site in sites]
    turns = _turn(contexts, sites, half, first=True)
    left = list(range(len(sites)))
    for _ in range(_TURNS):
        set_n = [turns[k].haul.least_n for k in left]
        found = _turn([contexts[k] for k in left], [sites[k] for k in left], set_n, first=False)
        for k, one in zip(left, found, strict=True):
            turns[k] = one
        left = [k for k, used in zip(left, set_n, strict=True) if turns[k].haul.least_n != used]
        if not left:
            break
    return [
        Mechanics(rope, site, *one.levered, one.window, one.haul)
        for rope, site, one in zip(ropes, sites, turns, strict=True)
    ]
