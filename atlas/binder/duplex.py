"""Order for printing on both sides: a sheet is always a right-hand page, and its back is blank."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from atlas.paper import Leaf, Page, draw
from atlas.paper.looks import printable
from atlas.paper.press import Press

__all__ = ["duplex"]


def _blank(press: Press) -> bytes:
    page = Page(
        width_mm=press.template.page.width_mm,
        height_mm=press.template.page.height_mm,
        printable=printable(press.template),
        items=(),
        title=press.words("binder.label.blank"),
        lang=press.words("sheet.lang"),
    )
    return draw([page], press.looks.fonts)


def _ordered(leaves: Sequence[tuple[Leaf, bool]], pdf: bytes, label: str) -> Iterator[Leaf]:
    blank = Leaf(pdf=pdf, label=label)
    count = 0
    for leaf, alone in leaves:
        if alone and count % 2:
            yield blank
            count += 1
        yield leaf
        count += 1
        if alone:
            yield blank
            count += 1


def duplex(press: Press, leaves: Sequence[tuple[Leaf, bool]]) -> list[Leaf]:
    """Leaves with blank pages between them, so that odd ones are right-hand pages.

    Parameters
    ----------
    leaves : each with whether it stands alone: on a right-hand page, nothing on its back
    """
    return list(_ordered(leaves, _blank(press), press.words("binder.label.blank")))
