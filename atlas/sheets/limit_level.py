"""The limit level told by its gauge: at or above which reading the rig is outside plan, and the floods."""

from __future__ import annotations

from atlas.records import FloodLevel
from atlas.sheets.desk import Desk
from atlas.units import Figure, Shown
from atlas.water import flood_place

__all__ = ["gauge_tellings", "is_the_planned"]


def is_the_planned(desk: Desk, shown: Shown) -> bool:
    """Whether the limit level prints as the very level planned for, which is inside plan.

    So where the water was seen no higher than planned for, and fails with the model's margin just above.
    """
    planning = desk.plan.chosen.planning
    return (
        planning.inside
        and planning.stage_m is not None
        and shown.first == desk.first(Figure.STAGE, planning.stage_m)
    )


def _flood(desk: Desk, stage_m: float) -> str:
    """The flood category the level has reached, else the next over it; nothing where none is known."""
    gauged = desk.plan.site.access.gauged
    place = None if gauged is None else flood_place(gauged.record.flood, stage_m=stage_m)
    if place is None:
        return ""
    if place.reached is not None:
        return desk.words("sheet.stop.in_flood", category=_category(desk, place.reached))
    if place.following is None or place.following.stage_m is None:
        return ""
    begins = desk.first(Figure.LIMIT_STAGE, place.following.stage_m)
    return desk.words("sheet.stop.flood_from", category=_category(desk, place.following), stage=begins)


def _category(desk: Desk, level: FloodLevel) -> str:
    return desk.words(f"flood.{level.category.value}")


def gauge_tellings(desk: Desk, shown: Shown, stage_m: float) -> tuple[tuple[str, str], ...]:
    """Label and first note of the limit level, the fullest first; none for a site without a named gauge.

    Parameters
    ----------
    shown : the limit level as printed
    stage_m : of the gauge

    Notes
    -----
    Label, figure and note read as one: "Gauge OT G3 at or above 6.2 ft: outside plan". So both are taken
    together, or neither. Above, and not at, where that is the level planned for.
    """
    gauge, words = desk.plan.site.access.gauge, desk.words
    if not gauge:
        return ()
    from_it = "limit_stage_gauge_above" if is_the_planned(desk, shown) else "limit_stage_gauge"
    label, outside = words(f"sheet.stop.{from_it}", gauge=gauge), words("sheet.stop.limit_stage_outside")
    flood = _flood(desk, stage_m)
    rows = [(shown.second, outside, flood), (outside, flood), (shown.second, outside), (outside,)]
    notes = [words("sheet.separator").join(part for part in row if part) for row in rows]
    return tuple((label, note) for note in dict.fromkeys(notes))
