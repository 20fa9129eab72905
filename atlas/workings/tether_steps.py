"""The steps of a tether: angle and stations, ropes, pulls of the bow lines, limit, lines, anchors, crew."""

from __future__ import annotations

from atlas.plan import TetheredCase, TetherRig
from atlas.settings import Policy
from atlas.units import Figure, UnitSystem
from atlas.workings.any_rig_steps import (
    anchors_step,
    called_steps,
    crew_step,
    drag_note,
    gear_step,
    limit_step,
    lines_step,
    named,
    stages_step,
    why_step,
)
from atlas.workings.section import FIGURES, Row, Section, figure, number

__all__ = ["tether_sections"]


def _angle(rig: TetherRig, system: UnitSystem) -> Section:
    depths = rig.depths
    x_m, y_m = rig.angle_at
    return Section(
        title="Included angle and depth of the bow stations",
        notes=(
            "the angle at the bow, in plan: worst on the work area's outline",
            f"worst with the bow at x {x_m:.2f} m, y {y_m:.2f} m",
            "depth: along the flow, from the most upriver place of the work area up to the station",
            *(("work area assumed: bank to bank down to the reach-down",) if rig.work_area_assumed else ()),
        ),
        head=FIGURES,
        rows=(
            figure("included angle", Figure.INCLUDED_ANGLE, rig.angle_deg, 2, "deg", system),
            figure("greatest inside plan", Figure.ANGLE_MOST, rig.angle_most_deg, 1, "deg", system),
            figure("near station's depth", Figure.DEPTH_THERE, depths.near_m, 2, "m", system),
            figure("far station's depth", Figure.DEPTH_THERE, depths.far_m, 2, "m", system),
            figure("two side by side need", Figure.STATION_DEPTH, depths.needed_m, 2, "m", system),
            figure("both farther upriver by", Figure.STATION_DEPTH, depths.move_m, 2, "m", system),
            ("the boat can be held in", f"{100.0 * rig.reachable_share:.1f} % of the work area", ""),
        ),
    )


def _stations(rig: TetherRig) -> Section:
    rows = tuple(
        (
            station.line,
            station.tag or "find on scene",
            station.bank,
            number(station.at[0], 2),
            number(station.at[1], 2),
            number(station.height_m, 2),
            "slack for load"
            if station.pull_from_deg is None
            else f"{station.pull_from_deg:.0f} to {station.pull_to_deg:.0f}",
        )
        for station in rig.stations
    )
    head = ("line", "anchor", "bank", "x m", "y m", "height m", "pulls between, degrees true")
    return Section(title="Stations", head=head, rows=rows)


def _ropes(rig: TetherRig) -> Section:
    rows = tuple(
        (
            rope.line,
            rope.name or "none taken: the weakest the template asks for",
            number(rope.strength_n, 0),
            number(rope.kept, 3),
            number(rope.strength_n * rope.kept, 0),
        )
        for rope in rig.ropes
    )
    head = ("line", "rope", "strength N", "kept, wet x end", "left N")
    return Section(title="Ropes of the bow lines", head=head, rows=rows)


def _case_rows(name: str, case: TetheredCase) -> list[Row]:
    verdict = "inside" if case.inside else "OUTSIDE"
    return [
        (
            name,
            case.case,
            number(case.drag_n, 0),
            load.line,
            number(load.tension_n, 0),
            number(load.at[0], 2),
            number(load.at[1], 2),
            f"{load.factor:.2f} {load.part}",
            number(case.lift_n, 0),
            verdict if case.judged else f"{verdict}, not judged",
        )
        for load in case.bow
    ]


def _loads(rig: TetherRig, policy: Policy) -> Section:
    return Section(
        title="Pulls of the bow lines, case by case",
        notes=(
            *(drag_note(case.case, rig, policy) for case in rig.planning.cases),
            "T1 = D d1 a2 / A, T2 = D d2 a1 / A with A = a1 m2 + a2 m1, each at its worst place",
            "a across from a station's line of flow, m downriver of it, d straight from bow ring to station",
            "stern lines are slack for load and share nothing of it",
        ),
        head=("row", "case", "drag N", "line", "pull N", "bow at x", "y m", "factor", "lift N", "plan"),
        rows=tuple(
            row
            for name, stage in named(rig)
            for case in stage.cases
            if isinstance(case, TetheredCase)
            for row in _case_rows(name, case)
        ),
    )


def tether_sections(rig: TetherRig, policy: Policy, system: UnitSystem) -> tuple[Section, ...]:
    """The steps of one tether."""
    return (
        Section(title=f"Rig: {rig.rig}", notes=("chosen" if rig.chosen else "not the one chosen",)),
        stages_step(rig),
        _angle(rig, system),
        _stations(rig),
        _ropes(rig),
        _loads(rig, policy),
        why_step(rig),
        limit_step(rig, system),
        lines_step(rig, system),
        anchors_step(rig),
        gear_step(rig, system),
        crew_step(rig),
        *called_steps(rig, system),
    )
