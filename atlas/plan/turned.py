"""Sites turned round: limit speed, closest boat, and what would open an empty window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics, drag_most_n, judged_cases, planning_worlds, travel_between
from atlas.plan.rig_results import Limit, Note
from atlas.plan.track_results import TrackStage
from atlas.rigging.closest_boat import closest_boat_search
from atlas.rigging.limit_speed import limit_speed_search
from atlas.rigging.rigged import Rigged, cause_code
from atlas.rigging.search import Found, Search, run_searches
from atlas.rigging.shown import FloatArray
from atlas.rigging.ties import tie_raise_search
from atlas.rigging.water_cases import WaterCases
from atlas.rigging.worlds import Worlds
from atlas.units import Figure, UnitSystem, printed

__all__ = ["Turned", "planning_travel", "turn_round"]


@dataclass(frozen=True, slots=True)
class Turned:
    """What one site comes to, turned round.

    Attributes
    ----------
    closest_boat_m : None where no distance keeps the held boat's clearance
    opens : what would open an empty window; None where it is open
    """

    limit: Limit | None
    closest_boat_m: float | None
    opens: Note | None


def planning_travel(context: Context, one: Mechanics) -> tuple[float, float]:
    """The carriage's travel at the planning stage [m]."""
    levered = (one.leverage_from_m, one.leverage_to_m)
    from_m, to_m = travel_between(context, levered, context.planning.width_m)
    return float(from_m), float(to_m)


def _closest(contexts: Sequence[Context], worlds: Worlds) -> Search:
    held = [
        next(index for index, case in enumerate(context.cases) if case.name == "boat-held")
        for context in contexts
    ]
    rows = np.arange(len(contexts))
    return closest_boat_search(
        replace(
            worlds,
            drag_n=worlds.drag_n[rows, held][:, np.newaxis],
            hauled=worlds.hauled[rows, held][:, np.newaxis],
            clearance_m=np.array([context.policy.limits.clearance_closest_boat for context in contexts]),
        )
    )


def _speed_most(contexts: Sequence[Context], cases: WaterCases) -> FloatArray:
    """Where the search for the limit speed ends: by policy, or where a drag would be cut [m/s]."""
    shown = np.sqrt(drag_most_n() / cases.drag_per_speed2.max(axis=1))
    most: FloatArray = np.minimum(np.array([context.policy.loads.speed_most for context in contexts]), shown)
    return most


_AT_ANY_SPEED = {"anchor_unrated", "anchor_drowned", "no_leverage", "pretension_rule", "pretension_strength"}


def _amiss_at_any_speed(one: Mechanics, planning: TrackStage, context: Context) -> bool:
    """Whether something keeps the rig outside plan however slow the water is."""
    least = context.policy.limits
    asked = {"anchor_track": least.anchor_track_least, "anchor_station": least.anchor_station_least}
    weak = any(limit.strength_n < asked.get(limit.code, 0.0) for limit in one.site.limits)
    codes = {note.code for case in planning.cases if case.judged for note in case.why}
    return weak or not codes.isdisjoint(_AT_ANY_SPEED)


def _limit(context: Context, one: Mechanics, found: Found, index: int) -> Limit | None:
    """Limit speed with its float check; None where the rig is outside plan in still water."""
    speed_m_s = float(found.value[index])
    if found.never[index] or speed_m_s <= 0.0:
        return None
    code = "search_end" if found.always[index] else cause_code(one.site, int(found.cause[index]))
    check = context.policy.float_check
    step_m = check.paces_step_si if context.units is UnitSystem.SI else check.paces_step
    distance_m = ceil(speed_m_s * check.seconds_least / step_m) * step_m
    return Limit(
        surface_speed_m_s=speed_m_s,
        stage_m=None,
        governed_by=code,
        float_distance_m=distance_m,
        float_seconds=distance_m / speed_m_s,
    )


def _opens(context: Context, one: Mechanics, found: Found, index: int) -> Note | None:
    """What would open an empty window: higher ties, if they can."""
    if one.window.is_open:
        return None
    most_m = context.policy.window.tie_rise_most
    nothing = one.window.high_n is None or bool(found.never[index])
    code = "nothing" if nothing else "tie_height"
    rise_m = most_m if nothing else float(found.value[index])
    shown = printed(Figure.TIE_HEIGHT_NEEDED, rise_m, context.units).both
    return Note(code=code, text=context.words(f"opens.{code}", rise=shown))


def turn_round(
    contexts: Sequence[Context], mechanics: Sequence[Mechanics], planning: Sequence[TrackStage]
) -> list[Turned]:
    """All of it for every site, the searches in step.

    Parameters
    ----------
    planning : each site's planning row

    Raises
    ------
    OutOfRange, NoSolution
        From the track line.
    """
    rigged, cases = Rigged.of([one.site for one in mechanics]), judged_cases(contexts)
    worlds = planning_worlds(
        contexts,
        cases,
        [planning_travel(*each) for each in zip(contexts, mechanics, strict=True)],
        set_n=[(one.haul.least_n, one.haul.most_n) for one in mechanics],
        tended=[one.has_leverage for one in mechanics],
    )
    high_n = np.array([one.window.high_n or one.haul.most_n for one in mechanics])
    rise_most = np.array([context.policy.window.tie_rise_most for context in contexts])
    speed, closest, opening = run_searches(
        rigged.table,
        rigged.ropes,
        [
            limit_speed_search(rigged, cases, worlds, speed_most_m_s=_speed_most(contexts, cases)),
            _closest(contexts, worlds),
            tie_raise_search(
                replace(worlds, set_least_n=high_n), least_m=np.zeros(len(contexts)), most_m=rise_most
            ),
        ],
    )
    return [
        Turned(
            limit=None if _amiss_at_any_speed(one, stage, context) else _limit(context, one, speed, index),
            closest_boat_m=None if closest.never[index] else float(closest.value[index]),
            opens=_opens(context, one, opening, index),
        )
        for index, (context, one, stage) in enumerate(zip(contexts, mechanics, planning, strict=True))
    ]
