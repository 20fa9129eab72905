"""Sites turned round: limits, closest boat, limit bows, tie heights, water that empties the window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from atlas.plan.context import Context
from atlas.plan.limit import limit_of, speed_reached, stage_reached
from atlas.plan.mechanics import Mechanics, drag_most_n, judged_cases, planning_travel, planning_worlds
from atlas.plan.results import Limit, LimitBow, Note, StageResult, TieHeights, WindowCloses
from atlas.plan.rising import Highest, highest_water, rising_sites, scanned_rises
from atlas.rigging.asked import Index
from atlas.rigging.closest_boat import closest_boat_search
from atlas.rigging.limit_bow import BOW_SHARES, limit_bow_search, limit_bows
from atlas.rigging.limit_speed import limit_speed_search, limit_stage_search
from atlas.rigging.limits import least_rule
from atlas.rigging.panels import run_in_step
from atlas.rigging.rigged import Rigged, cause_code
from atlas.rigging.rising import RisingSites
from atlas.rigging.search import Found, Search, Searching
from atlas.rigging.shown import FloatArray
from atlas.rigging.ties import tie_raise_search
from atlas.rigging.water_cases import WaterCases
from atlas.rigging.window_close import RULE, Closed, ClosingWindow
from atlas.rigging.worlds import Worlds
from atlas.units import Figure, printed

__all__ = ["Turned", "turn_round"]

_BEGIN_M = 0.2
"""Over the planning stage an open window's closing is first looked for, an empty one's under it."""
_BEGIN_SHARE = 0.7
"""Of the window from its lower end: the set tension to begin with."""


@dataclass(frozen=True, slots=True)
class Turned:
    """What one site comes to, turned round.

    Attributes
    ----------
    closest_boat_m : None where no distance keeps the held boat's clearance
    opens : what would open an empty window; None where it is open
    limit_bows, tie_heights, closes : as in `RigPlan`
    """

    limit: Limit | None
    closest_boat_m: float | None
    opens: Note | None
    limit_bows: tuple[LimitBow, ...]
    tie_heights: TieHeights | None
    closes: WindowCloses | None


@dataclass(frozen=True, slots=True, eq=False)
class _Sites:
    """Sites to be turned round, with what every search looks at."""

    contexts: Sequence[Context]
    mechanics: Sequence[Mechanics]
    planning: Sequence[StageResult]
    rigged: Rigged
    cases: WaterCases
    worlds: Worlds
    highest: Sequence[Highest]
    rising: RisingSites

    @classmethod
    def of(
        cls, contexts: Sequence[Context], mechanics: Sequence[Mechanics], planning: Sequence[StageResult]
    ) -> _Sites:
        cases = judged_cases(contexts)
        worlds = planning_worlds(
            contexts,
            cases,
            planning_travel(contexts, [(one.leverage_from_m, one.leverage_to_m) for one in mechanics]),
            set_n=[(one.haul.least_n, one.haul.most_n) for one in mechanics],
            tended=[one.has_leverage for one in mechanics],
        )
        highest = [highest_water(context) for context in contexts]
        rigged = Rigged.of([one.site for one in mechanics])
        return cls(
            contexts,
            mechanics,
            planning,
            rigged,
            cases,
            worlds,
            highest,
            rising_sites(contexts, mechanics, highest),
        )


def _closest(sites: _Sites) -> Search:
    worlds = sites.worlds
    held = [
        next(index for index, case in enumerate(context.cases) if case.name == "boat-held")
        for context in sites.contexts
    ]
    rows = np.arange(len(held))
    return closest_boat_search(
        replace(
            worlds,
            drag_n=worlds.drag_n[rows, held][:, np.newaxis],
            hauled=worlds.hauled[rows, held][:, np.newaxis],
            clearance_m=np.array(
                [context.policy.limits.clearance_closest_boat for context in sites.contexts]
            ),
        )
    )


def _limit_speed(sites: _Sites) -> Search:
    """To the end policy sets, or where a drag would be cut."""
    shown = np.sqrt(drag_most_n() / sites.cases.drag_per_speed2.max(axis=1))
    policy = np.array([context.policy.loads.speed_most for context in sites.contexts])
    return limit_speed_search(
        sites.rigged, sites.cases, sites.worlds, speed_most_m_s=np.minimum(policy, shown)
    )


def _limit_stage(sites: _Sites, stages: Sequence[Sequence[StageResult]]) -> Search:
    rises = [scanned_rises(*each) for each in zip(stages, sites.highest, strict=True)]
    return limit_stage_search(
        sites.rigged,
        sites.rising,
        rises_m=np.stack(rises),
        set_least_n=sites.worlds.set_least_n,
        set_most_n=sites.worlds.set_most_n,
    )


def _raise_most_m(sites: _Sites) -> FloatArray:
    return np.array([context.policy.window.tie_rise_most for context in sites.contexts])


def _tie_heights(sites: _Sites) -> Search:
    """From as far up as policy looks down to where the lower tie is at the water."""
    lowest = [
        context.planning.rise_m - min(context.frame.near_tie_height_m, context.frame.far_tie_height_m)
        for context in sites.contexts
    ]
    most_m = _raise_most_m(sites)
    return tie_raise_search(sites.worlds, least_m=np.minimum(lowest, most_m - 1.0), most_m=most_m)


def _opening(sites: _Sites, empty: Index) -> Search:
    """Of sites with an empty window: higher ties at the greatest set tension the forces allow."""
    high_n = [sites.mechanics[k].window.high_n or sites.mechanics[k].haul.most_n for k in empty]
    worlds = replace(sites.worlds.part(empty), set_least_n=np.array(high_n))
    return tie_raise_search(worlds, least_m=np.zeros(empty.size), most_m=_raise_most_m(sites)[empty])


def _closing(sites: _Sites) -> ClosingWindow:
    start_m, start_n, lowest_m = [], [], []
    for context, one in zip(sites.contexts, sites.mechanics, strict=True):
        ends = one.window
        low_n, high_n = ends.low_n or one.haul.least_n, ends.high_n or one.haul.least_n
        start_m.append(context.planning.rise_m + (_BEGIN_M if ends.is_open else -_BEGIN_M))
        start_n.append(low_n + _BEGIN_SHARE * (high_n - low_n))
        lowest_m.append(context.rows[0].rise_m)
    highest_m = np.array([top.rise_m for top in sites.highest])
    return ClosingWindow(
        sites.rigged,
        sites.rising,
        start_m=np.clip(start_m, lowest_m, np.maximum(highest_m, lowest_m)),
        start_n=np.minimum(start_n, sites.rigged.rule_most_n),
        between_m=(np.array(lowest_m), np.maximum(highest_m, lowest_m)),
    )


def _limit(sites: _Sites, speed: Found, stage: Found, index: int) -> Limit | None:
    context, one = sites.contexts[index], sites.mechanics[index]
    rise_m = np.array([np.nan_to_num(stage.value[index])])
    speed_there, _ = sites.rising.water.at(np.array([index]), rise_m)
    return limit_of(
        context,
        one,
        sites.planning[index],
        speed=speed_reached(context, one, speed, index),
        stage=stage_reached(
            one,
            stage,
            index,
            speed_m_s=float(speed_there[0]),
            drowned=sites.highest[index].drowned is not None,
        ),
    )


def _opens(sites: _Sites, index: int, raised_m: float | None) -> Note | None:
    """What would open an empty window: higher ties, if they can."""
    context, one = sites.contexts[index], sites.mechanics[index]
    if one.window.is_open:
        return None
    nothing = one.window.high_n is None or raised_m is None
    code = "nothing" if nothing else "tie_height"
    rise_m = context.policy.window.tie_rise_most if raised_m is None or nothing else raised_m
    shown = printed(Figure.TIE_HEIGHT_NEEDED, rise_m, context.units).both
    return Note(code=code, text=context.words(f"opens.{code}", rise=shown))


def _bows(context: Context, bows_m: FloatArray) -> tuple[LimitBow, ...]:
    return tuple(
        LimitBow(at_m=share * context.frame.span_m, bow_m=bow_m)
        for share, bow_m in zip(BOW_SHARES, bows_m.tolist(), strict=True)
        if np.isfinite(bow_m)
    )


def _heights(context: Context, found: Found, index: int) -> TieHeights | None:
    if found.never[index]:
        return None
    raised_m = float(found.value[index])
    return TieHeights(context.frame.near_tie_height_m + raised_m, context.frame.far_tie_height_m + raised_m)


def _closes(context: Context, one: Mechanics, closed: Closed, index: int) -> WindowCloses | None:
    rise_m, cause = float(closed.rise_m[index]), int(closed.cause[index])
    if not np.isfinite(rise_m):
        return None
    datum_m = context.river.datum_stage_m
    return WindowCloses(
        rise_m=rise_m,
        stage_m=None if datum_m is None else datum_m + rise_m,
        set_n=float(closed.set_n[index]),
        governed_by=least_rule(one.site.rules)[0] if cause == RULE else cause_code(one.site, cause),
    )


def turn_round(
    contexts: Sequence[Context],
    mechanics: Sequence[Mechanics],
    stages: Sequence[Sequence[StageResult]],
) -> list[Turned]:
    """All of it for every site, the searches in step.

    Parameters
    ----------
    stages : each site's rows

    Raises
    ------
    OutOfRange, NoSolution
        From the track line.
    """
    planning = [next(stage for stage in rows if stage.planning) for rows in stages]
    sites = _Sites.of(contexts, mechanics, planning)
    rigged, worlds = sites.rigged, sites.worlds
    empty = np.flatnonzero([not one.window.is_open for one in mechanics])
    searches = [
        _limit_speed(sites),
        _limit_stage(sites, stages),
        _closest(sites),
        _tie_heights(sites),
        limit_bow_search(rigged, worlds, drag_most_n=drag_most_n()),
        *([_opening(sites, empty)] if empty.size else []),
    ]
    closing, running = _closing(sites), [Searching(search, rigged.ropes) for search in searches]
    run_in_step(rigged.table, [*running, closing])
    speed, stage, closest, heights, bow, *opening = [one.found() for one in running]
    raised = {
        int(k): None if found.never[i] else float(found.value[i])
        for found in opening
        for i, k in enumerate(empty)
    }
    bows, closed = limit_bows(rigged, worlds, bow), closing.closed()
    return [
        Turned(
            limit=_limit(sites, speed, stage, index),
            closest_boat_m=None if closest.never[index] else float(closest.value[index]),
            opens=_opens(sites, index, raised.get(index)),
            limit_bows=_bows(context, bows[index]),
            tie_heights=_heights(context, heights, index),
            closes=_closes(context, mechanics[index], closed, index),
        )
        for index, context in enumerate(contexts)
    ]
