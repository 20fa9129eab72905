"""Numbers as services give them: text, with a unit beside it, and stand-ins for nothing."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any, Final

from atlas.faults import clean_text
from atlas.units import Allowed, Quantity, QuantityProblem, read_quantity, shown_raw

__all__ = [
    "AREA",
    "DISCHARGE",
    "FLOW",
    "SPEED",
    "STAGE",
    "WIDTH",
    "LeftOut",
    "Plausible",
    "day_of",
    "moment_of",
    "properties_of",
]

_DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_FIRST_YEAR = 1850
"""Before it nobody gauged; year 1 stands for nothing."""


@dataclass(frozen=True, slots=True)
class Plausible:
    """What a quantity of a river may be [agency's own figures]: beyond, it is a stand-in or a slip."""

    quantity: Quantity
    allowed: Allowed


STAGE: Final = Plausible(Quantity.LENGTH, Allowed(-100.0, 5000.0))
WIDTH: Final = Plausible(Quantity.LENGTH, Allowed(0.0, 5000.0, positive=True))
AREA: Final = Plausible(Quantity.AREA, Allowed(0.0, 200_000.0, positive=True))
SPEED: Final = Plausible(Quantity.SPEED, Allowed(0.0, 15.0, positive=True))
DISCHARGE: Final = Plausible(Quantity.DISCHARGE, Allowed(0.0, 250_000.0, positive=True))
FLOW: Final = Plausible(Quantity.DISCHARGE, Allowed(0.0, 250_000.0))
"""Of a river that may be dry; DISCHARGE is one that was measured."""
_NOTHING: Final = frozenset({-999.0, -9999.0, -999999.0})
"""Stand-ins for a value that is missing (USGS -999999; NWS -999 and -9999)."""


@dataclass(slots=True)
class LeftOut:
    """What was left out and why: how often each reason, and the first that stood there.

    Attributes
    ----------
    counts : by reason
    firsts : what stood there the first time
    """

    counts: dict[str, int] = field(default_factory=dict)
    firsts: dict[str, str] = field(default_factory=dict)

    def add(self, reason: str, got: object = None) -> None:
        """One more for this reason."""
        self.counts[reason] = self.counts.get(reason, 0) + 1
        if got is not None:
            self.firsts.setdefault(
                reason, clean_text(got, longest=40) if isinstance(got, str) else shown_raw(got)
            )

    def told(self) -> tuple[str, ...]:
        """A line a reason."""
        return tuple(
            f"{count} left out: {reason}" + (f" ({self.firsts[reason]})" if reason in self.firsts else "")
            for reason, count in self.counts.items()
        )

    def value(self, raw: object, unit: object, plausible: Plausible, name: str) -> float | None:
        """A value in its base unit, or None with the reason kept; nothing at all is nothing and no fault."""
        if raw is None or raw == "":
            return None
        if not isinstance(unit, str) or not unit:
            self.add(f"{name}: unit", raw)
            return None
        if isinstance(raw, bool) or not isinstance(raw, str | int | float):
            found = read_quantity(raw, plausible.quantity)
        elif _bare(raw) in _NOTHING:
            return None
        else:
            found = read_quantity(f"{raw} {unit}", plausible.quantity, plausible.allowed)
        if isinstance(found, QuantityProblem):
            what = {"unit_unknown": "unit", "unit_wrong_kind": "unit"}.get(found.code, found.what)
            self.add(f"{name}: {what}", f"{raw} {unit}")
            return None
        return found


def _bare(raw: object) -> float | None:
    """The number itself."""
    try:
        return float(raw) if isinstance(raw, str | int | float) else None
    except (ValueError, OverflowError):
        return None


def moment_of(raw: object) -> datetime | None:
    """A moment with its zone; None for text that is none, for one without zone, and for year 1."""
    if not isinstance(raw, str):
        return None
    try:
        moment = datetime.fromisoformat(raw)
        return moment.astimezone(UTC) if moment.tzinfo and moment.year >= _FIRST_YEAR else None
    except (ValueError, OverflowError):
        return None


def day_of(raw: object) -> date | None:
    """The day of a date, or of a moment as it is written."""
    if not isinstance(raw, str) or not _DAY.match(raw):
        return None
    try:
        day = date.fromisoformat(raw[:10])
    except ValueError:
        return None
    return day if day.year >= _FIRST_YEAR else None


def properties_of(feature: object) -> dict[str, Any] | None:
    """The properties of a feature, None where it has none."""
    found = feature.get("properties") if isinstance(feature, dict) else None
    return found if isinstance(found, dict) else None
