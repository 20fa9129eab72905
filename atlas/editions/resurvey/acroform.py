"""Boxes to fill in a PDF (AcroForm, ISO 32000-2, 12.7), put on drawn pages and read back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import pikepdf
from pikepdf import Array, Dictionary, Name, String

from atlas.faults import Fault, InputFaults, Severity
from atlas.paper import MM_PER_PT, Box

__all__ = ["Widget", "read_boxes", "with_boxes"]

_PRINTED = 4
_HIDDEN = 2
_READ_ONLY = 1
_MULTILINE = 1 << 12
_COMBO = 1 << 17
_LARGEST_BYTES = 64 * 1024 * 1024
_DEEPEST = 8
_LONGEST = 2000
_TALL_MM = 9.0
"""Boxes higher than this take several lines."""


@dataclass(frozen=True, slots=True)
class Widget:
    """A box to fill on a page."""

    name: str
    page: int
    box: Box
    choices: tuple[str, ...] = ()
    tip: str = ""


def _rectangle(box: Box, height_pt: float) -> Array:
    left, right = box.left_mm / MM_PER_PT, box.right_mm / MM_PER_PT
    bottom, top = height_pt - box.bottom_mm / MM_PER_PT, height_pt - box.top_mm / MM_PER_PT
    return Array([round(value, 2) for value in (left, bottom, right, top)])


def _annotation(widget: Widget, page: pikepdf.Page) -> Dictionary:
    made = Dictionary(
        Type=Name.Annot,
        Subtype=Name.Widget,
        T=String(widget.name),
        TU=String(widget.tip or widget.name),
        Rect=_rectangle(widget.box, float(page.mediabox[3])),
        F=_PRINTED,
        P=page.obj,
        V=String(""),
        DA=String("/Helv 9 Tf 0 g"),
    )
    if widget.choices:
        made.FT = Name.Ch
        made.Ff = _COMBO
        made.Opt = Array([String(""), *(String(choice) for choice in widget.choices)])
    else:
        made.FT = Name.Tx
        if widget.box.height_mm > _TALL_MM:
            made.Ff = _MULTILINE
    return made


def _hidden(name: str, value: str, page: pikepdf.Page) -> Dictionary:
    """A value that travels with the form and is not shown."""
    return Dictionary(
        Type=Name.Annot,
        Subtype=Name.Widget,
        FT=Name.Tx,
        T=String(name),
        V=String(value),
        Ff=_READ_ONLY,
        F=_HIDDEN,
        Rect=Array([0, 0, 0, 0]),
        P=page.obj,
        DA=String("/Helv 9 Tf 0 g"),
    )


def with_boxes(pdf: bytes, widgets: Sequence[Widget], carried: Mapping[str, str]) -> bytes:
    """A drawn PDF with boxes to fill, and values carried along unseen. Same input, same bytes.

    The viewer draws what is filled in, in its own Helvetica: a form is no page of the binder.
    """
    target = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as form:
        fields = Array()
        for widget in widgets:
            page = form.pages[widget.page]
            annotation = form.make_indirect(_annotation(widget, page))
            if "/Annots" not in page:
                page.Annots = Array()
            page.Annots.append(annotation)
            fields.append(annotation)
        for name, value in carried.items():
            annotation = form.make_indirect(_hidden(name, value, form.pages[0]))
            if "/Annots" not in form.pages[0]:
                form.pages[0].Annots = Array()
            form.pages[0].Annots.append(annotation)
            fields.append(annotation)
        face = Dictionary(
            Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica, Encoding=Name.WinAnsiEncoding
        )
        form.Root.AcroForm = Dictionary(
            Fields=fields,
            NeedAppearances=True,
            DA=String("/Helv 9 Tf 0 g"),
            DR=Dictionary(Font=Dictionary(Helv=form.make_indirect(face))),
        )
        form.save(target, deterministic_id=True)
    return target.getvalue()


def _refuse(path: Path, code: str, what: str, todo: str) -> InputFaults:
    return InputFaults([Fault(code, Severity.FILE, what, str(path), todo=todo)])


def _fields(fields: pikepdf.Object, above: str, deep: int) -> Iterator[tuple[str, str]]:
    """Every field with a value, by its whole name."""
    if not isinstance(fields, pikepdf.Array) or deep > _DEEPEST:
        return
    for number in range(len(fields)):
        field = fields[number]
        if not isinstance(field, pikepdf.Dictionary):
            continue
        own = str(field.get("/T", ""))
        name = ".".join(filter(None, (above, own)))
        value = field.get("/V")
        if value is not None and own:
            yield name, str(value).removeprefix("/")[:_LONGEST].strip()
        yield from _fields(field.get("/Kids", Array()), name, deep + 1)


def read_boxes(path: Path) -> dict[str, str]:
    """What stands in the boxes of a PDF, by their names; empty where it has none.

    Raises
    ------
    InputFaults
        It cannot be read, is no PDF, or is locked.
    """
    again = "save the form again on the tablet and send it anew"
    try:
        if path.stat().st_size > _LARGEST_BYTES:
            raise _refuse(path, "form_too_large", "the file is too large for a form", again)
        with pikepdf.open(path) as form:
            root = form.Root.get("/AcroForm")
            return dict(_fields(root.get("/Fields", Array()), "", 0)) if root is not None else {}
    except pikepdf.PasswordError:
        raise _refuse(path, "form_locked", "the PDF is locked with a password", "save it without") from None
    except pikepdf.PdfError:
        raise _refuse(path, "form_no_pdf", "this is no PDF, or a damaged one", again) from None
    except OSError as cause:
        why = (cause.strerror or type(cause).__name__).lower()
        raise _refuse(path, "form_unreadable", f"the file cannot be read: {why}", "check the path") from None
