"""Stop figures: from which speed the rig is outside plan, how to see it, and how the line is set."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isclose

from atlas.faults import BlockOverrun
from atlas.paper import Box, Item, Rect, Span, lay_text, lines_height_mm, place_lines, wrap_spans
from atlas.paper.measure import require_spans
from atlas.plan.rig_results import CaseResult, Limit, RigPlan, StageResult
from atlas.plan.tether_results import TetherRig
from atlas.plan.track_results import LimitBow, TrackCase, TrackLineRig
from atlas.settings.page import StopCellRule
from atlas.sheets.desk import Desk
from atlas.sheets.figures import number_and_unit
from atlas.sheets.limit_level import gauge_tellings, is_the_planned
from atlas.sheets.pieces import lay_runs, rule, segment
from atlas.sheets.track import haul_sets, haul_text, window_shown
from atlas.units import Figure, Shown

BLOCK = "stop"
_PAD_MM = 2.2
_FRAME_PAD_MM = 3.2
_SAME_PLACE = 0.02
"""Parts of the span within which a place is mid-span."""


@dataclass(frozen=True, slots=True)
class StopFigure:
    """One figure of the row: a label, the figure with its unit (or a word), and lines under it.

    Attributes
    ----------
    fuller : labels with first notes that are taken together where both fit, the fullest first
    """

    label: str
    number: str
    unit: str
    notes: tuple[str, ...]
    word: str = ""
    fuller: tuple[tuple[str, str], ...] = ()


def is_outside(rig: RigPlan) -> bool:
    """The planning row does not meet the limits, or there is no limit speed to hold against."""
    return not rig.inside


def speed_text(desk: Desk, stage: StageResult[CaseResult]) -> str:
    """The speed a row is computed with; of a modelled one that it is the upper end."""
    speed = desk.first(Figure.SPEED, stage.design_speed_m_s)
    if stage.design_speed_m_s > stage.surface_speed_m_s:
        return desk.words("sheet.stop.up_to", speed=speed)
    return speed


def level_text(desk: Desk, stage: StageResult[CaseResult]) -> str:
    """The level a row is for: its gauge stage where known, and its speed."""
    speed = speed_text(desk, stage)
    if stage.stage_m is None:
        return speed
    return desk.words("sheet.separator").join((desk.first(Figure.STAGE, stage.stage_m), speed))


def _badness(case: CaseResult, code: str) -> float:
    """How far a case is from what a reason asks: the greatest is the one to print."""
    if code == "clearance" and isinstance(case, TrackCase):
        return case.clearance_needed_m - case.clearance_m
    return -case.factor if code == "factor" else case.tension_n


def outside_reasons(desk: Desk) -> tuple[str, ...]:
    """Why the planning row is outside plan: of each kind of reason the worst case, and what would help."""
    rig, words = desk.plan.chosen, desk.words
    judged = [case for case in rig.planning.cases if case.judged]
    texts = []
    for code in dict.fromkeys(note.code for case in judged for note in case.why):
        having = [(case, note) for case in judged for note in case.why if note.code == code]
        if len({note.text for _, note in having}) == 1 and len(having) == len(judged):
            texts.append(having[0][1].text)
            continue
        case, note = max(having, key=lambda pair: _badness(pair[0], pair[1].code))
        texts.append(words("sheet.stop.reason", case=words(f"case.{case.case}"), why=note.text))
    opens = rig.window_opens if isinstance(rig, TrackLineRig) else None
    return tuple(texts) if opens is None else (*texts, opens.text)


def _limit_speed(desk: Desk, limit: Limit) -> StopFigure:
    shown = desk.show(Figure.LIMIT_SPEED, limit.surface_speed_m_s)
    return StopFigure(
        desk.words("sheet.stop.limit_speed"),
        *number_and_unit(shown.first),
        notes=(shown.second, desk.words("sheet.stop.limit_speed_note")),
    )


def _float(desk: Desk, limit: Limit) -> StopFigure:
    words = desk.words
    distance = desk.first(Figure.FLOAT_DISTANCE, limit.float_distance_m)
    return StopFigure(
        words("sheet.stop.float", distance=distance),
        *number_and_unit(desk.first(Figure.FLOAT_SECONDS, limit.float_seconds)),
        notes=(words("sheet.stop.float_note"), words("sheet.stop.float_rule")),
    )


def _governs(desk: Desk, limit: Limit) -> StopFigure:
    word = desk.words(f"governed.{limit.governed_by}")
    return StopFigure(desk.words("sheet.stop.governs"), "", "", (), word)


def _planned(desk: Desk, stage: StageResult[CaseResult]) -> StopFigure:
    words = desk.words
    speed = desk.show(Figure.SPEED, stage.design_speed_m_s)
    if stage.stage_m is None:
        label = words("sheet.stop.planned_without_stage")
        return StopFigure(label, *number_and_unit(speed.first), notes=(speed.second,))
    shown = desk.show(Figure.STAGE, stage.stage_m)
    note = words("sheet.stop.planned_note", speed=speed_text(desk, stage))
    return StopFigure(words("sheet.stop.planned"), *number_and_unit(shown.first), notes=(shown.second, note))


def _set_tension(desk: Desk, rig: TrackLineRig) -> StopFigure:
    words = desk.words
    label = words("sheet.stop.set_tension")
    shown = window_shown(desk, rig)
    if shown is None:
        return StopFigure(label, "", "", (), words("sheet.track.no_window"))
    note = words("sheet.stop.set_tension_note", haul=haul_text(desk, rig), sets=haul_sets(desk, rig))
    return StopFigure(label, *number_and_unit(shown.first), notes=(shown.second, note))


def _mid_span(desk: Desk, rig: TrackLineRig) -> LimitBow | None:
    """The limit bow with the carriage at mid-span, where there is one."""
    middle_m = desk.plan.frame.span_m / 2
    return next((bow for bow in rig.limit_bows if isclose(bow.at_m, middle_m, rel_tol=_SAME_PLACE)), None)


def _limit_bow(desk: Desk, rig: TrackLineRig) -> StopFigure:
    """The bow at mid-span at which the line is at its limit; the lesser of the thirds beside it."""
    words = desk.words
    middle = _mid_span(desk, rig)
    if middle is None:
        return _planned(desk, rig.planning)
    shown = desk.show(Figure.LIMIT_BOW, middle.bow_m)
    notes = [words("sheet.stop.limit_bow_note", second=shown.second)]
    thirds = [bow.bow_m for bow in rig.limit_bows if bow is not middle]
    if thirds:
        least = desk.first(Figure.LIMIT_BOW, min(thirds))
        notes.append(words("sheet.stop.limit_bow_thirds", bow=least))
    return StopFigure(words("sheet.stop.limit_bow"), *number_and_unit(shown.first), notes=tuple(notes))


def _limit_stage(desk: Desk, rig: RigPlan, limit: Limit) -> StopFigure:
    """The level from which the rig is outside plan; without a gauge the rise over the survey day."""
    words = desk.words
    planned = words("sheet.stop.limit_stage_planned", level=level_text(desk, rig.planning))
    if limit.stage_m is not None:
        shown = desk.show(Figure.LIMIT_STAGE, limit.stage_m)
        fuller = gauge_tellings(desk, shown, limit.stage_m)
        from_it = "limit_stage_above" if is_the_planned(desk, shown) else "limit_stage"
        label, notes = words(f"sheet.stop.{from_it}"), (shown.second, planned)
        return StopFigure(label, *number_and_unit(shown.first), notes=notes, fuller=fuller)
    if limit.rise_m is not None:
        shown = desk.show(Figure.LIMIT_STAGE, limit.rise_m)
        shown = Shown(words("sheet.levels.rise", rise=shown.first), shown.second)
        label, notes = words("sheet.stop.limit_rise"), (words("sheet.stop.limit_rise_note"), planned)
        return StopFigure(label, *number_and_unit(shown.first), notes=notes)
    return _planned(desk, rig.planning)


def _bow_lines(desk: Desk, rig: TetherRig) -> StopFigure:
    """The greatest included angle, and how far upriver two stations must stand for its limit."""
    words, depths = desk.words, rig.depths
    angle = desk.first(Figure.INCLUDED_ANGLE, rig.angle_deg)
    most = words("sheet.stop.bow_lines_most", most=desk.first(Figure.ANGLE_MOST, rig.angle_most_deg))
    notes = [most]
    if depths.needed_m is not None:
        needed = desk.first(Figure.STATION_DEPTH, depths.needed_m)
        notes.append(words("sheet.stop.bow_lines_depth", needed=needed))
    return StopFigure(words("sheet.stop.bow_lines"), angle, "", notes=tuple(notes))


_OF_TRACK = ("set_tension", "limit_bow")
"""Cells that a track line fills; a tether has the angle of its bow lines there."""


def _of_rig(desk: Desk, rig: RigPlan, cell: str) -> StopFigure | None:
    if isinstance(rig, TrackLineRig):
        return _set_tension(desk, rig) if cell == "set_tension" else _limit_bow(desk, rig)
    return _bow_lines(desk, rig) if isinstance(rig, TetherRig) else None


def stop_figure(desk: Desk, cell: str) -> StopFigure | None:
    """The content of a cell by its name in the template; None where the plan has no such figure."""
    rig = desk.plan.chosen
    if cell == "planned":
        return _planned(desk, rig.planning)
    if cell in _OF_TRACK:
        return _of_rig(desk, rig, cell)
    if rig.limit is None:
        return None
    if cell == "limit_stage":
        return _limit_stage(desk, rig, rig.limit)
    return {"limit_speed": _limit_speed, "float": _float, "governs": _governs}[cell](desk, rig.limit)


def _is_on_one_line(desk: Desk, text: str, style: str, width_mm: float) -> bool:
    """Whether it can be set, and fits."""
    missing = desk.fonts.missing_characters(text, desk.styles[style].face)
    return not missing and desk.width_mm(text, style) <= width_mm


def _fullest(desk: Desk, figure: StopFigure, width_mm: float) -> StopFigure:
    """The figure with the fullest label and first note that fit."""
    for label, note in figure.fuller:
        if _is_on_one_line(desk, label, "stop_label", width_mm) and _is_on_one_line(
            desk, note, "stop_note", width_mm
        ):
            return replace(figure, label=label, notes=(note, *figure.notes[1:]))
    return figure


def _lay_figure(desk: Desk, figure: StopFigure, box: Box) -> list[Item]:
    figure = _fullest(desk, figure, box.width_mm)
    items = lay_runs(
        desk, [(figure.label, "stop_label")], x_mm=box.left_mm, y_mm=box.top_mm + 3.3,
        width_mm=box.width_mm, block=BLOCK,
    )  # fmt: skip
    base_mm = box.top_mm + 10.2
    if figure.word:
        room = Box(left_mm=box.left_mm, top_mm=box.top_mm + 4.4, width_mm=box.width_mm, height_mm=12.8)
        return [*items, *lay_text(figure.word, desk.styles["name"], room, desk.fonts, block=BLOCK)]
    items += lay_runs(
        desk, [(figure.number, "stop_figure"), (figure.unit, "stop_unit")], x_mm=box.left_mm, y_mm=base_mm,
        width_mm=box.width_mm, block=BLOCK,
    )  # fmt: skip
    for number, note in enumerate(note for note in figure.notes if note):
        items += lay_runs(
            desk, [(note, "stop_note")], x_mm=box.left_mm, y_mm=base_mm + 3.4 + 3.05 * number,
            width_mm=box.width_mm, block=BLOCK,
        )  # fmt: skip
    return items


def _cell_boxes(box: Box, rules: Sequence[StopCellRule]) -> list[Box]:
    total = sum(rule.share for rule in rules)
    boxes = []
    left_mm = box.left_mm
    for cell in rules:
        width_mm = box.width_mm * cell.share / total
        boxes.append(Box(left_mm=left_mm, top_mm=box.top_mm, width_mm=width_mm, height_mm=box.height_mm))
        left_mm += width_mm
    return boxes


def _lay_cells(desk: Desk, box: Box, rules: Sequence[StopCellRule]) -> list[Item]:
    items: list[Item] = []
    for number, (cell, place) in enumerate(zip(rules, _cell_boxes(box, rules), strict=True)):
        indent_mm = _PAD_MM if number else 0.0
        if number:
            ends = ((place.left_mm, place.top_mm + 1.6), (place.left_mm, place.bottom_mm - 1.0))
            items.append(segment(desk, *ends, stroke="hairline", block=BLOCK))
        room = Box(
            left_mm=place.left_mm + indent_mm,
            top_mm=place.top_mm,
            width_mm=place.width_mm - indent_mm - 0.5,
            height_mm=place.height_mm,
        )
        figure = stop_figure(desk, cell.cell)
        if figure is not None:
            items += _lay_figure(desk, figure, room)
    return items


def _lay_reasons(desk: Desk, box: Box) -> list[Item]:
    """The reasons, large where all fit so; else as many whole ones as fit, and how many more there are."""
    reasons = outside_reasons(desk)
    tries = [(len(reasons), "meta_strong"), *((count, "strong") for count in range(len(reasons), -1, -1))]
    for count, style in tries:
        more = [desk.words("sheet.more", count=len(reasons) - count)] if count < len(reasons) else []
        paragraph = (Span("\n".join([*reasons[:count], *more]), desk.styles[style]),)
        require_spans(paragraph, desk.fonts, BLOCK)
        lines = wrap_spans(paragraph, box.width_mm, desk.fonts)
        height_mm = lines_height_mm(lines, desk.fonts)
        if height_mm <= box.height_mm:
            middle = replace(box, top_mm=box.top_mm + (box.height_mm - height_mm) / 2)
            return list(place_lines(lines, middle, desk.fonts, block=BLOCK))
    raise BlockOverrun(BLOCK, height_mm - box.height_mm, "reasons why outside plan")


def _lay_word(desk: Desk, frame: Box) -> list[Item]:
    """OUTSIDE PLAN, the level it holds for, and the reasons, in a heavy frame."""
    stroke = desk.strokes["outside_frame"]
    left_mm = frame.left_mm + _FRAME_PAD_MM
    word = desk.words("sheet.stop.outside")
    word_mm = desk.width_mm(word, "outside")
    level = desk.words("sheet.stop.outside_at", level=level_text(desk, desk.plan.chosen.planning))
    under = Box(
        left_mm=left_mm, top_mm=frame.top_mm + 11.2, width_mm=word_mm, height_mm=frame.height_mm - 11.2
    )
    reasons_mm = left_mm + word_mm + 1.4 * _FRAME_PAD_MM
    room = Box(
        left_mm=reasons_mm,
        top_mm=frame.top_mm + 1.8,
        width_mm=frame.right_mm - _FRAME_PAD_MM - reasons_mm,
        height_mm=frame.height_mm - 3.2,
    )
    return [
        Rect(box=frame.inset(stroke.weight_mm / 2), stroke=stroke, block=BLOCK, clear_of_text=True),
        *lay_runs(
            desk,
            [(word, "outside")],
            x_mm=left_mm,
            y_mm=frame.top_mm + 10.2,
            width_mm=word_mm + 1,
            block=BLOCK,
        ),
        *lay_text(level, desk.styles["stop_note"], under, desk.fonts, block=BLOCK),
        *_lay_reasons(desk, room),
    ]


def _lay_outside(desk: Desk, box: Box) -> list[Item]:
    """OUTSIDE PLAN in its frame; beside it from which speed, where slower water is inside plan."""
    rule = desk.template.block.stop
    if desk.plan.chosen.limit is None:
        return _lay_word(desk, box)
    frame = replace(box, width_mm=box.width_mm - rule.outside_mm)
    rest = replace(box, left_mm=frame.right_mm + _PAD_MM, width_mm=rule.outside_mm - _PAD_MM)
    return [*_lay_word(desk, frame), *_lay_cells(desk, rest, rule.outside_cells)]


def lay_stop(desk: Desk) -> list[Item]:
    """The row of stop figures, or OUTSIDE PLAN in a heavy frame."""
    box = desk.box(desk.template.block.stop)
    if is_outside(desk.plan.chosen):
        return _lay_outside(desk, box)
    return [
        rule(desk, box, box.top_mm, block=BLOCK),
        *_lay_cells(desk, box, desk.template.block.stop.cells),
    ]
