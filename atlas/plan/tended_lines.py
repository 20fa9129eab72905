"""The tended lines' own limits: the ropes taken for them, wet and with their end, over the factor asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from atlas.cover import Cover
from atlas.plan.context import Context
from atlas.plan.track_rope import stock_stiffness, wet_share
from atlas.rigging.fixtures import Stand
from atlas.rigging.limits import ForceLimit, kept_strength

__all__ = ["TendedRope", "tended_limits", "tended_rope"]

_STANDS = {"ferry-near": Stand.FERRY_NEAR, "ferry-far": Stand.FERRY_FAR, "up-down": Stand.UP_DOWN}


def tended_limits(context: Context, covers: Mapping[str, Cover]) -> tuple[ForceLimit, ...]:
    """Limits of ferry and up-down lines, wet and with their end at the carriage.

    Of the rope taken; where none is, of the weakest that the rig's template asks for, its fibre unknown.
    """
    factor = context.policy.limits.factor_lines
    return tuple(
        ForceLimit(
            "factor_line",
            line.name,
            tended_rope(context, covers, line.name).kept_n,
            factor,
            _STANDS[line.name],
        )
        for line in context.rig.line
        if line.name in _STANDS
    )


@dataclass(frozen=True, slots=True)
class TendedRope:
    """The rope of a tended line as it is reckoned with where another line is lost.

    Attributes
    ----------
    kept_n : strength, wet and with its end [N]
    stiffness_n : EA, stiff bound: the stiffer, the more it is asked for [N]
    diameter_m : [m]
    """

    kept_n: float
    stiffness_n: float
    diameter_m: float


def tended_rope(context: Context, covers: Mapping[str, Cover], line: str) -> TendedRope:
    """The rope taken for a line; where none is, the weakest and thickest its template asks for.

    Of two joined the knot counts where it is weaker than the line's end.

    Without a rope, the stiffness is that of the planning rope; a template that names no greatest diameter
    has the planning rope's.
    """
    rule = next(rule for rule in context.rig.line if rule.name == line)
    planning = context.policy.planning_rope
    taken = covers[line].take
    if taken:
        stock = context.caches.rope(taken[0].agency, taken[0].name)
        strength_n, fibre, diameter_m = stock.strength_n, stock.fibre, stock.diameter_m
        stiffness_n = stock_stiffness(context, stock)[1].high_n
    else:
        rope = rule.rope[0]
        strength_n, fibre = rope.strength_least_kn * 1e3, "unknown"
        most_mm = rope.diameter_most_mm
        diameter_m = planning.diameter if most_mm is None else most_mm / 1e3
        stiffness_n = context.policy.stiffness.high_of_10pct * planning.stiffness
    ends = context.policy.ends
    end = min(getattr(ends, rule.end), ends.join) if len(taken) > 1 else getattr(ends, rule.end)
    kept = kept_strength(wet=wet_share(context, fibre), end=end)
    return TendedRope(strength_n * kept, stiffness_n, diameter_m)
