"""Hardware and people from the rig's template, against what the first-due agency holds."""

from __future__ import annotations

from atlas.cover import gear_cover
from atlas.plan.context import Context
from atlas.plan.rig_results import CrewPost, GearNeed

__all__ = ["crew_posts", "gear_needs"]


def gear_needs(context: Context) -> tuple[GearNeed, ...]:
    """A row for each item of the rig: needed, held by the first-due agency, short."""
    rules = context.rig.gear
    least_n = {rule.item: rule.rating_kn * 1e3 for rule in rules if rule.rating_kn is not None}
    held = gear_cover(
        {rule.item: rule.count for rule in rules},
        context.agency.gear,
        served_by={rule.item: tuple(context.gear.items[rule.item].served_by) for rule in rules},
        rating_least_n=least_n,
    )
    return tuple(
        GearNeed(
            item=row.item, needed=row.needed, held=row.held, short=row.short, rating_n=least_n.get(row.item)
        )
        for row in held
    )


def crew_posts(context: Context) -> tuple[CrewPost, ...]:
    """People at each place, and the least below which the rig is not built."""
    return tuple(CrewPost(post=rule.post, people=rule.people, least=rule.least) for rule in context.rig.crew)
