"""Anchors and stations: where each is, how high, what it stands and what is asked of it."""

from __future__ import annotations

from atlas.paper import Align, Cell, Column, Item, Row, Symbol, Table, lay_table
from atlas.plan.results import AnchorPlan
from atlas.sheets.desk import Desk
from atlas.sheets.dropping import drop_rank
from atlas.sheets.pieces import titled
from atlas.units import Figure

BLOCK = "anchors"
_FILLED = {"track": Symbol.TRIANGLE_FILLED, "ferry": Symbol.SQUARE_FILLED, "up_down": Symbol.DIAMOND_FILLED}
_OPEN = {"track": Symbol.TRIANGLE_OPEN, "ferry": Symbol.SQUARE_OPEN, "up_down": Symbol.DIAMOND_OPEN}


def anchor_symbol(anchor: AnchorPlan) -> Symbol:
    """The sign of an anchor by its use: open where it was not surveyed, crossed where it is not to be used."""
    if anchor.do_not_use or anchor.drowned:
        return Symbol.CROSSED_CIRCLE
    use = anchor.uses[0] if anchor.uses else "track"
    return (_FILLED if anchor.surveyed else _OPEN)[use]


def kind_text(desk: Desk, kind: str | None) -> str:
    """What an anchor is: in the wording's words where it knows the kind."""
    if kind is None:
        return ""
    key = f"sheet.kind.{kind}"
    return desk.words(key) if desk.words.has(key) else kind.replace("_", " ")


def use_text(desk: Desk, anchor: AnchorPlan) -> str:
    """Bank and uses."""
    words = desk.words
    uses = words("sheet.anchors.and").join(words(f"sheet.use.{use}") for use in anchor.uses)
    return words("sheet.anchors.use_of", bank=words(f"sheet.bank.{anchor.bank}"), uses=uses)


def refusal(desk: Desk, anchor: AnchorPlan) -> str:
    """Why an anchor is out, or that it is still to be found; empty where it serves."""
    if anchor.do_not_use:
        return desk.words("sheet.anchors.do_not_use")
    if anchor.drowned:
        return desk.words("sheet.anchors.drowned")
    return ""


def _force(desk: Desk, figure: Figure, value_n: float | None) -> str:
    return desk.words("sheet.unknown") if value_n is None else desk.first(figure, value_n)


def held_text(desk: Desk, anchor: AnchorPlan) -> str:
    """What an anchor holds: marked where assumed."""
    held = _force(desk, Figure.STRENGTH_HELD, anchor.rating_n)
    return f"{desk.words('sheet.anchors.assumed')} {held}" if anchor.rating_assumed else held


def anchor_cells(desk: Desk, anchor: AnchorPlan) -> tuple[str, ...]:
    """Tag, bank and use, what, tie height, load, asked, held."""
    kind = kind_text(desk, anchor.kind) if anchor.surveyed else desk.words("sheet.anchors.on_scene")
    start = (anchor.tag, use_text(desk, anchor), kind)
    out = refusal(desk, anchor)
    if out:
        return (*start, out)
    return (
        *start,
        desk.first(Figure.TIE_HEIGHT, anchor.height_planning_m),
        _force(desk, Figure.TENSION, anchor.load_n),
        _force(desk, Figure.STRENGTH_NEEDED, anchor.needed_n),
        held_text(desk, anchor),
    )


def _row(desk: Desk, anchor: AnchorPlan) -> Row:
    strong = desk.styles["table_strong"]
    tag, *rest = anchor_cells(desk, anchor)
    cells: list[str | Cell] = [Cell(text=tag, style=strong, symbol=anchor_symbol(anchor)), *rest]
    if refusal(desk, anchor):
        cells[-1] = Cell(text=rest[-1], style=strong, align=Align.LEFT)
    else:
        cells[3] = Cell(text=rest[2], style=strong)
    spare = anchor.load_n is None and not refusal(desk, anchor)
    return Row(cells=tuple(cells), drop=drop_rank(("spare",), desk.template.block.anchors.drop) if spare else None)


def lay_anchors(desk: Desk) -> list[Item]:
    """The block of anchors."""
    box = desk.box(desk.template.block.anchors)
    words = desk.words
    anchors = desk.plan.chosen.anchors
    notes = [words("sheet.anchors.note")]
    if any(anchor.rating_assumed for anchor in anchors):
        notes.append(words("sheet.anchors.assumed_note"))
    note = words("sheet.separator").join(notes)
    items, room = titled(desk, box, words("sheet.anchors.title"), block=BLOCK, note=note)
    style, head = desk.styles["table"], desk.styles["column"]
    right = Align.RIGHT
    columns = (
        Column(style=style, width_mm=10.5),
        Column(style=style, width_mm=21.2, wraps=True),
        Column(style=style, width_mm=18.3, wraps=True),
        Column(style=style, width_mm=11.0, align=right),
        Column(style=style, width_mm=13.0, align=right),
        Column(style=style, width_mm=13.0, align=right),
        Column(style=style, align=right),
    )
    heads = ("tag", "use", "kind", "height", "load", "asked", "held")
    rows = [_row(desk, anchor) for anchor in anchors]
    table = Table(
        block=BLOCK,
        columns=columns,
        rows=tuple(rows),
        head=Row(cells=tuple(Cell(text=words(f"sheet.anchors.{name}"), style=head) for name in heads)),
        more=words("sheet.more", count="{count}"),
        more_style=head,
        gap_mm=0.6,
        pad_mm=0.25,
        rule=desk.strokes["hairline"],
    )
    return [*items, *lay_table(table, room, desk.fonts).items]
