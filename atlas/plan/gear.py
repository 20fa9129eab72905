"""Hardware and people from the rig's template, against what the first-due agency holds."""

from __future__ import annotations

from atlas.plan.context import Context
from atlas.plan.results import CrewPost, GearNeed

__all__ = ["crew_posts", "gear_needs"]


def gear_needs(context: Context) -> tuple[GearNeed, ...]:
    """A row for each item of the rig: needed, held by the first-due agency, short.

    Pieces rated under what is asked do not count; an item may be served by another that does its work.
    """
    return tuple(
        _need(context, item=rule.item, needed=rule.count, rating_kn=rule.rating_kn)
        for rule in context.rig.gear
    )


def _need(context: Context, *, item: str, needed: int, rating_kn: float | None) -> GearNeed:
    serving = {item, *context.gear.items[item].served_by}
    least_n = None if rating_kn is None else rating_kn * 1e3
    held = sum(
        stock.count
        for stock in context.agency.gear
        if stock.item in serving and (least_n is None or stock.rating_n is None or stock.rating_n >= least_n)
    )
    return GearNeed(item=item, needed=needed, held=held, short=max(needed - held, 0), rating_n=least_n)


def crew_posts(context: Context) -> tuple[CrewPost, ...]:
    """People at each place, and the least below which the rig is not built."""
    return tuple(CrewPost(post=rule.post, people=rule.people, least=rule.least) for rule in context.rig.crew)
