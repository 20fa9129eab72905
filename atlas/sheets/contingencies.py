"""If it goes wrong: six rows, who acts, what first, and the figures that go with it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf

from atlas.paper import Cell, Column, Item, Row, Span, Table, lay_table
from atlas.plan.crew_results import DangerBelow
from atlas.plan.track_results import TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.pieces import row_pad_mm, titled
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


def _figures_mm(desk: Desk) -> float:
    """Room for the figures beside a row."""
    return desk.template.block.contingencies.width_mm - _WHAT_MM - _FIRST_MM - 2 * _GAP_MM


def _track_parts(desk: Desk) -> tuple[str, bool]:
    """The load that comes suddenly on each station; how far the boat moves, or that a line is too weak."""
    rig, words = desk.plan.chosen, desk.words
    answers = rig.track_answers if isinstance(rig, TrackLineRig) else None
    if answers is None:
        return "", False
    parted = answers.track_parted
    texts = [
        words(
            "sheet.contingency.track_parts.line",
            tag=line.anchor,
            load=desk.first(Figure.TENSION, line.sudden_n),
        )
        for line in parted.lines
    ]
    least = min((line.factor for line in parted.lines), default=inf)
    weak = least < parted.factor_needed
    if weak:
        factor = desk.first(Figure.FACTOR, least)
        texts.append(words("sheet.contingency.track_parts.weak", factor=factor))
    else:
        drift = desk.first(Figure.BOAT_MOVES, parted.drift_m)
        texts.append(words("sheet.contingency.track_parts.drift", drift=drift))
    return words("sheet.separator").join(texts), weak


def _far_ferry_lost(desk: Desk) -> tuple[str, bool]:
    rig = desk.plan.chosen
    answers = rig.track_answers if isinstance(rig, TrackLineRig) else None
    if answers is None:
        return "", False
    lost = answers.far_ferry_lost
    key = "sheet.contingency.far_ferry_lost." + ("end" if lost.at_end else "rest")
    return desk.words(key, rest=desk.first(Figure.LOST_REST, lost.rest_m)), False


def _dangers(desk: Desk) -> tuple[DangerBelow, ...]:
    answers = desk.plan.chosen.answers
    return () if answers is None else answers.dangers


def _up_down_lost(desk: Desk) -> tuple[str, bool]:
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
    room_mm = _figures_mm(desk)
    for count in range(len(told), 0, -1):
        more = len(told) - count
        rest = [words("sheet.contingency.up_down_lost.more", count=more)] if more else []
        text = words("sheet.separator").join([*told[:count], *rest])
        if count == 1 or desk.width_mm(text, "body") <= room_mm:
            return text, False
    return "", False


def _casualty_gone(desk: Desk) -> tuple[str, bool]:
    """Where a throw must begin above the first danger; or that no such place is below the boat."""
    for danger in _dangers(desk)[:1]:
        name = kind_name(desk, danger.kind, danger.kind_text)
        if not danger.catch_in_time:
            return desk.words("sheet.contingency.casualty_gone.none", danger=name), True
        key = "sheet.contingency.casualty_gone." + ("last" if danger.last_catch_m >= 0 else "last_up")
        distance = desk.first(Figure.LAST_CATCH, abs(danger.last_catch_m))
        return desk.words(key, distance=distance, danger=name), False
    return "", False


_FIGURES: dict[str, Callable[[Desk], tuple[str, bool]]] = {
    "track_parts": _track_parts,
    "far_ferry_lost": _far_ferry_lost,
    "up_down_lost": _up_down_lost,
    "casualty_gone": _casualty_gone,
}


def contingency(desk: Desk, name: str) -> Contingency:
    """One row; beside figures the words are fewer."""
    words = desk.words
    figures, grave = _FIGURES[name](desk) if name in _FIGURES else ("", False)
    first = words(f"sheet.contingency.{name}.{'brief' if figures else 'first'}")
    what, who = (words(f"sheet.contingency.{name}.{key}") for key in ("what", "who"))
    return Contingency(what, who, first, figures, grave)


def _row(desk: Desk, row: Contingency) -> Row:
    body, strong = desk.styles["body"], desk.styles["strong"]
    acts = Cell(text=(Span(f"{row.who} ", strong), Span(row.first, body)))
    if not row.figures:
        return Row(cells=(row.what, acts))
    return Row(cells=(row.what, acts, Cell(text=row.figures, style=strong if row.grave else body)))


def lay_contingencies(desk: Desk) -> list[Item]:
    """The block of contingencies."""
    box = desk.box(desk.template.block.contingencies)
    items, room = titled(desk, box, desk.words("sheet.contingencies.title"), block=BLOCK)
    rows = tuple(_row(desk, contingency(desk, name)) for name in CONTINGENCIES)
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
    return [*items, *lay_table(table, room, desk.fonts).items]
