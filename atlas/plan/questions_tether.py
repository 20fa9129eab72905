"""What crews ask on the bank of a tether: dangers, hand-over, posts, reached and no-go ground, decisions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import atan2, cos, hypot, radians, sin

import numpy as np
import shapely

from atlas.cover import Cover
from atlas.faults import EngineeringError, NoSolution
from atlas.frame import Point
from atlas.plan.context import Context
from atlas.plan.crew_results import CrewAnswers, ReachedWater
from atlas.plan.grounds import ground_of
from atlas.plan.questions_decide import decisions
from atlas.plan.questions_ground import Named, no_go
from atlas.plan.questions_line import hand_over
from atlas.plan.questions_water import BoatWater, dangers_below, posts_in_time
from atlas.plan.tended_lines import tended_rope
from atlas.plan.tether_results import TetherRig
from atlas.rigging.no_go_ground import behind_anchor, swept_by_line
from atlas.rigging.shown import FloatArray

__all__ = ["with_answers"]

_WAYS = 13
_ARC = 17
_LONG_M = 2000.0


def _places(rig: TetherRig) -> FloatArray:
    """Corners of the water in which the bow can be held, shape (places, 2)."""
    return np.array([point for ring in rig.reachable for point in ring], dtype=np.float64)


def _water(rig: TetherRig, skew_deg: float, stations: FloatArray) -> BoatWater:
    """The first and the last place of the bow on ways down the flow, from bank to bank."""
    flow = np.array([sin(radians(skew_deg)), cos(radians(skew_deg))])
    aside = np.array([flow[1], -flow[0]])
    places = _places(rig)
    across = places @ aside
    ground = shapely.union_all(
        [
            shapely.Polygon(np.array(ring)) if len(ring) > 3 else shapely.MultiPoint(ring)
            for ring in rig.reachable
        ]
    )
    # a point of the ground is on a line through it only to the last digits
    ground = ground.buffer(1e-6, quad_segs=1)
    near, far = [], []
    middles = np.linspace(across.min(), across.max(), _WAYS)[:, np.newaxis] * aside
    ways = shapely.linestrings(np.stack([middles - _LONG_M * flow, middles + _LONG_M * flow], axis=1))
    shapely.prepare(ground)
    met, of_way = shapely.get_coordinates(shapely.intersection(ground, ways), return_index=True)
    for way in range(_WAYS):
        there = met[of_way == way]
        if len(there):
            along = there @ flow
            near.append(there[int(np.argmin(along))])
            far.append(there[int(np.argmax(along))])
    return BoatWater(np.array(near), np.array(far), stations, inside_plan=True)


def _swing(station: Point, places: FloatArray, skew_deg: float) -> FloatArray:
    """The way of a boat on one line, from the place farthest aside to straight down the flow."""
    ways = places - np.array(station)
    reach_m = float(np.hypot(*ways.T).max())
    flow = radians(skew_deg)
    turned = [atan2(x, y) - flow for x, y in ways.tolist()]
    farthest = max(turned, key=abs)
    angles = flow + np.linspace(farthest, 0.0, _ARC)
    return np.array(station) + reach_m * np.column_stack([np.sin(angles), np.cos(angles)])


def _grounds(context: Context, rig: TetherRig) -> tuple[list[Named], list[Named]]:
    """Between the bow lines and behind their stations; and where the boat swings when one of them is lost."""
    rules, places = context.policy.no_go, _places(rig)
    near, far = rig.stations[0], rig.stations[1]
    # some ground abreast of the boat more than the lines themselves bound
    between = shapely.convex_hull(shapely.multipoints([near.at, far.at, *places.tolist()]))
    loaded: list[Named] = [("bight", between)]
    lost: list[Named] = []
    for station, other in ((near, far), (far, near)):
        pulls = places - np.array(station.at)
        away = pulls[[hypot(*way) > 0.0 for way in pulls.tolist()]]
        behind = behind_anchor(
            station.at, away, half_angle_deg=rules.behind_angle, length_m=rules.behind_length
        )
        loaded.append((f"behind {station.tag or station.line}", behind))
        swing = _swing(station.at, places, context.frame.skew_deg)
        lost.append((f"{other.line}_lost", swept_by_line(station.at, swing)))
    return loaded, lost


def _own(context: Context, rig: TetherRig, covers: Mapping[str, Cover], shared: CrewAnswers) -> CrewAnswers:
    """What another tether on the same stations was answered, with this one's lines and limit."""
    overs = tuple(
        hand_over(context, line=line, diameter_m=tended_rope(context, covers, line).diameter_m)
        for line in ("messenger", "bow-far")
    )
    return replace(
        shared,
        hand_overs=overs,
        decisions=decisions(context, limit=rig.limit, hand_overs=overs, pulse=None, set_n=(None, None)),
        release_order=tuple(context.rig.release),
        knives=tuple(context.rig.knives),
    )


def _shared(context: Context, rig: TetherRig) -> CrewAnswers:
    """What all tethers on a site's bow stations are answered alike."""
    if not rig.reachable:
        raise NoSolution("tether: the boat can be held nowhere in the work area at the planning stage")
    stations = np.array([station.at for station in rig.stations[:2]], dtype=np.float64)
    water = _water(rig, context.frame.skew_deg, stations)
    dangers = dangers_below(context, water)
    loaded, lost = _grounds(context, rig)
    ground = shapely.union_all([shapely.Polygon(np.array(ring)) for ring in rig.reachable if len(ring) > 3])
    return CrewAnswers(
        dangers=dangers,
        hand_overs=(),
        posts=posts_in_time(context, water, dangers),
        reached=None if rig.work_area_assumed else ReachedWater(rig.reachable_share, ground_of(ground)),
        no_go=no_go(context, loaded, lost),
        decisions=(),
        release_order=(),
        knives=(),
    )


def with_answers(
    context: Context, rig: TetherRig, covers: Mapping[str, Cover], *, like: TetherRig | None
) -> TetherRig:
    """The rig with its answers, or with the reason why they cannot be told.

    Parameters
    ----------
    like : a tether on the same stations that has its answers; None where this is the first
    """
    try:
        shared = _shared(context, rig) if like is None or like.answers is None else like.answers
        return replace(rig, answers=_own(context, rig, covers, shared))
    except EngineeringError as error:
        return replace(rig, untold=str(error))
