"""The steps of one rig: water at each stage, rope, loads, window, haul, limit, lines, anchors, gear."""

from __future__ import annotations

from atlas.plan import TrackCase, TrackLineRig
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
from atlas.workings.crew_steps import crew_sections
from atlas.workings.section import FIGURES, Row, Section, figure, number

__all__ = ["rig_sections"]


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
            *(drag_note(case.case, rig, policy) for case in rig.planning.cases),
            "tension: the most the printed haul may have set, unseated, stiff bound, worst place",
            "clearance and bow: over [least, most] set, seated, both bounds, worst place",
        ),
        head=_CASE_HEAD,
        rows=tuple(
            _case_row(name, case)
            for name, stage in named(rig)
            for case in stage.cases
            if isinstance(case, TrackCase)
        ),
    )


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


def rig_sections(rig: TrackLineRig, policy: Policy, system: UnitSystem) -> tuple[Section, ...]:
    """The steps of one rig."""
    return (
        Section(title=f"Rig: {rig.rig}", notes=("chosen" if rig.chosen else "not the one chosen",)),
        stages_step(rig),
        _rope(rig, system),
        _loads(rig, policy),
        why_step(rig),
        _window(rig, system),
        _haul(rig, policy, system),
        limit_step(rig, system),
        _limit_bows(rig, system),
        _ties(rig, system),
        lines_step(rig, system),
        anchors_step(rig),
        gear_step(rig, system),
        crew_step(rig),
        *called_steps(rig, system),
        *crew_sections(rig, policy, system),
    )
