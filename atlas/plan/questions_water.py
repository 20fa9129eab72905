"""What floats free: seconds to each danger, posts in time, and where the boat can be held at all."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, tan

import numpy as np
import shapely

from atlas.frame import PlacedDanger, Point
from atlas.plan.context import Context
from atlas.plan.crew_results import DangerBelow, PostsInTime, ReachedWater, Thrower
from atlas.plan.grounds import geometry_of, ground_of
from atlas.records import DangerKind, PostKind
from atlas.rigging.drift import SPEED_M_S, drift_to, flow_coordinates
from atlas.rigging.posts_in_time import last_catch_m, spotter_distance_m, throw_windows
from atlas.rigging.reachable_water import boat_places_m, mesh_ground, reach_of
from atlas.rigging.shown import FloatArray

__all__ = ["BoatWater", "dangers_below", "posts_in_time", "reached_water"]

_IN_THE_AIR = frozenset({DangerKind.POWER_LINE})
"""Dangers that nothing floats into."""


@dataclass(frozen=True, slots=True, eq=False)
class BoatWater:
    """Where a site's rig can put the boat: places of its bow, x and y in the last axis [m].

    Attributes
    ----------
    near_m, far_m : nearest to and farthest from the line, shape (places, 2) each
    top_m : the uppermost that what drifts comes to: the line over the travel, shape (places, 2)
    inside_plan : whether any of it is: else the boat can be held nowhere
    """

    near_m: FloatArray
    far_m: FloatArray
    top_m: FloatArray
    inside_plan: bool

    @classmethod
    def of(
        cls,
        *,
        at_m: FloatArray,
        bow_m: FloatArray,
        least_m: float,
        most_m: FloatArray,
        skew_deg: float,
        inside_plan: bool,
    ) -> BoatWater:
        """From the carriage's places, the bow there, and the strands' least and greatest length."""
        rows = [np.full(at_m.shape, least_m), np.maximum(most_m, least_m)]
        near, far = boat_places_m(at_m=at_m, bow_m=bow_m, strand_m=np.stack(rows), skew_deg=skew_deg)
        return cls(near, far, np.column_stack([at_m, bow_m]), inside_plan)

    def on_the_way_to(self, along_m: float, *, skew_deg: float) -> FloatArray:
        """Of each way down the flow the place nearest above a distance along it, shape (places, 2)."""
        near, far = (
            flow_coordinates(x_m=places[:, 0], y_m=places[:, 1], skew_deg=skew_deg)[0]
            for places in (self.near_m, self.far_m)
        )
        share = np.clip((along_m - near) / np.maximum(far - near, 1e-9), 0.0, 1.0)
        return self.near_m + share[:, np.newaxis] * (self.far_m - self.near_m)


def _speed(context: Context) -> float:
    """Of the fastest surface thread at the planning stage, within what drift was shown for [m/s]."""
    return float(np.clip(context.planning.design_speed_m_s, SPEED_M_S.low, SPEED_M_S.high))


def _first_along(context: Context, danger: PlacedDanger) -> tuple[float, Point]:
    """The first of a danger along the flow, and where that is."""
    points = [point for part in danger.shape.parts for point in part]
    x_m, y_m = np.array(points).T
    along = flow_coordinates(x_m=x_m, y_m=y_m, skew_deg=context.frame.skew_deg)[0]
    first = int(np.argmin(along))
    return float(along[first]), points[first]


def _danger(context: Context, water: BoatWater, danger: PlacedDanger) -> DangerBelow | None:
    """None where it lies upriver of every place of the boat, and for what nothing floats into."""
    if danger.kind in _IN_THE_AIR:
        return None
    skew_deg, speed = context.frame.skew_deg, _speed(context)
    along_m, first = _first_along(context, danger)
    boats = np.concatenate([water.near_m, water.far_m, water.on_the_way_to(along_m, skew_deg=skew_deg)])
    corners = [point for part in danger.shape.parts for point in part]
    drift = drift_to(corners, boats, skew_deg=skew_deg, speed_m_s=speed)
    if drift is None:
        return None
    catch_s = context.policy.posts.catch
    last_m = float(last_catch_m(danger_along_m=along_m, speed_m_s=speed, catch_s=catch_s))
    return DangerBelow(
        kind=danger.kind.value,
        kind_text=danger.kind_text,
        note=danger.note,
        seconds_s=drift.seconds_s,
        along_m=drift.along_m,
        aside_m=drift.aside_m,
        downstream_m=first[1],
        last_catch_m=first[1] - (along_m - last_m) * cos(radians(skew_deg)),
        last_catch_along_m=last_m,
        catch_in_time=last_m >= _lowest_along(context, water),
    )


def _lowest_along(context: Context, water: BoatWater) -> float:
    """Farthest down the flow that the boat works [m]."""
    return float(_along(context, water.far_m).max())


def _along(context: Context, places: FloatArray) -> FloatArray:
    return flow_coordinates(x_m=places[:, 0], y_m=places[:, 1], skew_deg=context.frame.skew_deg)[0]


def dangers_below(context: Context, water: BoatWater) -> tuple[DangerBelow, ...]:
    """Dangers that a boat let go comes to, the soonest first.

    Raises
    ------
    OutOfRange
        From `drift_to` and `last_catch_m`.
    """
    found = [_danger(context, water, danger) for danger in context.frame.dangers]
    below = [danger for danger in found if danger is not None]
    return tuple(sorted(below, key=lambda danger: (danger.seconds_s, danger.aside_m, danger.kind)))


def _bank(context: Context, at: Point) -> str:
    """Near or far, from the middle of the water carried on along the flow."""
    frame = context.frame
    middle_m = 0.5 * (frame.near_edge_x_m + frame.far_edge_x_m) + at[1] * tan(radians(frame.skew_deg))
    return "near" if at[0] < middle_m else "far"


def _spotter_m(context: Context, water: BoatWater) -> float | None:
    """How far above the rig the farthest surveyed spotter stands, along the flow [m]."""
    spots = [post.at for post in context.frame.posts if post.kind is PostKind.UPSTREAM_SPOTTER]
    if not spots:
        return None
    top_m = float(_along(context, water.top_m).min())
    return top_m - float(_along(context, np.array(spots)).min())


def posts_in_time(context: Context, water: BoatWater, dangers: tuple[DangerBelow, ...]) -> PostsInTime:
    """Spotter and throwers against the time the water gives them.

    A swimmer may go in wherever the boat can be; the ways are told from the places farthest down, which
    leave least. A throw has to begin above the last place to catch above every danger.

    Raises
    ------
    OutOfRange
        From the functions asked.
    """
    times, speed = context.policy.posts, _speed(context)
    throwers = [post.at for post in context.frame.posts if post.kind is PostKind.DOWNSTREAM_SAFETY]
    windows = throw_windows(
        np.array(throwers).reshape(-1, 2),
        swimmer_m=water.far_m,
        reach_m=context.policy.launchers.hand_bag,
        skew_deg=context.frame.skew_deg,
        speed_m_s=speed,
        last_m=min((danger.last_catch_along_m for danger in dangers), default=None),
    )
    serves = (windows.seconds_s > 0.0) & (windows.seconds_s >= times.throw)
    counts = windows.in_time(needed_s=times.throw)
    return PostsInTime(
        spotter_needed_m=float(spotter_distance_m(speed_m_s=speed, see_s=times.see, clear_s=times.clear)),
        spotter_m=_spotter_m(context, water),
        throwers=tuple(
            Thrower(at=at, bank=_bank(context, at), seconds_s=float(seconds), ways_share=float(share))
            for at, seconds, share in zip(
                throwers, windows.seconds_s.max(axis=0), serves.mean(axis=0), strict=True
            )
        ),
        in_time_least=int(counts.min()),
        in_time_most=int(counts.max()),
        covered_share=float((counts > 0).mean()),
    )


def reached_water(context: Context, water: BoatWater) -> ReachedWater | None:
    """The part of the work area in which the boat can be held; None where none was drawn.

    Raises
    ------
    OutOfRange
        From `mesh_ground` and `reach_of`.
    """
    areas = [geometry_of(area) for area in context.frame.work_areas]
    if not areas:
        return None
    if not water.inside_plan:
        return ReachedWater(share=0.0, ground=())
    reach = reach_of(shapely.union_all(areas), mesh_ground(np.stack([water.near_m, water.far_m])))
    return ReachedWater(share=reach.share, ground=ground_of(reach.ground))
