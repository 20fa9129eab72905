"""Everybody's caches, read off once for all sites of a call; equal problems are solved once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from atlas.cover import Comer, GearAsked, GearHeld, Job, Stocks, gear_cover, who_comes
from atlas.records import Agency, RopeStock

__all__ = ["Caches"]

_Called = dict[tuple[Job, tuple[tuple[str, float], ...]], tuple[str, ...]]
_Held = dict[tuple[tuple[GearAsked, ...], tuple[str, ...]], tuple[GearHeld, ...]]


@dataclass(frozen=True, slots=True, eq=False)
class Caches:
    """What agencies have, and what was found of it so far."""

    stocks: Stocks
    _ropes: dict[tuple[str, str], RopeStock]
    _called: _Called = field(default_factory=dict)
    _held: _Held = field(default_factory=dict)

    @classmethod
    def of(cls, agencies: Sequence[Agency]) -> Caches:
        """Read off the agencies' caches."""
        ropes = {(agency.code, rope.name): rope for agency in agencies for rope in agency.ropes}
        return cls(Stocks.of(agencies), ropes)

    def rope(self, agency: str, name: str) -> RopeStock:
        """A rope by whose it is and its name."""
        return self._ropes[agency, name]

    def called(self, job: Job, comers: Sequence[Comer]) -> tuple[Comer, ...]:
        """`atlas.cover.who_comes`."""
        key = job, tuple((comer.agency.code, comer.minutes) for comer in comers)
        found = self._called.get(key)
        if found is None:
            found = tuple(comer.agency.code for comer in who_comes(job, comers, self.stocks))
            self._called[key] = found
        by_code = {comer.agency.code: comer for comer in comers}
        return tuple(by_code[code] for code in found)

    def gear_held(self, asked: tuple[GearAsked, ...], agencies: Sequence[Agency]) -> tuple[GearHeld, ...]:
        """`atlas.cover.gear_cover` of what some agencies bring together."""
        key = asked, tuple(agency.code for agency in agencies)
        found = self._held.get(key)
        if found is None:
            found = gear_cover(
                {one.item: one.count for one in asked},
                [stock for agency in agencies for stock in agency.gear],
                served_by={one.item: one.served_by for one in asked},
                rating_least_n={
                    one.item: one.rating_least_n for one in asked if one.rating_least_n is not None
                },
            )
            self._held[key] = found
        return found
