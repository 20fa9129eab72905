"""A page in the place of a sheet that could not be made: every fault of the site, wrapped, none cut."""

from __future__ import annotations

from atlas.binder.contents import site_place
from atlas.binder.site_sheet import NotPrinted
from atlas.faults import Fault, Severity, clean_text
from atlas.paper import Cell, Column, Row, Span
from atlas.paper.pieces import Piece, flow, gap, paragraph, table_row
from atlas.paper.press import BoundPage, Press, settable

__all__ = ["fault_pages"]

BLOCK = "faults"
_LONGEST = 400


def _rows(press: Press, fault: Fault) -> list[tuple[str, str]]:
    """What is told of one fault, by the key of its label."""
    feature = None if fault.feature is None else str(fault.feature)
    told = (
        ("file", fault.file),
        ("feature", feature),
        ("field", fault.field),
        ("got", fault.got),
        ("allowed", fault.allowed),
        ("todo", fault.todo),
    )
    return [
        (press.words(f"binder.fault.{key}"), settable(clean_text(text, longest=_LONGEST), press, "body"))
        for key, text in told
        if text is not None
    ]


def _fault_pieces(press: Press, number: int, fault: Fault) -> list[Piece]:
    styles = press.looks.styles
    columns = (Column(style=styles["body"], width_mm=8.0), Column(style=styles["body"], wraps=True))
    what = settable(clean_text(fault.what, longest=_LONGEST), press, "strong")
    word = press.words(f"binder.fault.severity.{fault.severity.value}")
    cells = (
        Cell(text=str(number), style=styles["strong"]),
        Cell(text=(Span(f"{word}: {what}", styles["strong"]),)),
    )
    told = _rows(press, fault)
    first = table_row(press, columns, Row(cells=cells), block=BLOCK, keeps_next=bool(told))
    inner = (
        Column(style=styles["body"], width_mm=8.0),
        Column(style=styles["label"], width_mm=24.0),
        Column(style=styles["body"], wraps=True),
    )
    rows = [
        table_row(press, inner, Row(cells=("", label, text)), block=BLOCK, keeps_next=place < len(told))
        for place, (label, text) in enumerate(told, start=1)
    ]
    return [gap(4.0), first, *rows]


def fault_pages(press: Press, made: NotPrinted) -> tuple[BoundPage, ...]:
    """The pages in the place of a site's sheet; errors first, warnings after them."""
    words = press.words
    order = [Severity.FILE, Severity.ERROR, Severity.WARNING]
    faults = sorted(made.faults, key=lambda fault: order.index(fault.severity))
    name = words("sheet.unknown") if made.name is None else settable(made.name, press, "name")
    pieces = [
        paragraph(press, made.code, "code", block=BLOCK),
        paragraph(press, name, "name", block=BLOCK),
        gap(3.0),
        paragraph(press, words("binder.fault.not_printed"), "outside", block=BLOCK),
        paragraph(press, words("binder.fault.note"), "meta", block=BLOCK),
    ]
    for number, fault in enumerate(faults, start=1):
        pieces += _fault_pieces(press, number, fault)
    return flow(
        press, pieces, title=words("binder.fault.title"), label=made.code, destination=site_place(made.code),
        block=BLOCK,
    )  # fmt: skip
