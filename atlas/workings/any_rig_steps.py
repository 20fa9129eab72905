"""Steps that every rig has: stages, reasons, limit, lines, anchors, gear, crew."""

from __future__ import annotations

from atlas.plan import AnchorPlan, CaseResult, LinePlan, RigPlan, StageResult
from atlas.settings import Policy
from atlas.units import Figure, UnitSystem
from atlas.workings.cover_object import cover_section
from atlas.workings.section import FIGURES, Row, Section, both, figure, number

__all__ = [
    "anchors_step",
    "any_sections",
    "called_steps",
    "crew_step",
    "drag_note",
    "gear_step",
    "limit_step",
    "lines_step",
    "named",
    "stages_step",
    "why_step",
]


def named(rig: RigPlan) -> tuple[tuple[str, StageResult[CaseResult]], ...]:
    """Stages with a name of their own: number and kind of the row, lowest first."""
    return tuple((f"{place} {stage.name}", stage) for place, stage in enumerate(rig.stages, 1))


def _stage_row(name: str, stage: StageResult[CaseResult]) -> Row:
    marks = [
        mark
        for mark, holds in (
            ("planning", stage.planning),
            ("modelled", stage.modelled),
            ("beyond survey", stage.beyond_survey),
        )
        if holds
    ]
    marks += [f"{tag} under water" for tag in stage.drowned]
    return (
        name,
        number(stage.stage_m, 2),
        number(stage.rise_m, 2),
        number(stage.discharge_m3_s, 2),
        number(stage.surface_speed_m_s, 3),
        number(stage.design_speed_m_s, 3),
        number(stage.width_m, 2),
        number(stage.near_setback_m, 2),
        number(stage.far_setback_m, 2),
        ", ".join([*marks, *(f"{code} assumed" for code in stage.assumed)]),
    )


def stages_step(rig: RigPlan) -> Section:
    """Every stage."""
    return Section(
        title="Stages",
        notes=(
            "design speed: the fastest surface thread; modelled rows take the upper end of their interval",
        ),
        head=(
            "row",
            "stage m",
            "rise m",
            "m3/s",
            "surface m/s",
            "design m/s",
            "width m",
            "near setback m",
            "far setback m",
            "marks",
        ),
        rows=tuple(_stage_row(name, stage) for name, stage in named(rig)),
    )


def drag_note(name: str, rig: RigPlan, policy: Policy) -> str:
    """How the planning row's drag of a case comes about."""
    case = policy.values.cases[name]
    density = policy.values.loads.water_density
    speed = rig.planning.design_speed_m_s
    drag_n = next(result.drag_n for result in rig.planning.cases if result.case == name)
    return (
        f"{name}: surge x 1/2 rho CdA v^2 = {case.surge:g} x 1/2 x {density:g} x {case.area:g} x"
        f" {speed:.3f}^2 = {drag_n:.0f} N at the planning stage"
    )


def why_step(rig: RigPlan) -> Section:
    """Reasons, stage by stage and case by case."""
    rows = tuple(
        (name, case.case, note.code, note.text)
        for name, stage in named(rig)
        for case in stage.cases
        for note in case.why
    )
    return Section(title="Why outside plan", head=("row", "case", "code", "reason"), rows=rows)


def limit_step(rig: RigPlan, system: UnitSystem) -> Section:
    """Limit speed, float check, limit stage."""
    limit = rig.limit
    if limit is None:
        return Section(title="Limit", notes=("none: outside plan at the planning stage at any speed",))
    rows = [
        figure("limit speed", Figure.LIMIT_SPEED, limit.surface_speed_m_s, 3, "m/s", system),
        figure("float over", Figure.FLOAT_DISTANCE, limit.float_distance_m, 2, "m", system),
        figure("float takes", Figure.FLOAT_SECONDS, limit.float_seconds, 2, "s", system),
    ]
    if limit.held_speed_m_s is not None:
        told = f"at the planning stage's geometry, by {limit.held_governed_by}"
        rows.append(figure(told, Figure.LIMIT_SPEED, limit.held_speed_m_s, 3, "m/s", system))
    if limit.stage_speed_m_s is not None:
        told = f"at the limit stage, by {limit.stage_governed_by}"
        rows.append(figure(told, Figure.LIMIT_SPEED, limit.stage_speed_m_s, 3, "m/s", system))
        rows.append(("limit stage over the survey day's water", number(limit.rise_m, 3, "m"), ""))
    if limit.stage_m is not None:
        rows.append(figure("limit stage", Figure.LIMIT_STAGE, limit.stage_m, 3, "m", system))
    return Section(title=f"Limit, governed by {limit.governed_by}", head=FIGURES, rows=tuple(rows))


def _line_rows(line: LinePlan, system: UnitSystem) -> list[Row]:
    taken = " + ".join(f"{take.rope} {take.length_m:.1f} m ({take.agency})" for take in line.take) or "-"
    nearest = "" if line.nearest is None else f", nearest {line.nearest.rope} ({line.nearest.agency})"
    lacking = f"SHORT {both(Figure.SHORT_LENGTH, line.short_m, system)}{nearest}"
    short = lacking if line.short_m > 0.0 else taken
    floor = "no floor" if line.floor_m is None else f"floor {line.floor_m:.2f} m"
    needed = both(Figure.NEEDED_LENGTH, line.needed_m, system)
    parts: list[Row] = [("", part.part, number(part.length_m, 2, "m"), "", "") for part in line.parts]
    return [*parts, (line.line, f"needed, {floor}", number(line.needed_m, 2, "m"), needed, short)]


def lines_step(rig: RigPlan, system: UnitSystem) -> Section:
    """Lines, part by part."""
    return Section(
        title="Lines, part by part",
        head=("line", "part", "length", "as printed", "rope to take"),
        rows=tuple(row for line in rig.lines for row in _line_rows(line, system)),
    )


def _anchor_row(anchor: AnchorPlan) -> Row:
    marks = [
        mark
        for mark, holds in (
            ("DO NOT USE", anchor.do_not_use),
            ("under water", anchor.drowned),
            ("find on scene", not anchor.surveyed),
            ("hold assumed", anchor.rating_assumed),
        )
        if holds
    ]
    return (
        anchor.tag,
        f"{anchor.bank} {'+'.join(anchor.uses)}",
        anchor.kind or "-",
        number(anchor.height_planning_m, 2),
        number(anchor.load_n, 0),
        number(anchor.needed_n, 0),
        number(anchor.rating_n, 0),
        number(anchor.ratio, 2),
        ", ".join(marks),
    )


def anchors_step(rig: RigPlan) -> Section:
    """Anchors and stations."""
    return Section(
        title="Anchors and stations at the planning stage",
        head=("tag", "use", "kind", "tie over water m", "load N", "asked N", "hold N", "ratio", "marks"),
        rows=tuple(_anchor_row(anchor) for anchor in rig.anchors),
    )


def gear_step(rig: RigPlan, system: UnitSystem) -> Section:
    """Gear."""
    return Section(
        title="Gear",
        head=("item", "needed", "held", "short", "rating"),
        rows=tuple(
            (
                need.item,
                str(need.needed),
                str(need.held),
                str(need.short),
                both(Figure.STRENGTH_NEEDED, need.rating_n, system),
            )
            for need in rig.gear
        ),
    )


def crew_step(rig: RigPlan) -> Section:
    """Crew by post."""
    total = sum(post.people for post in rig.crew)
    rows = tuple((post.post, str(post.people), str(post.least)) for post in rig.crew)
    return Section(title=f"Crew, {total}", head=("post", "people", "never under"), rows=rows)


def called_steps(rig: RigPlan, system: UnitSystem) -> tuple[Section, ...]:
    """Who is called; nothing where that is not known."""
    return () if rig.cover is None else (cover_section(rig.cover, system),)


def any_sections(rig: RigPlan, system: UnitSystem) -> tuple[Section, ...]:
    """The steps of a rig of a kind that has none of its own."""
    return (
        Section(title=f"Rig: {rig.rig}", notes=("chosen" if rig.chosen else "not the one chosen",)),
        stages_step(rig),
        why_step(rig),
        limit_step(rig, system),
        lines_step(rig, system),
        anchors_step(rig),
        gear_step(rig, system),
        crew_step(rig),
        *called_steps(rig, system),
    )
