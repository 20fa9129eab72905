"""Hardware and people: what the rig's template asks for, against what those who are called bring."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.cover import Comer, GearAsked
from atlas.plan.context import Context
from atlas.plan.rig_results import CrewPost, GearNeed

__all__ = ["crew_posts", "gear_asked", "gear_needs", "people_needed"]


def gear_asked(context: Context) -> tuple[GearAsked, ...]:
    """Pieces of each item of the rig."""
    return tuple(
        GearAsked(
            rule.item,
            rule.count,
            None if rule.rating_kn is None else rule.rating_kn * 1e3,
            tuple(context.gear.items[rule.item].served_by),
        )
        for rule in context.rig.gear
    )


def gear_needs(context: Context, called: Sequence[Comer]) -> tuple[GearNeed, ...]:
    """A row for each item of the rig: needed, held by those who are called together, short."""
    asked = gear_asked(context)
    held = context.caches.gear_held(asked, [comer.agency for comer in called])
    return tuple(
        GearNeed(
            item=row.item, needed=row.needed, held=row.held, short=row.short, rating_n=one.rating_least_n
        )
        for row, one in zip(held, asked, strict=True)
    )


def people_needed(context: Context) -> int:
    """People at all posts of the rig."""
    return sum(rule.people for rule in context.rig.crew)


def crew_posts(context: Context) -> tuple[CrewPost, ...]:
    """People at each place, and the least below which the rig is not built."""
    return tuple(CrewPost(post=rule.post, people=rule.people, least=rule.least) for rule in context.rig.crew)
