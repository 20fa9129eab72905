"""Sites turned round: limits, closest boat, limit bows, tie heights, water that empties the window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from atlas.plan.context import Context
from atlas.plan.limit import limit_of, speed_reached, stage_reached
from atlas.plan.load_places import load_places
from atlas.plan.mechanics import Mechanics, drag_most_n, judged_cases, planning_travel, planning_worlds
from atlas.plan.rig_results import Limit, Note
from atlas.plan.rising import Highest, highest_water, rising_sites, scanned_ways, way_at
from atlas.plan.track_results import LimitBow, TieHeights, TrackStage, WindowCloses
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
_BEGIN_RAISE = 0.25
"""Of the highest ties looked at: where an empty window's opening is first looked for."""


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
    planning: Sequence[TrackStage]
    rigged: Rigged
    cases: WaterCases
    worlds: Worlds
    highest: Sequence[Highest]
    rising: RisingSites

    @classmethod
    def of(
        cls, contexts: Sequence[Context], mechanics: Sequence[Mechanics], planning: Sequence[TrackStage]
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


def _held_case(sites: _Sites) -> list[int]:
    """Which of each site's cases is the held boat."""
    return [
        next(index for index, case in enumerate(context.cases) if case.name == "boat-held")
        for context in sites.contexts
    ]


def _held_boats(sites: _Sites) -> Worlds:
    """The held boat alone at the planning stage, with the clearance its closest place asks."""
    held, rows, worlds = _held_case(sites), np.arange(len(sites.contexts)), sites.worlds
    asked = [context.policy.limits.clearance_closest_boat for context in sites.contexts]
    return replace(
        worlds,
        drag_n=worlds.drag_n[rows, held][:, np.newaxis],
        hauled=worlds.hauled[rows, held][:, np.newaxis],
        clearance_m=np.array(asked),
    )


def _cannot_reach(context: Context, closest: Found, index: int) -> bool:
    """Whether the held boat cannot be brought to the work.

    It is taken for outside plan at any speed: a carriage that little pulls downstream hangs lower still.
    """
    return not closest.never[index] and float(closest.value[index]) > context.frame.reach_down_m


def _speed_most(sites: _Sites) -> FloatArray:
    """Where searches for a speed end: by policy, or where a drag would be cut [m/s]."""
    shown = np.sqrt(drag_most_n() / sites.cases.drag_per_speed2.max(axis=1))
    policy = np.array([context.policy.loads.speed_most for context in sites.contexts])
    most: FloatArray = np.minimum(policy, shown)
    return most


def _limit_speed(sites: _Sites) -> Search:
    return limit_speed_search(sites.rigged, sites.cases, sites.worlds, speed_most_m_s=_speed_most(sites))


def _limit_stage(sites: _Sites, stages: Sequence[Sequence[TrackStage]]) -> Search:
    ways = [
        scanned_ways(rows, sites.rising.water, index, top.rise_m)
        for index, (rows, top) in enumerate(zip(stages, sites.highest, strict=True))
    ]
    return limit_stage_search(
        sites.rigged,
        sites.rising,
        ways_m=np.stack(ways),
        set_least_n=sites.worlds.set_least_n,
        set_most_n=sites.worlds.set_most_n,
    )


def _raise_most_m(sites: _Sites) -> FloatArray:
    return np.array([context.policy.window.tie_rise_most for context in sites.contexts])


def _tie_heights(sites: _Sites) -> Search:
    return tie_raise_search(sites.rigged, sites.worlds, most_m=_raise_most_m(sites))


def _opening(sites: _Sites, empty: Index) -> ClosingWindow:
    """Of sites with an empty window: ties that come down from as high as policy looks, until it closes."""
    rigged, worlds = sites.rigged, sites.worlds.part(empty)

    def at(which: Index, lowered_m: FloatArray, set_n: FloatArray) -> Worlds:
        return replace(worlds.part(which), raised_m=-lowered_m, set_least_n=set_n, set_most_n=set_n)

    ends = [sites.mechanics[k].window for k in empty]
    begin_n = [ends[i].high_n or sites.mechanics[k].haul.least_n for i, k in enumerate(empty)]
    most_m = _raise_most_m(sites)[empty]
    return ClosingWindow(
        rigged,
        at,
        start_m=-_BEGIN_RAISE * most_m,
        start_n=np.minimum(begin_n, rigged.rule_most_n[empty]),
        between_m=(-most_m, np.zeros(empty.size)),
        sites=empty,
    )


def _closing(sites: _Sites) -> ClosingWindow:
    """The water of sites on its way, until it closes the window."""
    water = sites.rising.water
    start_m, start_n, lowest_m, highest_m = [], [], [], []
    for index, (context, one, top) in enumerate(
        zip(sites.contexts, sites.mechanics, sites.highest, strict=True)
    ):
        ends = one.window
        low_n, high_n = ends.low_n or one.haul.least_n, ends.high_n or one.haul.least_n
        planning_m = way_at(water, index, context.planning.rise_m)
        start_m.append(planning_m + (_BEGIN_M if ends.is_open else -_BEGIN_M))
        start_n.append(low_n + _BEGIN_SHARE * (high_n - low_n))
        lowest_m.append(float(water.way_m[index, 0]))
        highest_m.append(max(way_at(water, index, top.rise_m), lowest_m[-1]))

    def at(which: Index, way_m: FloatArray, set_n: FloatArray) -> Worlds:
        return sites.rising.worlds(which, way_m=way_m, set_least_n=set_n, set_most_n=set_n)

    return ClosingWindow(
        sites.rigged,
        at,
        start_m=np.clip(start_m, lowest_m, highest_m),
        start_n=np.minimum(start_n, sites.rigged.rule_most_n),
        between_m=(np.array(lowest_m), np.array(highest_m)),
    )


def _limits(sites: _Sites, held: Found, stage: Found, closest: Found) -> list[Limit | None]:
    found: list[Limit | None] = []
    for index, (context, one, water) in enumerate(
        zip(sites.contexts, sites.mechanics, _waters_at(sites, stage.value), strict=True)
    ):
        reached = stage_reached(one, stage, index, water=water, highest=sites.highest[index])
        at_planning = speed_reached(context, one, held, index)
        limit = limit_of(context, one, sites.planning[index], held=at_planning, stage=reached)
        found.append(None if _cannot_reach(context, closest, index) else limit)
    return found


def _waters_at(sites: _Sites, way_m: FloatArray) -> list[tuple[float, float, float]]:
    """Rise, design speed and width of every site at a place of its water's way."""
    water = sites.rising.water.at(np.arange(len(sites.contexts)), np.nan_to_num(way_m))
    return list(zip(*(values.tolist() for values in water), strict=True))


def _opens(context: Context, one: Mechanics, raised_m: float, closes: WindowCloses | None) -> Note | None:
    """What would open an empty window: higher ties, else lower water, else neither.

    `raised_m` is NaN where no height that policy looks at opens it.
    """
    if one.window.is_open:
        return None
    looked = printed(Figure.TIE_HEIGHT_NEEDED, context.policy.window.tie_rise_most, context.units).both
    if np.isfinite(raised_m):
        shown = printed(Figure.TIE_HEIGHT_NEEDED, raised_m, context.units).both
        return Note(code="tie_height", text=context.words("opens.tie_height", rise=shown))
    fall_m = 0.0 if closes is None else context.planning.rise_m - closes.rise_m
    if fall_m > 0.0:
        fall = printed(Figure.TIE_HEIGHT_NEEDED, fall_m, context.units).both
        return Note(code="lower_water", text=context.words("opens.lower_water", rise=looked, fall=fall))
    return Note(code="nothing", text=context.words("opens.nothing", rise=looked))


def _bows(sites: _Sites, found: Found) -> list[tuple[LimitBow, ...]]:
    bows: list[list[LimitBow]] = [[] for _ in sites.contexts]
    limits = limit_bows(sites.rigged, sites.worlds, found)
    if limits is not None:
        columns = zip(
            (limits.of // len(BOW_SHARES)).tolist(),
            limits.state.bow_m[:, 0].tolist(),
            limits.state.tension_n[:, 0].tolist(),
            limits.cause.tolist(),
            load_places(limits.state),
            strict=True,
        )
        for site, bow_m, tension_n, cause, place in columns:
            code = cause_code(sites.mechanics[site].site, cause)
            bows[site].append(LimitBow(place.at_m, bow_m, tension_n, code, place))
    return [tuple(one) for one in bows]


def _heights(context: Context, found: Found, index: int) -> TieHeights | None:
    if found.never[index]:
        return None
    raised_m, frame = float(found.value[index]), context.frame
    return TieHeights(frame.near_tie_height_m + raised_m, frame.far_tie_height_m + raised_m, raised_m)


def _closes(sites: _Sites, closed: Closed) -> list[WindowCloses | None]:
    found: list[WindowCloses | None] = []
    for index, (rise_m, speed_m_s, width_m) in enumerate(_waters_at(sites, closed.at_m)):
        if not np.isfinite(closed.at_m[index]):
            found.append(None)
            continue
        site, cause = sites.mechanics[index].site, int(closed.cause[index])
        datum_m = sites.contexts[index].river.datum_stage_m
        found.append(
            WindowCloses(
                rise_m=rise_m,
                stage_m=None if datum_m is None else datum_m + rise_m,
                design_speed_m_s=speed_m_s,
                width_m=width_m,
                set_n=float(closed.set_n[index]),
                governed_by=least_rule(site.rules)[0] if cause == RULE else cause_code(site, cause),
            )
        )
    return found


def turn_round(
    contexts: Sequence[Context],
    mechanics: Sequence[Mechanics],
    stages: Sequence[Sequence[TrackStage]],
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
    searches = [
        _limit_speed(sites),
        _limit_stage(sites, stages),
        closest_boat_search(_held_boats(sites)),
        _tie_heights(sites),
        limit_bow_search(rigged, worlds, drag_most_n=drag_most_n()),
    ]
    empty = np.flatnonzero([not one.window.is_open for one in mechanics])
    closing, running = _closing(sites), [Searching(search, rigged.ropes) for search in searches]
    opening = [_opening(sites, empty)] if empty.size else []
    run_in_step(rigged.table, [*running, closing, *opening])
    held, stage, closest, heights, bow = [one.found() for one in running]
    limits, bows, closes = (
        _limits(sites, held, stage, closest),
        _bows(sites, bow),
        _closes(sites, closing.closed()),
    )
    raised_m = np.full(len(contexts), np.nan)
    for one in opening:
        raised_m[empty] = -one.closed().at_m
    return [
        Turned(
            limit=limits[index],
            closest_boat_m=None if closest.never[index] else float(closest.value[index]),
            opens=_opens(context, one, raised_m[index], closes[index]),
            limit_bows=bows[index],
            tie_heights=_heights(context, heights, index),
            closes=closes[index],
        )
        for index, (context, one) in enumerate(zip(contexts, mechanics, strict=True))
    ]
