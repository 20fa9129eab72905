"""The cover of a rig: who is called, what each adds, when it is complete, and what is short after all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

from atlas.cover import Comer, Job, crew_held
from atlas.plan.context import Context
from atlas.plan.gear import gear_needs
from atlas.plan.line_cover import Covered, called_for, job_of
from atlas.plan.rig_results import BroughtGear, BroughtRope, Called, CoverPlan, GearNeed, RigPlan

__all__ = ["RigCover", "agencies_used", "rig_cover"]


@dataclass(frozen=True, slots=True)
class RigCover:
    """What a rig planner puts into its rig."""

    cover: CoverPlan
    gear: tuple[GearNeed, ...]


def _ropes(covered: Covered, agency: str) -> tuple[BroughtRope, ...]:
    return tuple(
        BroughtRope(line, piece.name, piece.length_m)
        for line, cover in covered.items()
        for piece in cover.take
        if piece.agency == agency
    )


def _called(context: Context, covered: Covered, job: Job, called: Sequence[Comer]) -> tuple[Called, ...]:
    """Each with what it adds to those before it."""
    asked, people_left = job.gear, job.people
    short = {one.item: one.count for one in asked}
    found = []
    for count, comer in enumerate(called, start=1):
        held = context.caches.gear_held(asked, [each.agency for each in called[:count]])
        now = {row.item: row.short for row in held}
        gear = tuple(BroughtGear(item, short[item] - now[item]) for item in short if now[item] < short[item])
        on_duty = crew_held([comer.agency])
        adds = min(on_duty, people_left)
        short, people_left = now, people_left - adds
        found.append(
            Called(
                agency=comer.agency.code,
                name=comer.agency.name,
                minutes=comer.minutes if isfinite(comer.minutes) else None,
                estimated=comer.estimated,
                ropes=_ropes(covered, comer.agency.code),
                gear=gear,
                people=adds,
                on_duty=on_duty,
            )
        )
    return tuple(found)


def _minutes(called: Sequence[Comer]) -> float | None:
    """Until the last of them is there; None where nothing is known of one."""
    latest = max(comer.minutes for comer in called)
    return latest if isfinite(latest) else None


def rig_cover(context: Context, covered: Covered) -> RigCover:
    """Who is called for a rig with these lines, and its gear as they bring it."""
    job = job_of(context, covered.needs)
    comers = called_for(context, covered, job)
    gear = gear_needs(context, job.gear, comers)
    people, held = job.people, crew_held([comer.agency for comer in comers])
    lines_short = tuple(line for line, cover in covered.items() if cover.short_m > 0.0)
    complete = not lines_short and not any(need.short for need in gear) and held >= people
    cover = CoverPlan(
        first_due_complete=complete and len(comers) == 1,
        complete=complete,
        called=_called(context, covered, job, comers),
        minutes=_minutes(comers),
        lines_short=lines_short,
        people_needed=people,
        people_held=held,
        people_short=max(0, people - held),
        job=job,
    )
    return RigCover(cover, gear)


def agencies_used(rig: RigPlan) -> frozenset[str]:
    """Codes of the agencies a rig's cover names: called, or with the nearest rope for a line left open."""
    called = () if rig.cover is None else rig.cover.called
    nearest = (line.nearest for line in rig.lines)
    return frozenset(one.agency for one in (*called, *nearest) if one is not None)
