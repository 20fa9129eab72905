"""Anchors and stations: where, how high, what each stands and what is asked of it; and those that are out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from atlas.faults import BlockOverrun
from atlas.paper import Align, Cell, Column, Item, Row, Span, Symbol, Table, spans_width_mm
from atlas.paper.measure import SLACK_MM
from atlas.plan.rig_results import AnchorPlan
from atlas.plan.track_results import TrackLineRig
from atlas.sheets.desk import Desk
from atlas.sheets.dropping import drop_rank
from atlas.sheets.figures import number_and_unit
from atlas.sheets.pieces import lay_rows, row_pad_mm, titled
from atlas.units import Figure

BLOCK = "anchors"
_HEADS = ("tag", "use", "kind", "height", "load", "asked", "held")
_WIDTHS_MM = (9.2, 17.3, None, 17.2, 12.0, 12.0, 14.8)
_FIRST_FIGURE = 3
_KIND, _HEIGHT = 2, 3
_SIGN_MM = 3.5
"""A sign before a tag, and what is between."""
_FILLED = {
    "track": Symbol.TRIANGLE_FILLED,
    "ferry": Symbol.SQUARE_FILLED,
    "up_down": Symbol.DIAMOND_FILLED,
    "bow": Symbol.SQUARE_FILLED,
    "stern": Symbol.DIAMOND_FILLED,
}
_OPEN = {
    "track": Symbol.TRIANGLE_OPEN,
    "ferry": Symbol.SQUARE_OPEN,
    "up_down": Symbol.DIAMOND_OPEN,
    "bow": Symbol.SQUARE_OPEN,
    "stern": Symbol.DIAMOND_OPEN,
}


def is_out(anchor: AnchorPlan) -> bool:
    """Not to be used, or under water and not part of the rig."""
    return anchor.do_not_use or (anchor.drowned and anchor.load_n is None)


def anchor_symbol(anchor: AnchorPlan) -> Symbol:
    """An anchor's sign by its use: open where it was not surveyed, crossed where it is not to be used."""
    if anchor.do_not_use or anchor.drowned:
        return Symbol.CROSSED_CIRCLE
    use = anchor.uses[0] if anchor.uses else "track"
    return (_FILLED if anchor.surveyed else _OPEN)[use]


def kind_text(desk: Desk, anchor: AnchorPlan) -> str:
    """What an anchor is, in the wording's words where it knows the kind; or that it is still to be found."""
    if not anchor.surveyed:
        return desk.words("sheet.anchors.on_scene")
    if anchor.kind is None:
        return ""
    key = f"sheet.kind.{anchor.kind}"
    return desk.words(key) if desk.words.has(key) else anchor.kind.replace("_", " ")


def use_text(desk: Desk, anchor: AnchorPlan) -> str:
    """Bank and uses."""
    words = desk.words
    uses = words("sheet.anchors.and").join(words(f"sheet.use.{use}") for use in anchor.uses)
    return words("sheet.anchors.use_of", bank=words(f"sheet.bank.{anchor.bank}"), uses=uses)


def _force(desk: Desk, figure: Figure, value_n: float | None) -> str:
    return desk.words("sheet.unknown") if value_n is None else desk.first(figure, value_n)


def held_text(desk: Desk, anchor: AnchorPlan) -> str:
    """What an anchor holds: marked where assumed."""
    held = _force(desk, Figure.STRENGTH_HELD, anchor.rating_n)
    return f"{desk.words('sheet.anchors.assumed')} {held}" if anchor.rating_assumed else held


def height_text(desk: Desk, anchor: AnchorPlan) -> str:
    """Tie height over the planning level, or that it is under water."""
    if anchor.drowned:
        return desk.words("sheet.anchors.drowned_height")
    return desk.first(Figure.TIE_HEIGHT, anchor.height_planning_m)


def least_height_text(desk: Desk, anchor: AnchorPlan) -> str:
    """The least tie height of a track anchor at the planning level; nothing of others."""
    rig = desk.plan.chosen
    least = rig.tie_heights if isinstance(rig, TrackLineRig) else None
    if least is None or "track" not in anchor.uses or anchor.load_n is None or anchor.drowned:
        return ""
    height_m = least.near_m if anchor.bank == "near" else least.far_m
    shown = desk.first(Figure.TIE_HEIGHT_NEEDED, max(0.0, height_m - rig.planning.rise_m))
    return desk.words("sheet.anchors.least", height=number_and_unit(shown)[0])


def anchor_cells(desk: Desk, anchor: AnchorPlan) -> tuple[str, ...]:
    """Tag, bank and use, what, tie height, load, asked, held."""
    return (
        anchor.tag,
        use_text(desk, anchor),
        kind_text(desk, anchor),
        height_text(desk, anchor),
        _force(desk, Figure.TENSION, anchor.load_n),
        _force(desk, Figure.STRENGTH_NEEDED, anchor.needed_n),
        held_text(desk, anchor),
    )


def _out_text(desk: Desk, anchor: AnchorPlan, *, tag_alone: bool) -> str:
    """An anchor that is out."""
    if tag_alone:
        return anchor.tag
    bank, kind = desk.words(f"sheet.bank.{anchor.bank}"), kind_text(desk, anchor)
    return desk.words("sheet.anchors.out", tag=anchor.tag, bank=bank, kind=kind).rstrip()


def out_texts(desk: Desk, *, tags_alone: bool = False) -> tuple[tuple[str, str], ...]:
    """Why anchors are out, and which: not to be used first, then those under water."""
    words = desk.words
    out = [anchor for anchor in desk.plan.chosen.anchors if is_out(anchor)]
    groups = (
        ("do_not_use", [anchor for anchor in out if anchor.do_not_use]),
        ("drowned", [anchor for anchor in out if not anchor.do_not_use]),
    )
    return tuple(
        (
            words(f"sheet.anchors.{reason}"),
            words("sheet.anchors.out_gap").join(
                _out_text(desk, anchor, tag_alone=tags_alone) for anchor in anchors
            ),
        )
        for reason, anchors in groups
        if anchors
    )


def _row(desk: Desk, anchor: AnchorPlan, *, kinds: bool) -> Row:
    strong = desk.styles["table_strong"]
    tag, *rest = anchor_cells(desk, anchor)
    cells: list[str | Cell] = [Cell(text=tag, style=strong, symbol=anchor_symbol(anchor)), *rest]
    cells[_HEIGHT] = Cell(text=_height_spans(desk, anchor))
    if anchor.why:
        cells[-2:] = [Cell(text=text, style=strong) for text in rest[-2:]]
    if not kinds:
        del cells[_KIND]
    spare = anchor.load_n is None
    return Row(
        cells=tuple(cells), drop=drop_rank(("spare",), desk.template.block.anchors.drop) if spare else None
    )


def _out_row(desk: Desk, groups: Sequence[tuple[str, str]]) -> Row:
    """Reasons and the anchors that are out for each, one after the other."""
    strong, plain = desk.styles["table_strong"], desk.styles["table"]
    spans = [
        span
        for reason, anchors in groups
        for span in (Span(f"{reason}  ", strong), Span(f"{anchors}  ", plain))
    ]
    spans[-1] = Span(groups[-1][1], plain)
    return Row(cells=(Cell(text=tuple(spans), symbol=Symbol.CROSSED_CIRCLE, wraps=True),))


def _notes(desk: Desk, anchors: Sequence[AnchorPlan], left_out: int = 0) -> str:
    words = desk.words
    notes = [words("sheet.more", count=left_out) if left_out else words("sheet.anchors.note")]
    if any(anchor.rating_assumed for anchor in anchors):
        notes.append(words("sheet.anchors.assumed_note"))
    return words("sheet.separator").join(notes)


def _height_spans(desk: Desk, anchor: AnchorPlan) -> tuple[Span, ...]:
    """Tie height, and beside it the least where there is one."""
    height = Span(height_text(desk, anchor), desk.styles["table_strong"])
    least = least_height_text(desk, anchor)
    return (height, Span(f"  {least}", desk.styles["table"])) if least else (height,)


def _columns(desk: Desk, anchors: Sequence[AnchorPlan], *, kinds: bool) -> tuple[Column, ...]:
    """Those of tags and heights as wide as the longest; without kinds the uses take their room."""
    style, strong = desk.styles["table"], desk.styles["table_strong"]
    tag_mm = max((desk.fonts.width_mm(anchor.tag, strong) for anchor in anchors), default=0.0)
    widths: list[float | None] = [max(_WIDTHS_MM[0] or 0.0, tag_mm + _SIGN_MM), *_WIDTHS_MM[1:]]
    heights_mm = [spans_width_mm(_height_spans(desk, anchor), desk.fonts) + SLACK_MM for anchor in anchors]
    widths[_HEIGHT] = max([_WIDTHS_MM[_HEIGHT] or 0.0, *heights_mm])
    columns = [
        Column(
            style=style,
            width_mm=width_mm,
            align=Align.LEFT if number < _FIRST_FIGURE else Align.RIGHT,
            wraps=0 < number < _FIRST_FIGURE,
        )
        for number, width_mm in enumerate(widths)
    ]
    if not kinds:
        columns[_KIND - 1 : _KIND + 1] = [Column(style=style, wraps=True)]
    return tuple(columns)


def _table(desk: Desk, anchors: Sequence[AnchorPlan], out: Sequence[Row], *, kinds: bool) -> Table:
    words, head = desk.words, desk.styles["column"]
    least = any(least_height_text(desk, anchor) for anchor in anchors)
    heads = [f"{name}_least" if name == "height" and least else name for name in _HEADS]
    if not kinds:
        del heads[_KIND]
    return Table(
        block=BLOCK,
        columns=_columns(desk, anchors, kinds=kinds),
        rows=(*(_row(desk, anchor, kinds=kinds) for anchor in anchors), *out),
        head=Row(cells=tuple(Cell(text=words(f"sheet.anchors.{name}"), style=head) for name in heads)),
        more=words("sheet.more", count="{count}"),
        more_style=head,
        gap_mm=0.6,
        rule=desk.strokes["hairline"],
    )


def _lay_whole(desk: Desk, anchors: Sequence[AnchorPlan]) -> list[Item]:
    """Every column, a row for each reason why anchors are out; spare anchors as far as there is room."""
    box, title = desk.box(desk.template.block.anchors), desk.words("sheet.anchors.title")
    items, room = titled(desk, box, title, block=BLOCK, note=_notes(desk, anchors))
    table = _table(desk, anchors, [_out_row(desk, [group]) for group in out_texts(desk)], kinds=True)
    pad_mm = row_pad_mm(desk, room, rows=len(table.rows) + 1)
    return [*items, *lay_rows(desk, replace(table, pad_mm=pad_mm), room)]


def _lay_close(desk: Desk, anchors: Sequence[AnchorPlan]) -> list[Item]:
    """The anchors in use alone, without what they are, and one row of tags that are out."""
    box, title = desk.box(desk.template.block.anchors), desk.words("sheet.anchors.title")
    used = [anchor for anchor in anchors if anchor.load_n is not None]
    notes = _notes(desk, used, len(anchors) - len(used))
    items, room = titled(desk, box, title, block=BLOCK, note=notes)
    groups = out_texts(desk, tags_alone=True)
    out = [_out_row(desk, groups)] if groups else []
    table = _table(desk, used, out, kinds=False)
    try:
        pad_mm = row_pad_mm(desk, room, rows=len(table.rows) + 1)
        return [*items, *lay_rows(desk, replace(table, pad_mm=pad_mm), room)]
    except BlockOverrun:
        return [*items, *lay_rows(desk, replace(table, pad_mm=0.0), room)]


def lay_anchors(desk: Desk) -> list[Item]:
    """The block of anchors; where their rows are too high for it, told more closely."""
    anchors = [anchor for anchor in desk.plan.chosen.anchors if not is_out(anchor)]
    try:
        return _lay_whole(desk, anchors)
    except BlockOverrun:
        return _lay_close(desk, anchors)
