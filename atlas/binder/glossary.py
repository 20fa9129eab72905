"""The words of the sheets and what they mean, one for one thing."""

from __future__ import annotations

from atlas.paper import Cell, Column, Row
from atlas.paper.pieces import flow, gap, paragraph, table_row
from atlas.paper.press import BoundPage, Press

__all__ = ["PLACE", "glossary"]

BLOCK = "glossary"
PLACE = "words"
"""Name of the destination."""
_WORD_MM = 44.0


def glossary(press: Press) -> tuple[BoundPage, ...]:
    """Every word that the wording explains, in the wording's order."""
    styles, words = press.looks.styles, press.words
    columns = (
        Column(style=styles["strong"], width_mm=_WORD_MM, wraps=True),
        Column(style=styles["body"], wraps=True),
    )
    rows = [
        table_row(
            press,
            columns,
            Row(cells=(Cell(text=word), words(f"binder.means.{name}"))),
            block=BLOCK,
        )
        for name, word in words.of("binder.term").items()
    ]
    return flow(
        press,
        [paragraph(press, words("binder.glossary.note"), "meta", block=BLOCK), gap(3.0), *rows],
        title=words("binder.glossary.title"),
        label=words("binder.label.glossary"),
        destination=PLACE,
        block=BLOCK,
    )
