"""One site, first half of its briefing: situation, limits against today's water, blanks, lines."""

from __future__ import annotations

from atlas.briefs.facts import BriefFacts, asked_stage, worst_note
from atlas.briefs.pieces import BLOCK, chapter, rows_of, said, text_of, verdict_piece, writing_rows
from atlas.briefs.reading import graph_pieces, reading_rows, reading_told
from atlas.frame import usng
from atlas.paper import Cell, Span
from atlas.paper.flow import Piece, beside, gap
from atlas.paper.pieces import paragraph
from atlas.paper.press import Press
from atlas.plan import CaseResult, StageResult, TrackCase, TrackLineRig
from atlas.sheets.access import access_rows, bank_places
from atlas.sheets.desk import Desk
from atlas.sheets.limit_level import is_the_planned
from atlas.sheets.lines import rope_note, tag_of
from atlas.sheets.track import capture_text, haul_sets, haul_text, release_text, window_shown
from atlas.units import Figure

__all__ = ["level_text", "line_rows", "site_name", "site_pieces"]


def level_text(desk: Desk, stage: StageResult[CaseResult]) -> str:
    """A row's gauge stage, where known, and the speed it is computed with."""
    speed = desk.words("brief.speed", speed=desk.show(Figure.SPEED, stage.design_speed_m_s).both)
    if stage.stage_m is None:
        return speed
    return desk.words("sheet.separator").join((desk.show(Figure.STAGE, stage.stage_m).both, speed))


def _places(press: Press, desk: Desk) -> list[Piece]:
    """Both banks as crews say them, and how to get there."""
    rows = [
        (
            bank.heading,
            Cell(text="  ".join(bank.lines[:2]) + "\n" + bank.lines[2], style=press.looks.styles["strong"]),
        )
        for bank in bank_places(desk)
    ]
    kept = ("road", "far_access", "permission", "dam")
    told = [
        (press.words(f"sheet.access.{key}"), text_of(press, text))
        for key, text in access_rows(desk)
        if key in kept
    ]
    return rows_of(press, "places", ("bank", "place"), [*rows, *told], widths_mm=(32.0, None))


def _today(press: Press, desk: Desk, facts: BriefFacts) -> list[Piece]:
    """The verdict at today's water, and on whose word that is."""
    stage = asked_stage(desk.plan)
    water = facts.water(desk.plan.site.code)
    told = water.told if water.said is None else reading_told(press, water.said)
    basis = press.words(f"brief.basis.{water.basis.value}", told=told)
    return [
        verdict_piece(press, inside=stage.inside, level=level_text(desk, stage), why=worst_note(stage)),
        said(press, "brief.basis_line", basis=basis),
    ]


def _limits(press: Press, desk: Desk, facts: BriefFacts) -> list[Piece]:
    """Each limit beside what today's water is."""
    rig, words = desk.plan.chosen, press.words
    stage, strong = asked_stage(desk.plan), press.looks.styles["figure"]
    unknown = words("sheet.unknown")
    rows: list[tuple[str | Cell, ...]] = []
    limit = rig.limit
    if limit is not None:
        shown = desk.show(Figure.LIMIT_SPEED, limit.surface_speed_m_s).both
        now = desk.show(Figure.SPEED, stage.design_speed_m_s).both
        rows.append((words("brief.limit.speed"), Cell(text=shown, style=strong), now))
        distance = desk.first(Figure.FLOAT_DISTANCE, limit.float_distance_m)
        seconds = desk.first(Figure.FLOAT_SECONDS, limit.float_seconds)
        rows.append((words("brief.limit.float", distance=distance), Cell(text=seconds, style=strong), ""))
    limit_stage_m = None if limit is None else limit.stage_m
    if limit_stage_m is not None:
        level = desk.show(Figure.LIMIT_STAGE, limit_stage_m)
        shown = words("brief.limit.above", stage=level.both) if is_the_planned(desk, level) else level.both
        now = unknown if stage.stage_m is None else desk.show(Figure.STAGE, stage.stage_m).both
        rows.append((words("brief.limit.stage"), Cell(text=shown, style=strong), now))
    rows += reading_rows(press, desk.plan, facts.water(desk.plan.site.code).said)
    rows += _worst_rows(desk, stage)
    return rows_of(press, "limit", ("what", "limit", "today"), rows, widths_mm=(32.0, 33.0, None))


def _worst_rows(desk: Desk, stage: StageResult[CaseResult]) -> list[tuple[str | Cell, ...]]:
    """Least factor and, under a track line, least clearance of the judged cases."""
    rig, words, strong = desk.plan.chosen, desk.words, desk.styles["figure"]
    judged = [case for case in stage.cases if case.judged]
    asked = Cell(text=desk.first(Figure.FACTOR_NEEDED, rig.least_factor), style=strong)
    least = min(judged, key=lambda case: case.factor)
    told = words(
        "brief.limit.in_case",
        figure=desk.first(Figure.FACTOR, least.factor),
        case=words(f"case.{least.case}"),
    )
    rows: list[tuple[str | Cell, ...]] = [(words("brief.limit.factor"), asked, told)]
    hung = [case for case in judged if isinstance(case, TrackCase)]
    if hung:
        low = min(hung, key=lambda case: case.clearance_m - case.clearance_needed_m)
        asked = Cell(text=desk.show(Figure.CLEARANCE_NEEDED, low.clearance_needed_m).both, style=strong)
        told = words(
            "brief.limit.in_case",
            figure=desk.show(Figure.CLEARANCE, low.clearance_m).both,
            case=words(f"case.{low.case}"),
        )
        rows.append((words("brief.limit.clearance"), asked, told))
    return rows


def _scene(press: Press, desk: Desk) -> list[Piece]:
    """Blanks for what is measured on the bank, with what was planned beside them."""
    plan, words = desk.plan, press.words
    rig, stage = plan.chosen, asked_stage(plan)
    limit = rig.limit
    rows = [
        (words("brief.scene.width"), desk.show(Figure.SPAN, stage.width_m).both, "", ""),
        (
            words("brief.scene.speed"),
            words("sheet.unknown")
            if limit is None
            else words(
                "brief.scene.speed_limit", limit=desk.show(Figure.LIMIT_SPEED, limit.surface_speed_m_s).both
            ),
            "",
            "",
        ),
    ]
    for anchor in rig.anchors:
        if anchor.do_not_use or anchor.load_n is None:
            continue
        asked = "" if anchor.needed_n is None else desk.show(Figure.STRENGTH_NEEDED, anchor.needed_n).both
        height = desk.show(Figure.TIE_HEIGHT, anchor.height_planning_m).both
        told = words("brief.scene.anchor_plan", height=height, hold=asked or words("sheet.unknown"))
        rows.append((words("brief.scene.anchor", tag=anchor.tag), told, "", ""))
    return writing_rows(
        press, "scene", ("what", "plan", "scene", "initials"), rows, widths_mm=(38.0, 62.0, 52.0, None)
    )


def line_rows(press: Press, desk: Desk) -> list[tuple[str | Cell, ...]]:
    """Each line: tag, length needed, rope to take and whose, or what it is short of."""
    words, styles = press.words, press.looks.styles
    rows: list[tuple[str | Cell, ...]] = []
    for line in desk.plan.chosen.lines:
        needed = desk.show(Figure.NEEDED_LENGTH, line.needed_m).both
        if line.short_m > 0:
            short = desk.show(Figure.SHORT_LENGTH, line.short_m).both
            near = line.nearest
            take = words("brief.lines.short", short=short)
            if near is not None:
                take = words("brief.lines.short_of", short=short, rope=near.rope, agency=near.agency)
            whose = words("sheet.unknown")
        elif line.take:
            lengths = [desk.show(Figure.ROPE_HELD, rope.length_m).both for rope in line.take]
            take = words("brief.lines.take_of", rope=rope_note(desk, line), length=" + ".join(lengths))
            whose = words("sheet.lines.joined").join(dict.fromkeys(rope.agency for rope in line.take))
        else:
            method = desk.plan.site.access.launch_method if line.line == "launch" else None
            take = words("sheet.unknown") if method is None else words(f"sheet.launch_method.{method}")
            whose = desk.plan.agency.code
        name = (
            Span(tag_of(desk, line.line) + "  ", styles["strong"]),
            Span(words(f"line.{line.line}"), styles["table"]),
        )
        rows.append((Cell(text=name), Cell(text=needed, style=styles["figure"]), text_of(press, take), whose))
    return rows


def _track(press: Press, desk: Desk) -> list[Piece]:
    """How the track line is set, where the rig has one."""
    rig = desk.plan.chosen
    if not isinstance(rig, TrackLineRig):
        return []
    words = press.words
    window = window_shown(desk, rig)
    rows = [
        (words("sheet.track.set"), words("sheet.track.no_window") if window is None else window.both),
        (
            words("sheet.track.haul"),
            words("sheet.stop.set_tension_note", haul=haul_text(desk, rig), sets=haul_sets(desk, rig)),
        ),
        (words("sheet.track.lock_off"), capture_text(desk, rig)),
        (words("sheet.track.release"), release_text(desk, rig) or words("sheet.unknown")),
    ]
    return rows_of(press, "track", ("what", "plan"), rows, widths_mm=(22.0, None))


def site_name(press: Press, desk: Desk) -> list[Piece]:
    """The site's name, on as many lines as it takes."""
    return [
        paragraph(press, text_of(press, desk.plan.site.access.name, "name_long"), "name_long", block=BLOCK)
    ]


def site_pieces(press: Press, desk: Desk, facts: BriefFacts, *, graph: bool = True) -> list[Piece]:
    """Situation, limits, blanks, lines; and where a gauge was read, its stage in the river's graph."""
    plan = desk.plan
    about = press.words(
        "brief.about",
        river=text_of(press, plan.site.access.river),
        reach=text_of(press, plan.reach.name),
        rig=press.words(f"rig.{plan.chosen.rig}"),
        grid=usng(plan.access_place),
    )
    lines = rows_of(
        press,
        "lines",
        ("line", "needed", "take", "whose"),
        line_rows(press, desk),
        widths_mm=(40.0, 36.0, None, 20.0),
    )
    return [
        said(press, "brief.site_line", "meta", about=about),
        gap(1.5),
        *_today(press, desk, facts),
        gap(1.0),
        beside(_limits(press, desk, facts), _places(press, desk), left_mm=100.0, gap_mm=4.0),
        *chapter(press, "scene_title", _scene(press, desk)),
        *chapter(press, "lines_title", [*lines, gap(1.5), *_track(press, desk)]),
        *(
            chapter(press, "graph_title", graph_pieces(press, plan, facts.water(plan.site.code).said))
            if graph
            else []
        ),
    ]
