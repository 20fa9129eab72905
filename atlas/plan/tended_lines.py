"""The tended lines' own limits: the ropes taken for them, wet and with their end, over the factor asked."""

from __future__ import annotations

from collections.abc import Mapping

from atlas.cover import Cover
from atlas.plan.context import Context
from atlas.plan.track_rope import wet_share
from atlas.rigging.fixtures import Stand
from atlas.rigging.limits import ForceLimit, kept_strength

__all__ = ["tended_limits"]

_STANDS = {"ferry-near": Stand.FERRY_NEAR, "ferry-far": Stand.FERRY_FAR, "up-down": Stand.UP_DOWN}


def tended_limits(context: Context, covers: Mapping[str, Cover]) -> tuple[ForceLimit, ...]:
    """Limits of ferry and up-down lines, wet and with their end at the carriage.

    Of the rope taken; where none is, of the weakest that the rig's template asks for, its fibre unknown.
    """
    ropes = {stock.name: stock for stock in context.agency.ropes}
    limits = []
    for line in context.rig.line:
        if line.name not in _STANDS:
            continue
        taken = covers[line.name].take
        strength_n, fibre = line.rope[0].strength_least_kn * 1e3, "unknown"
        if taken:
            stock = ropes[taken[0].name]
            strength_n, fibre = stock.strength_n, stock.fibre
        kept = kept_strength(wet=wet_share(context, fibre), end=getattr(context.policy.ends, line.end))
        factor = context.policy.limits.factor_lines
        limits.append(ForceLimit("factor_line", line.name, strength_n * kept, factor, _STANDS[line.name]))
    return tuple(limits)
