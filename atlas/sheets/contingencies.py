"""If it goes wrong: six rows, who acts and what first. The words are all in the wording."""

from __future__ import annotations

from atlas.paper import Cell, Column, Item, Row, Span, Table, lay_table
from atlas.sheets.desk import Desk
from atlas.sheets.pieces import titled

BLOCK = "contingencies"
CONTINGENCIES = (
    "track_parts",
    "far_ferry_lost",
    "up_down_lost",
    "boat_swamped",
    "debris",
    "casualty_gone",
)
_WHAT_MM = 37.0


def contingency_rows(desk: Desk) -> tuple[tuple[str, str, str], ...]:
    """What happened, who acts, what first."""
    words = desk.words
    return tuple(
        (
            words(f"sheet.contingency.{name}.what"),
            words(f"sheet.contingency.{name}.who"),
            words(f"sheet.contingency.{name}.first"),
        )
        for name in CONTINGENCIES
    )


def lay_contingencies(desk: Desk) -> list[Item]:
    """The block of contingencies."""
    box = desk.box(desk.template.block.contingencies)
    items, room = titled(desk, box, desk.words("sheet.contingencies.title"), block=BLOCK)
    body, strong = desk.styles["body"], desk.styles["strong"]
    table = Table(
        block=BLOCK,
        columns=(Column(style=strong, width_mm=_WHAT_MM, wraps=True), Column(style=body, wraps=True)),
        rows=tuple(
            Row(cells=(what, Cell(text=(Span(f"{who} ", strong), Span(first, body)))))
            for what, who, first in contingency_rows(desk)
        ),
        pad_mm=0.25,
        rule=desk.strokes["hairline"],
    )
    return [*items, *lay_table(table, room, desk.fonts).items]
