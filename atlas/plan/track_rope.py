"""The rope the track line is computed with: the one taken from the cache, else policy's planning rope."""

from __future__ import annotations

from atlas.cover import RopePiece
from atlas.plan.context import Context
from atlas.plan.track_results import TrackRope
from atlas.records import RopeStock
from atlas.rigging.limits import kept_strength
from atlas.rigging.rope import (
    StiffnessBounds,
    stiffness_bounds_from_10pct,
    stiffness_bounds_from_50_150kg,
    stiffness_from_10pct,
    stiffness_from_50_150kg,
)

__all__ = ["cache_rope", "far_wraps_thin", "planning_rope", "stock_stiffness", "wet_share"]


def wet_share(context: Context, fibre: str) -> float:
    """Strength a rope of this fibre keeps when wet."""
    share: float = getattr(context.policy.wet, fibre, context.policy.wet.unknown)
    return share


def far_wraps_thin(context: Context, *, rope_diameter_m: float) -> bool:
    """Whether the far anchor is too thin for wraps to keep full strength; one of unknown size is not."""
    anchor = next(anchor for anchor in context.site.anchors if anchor.tag == context.frame.track_far_tag)
    least = context.policy.lines.wrap_anchor_diameters_least
    return (
        context.rig.far_end == "wraps"
        and anchor.diameter_m is not None
        and anchor.diameter_m < least * rope_diameter_m
    )


def _kept(context: Context, fibre: str, *, rope_diameter_m: float) -> float:
    """Strength kept wet, at the weaker of the line's two ends."""
    ends = context.policy.ends
    thin = far_wraps_thin(context, rope_diameter_m=rope_diameter_m)
    far_end = ends.wraps_thin if thin else getattr(ends, context.rig.far_end)
    return kept_strength(wet=wet_share(context, fibre), end=min(far_end, getattr(ends, context.rig.near_end)))


def _bounds_of_10pct(context: Context, stiffness_n: float) -> StiffnessBounds:
    rules = context.policy.stiffness
    return stiffness_bounds_from_10pct(
        stiffness_n=stiffness_n, low_factor=rules.low_of_10pct, high_factor=rules.high_of_10pct
    )


def planning_rope(context: Context) -> TrackRope:
    """Policy's rope, nylon, its stiffness a figure at 10 % of strength."""
    rope = context.policy.planning_rope
    bounds = _bounds_of_10pct(context, rope.stiffness)
    return TrackRope(
        name=context.words("rope.planning"),
        agency=None,
        diameter_m=rope.diameter,
        strength_n=rope.strength,
        weight_n_m=rope.weight,
        stiffness_n=rope.stiffness,
        stiffness_low_n=bounds.low_n,
        stiffness_high_n=bounds.high_n,
        kept=_kept(context, "nylon", rope_diameter_m=rope.diameter),
    )


def stock_stiffness(context: Context, stock: RopeStock) -> tuple[float, StiffnessBounds]:
    """EA of a rope of a cache, and its bounds [N]."""
    if stock.elongation_basis == "10pct":
        stiffness_n = stiffness_from_10pct(strength_n=stock.strength_n, elongation=stock.elongation)
        return stiffness_n, _bounds_of_10pct(context, stiffness_n)
    stiffness_n = stiffness_from_50_150kg(elongation=stock.elongation)
    bounds = stiffness_bounds_from_50_150kg(
        stiffness_n=stiffness_n,
        strength_n=stock.strength_n,
        high_elongation=context.policy.stiffness.high_elongation_of_50_150kg,
    )
    return stiffness_n, bounds


def cache_rope(context: Context, piece: RopePiece) -> TrackRope:
    """The rope that was taken for the track line, from whosever cache."""
    stock = context.caches.rope(piece.agency, piece.name)
    stiffness_n, bounds = stock_stiffness(context, stock)
    return TrackRope(
        name=stock.name,
        agency=piece.agency,
        diameter_m=stock.diameter_m,
        strength_n=stock.strength_n,
        weight_n_m=stock.weight_n_m,
        stiffness_n=stiffness_n,
        stiffness_low_n=bounds.low_n,
        stiffness_high_n=bounds.high_n,
        kept=_kept(context, stock.fibre, rope_diameter_m=stock.diameter_m),
    )
