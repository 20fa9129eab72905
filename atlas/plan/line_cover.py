"""Whose rope becomes which line: the first due's where it covers all, else of those who are called."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from atlas.cover import (
    Comer,
    Cover,
    Job,
    LineNeed,
    RopeAsked,
    cover_lines,
    nearest_ropes,
    pieces_of,
    who_comes,
)
from atlas.plan.context import Context
from atlas.plan.gear import gear_asked, people_needed
from atlas.rigging.lines import LineLength
from atlas.settings import RopeRule

__all__ = ["MAY_JOIN", "Covered", "called_for", "cover_of", "job_of"]

MAY_JOIN = ("ferry-near", "ferry-far")
"""Lines with no pulley on them: a knot may stand in them where policy allows it."""


@dataclass(frozen=True, slots=True, eq=False)
class Covered(Mapping[str, Cover]):
    """Each line with what it is made of, by its name.

    Attributes
    ----------
    needs : what was asked for
    alone : the first due's own ropes cover all of it
    """

    needs: tuple[LineNeed, ...]
    lines: Mapping[str, Cover]
    alone: bool

    def __getitem__(self, line: str) -> Cover:
        return self.lines[line]

    def __iter__(self) -> Iterator[str]:
        return iter(self.lines)

    def __len__(self) -> int:
        return len(self.lines)


def _asked(rule: RopeRule) -> RopeAsked:
    most_mm = rule.diameter_most_mm
    return RopeAsked(
        kinds=tuple(rule.kinds),
        strength_min_n=rule.strength_least_kn * 1e3,
        diameter_min_m=rule.diameter_least_mm * 1e-3,
        diameter_max_m=None if most_mm is None else most_mm * 1e-3,
    )


def _needs(context: Context, lengths: Mapping[str, LineLength]) -> tuple[LineNeed, ...]:
    """What the rig's template asks ropes for."""
    span_m, rules = context.frame.span_m, context.policy.lines
    needs = []
    for line in context.rig.line:
        first, *others = (
            _asked(rule) for rule in line.rope if rule.span_most_m is None or span_m <= rule.span_most_m
        )
        needs.append(
            LineNeed(
                line=line.name,
                needed_m=lengths[line.name].needed_m,
                kinds=first.kinds,
                strength_min_n=first.strength_min_n,
                diameter_min_m=first.diameter_min_m,
                diameter_max_m=first.diameter_max_m,
                may_join=rules.ferry_joined and line.name in MAY_JOIN,
                join_m=rules.join_rope,
                others=tuple(others),
            )
        )
    return tuple(needs)


def job_of(context: Context, needs: tuple[LineNeed, ...]) -> Job:
    """What a rig asks for with such lines."""
    return Job(needs=needs, gear=gear_asked(context), people=people_needed(context))


def called_for(context: Context, covered: Covered, job: Job) -> tuple[Comer, ...]:
    """Who is called, the first due first, then by minutes: for ropes, gear and people together.

    What the loads ask of the hardware is known only when the ropes are taken. Where others would then be
    called for the same lines, those whose ropes were computed with come, and as few more as it takes.

    Parameters
    ----------
    job : all that the rig asks for; no ropes are looked for where the first due's cover all lines
    """
    without_lines = replace(job, needs=())
    called = context.caches.called(without_lines if covered.alone else job, context.comers)
    takers = {rope.agency for cover in covered.values() for rope in cover.take}
    if takers <= {comer.agency.code for comer in called}:
        return called
    return _with(context, takers | {context.agency.code}, without_lines)


def _with(context: Context, codes: set[str], job: Job) -> tuple[Comer, ...]:
    """These, and as few more as lack no more gear and people than everybody together."""
    sure = [comer for comer in context.comers if comer.agency.code in codes]
    others = [comer for comer in context.comers if comer.agency.code not in codes]
    together = replace(
        sure[0].agency,
        gear=tuple(entry for comer in sure for entry in comer.agency.gear),
        crew=tuple(crew for comer in sure for crew in comer.agency.crew),
    )
    first = Comer(together, max(comer.minutes for comer in sure))
    _, *more = who_comes(job, [first, *others])
    return (sure[0], *sorted((*sure[1:], *more), key=lambda comer: comer.minutes))


def _open(covers: Sequence[Cover]) -> int:
    return sum(cover.short_m > 0.0 for cover in covers)


def _soonest(needs: Sequence[LineNeed], called: Sequence[Comer]) -> tuple[Cover, ...]:
    """Ropes of those who are there when as many lines can be covered as with all who are called."""
    least = _open(cover_lines(needs, pieces_of([comer.agency for comer in called])))
    for count in range(1, len(called) + 1):
        covers = cover_lines(needs, pieces_of([comer.agency for comer in called[:count]]))
        if _open(covers) == least:
            return covers
    raise AssertionError("all who are called cover what all who are called cover")


def _nearest(context: Context, needs: Sequence[LineNeed], covers: Sequence[Cover]) -> tuple[Cover, ...]:
    """Lines that stay open with the longest suitable rope that anybody has left."""
    still_open = [need for need, cover in zip(needs, covers, strict=True) if cover.short_m > 0.0]
    if not still_open:
        return tuple(covers)
    taken = {(rope.agency, rope.name, rope.index) for cover in covers for rope in cover.take}
    everybody = pieces_of([comer.agency for comer in context.comers])
    left = [piece for piece in everybody if (piece.agency, piece.name, piece.index) not in taken]
    found = dict(zip((need.line for need in still_open), nearest_ropes(still_open, left), strict=True))
    named = []
    for need, cover in zip(needs, covers, strict=True):
        if need.line not in found:
            named.append(cover)
            continue
        nearest = found[need.line]
        short_m = need.needed_m - (nearest.length_m if nearest is not None else 0.0)
        named.append(replace(cover, nearest=nearest, short_m=short_m))
    return tuple(named)


def cover_of(context: Context, lengths: Mapping[str, LineLength]) -> Covered:
    """Ropes for the lines the rig's template asks ropes for.

    The first due's own where they cover every line, whoever else comes with gear and people. Else those of
    the agencies that are called, of no more of them, by minutes, than it takes; then the least over-length.
    """
    needs = _needs(context, lengths)
    covers = cover_lines(needs, pieces_of([context.agency]))
    alone = _open(covers) == 0
    if not alone:
        covers = _nearest(
            context, needs, _soonest(needs, context.caches.called(job_of(context, needs), context.comers))
        )
    return Covered(needs, {cover.line: cover for cover in covers}, alone)
