"""Where a stage lies among the flood categories of its gauge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from atlas.records import FloodLevel

__all__ = ["FloodPlace", "flood_place"]


@dataclass(frozen=True, slots=True)
class FloodPlace:
    """The category a stage has reached, and the next over it; None where there is none.

    Attributes
    ----------
    to_next_m : how far the next begins over the stage [m]
    """

    reached: FloodLevel | None
    following: FloodLevel | None
    to_next_m: float | None


def flood_place(flood: Sequence[FloodLevel], *, stage_m: float) -> FloodPlace | None:
    """Categories about a stage; None where no category's stage is known.

    Parameters
    ----------
    flood : by rising category (NWS Manual 10-950: action, minor, moderate, major)
    stage_m : of the same gauge [m]
    """
    known = [(level.stage_m, level) for level in flood if level.stage_m is not None]
    if not known:
        return None
    reached = [level for begins_m, level in known if begins_m <= stage_m]
    over = [(begins_m, level) for begins_m, level in known if begins_m > stage_m]
    return FloodPlace(
        reached=reached[-1] if reached else None,
        following=over[0][1] if over else None,
        to_next_m=over[0][0] - stage_m if over else None,
    )
