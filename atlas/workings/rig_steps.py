"""The steps of one rig: water at each stage, rope, loads, window, haul, limit, lines, anchors, gear."""

from __future__ import annotations

from atlas.plan import AnchorPlan, LinePlan, TrackCase, TrackLineRig, TrackStage
from atlas.settings import Policy
from atlas.units import Figure, UnitSystem
from atlas.workings.cover_object import cover_section
from atlas.workings.crew_steps import crew_sections
from atlas.workings.section import FIGURES, Row, Section, both, figure, number

__all__ = ["rig_sections"]


def _named(rig: TrackLineRig) -> tuple[tuple[str, TrackStage], ...]:
    """Stages with a name of their own: number and kind of the row, lowest first."""
    return tuple((f"{place} {stage.name}", stage) for place, stage in enumerate(rig.stages, 1))


def _stage_row(name: str, stage: TrackStage) -> Row:
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


def _stages(rig: TrackLineRig) -> Section:
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
        rows=tuple(_stage_row(name, stage) for name, stage in _named(rig)),
    )


def _rope(rig: TrackLineRig, system: UnitSystem) -> Section:
    rope = rig.rope
    whose = rope.agency or "policy's planning rope"
    return Section(
        title=f"Rope of the track line: {rope.name}, {whose}",
        head=FIGURES,
        rows=(
            figure("diameter", Figure.ROPE_DIAMETER, rope.diameter_m, 4, "m", system),
            figure("strength", Figure.STRENGTH_HELD, rope.strength_n, 0, "N", system),
            ("kept, wet x end", number(rope.kept, 3), ""),
            ("weight", number(rope.weight_n_m, 3, "N/m"), ""),
            ("stiffness EA", number(rope.stiffness_n, 0, "N"), ""),
            ("EA, soft bound", number(rope.stiffness_low_n, 0, "N"), ""),
            ("EA, stiff bound", number(rope.stiffness_high_n, 0, "N"), ""),
        ),
    )


def _drag_note(name: str, rig: TrackLineRig, policy: Policy) -> str:
    """How the planning row's drag of a case comes about."""
    case = policy.values.cases[name]
    density = policy.values.loads.water_density
    speed = rig.planning.design_speed_m_s
    drag_n = next(result.drag_n for result in rig.planning.cases if result.case == name)
    return (
        f"{name}: surge x 1/2 rho CdA v^2 = {case.surge:g} x 1/2 x {density:g} x {case.area:g} x"
        f" {speed:.3f}^2 = {drag_n:.0f} N at the planning stage"
    )


def _case_row(name: str, case: TrackCase) -> Row:
    verdict = "inside" if case.inside else "OUTSIDE"
    return (
        name,
        case.case,
        number(case.drag_n, 0),
        number(case.tension_n, 0),
        number(case.tension_at.at_m, 2),
        f"{case.factor:.2f} {case.factor_part}",
        number(case.bow_m, 2),
        number(case.clearance_m, 3),
        number(case.clearance_needed_m, 3),
        number(case.clearance_at.at_m, 2),
        number(case.ferry_near_n, 0),
        number(case.ferry_far_n, 0),
        number(case.up_down_hold_n, 0),
        number(case.up_down_haul_n, 0),
        verdict if case.judged else f"{verdict}, not judged",
    )


_CASE_HEAD = (
    "row", "case", "drag N", "tension N", "at x m", "factor", "bow m", "clear m", "needs m", "at x m",
    "near ferry N", "far ferry N", "up-down held N", "hauled N", "plan",
)  # fmt: skip


def _loads(rig: TrackLineRig, policy: Policy) -> Section:
    return Section(
        title="Loads, case by case",
        notes=(
            *(_drag_note(case.case, rig, policy) for case in rig.planning.cases),
            "tension: the most the printed haul may have set, unseated, stiff bound, worst place",
            "clearance and bow: over [least, most] set, seated, both bounds, worst place",
        ),
        head=_CASE_HEAD,
        rows=tuple(_case_row(name, case) for name, stage in _named(rig) for case in stage.cases),
    )


def _why(rig: TrackLineRig) -> Section:
    rows = tuple(
        (name, case.case, note.code, note.text)
        for name, stage in _named(rig)
        for case in stage.cases
        for note in case.why
    )
    return Section(title="Why outside plan", head=("row", "case", "code", "reason"), rows=rows)


def _window(rig: TrackLineRig, system: UnitSystem) -> Section:
    if rig.window is None:
        opens = () if rig.window_opens is None else (rig.window_opens.text,)
        return Section(
            title="Pretension window",
            notes=("none: no set tension meets every limit at the planning stage", *opens),
        )
    window = rig.window
    return Section(
        title="Pretension window",
        head=FIGURES,
        rows=(
            figure(f"from, by {window.low_governed_by}", Figure.WINDOW_LOW, window.low_n, 0, "N", system),
            figure(f"to, by {window.high_governed_by}", Figure.WINDOW_HIGH, window.high_n, 0, "N", system),
        ),
    )


def _haul(rig: TrackLineRig, policy: Policy, system: UnitSystem) -> Section:
    haul = rig.haul
    pull_n = policy.values.limits.pull_per_person
    efficiency = policy.values.haul.pulley_efficiency
    hold = "nothing: tied off behind it" if rig.capture_limit_n is None else f"{rig.capture_limit_n:.0f} N"
    return Section(
        title=f"Haul {haul.system}, {haul.people} people"
        + ("" if haul.fits else ": DOES NOT FIT the window"),
        notes=(
            f"least: people x {pull_n:g} N x real advantage, pulleys {efficiency:g}",
            f"most: people x {pull_n:g} N x ideal advantage",
            f"lock-off: {rig.capture}, to be held by it {hold}; length lost {rig.seating_m:g} m",
        ),
        head=FIGURES,
        rows=(
            figure("least set: the planning pretension", Figure.HAUL_LEAST, haul.least_n, 0, "N", system),
            figure("most that may be set", Figure.HAUL_MOST, haul.most_n, 0, "N", system),
            figure("haul travel", Figure.HAUL_TRAVEL, haul.travel_m, 2, "m", system),
            figure("carriage works from x", Figure.TRAVEL_FROM, rig.travel_from_m, 2, "m", system),
            figure("carriage works to x", Figure.TRAVEL_TO, rig.travel_to_m, 2, "m", system),
            figure("held boat no closer than", Figure.CLOSEST_BOAT, rig.closest_boat_m, 2, "m", system),
        ),
    )


def _limit(rig: TrackLineRig, system: UnitSystem) -> Section:
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


def _limit_bows(rig: TrackLineRig, system: UnitSystem) -> Section:
    rows = tuple(
        figure(f"at x {bow.at_m:.2f} m, by {bow.governed_by}", Figure.LIMIT_BOW, bow.bow_m, 3, "m", system)
        for bow in rig.limit_bows
    )
    notes = ("most set, stiff bound: the bow at which the track line is at its limit, whatever the speed",)
    return Section(title="Limit bow", notes=notes, head=FIGURES, rows=rows)


def _ties(rig: TrackLineRig, system: UnitSystem) -> Section:
    """Least tie heights, and the water that empties the window."""
    rows: list[Row] = []
    if rig.tie_heights is not None:
        for bank, height_m in (("near", rig.tie_heights.near_m), ("far", rig.tie_heights.far_m)):
            shown = height_m - rig.planning.rise_m
            told = f"least {bank} tie over the planning stage's water"
            rows.append(figure(told, Figure.TIE_HEIGHT_NEEDED, shown, 3, "m", system))
    if rig.window_closes is not None:
        closes = rig.window_closes
        rows.append((f"window empties, by {closes.governed_by}, at a rise of", f"{closes.rise_m:.3f} m", ""))
    title = "Least tie heights, and the water that empties the window"
    notes = ("both ties moved alike: every case just keeps its clearance with the least the haul sets",)
    return Section(title=title, notes=notes, head=FIGURES, rows=tuple(rows))


def _line_rows(line: LinePlan, system: UnitSystem) -> list[Row]:
    taken = " + ".join(f"{take.rope} {take.length_m:.1f} m ({take.agency})" for take in line.take) or "-"
    nearest = "" if line.nearest is None else f", nearest {line.nearest.rope} ({line.nearest.agency})"
    lacking = f"SHORT {both(Figure.SHORT_LENGTH, line.short_m, system)}{nearest}"
    short = lacking if line.short_m > 0.0 else taken
    floor = "no floor" if line.floor_m is None else f"floor {line.floor_m:.2f} m"
    needed = both(Figure.NEEDED_LENGTH, line.needed_m, system)
    parts: list[Row] = [("", part.part, number(part.length_m, 2, "m"), "", "") for part in line.parts]
    return [*parts, (line.line, f"needed, {floor}", number(line.needed_m, 2, "m"), needed, short)]


def _lines(rig: TrackLineRig, system: UnitSystem) -> Section:
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


def _anchors(rig: TrackLineRig) -> Section:
    return Section(
        title="Anchors and stations at the planning stage",
        head=("tag", "use", "kind", "tie over water m", "load N", "asked N", "hold N", "ratio", "marks"),
        rows=tuple(_anchor_row(anchor) for anchor in rig.anchors),
    )


def _gear(rig: TrackLineRig, system: UnitSystem) -> Section:
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


def _crew(rig: TrackLineRig) -> Section:
    total = sum(post.people for post in rig.crew)
    rows = tuple((post.post, str(post.people), str(post.least)) for post in rig.crew)
    return Section(title=f"Crew, {total}", head=("post", "people", "never under"), rows=rows)


def rig_sections(rig: TrackLineRig, policy: Policy, system: UnitSystem) -> tuple[Section, ...]:
    """The steps of one rig."""
    return (
        Section(title=f"Rig: {rig.rig}", notes=("chosen" if rig.chosen else "not the one chosen",)),
        _stages(rig),
        _rope(rig, system),
        _loads(rig, policy),
        _why(rig),
        _window(rig, system),
        _haul(rig, policy, system),
        _limit(rig, system),
        _limit_bows(rig, system),
        _ties(rig, system),
        _lines(rig, system),
        _anchors(rig),
        _gear(rig, system),
        _crew(rig),
        *([] if rig.cover is None else [cover_section(rig.cover, system)]),
        *crew_sections(rig, policy, system),
    )
