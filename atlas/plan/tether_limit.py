"""The limit of a tether: the speed at the planning stage's geometry, and the stage, rising with its speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from atlas.plan.context import Context
from atlas.plan.limit import Reached, printed_limit
from atlas.plan.rig_results import Limit
from atlas.plan.rising import water_nodes, way_at
from atlas.plan.tether_site import TetherPlace
from atlas.rigging.rising import RisingWater, way_of
from atlas.rigging.shown import FloatArray
from atlas.rigging.tether_loads import greatest_shares
from atlas.rigging.tether_records import LineStrength, TetherResult

__all__ = ["TetherRise", "tether_limit", "tether_rise"]

_BETWEEN = 4
"""Places looked at on each leg of a water's way."""
_FINER = np.linspace(0.0, 1.0, 33)
"""A first look at the leg of the first failure."""
_NEARER = np.append(2.0 ** -np.arange(22.0), 0.0)
"""A second look, at so much of the way from where a straight margin ends to either end of a shorter leg."""
_SAME_M = 1e-9


@dataclass(frozen=True, slots=True, eq=False)
class TetherRise:
    """The water of a site on its way up to where a bow station goes under, and the shares there.

    Attributes
    ----------
    ways_m, rise_m, speed_m_s, width_m : places looked at, never falling, shape (n,)
    shares : near and far tension over drag there, shape (n, 2)
    drowned_m : the rise at which a bow station is under water
    """

    water: RisingWater
    ways_m: FloatArray
    rise_m: FloatArray
    speed_m_s: FloatArray
    width_m: FloatArray
    shares: FloatArray
    drowned_m: float


def _shares(place: TetherPlace, rise_m: FloatArray) -> FloatArray:
    """Near and far tension over drag at each rise, shape (n, 2)."""
    ground = place.ground
    if ground.held is None:
        return np.zeros((0, 2))
    rings_m = rise_m + ground.rules.bow_ring_m
    stations_m = np.array([ground.site.near.z_m, ground.site.far.z_m])
    return greatest_shares(ground.held, stations_m - rings_m[:, np.newaxis])


def _looked_at(place: TetherPlace, water: RisingWater, ways_m: FloatArray, drowned_m: float) -> TetherRise:
    sites = np.zeros(ways_m.size, dtype=np.intp)
    rise_m, speed_m_s, width_m = water.at(sites, ways_m)
    shares = _shares(place, rise_m)
    return TetherRise(water, ways_m, rise_m, speed_m_s, width_m, shares, drowned_m)


def tether_rise(context: Context, place: TetherPlace) -> TetherRise:
    """The water's way from the lowest row to where a bow station is under water, once for all tethers."""
    drowned_m = min(placed.point.z_m for placed in place.bow)
    nodes = water_nodes(context, drowned_m)
    ways = way_of(nodes[0], nodes[1])
    water = RisingWater(*np.vstack([ways, nodes])[:, np.newaxis])
    top = way_at(water, 0, drowned_m)
    legs = np.append(ways[ways < top], max(top, ways[0]))
    share = np.arange(_BETWEEN) / _BETWEEN
    between = (legs[:-1, np.newaxis] + share * np.diff(legs)[:, np.newaxis]).ravel()
    return _looked_at(place, water, np.append(between, legs[-1]), drowned_m)


@dataclass(frozen=True, slots=True)
class _Most:
    """What the bow lines may carry, as codes and greatest tensions; and the drag at 1 m/s they hold."""

    near: list[tuple[str, float]]
    far: list[tuple[str, float]]
    drag_per_speed2: float

    def margins(self, rise: TetherRise) -> FloatArray:
        """What is left of each limit over what it allows; shape (n, limits), near before far."""
        drag_n = (self.drag_per_speed2 * rise.speed_m_s**2)[:, np.newaxis]
        found = [
            1.0 - drag_n * rise.shares[:, line : line + 1] / np.array([most for _, most in limits])
            for line, limits in enumerate((self.near, self.far))
        ]
        return np.concatenate(found, axis=1)

    def code(self, index: int) -> str:
        """Of a column of `margins`."""
        return [*self.near, *self.far][index][0]


def _leg(rise: TetherRise, margins: FloatArray) -> tuple[float, float]:
    """Ways of the last place before the first failure, and of that."""
    first = int(np.flatnonzero(margins < 0.0)[0])
    return float(rise.ways_m[first - 1]), float(rise.ways_m[first])


def _about_root(rise: TetherRise, margins: FloatArray) -> FloatArray:
    """Ways from one end of the leg of the first failure to the other, the closer the nearer to its root.

    About where a straight margin would have it: the margin is all but straight on so short a leg, so that
    its root lies between places a millionth of the leg apart or not much more.
    """
    good, bad = _leg(rise, margins)
    first = int(np.flatnonzero(margins < 0.0)[0])
    root = good + (bad - good) * margins[first - 1] / (margins[first - 1] - margins[first])
    ways = np.concatenate([root + _NEARER * (good - root), (root + _NEARER * (bad - root))[-2::-1]])
    # the ends to the last digit, so that the first failure stays between them
    ways[0], ways[-1] = good, bad
    return ways


def _stage_reached(place: TetherPlace, rise: TetherRise, most: _Most) -> Reached | None:
    """The first place on the way at which a bow line is past its limit, or a station under water.

    None where that is so at the lowest row already.
    """
    margins = most.margins(rise).min(axis=1)
    failing = np.flatnonzero(margins < 0.0)
    if not failing.size:
        return Reached(float(rise.speed_m_s[-1]), "anchor_drowned", rise.drowned_m, float(rise.width_m[-1]))
    if failing[0] == 0:
        return None
    good, bad = _leg(rise, margins)
    rise = _looked_at(place, rise.water, good + _FINER * (bad - good), rise.drowned_m)
    rise = _looked_at(place, rise.water, _about_root(rise, most.margins(rise).min(axis=1)), rise.drowned_m)
    all_margins = most.margins(rise)
    first = int(np.flatnonzero(all_margins.min(axis=1) < 0.0)[0])
    code = most.code(int(all_margins[first].argmin()))
    # the last place that holds: what is printed is never past the limit
    at = max(first - 1, 0)
    return Reached(float(rise.speed_m_s[at]), code, float(rise.rise_m[at]), float(rise.width_m[at]))


def tether_limit(
    context: Context,
    place: TetherPlace,
    rise: TetherRise,
    strengths: tuple[LineStrength, LineStrength],
    result: TetherResult,
) -> Limit | None:
    """Limit speed with its float check, and limit stage.

    None where the rig is outside plan at the planning stage however slow the water is.
    """
    held = result.limit
    if held is None or held.speed_m_s <= 0.0:
        return None
    planning, ratio = context.planning, place.ground.rules.anchor_ratio
    most = _Most(
        near=strengths[0].most_n(anchor_ratio=ratio),
        far=strengths[1].most_n(anchor_ratio=ratio),
        drag_per_speed2=float(context.judged_drag_per_speed2.max()),
    )
    return printed_limit(
        context,
        held=Reached(held.speed_m_s, held.governed_by, planning.rise_m, planning.width_m),
        stage=_stage_reached(place, rise, most),
    )
