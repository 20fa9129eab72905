"""Hardware and people: what the rig's template asks for, against what those who are called bring."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.cover import Comer, GearAsked
from atlas.plan.context import Context
from atlas.plan.rig_results import CrewPost, GearNeed
from atlas.settings import GearRule

__all__ = ["crew_posts", "gear_asked", "gear_needs", "people_needed"]


def gear_asked(context: Context) -> tuple[GearAsked, ...]:
    """Pieces of each item, as far as what is rigged is known; what takes none is left out."""
    asked = (
        GearAsked(
            rule.item,
            _pieces(context, rule),
            _rating_n(context, rule),
            tuple(context.gear.items[rule.item].served_by),
        )
        for rule in context.rig.gear
    )
    return tuple(one for one in asked if one.count)


def _pieces(context: Context, rule: GearRule) -> int:
    """The rule's count, and so many with each of what is rigged."""
    counts = {} if context.gear_facts is None else context.gear_facts.counts
    return (rule.count or 0) + sum(each * counts.get(of, 0) for of, each in rule.per.items())


def _rating_n(context: Context, rule: GearRule) -> float | None:
    """The rule's, or what its load asks up to the next class; past the last, what it asks."""
    least_n = None if rule.rating_kn is None else rule.rating_kn * 1e3
    asked_n = {} if context.gear_facts is None else context.gear_facts.asked_n
    load_n = asked_n.get(rule.load or "", 0.0)
    if load_n <= (least_n or 0.0):
        return least_n
    classes_n = (one * 1e3 for one in sorted(context.gear.rating_classes_kn))
    return next((one for one in classes_n if one >= load_n), load_n)


def gear_needs(
    context: Context, asked: tuple[GearAsked, ...], called: Sequence[Comer]
) -> tuple[GearNeed, ...]:
    """A row for each item asked for: needed, held by those who are called together, short."""
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
