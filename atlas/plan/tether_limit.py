"""The limit of a tether: the speed at the planning stage's geometry, and the stage, rising with its speed."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from atlas.plan.context import Context
from atlas.plan.limit import Reached, printed_limit
from atlas.plan.rig_results import Limit
from atlas.plan.rising import water_nodes, way_at
from atlas.plan.tether_site import TetherPlace
from atlas.rigging.rising import RisingWater, way_of
from atlas.rigging.shown import FloatArray
from atlas.rigging.tether_loads import WorstShares, worst_shares_at
from atlas.rigging.tether_records import LineStrength, TetherResult

__all__ = ["TetherRise", "tether_limit", "tether_rise"]

_BETWEEN = 4
"""Places looked at on each leg of a water's way."""
_FINER = 32
_TURNS = 3
"""Each turn looks at the leg of the first failure so many times finer."""
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
    reached: dict[tuple[object, ...], Reached | None] = field(default_factory=dict)
    """By what the bow lines may carry: tethers on the same ropes reach the same stage."""


def _pairs(found: list[WorstShares]) -> FloatArray:
    return np.array([one.both for one in found])


def _shares(place: TetherPlace, rise_m: FloatArray) -> FloatArray:
    """Near and far tension over drag at each rise, shape (n, 2)."""
    ground = place.ground
    if ground.held is None:
        return np.zeros((0, 2))
    rings_m = rise_m + ground.rules.bow_ring_m
    stations_m = np.array([ground.site.near.z_m, ground.site.far.z_m])
    return _pairs(worst_shares_at(ground.held, stations_m - rings_m[:, np.newaxis]))


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
    for _ in range(_TURNS):
        first = int(np.flatnonzero(most.margins(rise).min(axis=1) < 0.0)[0])
        ways = np.linspace(rise.ways_m[first - 1], rise.ways_m[first], _FINER + 1)
        rise = _looked_at(place, rise.water, ways, rise.drowned_m)
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
    key = (*most.near, *most.far, most.drag_per_speed2)
    if key not in rise.reached:
        rise.reached[key] = _stage_reached(place, rise, most)
    return printed_limit(
        context,
        held=Reached(held.speed_m_s, held.governed_by, planning.rise_m, planning.width_m),
        stage=rise.reached[key],
    )
