"""If it goes wrong: six rows, who acts, what first, and the figures that go with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf

from atlas.paper import Cell, Column, Item, Row, Span, Table
from atlas.plan.crew_results import DangerBelow
from atlas.plan.tether_results import TetherRig
from atlas.plan.track_results import TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.pieces import lay_rows, row_pad_mm, titled
from atlas.sheets.plan_things import kind_name
from atlas.units import Figure

BLOCK = "contingencies"
CONTINGENCIES = (
    "track_parts",
    "far_ferry_lost",
    "up_down_lost",
    "boat_swamped",
    "debris",
    "casualty_gone",
)
TETHER_CONTINGENCIES = (
    "bow_line_parts",
    "bow_lines_parted",
    "swings",
    "boat_swamped_tether",
    "debris_tether",
    "casualty_gone",
)
_WHAT_MM = 33.0
_FIRST_MM = 45.5
_GAP_MM = 1.0


@dataclass(frozen=True, slots=True)
class Contingency:
    """One row. `figures` stand beside it where there are any."""

    what: str
    who: str
    first: str
    figures: str = ""
    grave: bool = False
    """The figures are past a limit, or say that something cannot be done."""


@dataclass(frozen=True, slots=True)
class Figures:
    """What may stand beside a row, the fullest text first; the first that fits is printed."""

    texts: tuple[str, ...] = ()
    grave: bool = False


NONE = Figures()


def _figures_mm(desk: Desk) -> float:
    """Room for the figures beside a row."""
    return desk.template.block.contingencies.width_mm - _WHAT_MM - _FIRST_MM - 2 * _GAP_MM


def _joined(desk: Desk, texts: Sequence[str]) -> str:
    return desk.words("sheet.separator").join(texts)


def _track_parts(desk: Desk) -> Figures:
    """The load that comes suddenly on each station; how far the boat moves, or that a line is too weak."""
    rig, words = desk.plan.chosen, desk.words
    answers = rig.track_answers if isinstance(rig, TrackLineRig) else None
    if answers is None:
        return NONE
    parted = answers.track_parted
    loads = [
        words(
            "sheet.contingency.track_parts.line",
            tag=line.anchor,
            load=desk.first(Figure.TENSION, line.sudden_n),
        )
        for line in parted.lines
    ]
    least = min((line.factor for line in parted.lines), default=inf)
    if least < parted.factor_needed:
        weak = words("sheet.contingency.track_parts.weak", factor=desk.first(Figure.FACTOR, least))
        return Figures((_joined(desk, [*loads, weak]), weak), grave=True)
    drift = desk.first(Figure.BOAT_MOVES, parted.drift_m)
    moves = words("sheet.contingency.track_parts.drift", drift=drift)
    return Figures((_joined(desk, [*loads, moves]), _joined(desk, loads), moves))


def _far_ferry_lost(desk: Desk) -> Figures:
    rig = desk.plan.chosen
    answers = rig.track_answers if isinstance(rig, TrackLineRig) else None
    if answers is None:
        return NONE
    lost = answers.far_ferry_lost
    if lost.at_end:
        return Figures((desk.words("sheet.contingency.far_ferry_lost.end"),))
    rest = desk.first(Figure.LOST_REST, lost.rest_m)
    return Figures((desk.words("sheet.contingency.far_ferry_lost.rest", rest=rest),))


def _dangers(desk: Desk) -> tuple[DangerBelow, ...]:
    answers = desk.plan.chosen.answers
    return () if answers is None else answers.dangers


def _up_down_lost(desk: Desk) -> Figures:
    """Seconds to the dangers below, the soonest first; how many more there are than fit."""
    words = desk.words
    told = [
        words(
            "sheet.contingency.up_down_lost.danger",
            danger=kind_name(desk, danger.kind, danger.kind_text),
            seconds=desk.first(Figure.DANGER_SECONDS, danger.seconds_s),
        )
        for danger in _dangers(desk)
    ]
    texts = []
    for count in range(len(told), 0, -1):
        more = len(told) - count
        rest = [words("sheet.contingency.up_down_lost.more", count=more)] if more else []
        texts.append(_joined(desk, [*told[:count], *rest]))
    return Figures(tuple(texts))


def _casualty_gone(desk: Desk) -> Figures:
    """Where a throw must begin above the first danger; or that no such place is below the boat."""
    words = desk.words
    for danger in sorted(_dangers(desk), key=lambda danger: danger.last_catch_along_m)[:1]:
        name = kind_name(desk, danger.kind, danger.kind_text)
        if not danger.catch_in_time:
            alone = words("sheet.contingency.casualty_gone.never")
            return Figures((words("sheet.contingency.casualty_gone.none", danger=name), alone), grave=True)
        down = danger.last_catch_m >= 0
        key = "sheet.contingency.casualty_gone.last" if down else "sheet.contingency.casualty_gone.last_up"
        distance = desk.first(Figure.LAST_CATCH, abs(danger.last_catch_m))
        return Figures((words(key, distance=distance, danger=name),))
    return NONE


_FIGURES: dict[str, Callable[[Desk], Figures]] = {
    "track_parts": _track_parts,
    "far_ferry_lost": _far_ferry_lost,
    "up_down_lost": _up_down_lost,
    "bow_lines_parted": _up_down_lost,
    "casualty_gone": _casualty_gone,
}


def contingency(desk: Desk, name: str) -> Contingency:
    """One row; beside figures the words are fewer. Figures that are too wide are left to the workings."""
    words = desk.words
    asked = _FIGURES[name](desk) if name in _FIGURES else NONE
    style = "strong" if asked.grave else "body"
    room_mm = _figures_mm(desk)
    figures = next((text for text in asked.texts if desk.width_mm(text, style) <= room_mm), "")
    first = words(f"sheet.contingency.{name}.{'brief' if figures else 'first'}")
    what, who = (words(f"sheet.contingency.{name}.{key}") for key in ("what", "who"))
    return Contingency(what, who, first, figures, asked.grave)


def _knives(desk: Desk) -> str:
    """The two posts that carry the knife."""
    answers = desk.plan.chosen.answers
    if answers is None:
        return ""
    posts = [desk.words(f"crew.{post}") for post in answers.knives]
    return desk.words("sheet.contingencies.knives", posts=desk.words("sheet.separator").join(posts))


def contingency_rows(desk: Desk) -> tuple[Contingency, ...]:
    """All six, in the order printed."""
    rows = TETHER_CONTINGENCIES if isinstance(desk.plan.chosen, TetherRig) else CONTINGENCIES
    return tuple(contingency(desk, name) for name in rows)


def _row(desk: Desk, row: Contingency) -> Row:
    body, strong = desk.styles["body"], desk.styles["strong"]
    acts = Cell(text=(Span(f"{row.who} ", strong), Span(row.first, body)))
    if not row.figures:
        return Row(cells=(row.what, acts))
    return Row(cells=(row.what, acts, Cell(text=row.figures, style=strong if row.grave else body)))


def lay_contingencies(desk: Desk) -> list[Item]:
    """The block of contingencies."""
    box = desk.box(desk.template.block.contingencies)
    title = desk.words("sheet.contingencies.title")
    items, room = titled(desk, box, title, block=BLOCK, note=_knives(desk))
    rows = tuple(_row(desk, row) for row in contingency_rows(desk))
    body, strong = desk.styles["body"], desk.styles["strong"]
    table = Table(
        block=BLOCK,
        columns=(
            Column(style=strong, width_mm=_WHAT_MM, wraps=True),
            Column(style=body, width_mm=_FIRST_MM, wraps=True),
            Column(style=body, wraps=True),
        ),
        rows=rows,
        gap_mm=_GAP_MM,
        pad_mm=row_pad_mm(desk, room, rows=len(rows)),
        rule=desk.strokes["hairline"],
    )
    return [*items, *lay_rows(desk, table, room)]
