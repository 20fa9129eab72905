"""What an anchor is taken to hold: surveyed, else assumed from kind and size by policy."""

from __future__ import annotations

from dataclasses import dataclass

from atlas.plan.context import Context
from atlas.rigging.anchors import assumed_hold_n

__all__ = ["Hold", "rated_hold_n"]


@dataclass(frozen=True, slots=True)
class Hold:
    """Ultimate hold [N], and whether it was assumed."""

    hold_n: float
    assumed: bool


def rated_hold_n(context: Context, tag: str) -> Hold | None:
    """Hold of a surveyed anchor; None where it has no rating and none can be assumed.

    An anchor not to be used is not rated: whatever was read of it, it is planned to hold nothing.
    """
    anchor = next(anchor for anchor in context.site.anchors if anchor.tag == tag)
    if anchor.do_not_use:
        return None
    if anchor.rating_n is not None:
        return Hold(anchor.rating_n, assumed=False)
    kind = context.policy.anchor_kinds.get(anchor.kind or "")
    if kind is None or anchor.diameter_m is None:
        return None
    hold_n = assumed_hold_n(
        size_m=anchor.diameter_m,
        of_size_squared_n_m2=kind.of_size_squared,
        most_n=kind.most,
        size_least_m=kind.size_least,
    )
    return None if hold_n is None else Hold(hold_n, assumed=True)
