"""The pages that go in, and no others, in the order of the binder, ready for printer and laminator."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pikepdf

from atlas.editions.record import BINDER_PATH
from atlas.editions.swap.compare import Change, Swap
from atlas.faults import Fault, InputFaults, Severity
from atlas.paper import Leaf, assemble
from atlas.settings import Words

__all__ = ["print_pdf"]


def _refuse(path: Path, what: str) -> InputFaults:
    todo = "print that edition again, or name another folder"
    return InputFaults([Fault("edition_broken", Severity.FILE, what, str(path), todo=todo)])


def _opened(path: Path) -> pikepdf.Pdf:
    try:
        return pikepdf.open(path)
    except OSError as cause:
        raise _refuse(path, (cause.strerror or type(cause).__name__).lower()) from None
    except pikepdf.PdfError:
        raise _refuse(path, "this is no PDF") from None


def _labels(binder: pikepdf.Pdf) -> dict[str, int]:
    """Pages of a binder by what stands at their feet."""
    return {page.label: number for number, page in enumerate(binder.pages)}


def _single(page: pikepdf.Page) -> bytes:
    """A page of a binder by itself, without links to pages that are not there."""
    target = BytesIO()
    with pikepdf.new() as alone:
        alone.pages.append(page)
        if "/Annots" in alone.pages[0]:
            del alone.pages[0]["/Annots"]
        alone.save(target, deterministic_id=True)
    return target.getvalue()


def _sheet(path: Path) -> bytes:
    with _opened(path) as sheet:
        if len(sheet.pages) != 1:
            raise _refuse(path, f"a sheet is one page; this has {len(sheet.pages)}")
    return path.read_bytes()


def print_pdf(swap: Swap, words: Words) -> bytes | None:
    """Every page that goes in, from the new edition; None where none does.

    Raises
    ------
    InputFaults
        The new edition's files are missing or damaged.
    """
    if not swap.to_print:
        return None
    place = swap.new.place
    path = place / BINDER_PATH
    with _opened(path) as binder:
        labels = _labels(binder)

        def leaf(change: Change) -> Leaf:
            if change.kind == "sheet":
                pdf = _sheet(place / swap.new.sheets[change.label].path)
            elif change.label in labels:
                pdf = _single(binder.pages[labels[change.label]])
            else:
                raise _refuse(path, f"the binder has no page {change.label}")
            return Leaf(pdf=pdf, label=change.label)

        leaves = [leaf(change) for change in swap.to_print]
    title = words("swap.document", county=swap.new.county, old=swap.old.name, new=swap.new.name)
    return assemble(leaves, title=title, lang=words("sheet.lang"))
