"""How agencies stand to a site's job: what each lacks alone, and whose absence hurts most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np

from atlas.cover import Comer, Job, Lack, lack_of
from atlas.cover.gear_groups import gear_groups
from atlas.cover.tables import NEVER, Table, together
from atlas.plan.caches import Caches
from atlas.records import Agency

__all__ = ["Absence", "Short", "absences", "lacks_of", "shorts"]


@dataclass(frozen=True, slots=True)
class Short:
    """What some agencies lack together; nothing where they are complete."""

    lines: tuple[str, ...]
    gear: tuple[tuple[str, int], ...]
    people: int

    @property
    def complete(self) -> bool:
        """Nothing is lacking."""
        return not self.lines and not self.gear and not self.people

    @property
    def pieces(self) -> int:
        """Pieces of hardware lacking."""
        return sum(count for _, count in self.gear)


@dataclass(frozen=True, slots=True)
class Absence:
    """A site without one of the agencies called.

    Attributes
    ----------
    away : its code
    called : who comes then, the first due first
    short : what is lacking then
    minutes : until the last is there; None where nothing is known of one
    """

    away: str
    called: tuple[str, ...]
    short: Short
    minutes: float | None


def _gear_short(job: Job, caches: Caches, agencies: Sequence[Agency]) -> tuple[tuple[str, int], ...]:
    return tuple((row.item, row.short) for row in caches.gear_held(job.gear, agencies) if row.short)


def _open_lines(job: Job, table: Table) -> tuple[str, ...]:
    """Lines that stay open with the most covered, with the least over-length of those."""
    counts = np.array([number.bit_count() for number in range(len(table))])
    most = counts[table < NEVER].max()
    covered = int(np.where(counts == most, table, 2 * NEVER).argmin())
    return tuple(need.line for bit, need in enumerate(job.needs) if not covered >> bit & 1)


def shorts(job: Job, caches: Caches) -> dict[str, Short]:
    """What each agency lacks alone, by its code."""
    tables, people = caches.stocks.lines(job.needs), caches.stocks.people()
    return {
        agency.code: Short(
            _open_lines(job, table), _gear_short(job, caches, [agency]), max(0, job.people - int(held))
        )
        for agency, table, held in zip(caches.stocks.agencies, tables, people, strict=True)
    }


def _table_of(job: Job, caches: Caches, agencies: Sequence[Agency]) -> Table:
    """Table of some agencies' ropes together."""
    tables = caches.stocks.lines(job.needs)[caches.stocks.rows(agencies)]
    found = tables[:1]
    for one in tables[1:]:
        found = together(found, one[None])
    whole: Table = found[0]
    return whole


def _without(job: Job, comers: Sequence[Comer], caches: Caches, away: str) -> Absence | None:
    left = [comer for comer in comers if comer.agency.code != away]
    if not left:
        return None
    if comers[0].agency.code == away:
        left.sort(key=lambda comer: comer.minutes)
    first = _open_lines(job, _table_of(job, caches, [left[0].agency]))
    asked = job if first else Job(needs=(), gear=job.gear, people=job.people)
    called = caches.called(asked, left)
    agencies = [comer.agency for comer in called]
    people = sum(crew.people for agency in agencies for crew in agency.crew)
    lines = _open_lines(job, _table_of(job, caches, agencies))
    short = Short(lines, _gear_short(job, caches, agencies), max(0, job.people - people))
    latest = max(comer.minutes for comer in called)
    return Absence(away, tuple(one.code for one in agencies), short, latest if isfinite(latest) else None)


def absences(job: Job, comers: Sequence[Comer], caches: Caches, called: Sequence[str]) -> tuple[Absence, ...]:
    """The site without each of those called, the one that hurts most first.

    By lines, pieces of gear and people lacking, then by minutes, then by how many come.
    """

    def hurts(absence: Absence) -> tuple[float, ...]:
        short = absence.short
        minutes = float("inf") if absence.minutes is None else absence.minutes
        return len(short.lines), short.pieces, short.people, minutes, len(absence.called)

    found = [_without(job, comers, caches, code) for code in called]
    return tuple(sorted((one for one in found if one is not None), key=hurts, reverse=True))


def lacks_of(job: Job, caches: Caches, agencies: Sequence[Agency], *, step_m: float) -> Lack:
    """What some agencies' caches together lack of ropes and hardware, as the purchase asks for it.

    Parameters
    ----------
    step_m : ropes are bought in lengths of so many of these
    """
    stock = [entry for agency in agencies for entry in agency.gear]
    gear = []
    for group in gear_groups(job.gear):
        lack = group.needed - group.held(stock)
        for number in np.flatnonzero(lack > 0).tolist():
            items = frozenset(one.item for bit, one in enumerate(group.asked) if number >> bit & 1)
            gear.append((items, int(lack[number])))
    return lack_of(job, _table_of(job, caches, agencies), gear, step_m=step_m)
