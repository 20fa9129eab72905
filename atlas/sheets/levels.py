"""The level table: each stage with its speed, what it does to the rig, and inside or outside plan."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.paper import Align, Cell, Column, Item, Row, Table
from atlas.paper.measure import SLACK_MM
from atlas.plan.rig_results import CaseResult, StageResult
from atlas.plan.track_results import TrackCase, TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.dropping import drop_rank
from atlas.sheets.figures import number_and_unit, signed, unbroken
from atlas.sheets.pieces import lay_rows, row_pad_mm, titled
from atlas.units import Figure

BLOCK = "levels"
_SECONDS_A_MINUTE = 60.0
_HEADS = ("stage", "speed", "held", "swamped", "clear", "verdict")
_STAGE_ASSUMED = (
    "stage_assumed",
    "stage_from_discharge",
    "stage_unknown",
    "datum_assumed",
    "planning_stage_unknown",
)
_WIDTHS_MM = (14.5, 12.5, 7.5, 11.5, 10.0, None)
_CLEAR = 4


def case_of(stage: StageResult[CaseResult], name: str) -> CaseResult | None:
    """The stage's result for a load case."""
    return next((case for case in stage.cases if case.case == name), None)


def stage_is_assumed(stage: StageResult[CaseResult]) -> bool:
    """The row's stage was not noted with it."""
    return any(code in _STAGE_ASSUMED for code in stage.assumed)


def stage_text(desk: Desk, stage: StageResult[CaseResult]) -> str:
    """The gauge stage, or where none is known the rise over the survey day's water; with its marks."""
    words = desk.words
    if stage.stage_m is None:
        text = words("sheet.levels.rise", rise=desk.first(Figure.STAGE, stage.rise_m))
    else:
        text = desk.first(Figure.STAGE, stage.stage_m)
    if stage.modelled:
        text = f"{words('sheet.levels.modelled')} {text}"
    return text + words("sheet.levels.assumed") if stage_is_assumed(stage) else text


def _factor(desk: Desk, stage: StageResult[CaseResult], name: str) -> str:
    case = case_of(stage, name)
    return desk.words("sheet.unknown") if case is None else desk.first(Figure.FACTOR, case.factor)


def least_clearance_m(stage: StageResult[CaseResult]) -> float | None:
    """The least clearance of the judged cases; None of a rig without a track line."""
    hung = [case.clearance_m for case in stage.cases if case.judged and isinstance(case, TrackCase)]
    return min(hung, default=None)


def _hung_text(desk: Desk, stage: StageResult[CaseResult]) -> str:
    """The least clearance under a track line; of another rig the greatest pull, its number alone."""
    clearance_m = least_clearance_m(stage)
    if clearance_m is not None:
        return signed(desk.first(Figure.CLEARANCE, clearance_m))
    most_n = max(case.tension_n for case in stage.cases if case.judged)
    return number_and_unit(desk.first(Figure.TENSION, most_n))[0]


def _heads(desk: Desk) -> tuple[str, ...]:
    """Of the columns; of a rig without a track line the pull with its unit in the place of the clearance."""
    heads = {name: desk.words(f"sheet.levels.{name}") for name in _HEADS}
    if not isinstance(desk.plan.chosen, TrackLineRig):
        unit = number_and_unit(desk.first(Figure.TENSION, 0.0))[1]
        heads["clear"] = desk.words("sheet.levels.pull", unit=unit)
    return tuple(heads.values())


def level_row(desk: Desk, stage: StageResult[CaseResult]) -> tuple[str, ...]:
    """Level, the speed computed with, factor with the boat held and swamped, least clearance, verdict."""
    return (
        stage_text(desk, stage),
        desk.first(Figure.SPEED, stage.design_speed_m_s),
        _factor(desk, stage, "boat-held"),
        _factor(desk, stage, "boat-swamped"),
        _hung_text(desk, stage),
        desk.words("sheet.levels.inside" if stage.inside else "sheet.levels.outside"),
    )


def level_notes(desk: Desk) -> str:
    """What the marks mean that are there."""
    stages, words = desk.plan.chosen.stages, desk.words
    notes = [words("sheet.levels.planning_note")]
    if any(stage.modelled for stage in stages):
        notes.append(words("sheet.levels.modelled_note"))
    if any(stage_is_assumed(stage) for stage in stages):
        notes.append(words("sheet.levels.assumed_note"))
    if any(stage.stage_m is None for stage in stages):
        notes.append(words("sheet.levels.rise_note"))
    return words("sheet.separator").join(notes)


def level_ranks(stages: Sequence[StageResult[CaseResult]], drop: Sequence[str]) -> list[int | None]:
    """Which rows may go first: low levels from the lowest up, modelled ones from the highest down."""
    planned = next(number for number, stage in enumerate(stages) if stage.planning)
    ranks: list[int | None] = []
    for number, stage in enumerate(stages):
        key = "low" if number < planned else "modelled" if stage.modelled and number > planned else ""
        rank = drop_rank((key,), drop)
        steps = number if key == "low" else len(stages) - number
        ranks.append(None if rank is None else rank * len(stages) + steps)
    return ranks


def _row(desk: Desk, stage: StageResult[CaseResult], drop: int | None) -> Row:
    strong = desk.styles["table_strong"]
    texts = level_row(desk, stage)
    if stage.planning:
        return Row(cells=tuple(Cell(text=text, style=strong) for text in texts), frame=desk.strokes["rule"])
    verdict = texts[-1] if stage.inside else Cell(text=texts[-1], style=strong)
    return Row(cells=(*texts[:-1], verdict), drop=drop)


def stop_text(desk: Desk) -> str:
    """The rise between two looks that turns the crew back; nothing where it is not known."""
    answers = desk.plan.chosen.answers
    decisions = () if answers is None else answers.decisions
    numbers = {
        number.name: number.value
        for decision in decisions
        if decision.code == "every_interval"
        for number in decision.numbers
    }
    if not {"rise_to_stop_m", "interval_s"} <= numbers.keys():
        return ""
    shown = desk.first(Figure.RISE_TO_STOP, numbers["rise_to_stop_m"])
    if float(number_and_unit(shown)[0]) <= 0.0:
        return desk.words("sheet.levels.stop_any")
    rise = unbroken(shown)
    minutes = unbroken(desk.first(Figure.MINUTES_TO_ARRIVE, numbers["interval_s"] / _SECONDS_A_MINUTE))
    return desk.words("sheet.levels.stop", rise=rise, minutes=minutes)


def _widths_mm(desk: Desk) -> tuple[float | None, ...]:
    """Of the columns; the clearance's grows with it, at the verdict's cost."""
    widths = list(_WIDTHS_MM)
    clear = [desk.width_mm(_hung_text(desk, stage), "table_strong") for stage in desk.plan.chosen.stages]
    widths[_CLEAR] = max([_WIDTHS_MM[_CLEAR] or 0.0, *(width_mm + SLACK_MM for width_mm in clear)])
    return tuple(widths)


def lay_levels(desk: Desk) -> list[Item]:
    """The block of levels."""
    box = desk.box(desk.template.block.levels)
    words = desk.words
    items, room = titled(
        desk,
        box,
        words("sheet.levels.title"),
        block=BLOCK,
        note=words(
            "sheet.levels.note" if isinstance(desk.plan.chosen, TrackLineRig) else "sheet.levels.note_pull"
        ),
    )
    style, head = desk.styles["table"], desk.styles["column"]
    columns = tuple(
        Column(style=style, width_mm=width_mm, align=Align.RIGHT) for width_mm in _widths_mm(desk)
    )
    stages = desk.plan.chosen.stages
    ranks = level_ranks(stages, desk.template.block.levels.drop)
    rows = [_row(desk, stage, rank) for stage, rank in zip(stages, ranks, strict=True)]
    if stop := stop_text(desk):
        rows.append(Row(cells=(Cell(text=stop, style=desk.styles["strong"], align=Align.LEFT, wraps=True),)))
    rows.append(Row(cells=(Cell(text=level_notes(desk), style=head, align=Align.LEFT, wraps=True),)))
    table = Table(
        block=BLOCK,
        columns=columns,
        rows=tuple(rows),
        head=Row(cells=tuple(Cell(text=name, style=head) for name in _heads(desk))),
        more=words("sheet.more", count="{count}"),
        more_style=head,
        pad_mm=row_pad_mm(desk, room, rows=len(rows) + 1),
        side_mm=0.6,
        gap_mm=1.0,
        rule=desk.strokes["hairline"],
    )
    return [*items, *lay_rows(desk, table, room)]
