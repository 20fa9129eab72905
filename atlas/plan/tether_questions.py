"""What crews ask on the bank, answered for a tether: the boat may be anywhere in its work area."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely

from atlas.cover import Cover
from atlas.faults import EngineeringError
from atlas.plan.context import Context
from atlas.plan.crew_results import CrewAnswers, NoGo, ReachedWater
from atlas.plan.grounds import ground_of
from atlas.plan.questions_decide import decisions
from atlas.plan.questions_ground import no_go
from atlas.plan.questions_line import hand_over
from atlas.plan.questions_water import BoatWater, dangers_below, posts_in_time
from atlas.plan.rig_results import Limit
from atlas.plan.tended_lines import tended_rope
from atlas.plan.tether_ropes import station_tag
from atlas.plan.tether_site import TetherPlace
from atlas.rigging.no_go_ground import behind_anchor
from atlas.rigging.reachable_water import Reach
from atlas.rigging.shown import FloatArray

__all__ = ["TetherGrounds", "tether_answers", "tether_grounds"]


class TetherGrounds:
    """What no rope changes: where the boat may be, dangers below it, posts, no-go ground; once a site."""

    def __init__(self, context: Context, place: TetherPlace) -> None:
        corners = _corners(place)
        water = BoatWater(near_m=corners, far_m=corners, top_m=corners, inside_plan=True)
        self.dangers = dangers_below(context, water)
        self.posts = posts_in_time(context, water, self.dangers)
        self.no_go = _no_go(context, place, corners)


def _corners(place: TetherPlace) -> FloatArray:
    """Corners of the work area's hull, site's frame: what drifts from within is held by these."""
    hull = shapely.convex_hull(place.ground.site.work_area)
    return np.asarray(shapely.get_coordinates(hull), dtype=np.float64)


def _no_go(context: Context, place: TetherPlace, corners: FloatArray) -> NoGo:
    """Under each bow line wherever the boat is, and behind its anchor."""
    rules = context.policy.no_go
    grounds = []
    for placed, line in zip(place.bow, ("bow-near", "bow-far"), strict=True):
        at = (placed.point.x_m, placed.point.y_m)
        sweep = shapely.convex_hull(shapely.multipoints(np.vstack([corners, at])))
        behind = behind_anchor(
            at, corners - np.array(at), half_angle_deg=rules.behind_angle, length_m=rules.behind_length
        )
        grounds += [(line, sweep), (f"behind {station_tag(context, placed, 'bow')}", behind)]
    return no_go(context, grounds, [])


def tether_grounds(context: Context, place: TetherPlace) -> TetherGrounds | str:
    """The grounds, or why they cannot be told."""
    try:
        return TetherGrounds(context, place)
    except EngineeringError as cause:
        return str(cause)


def tether_answers(
    context: Context,
    grounds: TetherGrounds,
    covers: Mapping[str, Cover],
    *,
    limit: Limit | None,
    reach: Reach,
) -> CrewAnswers:
    """The answers of one tether."""
    messenger = tended_rope(context, covers, "messenger")
    overs = (hand_over(context, line="messenger", diameter_m=messenger.diameter_m),)
    drawn = bool(context.frame.work_areas)
    return CrewAnswers(
        dangers=grounds.dangers,
        hand_overs=overs,
        posts=grounds.posts,
        reached=ReachedWater(share=reach.share, ground=ground_of(reach.ground)) if drawn else None,
        no_go=grounds.no_go,
        decisions=decisions(context, limit=limit, hand_overs=overs, pulse=None, set_n=(None, None)),
        release_order=tuple(context.rig.release),
        knives=tuple(context.rig.knives),
    )
