"""The printed limit of a rig: a speed and a stage, the float check for it, and what is met first."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from atlas.plan.context import Context
from atlas.plan.mechanics import Mechanics
from atlas.plan.rig_results import Limit
from atlas.plan.rising import Highest
from atlas.plan.track_results import TrackStage
from atlas.rigging.rigged import cause_code
from atlas.rigging.search import Found
from atlas.units import UnitSystem

__all__ = ["Reached", "limit_of", "printed_limit", "speed_reached", "stage_reached"]

_AT_ANY_SPEED = {"anchor_unrated", "anchor_drowned", "no_leverage", "pretension_rule", "pretension_strength"}
_SAME_M = 1e-9


@dataclass(frozen=True, slots=True)
class Reached:
    """Design speed at a limit, what is met first past it, and the water where that is looked for."""

    speed_m_s: float
    governed_by: str
    rise_m: float
    width_m: float


def _amiss_at_any_speed(one: Mechanics, planning: TrackStage, context: Context) -> bool:
    """Whether something keeps the rig outside plan however slow the water is."""
    least = context.policy.limits
    asked = {"anchor_track": least.anchor_track_least, "anchor_station": least.anchor_station_least}
    weak = any(limit.strength_n < asked.get(limit.code, 0.0) for limit in one.site.limits)
    codes = {note.code for case in planning.cases if case.judged for note in case.why}
    return weak or not codes.isdisjoint(_AT_ANY_SPEED)


def speed_reached(context: Context, one: Mechanics, found: Found, index: int) -> Reached | None:
    """The limit at the planning stage's geometry; None where that is outside plan in still water."""
    speed_m_s = float(found.value[index])
    if found.never[index] or speed_m_s <= 0.0:
        return None
    code = "search_end" if found.always[index] else cause_code(one.site, int(found.cause[index]))
    return Reached(speed_m_s, code, context.planning.rise_m, context.planning.width_m)


def stage_reached(
    one: Mechanics, found: Found, index: int, *, water: tuple[float, float, float], highest: Highest
) -> Reached | None:
    """The limit with geometry and speed moving together; None where no row of the table is inside plan.

    Parameters
    ----------
    water : rise, design speed and width at the place found
    highest : where the rig is out at the latest
    """
    if found.never[index]:
        return None
    rise_m, speed_m_s, width_m = water
    if highest.drowned is not None and rise_m >= highest.rise_m - _SAME_M:
        return Reached(speed_m_s, "anchor_drowned", highest.rise_m, width_m)
    code = "search_end" if found.always[index] else cause_code(one.site, int(found.cause[index]))
    return Reached(speed_m_s, code, rise_m, width_m)


def limit_of(
    context: Context, one: Mechanics, planning: TrackStage, *, held: Reached | None, stage: Reached | None
) -> Limit | None:
    """Limit speed with its float check, and limit stage; the lower speed of both is printed.

    None where the rig is outside plan at the planning stage however slow the water is.

    Parameters
    ----------
    held : with the planning stage's geometry held
    stage : with geometry and speed moving together
    """
    if held is None or _amiss_at_any_speed(one, planning, context):
        return None
    return printed_limit(context, held=held, stage=stage)


def printed_limit(context: Context, *, held: Reached, stage: Reached | None) -> Limit:
    """The lower speed of two limits with its float check, and the limit stage.

    Parameters
    ----------
    held : with the planning stage's geometry held
    stage : with geometry and speed moving together; None where no row of the table is inside plan
    """
    printed = held if stage is None or held.speed_m_s <= stage.speed_m_s else stage
    check = context.policy.float_check
    step_m = check.paces_step_si if context.units is UnitSystem.SI else check.paces_step
    distance_m = ceil(printed.speed_m_s * check.seconds_least / step_m) * step_m
    datum_m = context.river.datum_stage_m
    return Limit(
        surface_speed_m_s=printed.speed_m_s,
        stage_m=None if stage is None or datum_m is None else datum_m + stage.rise_m,
        governed_by=printed.governed_by,
        float_distance_m=distance_m,
        float_seconds=distance_m / printed.speed_m_s,
        rise_m=None if stage is None else stage.rise_m,
        stage_speed_m_s=None if stage is None else stage.speed_m_s,
        stage_width_m=None if stage is None else stage.width_m,
        stage_governed_by=None if stage is None else stage.governed_by,
        held_speed_m_s=held.speed_m_s,
        held_governed_by=held.governed_by,
    )
