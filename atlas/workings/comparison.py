"""All rigs of a site side by side: what each takes, carries and allows, and why it is outside plan."""

from __future__ import annotations

from collections.abc import Callable

from atlas.plan import RigPlan, SitePlan, TetherRig, TrackLineRig
from atlas.units import Figure, UnitSystem
from atlas.workings.section import Row, Section, both

__all__ = ["compared", "comparison"]

Tell = Callable[[RigPlan], str]
_NONE = "-"


def _longest(rig: RigPlan, system: UnitSystem) -> str:
    if not rig.lines:
        return _NONE
    line = max(rig.lines, key=lambda one: one.needed_m)
    return f"{line.line} {both(Figure.NEEDED_LENGTH, line.needed_m, system)}"


def _short(rig: RigPlan) -> str:
    return ", ".join(line.line for line in rig.lines if line.short_m > 0.0) or _NONE


def _limit(rig: RigPlan, system: UnitSystem) -> str:
    if rig.limit is None:
        return _NONE
    return f"{both(Figure.LIMIT_SPEED, rig.limit.surface_speed_m_s, system)}, {rig.limit.governed_by}"


def _stage(rig: RigPlan, system: UnitSystem) -> str:
    if rig.limit is None or rig.limit.stage_m is None:
        return _NONE
    return both(Figure.LIMIT_STAGE, rig.limit.stage_m, system)


def _tension(rig: RigPlan, system: UnitSystem) -> str:
    if not rig.stages:
        return _NONE
    case = max((case for case in rig.planning.cases if case.judged), key=lambda case: case.tension_n)
    return f"{both(Figure.TENSION, case.tension_n, system)} {case.case}"


def _factor(rig: RigPlan) -> str:
    if not rig.stages:
        return _NONE
    least = min((case for case in rig.planning.cases if case.judged), key=lambda case: case.factor)
    return f"{least.factor:.2f} {least.factor_part}, asked {rig.least_factor:g}"


def _peculiar(rig: RigPlan, system: UnitSystem) -> str:
    """What decides for this kind of rig alone."""
    if isinstance(rig, TetherRig):
        angle = both(Figure.INCLUDED_ANGLE, rig.angle_deg, system)
        return f"angle {angle} of {both(Figure.ANGLE_MOST, rig.angle_most_deg, system)}"
    if isinstance(rig, TrackLineRig):
        hung = min(
            (case for case in rig.planning.cases if case.judged),
            key=lambda case: case.clearance_m - case.clearance_needed_m,
        )
        got = both(Figure.CLEARANCE, hung.clearance_m, system)
        return f"clear {got} of {both(Figure.CLEARANCE_NEEDED, hung.clearance_needed_m, system)}"
    return _NONE


def _people(rig: RigPlan) -> str:
    return f"{rig.people}, never under {sum(post.least for post in rig.crew)}" if rig.crew else _NONE


def _stations(rig: RigPlan) -> str:
    """Stations that are to be found on scene."""
    tags = [anchor.tag for anchor in rig.anchors if not anchor.surveyed]
    return ", ".join(tags) or _NONE


def compared(plan: SitePlan, system: UnitSystem) -> tuple[Row, ...]:
    """A row for each thing compared, its name first and then each rig's answer."""
    tells: tuple[tuple[str, Tell], ...] = (
        ("verdict at the planning stage", lambda rig: "inside" if rig.inside else "OUTSIDE"),
        ("limit speed", lambda rig: _limit(rig, system)),
        ("limit stage", lambda rig: _stage(rig, system)),
        ("greatest tension", lambda rig: _tension(rig, system)),
        ("least factor", _factor),
        ("clearance, or angle", lambda rig: _peculiar(rig, system)),
        ("lines", lambda rig: str(len(rig.lines)) if rig.lines else _NONE),
        ("longest line", lambda rig: _longest(rig, system)),
        ("lines short of rope", _short),
        ("stations to find on scene", _stations),
        ("people", _people),
        ("pieces of gear", lambda rig: str(sum(need.needed for need in rig.gear)) if rig.gear else _NONE),
        ("pieces short", lambda rig: str(sum(need.short for need in rig.gear)) if rig.gear else _NONE),
        ("why outside plan", lambda rig: "; ".join(note.text for note in rig.reasons) or _NONE),
    )
    return tuple((name, *(tell(rig) for rig in plan.rigs)) for name, tell in tells)


def comparison(plan: SitePlan, system: UnitSystem) -> Section:
    """The rigs side by side, the chosen one first; nothing where there is one rig alone."""
    if len(plan.rigs) == 1:
        return Section(title="Rigs side by side")
    by = "named by the survey" if plan.site.access.rig else "chosen by the policy's rule"
    return Section(
        title="Rigs side by side",
        notes=(f"{plan.chosen.rig}: {by}",),
        head=("", *(rig.rig for rig in plan.rigs)),
        rows=compared(plan, system),
    )
