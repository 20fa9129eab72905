"""The list of pages to swap, on paper: a box to tick for each."""

from __future__ import annotations

from collections.abc import Sequence

from atlas.editions.swap.compare import Change, Overdue, Step, Swap
from atlas.faults import clean_text
from atlas.paper import Box, Cell, Column, LaidOut, Leaf, Row, Symbol, assemble, symbol
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph, table_row
from atlas.paper.press import Press, settable
from atlas.units import Figure

__all__ = ["checklist_pdf", "reasons_shown"]

BLOCK = "swap"
_WIDTHS_MM = (6.5, 18.0, 19.0, 30.0, 26.0, None)
_OVERDUE_MM = (6.5, 22.0, 60.0, 28.0, 28.0, None)
_TICK_MM = 3.2
_TICK_DOWN_MM = 2.6
_MOST_REASONS = 12
_LONGEST = 400


def reasons_shown(change: Change, press: Press) -> list[str]:
    """Reasons as they are listed: the first dozen, and how many more there are."""
    told = [clean_text(reason, longest=_LONGEST) for reason in change.reasons[:_MOST_REASONS]]
    left = len(change.reasons) - len(told)
    return [*told, press.words("swap.more", count=left)] if left else told


def _columns(press: Press, widths_mm: Sequence[float | None]) -> tuple[Column, ...]:
    style = press.looks.styles["body"]
    return tuple(Column(style=style, width_mm=width, wraps=True) for width in widths_mm)


def _head(press: Press, columns: tuple[Column, ...], names: Sequence[str]) -> Piece:
    style = press.looks.styles["column"]
    cells = (Cell(text=""), *(Cell(text=press.words(f"swap.{name}"), style=style) for name in names))
    return table_row(press, columns, Row(cells=cells), block=BLOCK, keeps_next=True)


def _ticked(press: Press, row: Piece) -> Piece:
    """A row with a box to tick at its left."""

    def lay(box: Box) -> LaidOut:
        laid = row.lay(box)
        centre = {"x_mm": box.left_mm + _TICK_MM / 2 + 0.6, "y_mm": box.top_mm + _TICK_DOWN_MM}
        tick = symbol(
            Symbol.TICK_BOX, **centre, size_mm=_TICK_MM, colour=press.looks.colours["ink"], block=BLOCK
        )
        return LaidOut(items=(*laid.items, *tick), height_mm=laid.height_mm, dropped=laid.dropped)

    return Piece(lay, repeats=row.repeats)


def _where(press: Press, change: Change) -> str:
    if change.step is Step.OUT:
        return ""
    if change.behind is None:
        return press.words("swap.first")
    return press.words("swap.behind", label=change.behind)


def _change_row(press: Press, columns: tuple[Column, ...], change: Change, head: Piece) -> Piece:
    strong = press.looks.styles["strong"]
    reasons = press.words("sheet.separator").join(reasons_shown(change, press))
    cells = (
        Cell(text=""),
        Cell(text=press.words(f"swap.step.{change.step.value}"), style=strong),
        Cell(text=settable(change.label, press, "strong"), style=strong),
        settable(change.name or "", press, "body"),
        settable(_where(press, change), press, "body"),
        settable(reasons, press, "body"),
    )
    return _ticked(press, table_row(press, columns, Row(cells=cells), block=BLOCK, repeats=head))


def _changes(press: Press, swap: Swap) -> list[Piece]:
    if not swap.changes:
        return [gap(5.0), paragraph(press, press.words("swap.nothing"), "meta_strong", block=BLOCK)]
    columns = _columns(press, _WIDTHS_MM)
    head = _head(press, columns, ("todo", "page", "name", "where", "why"))
    rows = [_change_row(press, columns, change, head) for change in swap.changes]
    return [gap(5.0), heading(press, press.words("swap.checklist"), block=BLOCK), head, *rows]


def _overdue_row(press: Press, columns: tuple[Column, ...], late: Overdue, head: Piece) -> Piece:
    strong = press.looks.styles["strong"]
    cells = (
        Cell(text=""),
        Cell(text=late.code, style=strong),
        settable(late.name, press, "body"),
        late.surveyed.isoformat(),
        late.valid_until.isoformat(),
        press.words("swap.months", count=press.first(Figure.COUNT, late.months)),
    )
    return _ticked(press, table_row(press, columns, Row(cells=cells), block=BLOCK, repeats=head))


def _overdue(press: Press, swap: Swap) -> list[Piece]:
    if not swap.overdue:
        return []
    columns = _columns(press, _OVERDUE_MM)
    head = _head(press, columns, ("page", "name", "surveyed", "until", "age"))
    note = press.words("swap.overdue_note", as_of=swap.new.as_of.isoformat())
    return [
        gap(6.0),
        heading(press, press.words("swap.overdue"), block=BLOCK),
        paragraph(press, note, "body", block=BLOCK, keeps_next=True),
        head,
        *(_overdue_row(press, columns, late, head) for late in swap.overdue),
    ]


def _policy(press: Press, swap: Swap) -> list[Piece]:
    if not swap.policy:
        return []
    texts = [paragraph(press, settable(text, press, "body"), "body", block=BLOCK) for text in swap.policy]
    return [gap(6.0), heading(press, press.words("swap.policy"), block=BLOCK), *texts]


def _summary(press: Press, swap: Swap) -> list[str]:
    words = press.words
    counts = {step.value: sum(change.step is step for change in swap.changes) for step in Step}
    around = sum(change.kind == "around" for change in swap.to_print)
    return [
        words("swap.from_to", old=swap.old.name, new=swap.new.name),
        words("swap.counts", **counts),
        words("swap.to_print", sheets=len(swap.to_print) - around, around=around),
        words("swap.note"),
    ]


def checklist_pdf(swap: Swap, press: Press) -> bytes:
    """The checklist as PDF, on as many pages as it takes. Same editions, same bytes.

    Parameters
    ----------
    press : with the new edition's county
    """
    words = press.words
    first, *rest = [settable(text, press, "meta_strong") for text in _summary(press, swap)]
    pieces = [
        paragraph(press, first, "meta_strong", block=BLOCK),
        *(paragraph(press, text, "meta", block=BLOCK) for text in rest),
        *_changes(press, swap),
        *_policy(press, swap),
        *_overdue(press, swap),
        gap(10.0),
        paragraph(press, words("swap.done"), "label", block=BLOCK),
    ]
    pages = flow(
        press,
        pieces,
        title=words("swap.title"),
        label=words("swap.label"),
        destination="swap",
        block=BLOCK,
    )
    title = words("swap.document", county=swap.new.county, old=swap.old.name, new=swap.new.name)
    leaves = [Leaf.of(page.page, pdf=page.pdf, label=page.label) for page in pages]
    return assemble(leaves, title=title, lang=words("sheet.lang"))
