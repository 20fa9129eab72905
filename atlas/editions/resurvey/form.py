"""A site's field form: last year's values, a box for this year's, sketch space, float timing."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import replace

from atlas.editions.resurvey.acroform import Widget, with_boxes
from atlas.editions.resurvey.fields import (
    NEW_ANCHORS,
    FormField,
    access_fields,
    anchor_fields,
    flow_fields,
    new_anchor_fields,
)
from atlas.editions.resurvey.survey_files import RawSite
from atlas.faults import clean_text
from atlas.paper import Box, Cell, Column, Item, LaidOut, Leaf, Rect, Row, assemble
from atlas.paper.pieces import Piece, flow, gap, heading, paragraph, table_row
from atlas.paper.press import BoundPage, Press, settable
from atlas.units import UnitSystem

__all__ = ["FORM", "IDENTITY", "form_pdf", "identity_of"]

FORM = 1
IDENTITY = "reach_atlas_form"
BLOCK = "form"
_BOX = "box:"
_ROW_MM = 6.8
_BOX_MM = 5.6
_LABEL_MM = 40.0
_LAST_MM = 62.0
_UNIT_MM = 9.0
_ANCHOR_LABEL_MM = 24.0
_SKETCH_MM = 72.0
_LONGEST = 90
_PHOTOS = 4


def identity_of(site: RawSite, press: Press) -> str:
    """What a form says of itself when it comes back."""
    told = {
        "form": FORM, "county": press.county.name, "edition": press.county.edition, "site": site.code,
        "survey": site.digest,
    }  # fmt: skip
    return json.dumps(told, ensure_ascii=False, sort_keys=True)


def _what(press: Press, field: FormField) -> str:
    return press.words(f"form.field.{field.key}")


def _box(press: Press, box: Box, field: FormField) -> Rect:
    return Rect(box=box, stroke=press.looks.strokes["frame"], block=f"{_BOX}{field.name}")


def _line(press: Press, field: FormField) -> Piece:
    """One property: its name, last year's value, a box, the unit of a bare number."""

    def lay(box: Box) -> LaidOut:
        base_mm = box.top_mm + _BOX_MM - 1.6
        left_mm = box.left_mm + _LABEL_MM + _LAST_MM
        space = Box(
            left_mm=left_mm, top_mm=box.top_mm + 0.4, width_mm=box.right_mm - left_mm - _UNIT_MM,
            height_mm=_BOX_MM,
        )  # fmt: skip
        last = settable(clean_text(field.last, longest=_LONGEST), press, "body")
        told = press.text(
            last, "body", Box(left_mm=box.left_mm + _LABEL_MM, top_mm=box.top_mm + 1.2,
                              width_mm=_LAST_MM - 2.0, height_mm=2 * _ROW_MM), block=BLOCK,
        )  # fmt: skip
        deep_mm = max((text.y_mm for text in told), default=base_mm) + 1.4 - box.top_mm
        height_mm = max(_ROW_MM, deep_mm)
        items: list[Item] = [
            *press.line(_what(press, field), "strong", x_mm=box.left_mm, y_mm=base_mm, block=BLOCK),
            *told,
            _box(press, space, field),
            *press.line(field.unit, "label", x_mm=space.right_mm + 1.5, y_mm=base_mm, block=BLOCK),
            press.rule(box, box.top_mm + height_mm, block=BLOCK),
        ]
        return LaidOut(items=tuple(items), height_mm=height_mm + 0.2, dropped=0)

    return Piece(lay)


def _cells(press: Press, title: str, fields: Sequence[FormField], widths: Sequence[float]) -> Piece:
    """Boxes beside each other, each with its name, last year's value and unit over it."""

    def lay(box: Box) -> LaidOut:
        items: list[Item] = [
            *press.text(title, "strong", replace(box, width_mm=_ANCHOR_LABEL_MM - 1.0), block=BLOCK)
        ]
        all_mm = box.width_mm - _ANCHOR_LABEL_MM
        left_mm = box.left_mm + _ANCHOR_LABEL_MM
        for field, share in zip(fields, widths, strict=True):
            width_mm = all_mm * share / sum(widths)
            unit = f" [{field.unit}]" if field.unit else ""
            head = f"{_what(press, field)}{unit}"
            place = Box(left_mm=left_mm, top_mm=box.top_mm, width_mm=width_mm - 1.5, height_mm=3.4)
            items += press.line(head, "column", x_mm=left_mm, y_mm=box.top_mm + 3.0, block=BLOCK)
            last = settable(clean_text(field.last, longest=22), press, "column")
            items += press.line(last, "strong", x_mm=left_mm, y_mm=box.top_mm + 6.4, block=BLOCK)
            items.append(_box(press, replace(place, top_mm=box.top_mm + 7.4, height_mm=_BOX_MM), field))
            left_mm += width_mm
        height_mm = 7.4 + _BOX_MM + 1.4
        items.append(press.rule(box, box.top_mm + height_mm, block=BLOCK))
        return LaidOut(items=tuple(items), height_mm=height_mm + 0.8, dropped=0)

    return Piece(lay)


def _anchors(press: Press, site: RawSite, units: UnitSystem) -> list[Piece]:
    words = press.words
    pieces = [
        gap(4.0),
        heading(press, words("form.anchors"), block=BLOCK),
        paragraph(press, words("form.anchors_note"), "body", block=BLOCK, keeps_next=True),
        gap(1.5),
    ]
    for anchor in site.of_role("anchor"):
        told = (str(anchor.properties.get(key) or "") for key in ("tag", "bank", "use", "kind"))
        title = settable(clean_text(" ".join(filter(None, told)), longest=40), press, "strong")
        fields = list(anchor_fields(anchor, units))
        pieces.append(_cells(press, title, fields, (20, 20, 22, 24, 44, 14)))
    for number in range(1, NEW_ANCHORS + 1):
        fields = list(new_anchor_fields(number, units))
        title = words("form.new_anchor", number=number)
        pieces.append(_cells(press, title, fields[:5], (12, 14, 18, 24, 20)))
        pieces.append(_cells(press, "", fields[5:], (22, 22, 24, 44, 50)))
    return pieces


def _flow(press: Press, units: UnitSystem) -> list[Piece]:
    words = press.words
    fields = list(flow_fields(units))
    return [
        gap(4.0),
        heading(press, words("form.flow"), block=BLOCK),
        paragraph(press, words("form.flow_note"), "body", block=BLOCK, keeps_next=True),
        gap(1.5),
        _cells(press, words("form.water"), fields[:5], (1, 1, 1, 1, 1)),
        _cells(press, words("form.float"), fields[5:9], (1, 1, 1, 1)),
        _line(press, fields[9]),
    ]


def _photos(press: Press) -> list[Piece]:
    words = press.words
    fields = [FormField(f"photo/{number}", "photo") for number in range(1, _PHOTOS + 1)]
    return [
        gap(4.0),
        heading(press, words("form.photos"), block=BLOCK),
        *(_line(press, field) for field in fields),
    ]


def _sketch(press: Press) -> list[Piece]:
    def lay(box: Box) -> LaidOut:
        frame = Rect(
            box=replace(box, top_mm=box.top_mm + 1.0, height_mm=_SKETCH_MM - 2.0),
            stroke=press.looks.strokes["frame"],
            block=BLOCK,
        )
        return LaidOut(items=(frame,), height_mm=_SKETCH_MM, dropped=0)

    return [gap(4.0), heading(press, press.words("form.sketch"), block=BLOCK), Piece(lay)]


def _head(press: Press, site: RawSite) -> list[Piece]:
    words = press.words
    name = "" if site.access is None else str(site.access.properties.get("name") or "")
    title = settable(clean_text(f"{site.code}  {name}", longest=80), press, "name")
    columns = (
        Column(style=press.looks.styles["column"], width_mm=_LABEL_MM),
        Column(style=press.looks.styles["column"], width_mm=_LAST_MM),
        Column(style=press.looks.styles["column"]),
    )
    row = Row(cells=("", Cell(text=words("form.last")), Cell(text=words("form.now"))))
    return [
        paragraph(press, title, "name", block=BLOCK),
        gap(1.5),
        paragraph(press, words("form.note"), "body", block=BLOCK),
        gap(2.0),
        table_row(press, columns, row, block=BLOCK, keeps_next=True),
    ]


def _widgets(press: Press, pages: Iterable[BoundPage], fields: Iterable[FormField]) -> list[Widget]:
    known = {field.name: field for field in fields}
    return [
        Widget(
            name=name, page=number, box=item.box, choices=known[name].choices,
            tip=_what(press, known[name]),
        )
        for number, page in enumerate(pages)
        for item in page.page.items
        if isinstance(item, Rect) and item.block.startswith(_BOX)
        for name in (item.block.removeprefix(_BOX),)
    ]  # fmt: skip


def form_pdf(site: RawSite, press: Press) -> bytes:
    """The form of one site, fillable on a tablet or with a pencil. Same survey, same bytes.

    Raises
    ------
    PageError
        It cannot be laid out.
    """
    units = UnitSystem(press.county.units)
    words = press.words
    asked = list(access_fields(site.access, units)) if site.access is not None else []
    pieces = [
        *_head(press, site),
        *(_line(press, field) for field in asked),
        *_anchors(press, site, units),
        *_flow(press, units),
        *_photos(press),
        *_sketch(press),
    ]
    label = words("form.label", code=site.code)
    pages = flow(press, pieces, title=words("form.title"), label=label, destination="form", block=BLOCK)
    leaves = [Leaf.of(page.page, pdf=page.pdf, label=page.label) for page in pages]
    title = words("form.document", code=site.code, edition=press.county.edition)
    pdf = assemble(leaves, title=title, lang=words("sheet.lang"))
    fields = [
        *asked,
        *(field for anchor in site.of_role("anchor") for field in anchor_fields(anchor, units)),
        *(field for number in range(1, NEW_ANCHORS + 1) for field in new_anchor_fields(number, units)),
        *flow_fields(units),
        *(FormField(f"photo/{number}", "photo") for number in range(1, _PHOTOS + 1)),
    ]
    return with_boxes(pdf, _widgets(press, pages, fields), {IDENTITY: identity_of(site, press)})
